#pragma once
// The text of a scenario before any parser sees it: regular files only, limits on size, valid
// UTF-8, and a small lexer that keeps from the TOML parser what is known to break parsers (deep
// nesting, very long dotted keys, letters outside ASCII where a key may stand). Leaves out TOML's
// grammar.
#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include "sim/scenario/problem.h"

namespace mistwright::scenario {

struct SourceLimits {
  std::size_t bytes = 4u << 20;
  std::size_t line_bytes = 64u << 10;
  std::size_t string_bytes = 64u << 10;
  int nesting = 64;
  int dotted_parts = 16;
  std::size_t keys = 100'000;
};

/// A text, or why there is none.
struct Loaded {
  std::shared_ptr<const SourceText> source = {};
  std::vector<Problem> problems = {};
};

/// Reads a regular file whole.
/// @param path as the user gave it; also its name in messages
/// @param most_bytes larger files are refused unread
[[nodiscard]] Loaded load(const std::string& path, std::size_t most_bytes = SourceLimits{}.bytes,
                          const std::string& shown_as = {});

/// A text without the mark that some editors put before UTF-8: it belongs to no key and no cell.
[[nodiscard]] std::shared_ptr<const SourceText> without_mark(
    std::shared_ptr<const SourceText> source);

/// Broken UTF-8 or a NUL, as a problem at the place of the first; at most one.
[[nodiscard]] std::vector<Problem> screen_encoding(const std::shared_ptr<const SourceText>& source);

/// Everything that must be right before the TOML parser may see the text; at most one problem.
[[nodiscard]] std::vector<Problem> screen(const std::shared_ptr<const SourceText>& source,
                                          const SourceLimits& limits = {});

/// The span of a byte offset and length in a text.
[[nodiscard]] Span span_at(const std::shared_ptr<const SourceText>& source, std::size_t offset,
                           std::size_t bytes = 1);

}  // namespace mistwright::scenario
