#include "sim/scenario/written_key.h"

#include <algorithm>
#include <optional>
#include <utility>

namespace mistwright::scenario {
namespace {

bool is_bare(char c) {
  return c == '_' || c == '-' || (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') ||
         (c >= 'a' && c <= 'z');
}

std::size_t past_blanks(std::string_view line, std::size_t at) {
  return std::min(line.find_first_not_of(" \t", at), line.size());
}

/// Past the quoted text that begins at `at`, or the line's end where it does not end.
std::size_t past_quoted(std::string_view line, std::size_t at) {
  const char quote = line[at++];
  while (at < line.size() && line[at] != quote) at += quote == '"' && line[at] == '\\' ? 2 : 1;
  return std::min(at + 1, line.size());
}

/// Past one part of a key, quoted or bare; `at` itself where none begins.
std::size_t past_part(std::string_view line, std::size_t at) {
  if (at < line.size() && (line[at] == '"' || line[at] == '\'')) return past_quoted(line, at);
  while (at < line.size() && is_bare(line[at])) ++at;
  return at;
}

/// What a part says: quotes and the escapes of quotes and backslashes taken off.
std::string said(std::string_view part) {
  const char quote = part.front();
  if (quote != '"' && quote != '\'') return std::string(part);
  std::string text;
  const std::string_view inside = part.substr(1, part.size() < 2 ? 0 : part.size() - 2);
  for (std::size_t i = 0; i < inside.size(); ++i) {
    const bool escape = quote == '"' && inside[i] == '\\' && i + 1 < inside.size() &&
                        (inside[i + 1] == '"' || inside[i + 1] == '\\');
    text += inside[escape ? ++i : i];
  }
  return text;
}

/// The key that begins at `at`.
std::optional<WrittenKey> key_at(std::string_view line, std::size_t at) {
  WrittenKey key{.parts = {}, .start = at};
  while (true) {
    const std::size_t end = past_part(line, at);
    if (end == at) return std::nullopt;
    key.parts.push_back(said(line.substr(at, end - at)));
    key.length = end - key.start;
    if (key.parts.size() == 1) key.first_length = key.length;
    const std::size_t next = past_blanks(line, end);
    if (next >= line.size() || line[next] != '.') return key;
    at = past_blanks(line, next + 1);
  }
}

bool has_value(std::string_view line, const WrittenKey& key) {
  const std::size_t next = past_blanks(line, key.start + key.length);
  return next < line.size() && line[next] == '=';
}

std::optional<WrittenKey> key_of_heading(std::string_view line) {
  const std::size_t start = past_blanks(line, 0);
  if (start >= line.size() || line[start] != '[') return std::nullopt;
  const bool twice = start + 1 < line.size() && line[start + 1] == '[';
  auto key = key_at(line, past_blanks(line, start + (twice ? 2 : 1)));
  if (!key) return std::nullopt;
  const std::size_t next = past_blanks(line, key->start + key->length);
  if (next >= line.size() || line[next] != ']') return std::nullopt;
  key->heading = key->leads = true;
  return key;
}

}  // namespace

std::vector<WrittenKey> keys_on(std::string_view line) {
  if (auto heading = key_of_heading(line)) return {std::move(*heading)};
  std::vector<WrittenKey> found;
  const std::size_t start = past_blanks(line, 0);
  std::vector<std::size_t> braces{0};
  bool may_begin = true;
  for (std::size_t at = start; at < line.size() && line[at] != '#';) {
    auto key = may_begin ? key_at(line, at) : std::nullopt;
    may_begin = line[at] == '{' || line[at] == ',';
    if (line[at] == '{') braces.push_back(at);
    if (line[at] == '}' && braces.size() > 1) braces.pop_back();
    if (key && has_value(line, *key)) {
      at = key->start + key->length;
      key->leads = key->start == start;
      key->table = braces.back();
      found.push_back(std::move(*key));
    } else if (line[at] == '"' || line[at] == '\'') {
      at = past_quoted(line, at);
    } else {
      at = may_begin ? past_blanks(line, at + 1) : at + 1;
    }
  }
  return found;
}

}  // namespace mistwright::scenario
