#pragma once
// The one table of keys of a scenario: what each is, which units and limits it takes, what is
// assumed when it is left out (with an honest range and where that comes from), and what it means.
// The reader, the help, the reference of keys and the list of assumptions all come from it.
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "sim/scenario/quantity.h"

namespace mistwright::scenario {

/// What happens when a key is left out.
enum class Need { Required, Optional, Default, Preset };

struct Key {
  const char* table = "";  ///< "house", "bench", ...; "" for the top of the file
  const char* name = "";
  Kind kind = Kind::Text;
  Need need = Need::Optional;
  const char* low = "";           ///< lowest value allowed, with unit; choices, parted by `|`
  const char* high = "";          ///< highest value allowed, with unit
  const char* fallback = "";      ///< the default, with unit; or the key whose preset decides
  const char* fallback_low = "";  ///< honest range of the default
  const char* fallback_high = "";
  const char* evidence = "";  ///< source, memory, common practice, derived, our choice
  const char* help = "";
};

[[nodiscard]] std::span<const Key> house_keys();
[[nodiscard]] std::span<const Key> water_keys();
[[nodiscard]] std::span<const Key> run_keys();

/// All rows, table after table.
[[nodiscard]] const std::vector<Key>& keys();

[[nodiscard]] const Key* find_key(std::string_view table, std::string_view name);

/// How a table is written in a file: "[house]", "[[bench]]", "the top of the file".
[[nodiscard]] std::string table_heading(std::string_view table);

/// The nearest key of a table within two or three edits; empty if none is near.
[[nodiscard]] std::string nearest_key(std::string_view table, std::string_view name);

/// Tables that have a key of exactly this name, in the table's order.
[[nodiscard]] std::vector<std::string> tables_with(std::string_view name);

/// "[[bench]] or [[node]]": where a key of exactly this name belongs, at most three tables; empty
/// if nowhere.
[[nodiscard]] std::string belongs_in(std::string_view name);

/// "curve, elevation, pressure": the keys of a table in alphabetical order.
[[nodiscard]] std::string keys_of(std::string_view table);

/// Choices of a key, in order.
[[nodiscard]] std::vector<std::string> choices(const Key& key);

/// The reference of keys, plain text of at most 100 columns, made from the table.
[[nodiscard]] std::string reference_text();

}  // namespace mistwright::scenario
