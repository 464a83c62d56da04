#pragma once
// How a line looks on a terminal: display columns of characters, escapes for what must not be
// printed.
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace mistwright::scenario {

/// A line as shown, with the display column at which each code point begins.
struct Shown {
  std::string text;
  std::vector<int> starts;         ///< display column, from 0, of each code point and of the end
  std::vector<std::size_t> bytes;  ///< offset in text of each code point and of the end
};

[[nodiscard]] Shown show(std::string_view line);

/// A text of at most `most` characters, with dots where it was cut.
[[nodiscard]] std::string cut(const std::string& text, std::size_t most);

}  // namespace mistwright::scenario
