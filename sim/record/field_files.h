#pragma once
// Airflow fields kept on disk between runs: a folder of files, each whole or absent, that any
// number of threads and processes may share. A file is named by the SHA-256 of its key, in
// hexadecimal, and
// `.field`; it holds the line "mistwright field 1", the SHA-256 of all that follows on a line of
// its own, the key's length (64 bits, lowest byte first), the key, and the bytes kept. It is
// written to a part file, synced and renamed. Whatever is damaged, cut, foreign or unreadable
// counts as absent and is replaced by the next save. When the folder holds more than its limit the
// files that went unused longest are removed, and so are parts that a killed run left an hour ago
// or earlier.
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "sim/house/field_store.h"

namespace mistwright::record {

class FieldFiles final : public FieldStore {
 public:
  /// @param folder      made if it is not there, with those above it
  /// @param most_bytes  limit on all files together
  /// @throws FileError  the folder cannot be made or written to, or is none
  explicit FieldFiles(std::string folder, std::uint64_t most_bytes = 500'000'000);

  [[nodiscard]] std::optional<std::string> load(std::string_view key) noexcept override;
  void save(std::string_view key, std::string_view bytes) noexcept override;

  /// The file of a key, there or not.
  [[nodiscard]] std::string path_of(std::string_view key) const;

 private:
  void make_room() const;

  std::string folder_;
  std::uint64_t most_bytes_;
};

/// The folder used when none is named: MISTWRIGHT_STORE of the environment (empty: none), else
/// `mistwright/fields` in XDG_CACHE_HOME, else in `.cache` of HOME; none if there is no home.
[[nodiscard]] std::optional<std::string> usual_field_folder();

}  // namespace mistwright::record
