#pragma once
// Which key stands on a line of a TOML file, as it is written there? For messages: the parser says
// only roughly where and, of keys in quotes, wrongly what. Leaves out keys that run over lines.
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace mistwright::scenario {

/// A key, dotted or not, as in `length`, `a."b c"` or ["it's"].
struct WrittenKey {
  std::vector<std::string> parts;     ///< without their quotes
  std::size_t start = 0, length = 0;  ///< bytes of the line, quotes included
  std::size_t first_length = 0;       ///< of the first part alone
  bool heading = false;               ///< between brackets; else before `=`
  bool leads = false;                 ///< nothing but blanks and brackets stand before it
  std::size_t table = 0;  ///< byte of the brace that opens its inline table; 0: none on this line
};

/// The key of a heading, or all that are followed by `=`, those of inline tables too.
[[nodiscard]] std::vector<WrittenKey> keys_on(std::string_view line);

}  // namespace mistwright::scenario
