#pragma once
// Where airflow fields are kept between runs, as the house sees it: bytes under a key. The house
// opens no file; a store on disk is sim/record/field_files.h, and a build without files has none.
#include <optional>
#include <string>
#include <string_view>

namespace mistwright {

/// Bytes kept under keys. Several threads may use one at once. Nothing here ever fails: what cannot
/// be saved is not there next time, and what is damaged is not there either.
class FieldStore {
 public:
  FieldStore() = default;
  FieldStore(const FieldStore&) = delete;
  FieldStore& operator=(const FieldStore&) = delete;
  virtual ~FieldStore() = default;

  /// @param key  any bytes, of any length
  /// @return exactly the bytes last saved under that key; none if they are absent or damaged
  [[nodiscard]] virtual std::optional<std::string> load(std::string_view key) noexcept = 0;

  /// Keeps the bytes under the key in place of what was there, if it can.
  virtual void save(std::string_view key, std::string_view bytes) noexcept = 0;
};

}  // namespace mistwright
