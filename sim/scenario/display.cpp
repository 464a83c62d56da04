#include "sim/scenario/display.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cstdint>

#include "sim/scenario/problem.h"

namespace mistwright::scenario {
namespace {

constexpr int tab_width = 4;

struct CodePoint {
  std::uint32_t value = 0;
  std::size_t bytes = 1;
  bool broken = false;
};

CodePoint decode(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) {
    return i < text.size() ? static_cast<unsigned char>(text[i]) : 0u;
  };
  const std::uint32_t lead = byte(at);
  if (lead < 0x80) return {lead, 1, false};
  const std::size_t bytes = lead >= 0xF0 && lead < 0xF5 ? 4 : lead >= 0xE0 ? 3 : 2;
  if (lead < 0xC2 || lead >= 0xF5) return {lead, 1, true};
  std::uint32_t value = lead & (0xFFu >> (bytes + 1));
  for (std::size_t i = 1; i < bytes; ++i) {
    if ((byte(at + i) & 0xC0u) != 0x80u) return {lead, 1, true};
    value = (value << 6) | (byte(at + i) & 0x3Fu);
  }
  return {value, bytes, false};
}

bool hidden(std::uint32_t c) {
  return c < 0x20 || (c >= 0x7F && c < 0xA0) || (c >= 0x200B && c <= 0x200F) ||
         (c >= 0x2028 && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069) || c == 0xFEFF || c == 0x061C;
}

/// Columns of one character, by the ranges of Unicode 15 east Asian width W and F, and of common
/// combining marks.
int width_of(std::uint32_t c) {
  static constexpr std::array<std::pair<std::uint32_t, std::uint32_t>, 9> wide{
      {{0x1100, 0x115F},
       {0x2E80, 0x303E},
       {0x3041, 0xA4CF},
       {0xAC00, 0xD7A3},
       {0xF900, 0xFAFF},
       {0xFE30, 0xFE6F},
       {0xFF00, 0xFF60},
       {0x1F300, 0x1FAFF},
       {0x20000, 0x3FFFD}}};
  if ((c >= 0x0300 && c <= 0x036F) || (c >= 0xFE00 && c <= 0xFE0F)) return 0;
  for (const auto& [low, high] : wide) {
    if (c >= low && c <= high) return 2;
  }
  return 1;
}

std::string escaped(const CodePoint& c) {
  return c.broken || c.value < 0x100 ? fmt::format("\\x{:02X}", c.value)
                                     : fmt::format("\\u{:04X}", c.value);
}

}  // namespace

Shown show(std::string_view line) {
  Shown shown;
  int column = 0;
  for (std::size_t at = 0; at < line.size();) {
    const CodePoint c = decode(line, at);
    shown.starts.push_back(column);
    shown.bytes.push_back(shown.text.size());
    if (c.value == '\t' && !c.broken) {
      shown.text.append(tab_width, ' ');
      column += tab_width;
    } else if (c.broken || hidden(c.value)) {
      const std::string escape = escaped(c);
      shown.text += escape;
      column += static_cast<int>(escape.size());
    } else {
      shown.text += line.substr(at, c.bytes);
      column += width_of(c.value);
    }
    at += c.bytes;
  }
  shown.starts.push_back(column);
  shown.bytes.push_back(shown.text.size());
  return shown;
}

std::string cut(const std::string& text, std::size_t most) {
  std::size_t bytes = 0;
  for (std::size_t points = 0; bytes < text.size(); ++points) {
    if (points == most) return text.substr(0, bytes) + "...";
    bytes += decode(text, bytes).bytes;
  }
  return text;
}

SourceText::SourceText(std::string given_name, std::string given_text)
    : name(std::move(given_name)), text(std::move(given_text)), line_starts{0} {
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '\n') line_starts.push_back(i + 1);
  }
}

std::string_view SourceText::line(int number) const {
  if (number < 1 || static_cast<std::size_t>(number) > line_starts.size()) return {};
  const std::size_t start = line_starts[static_cast<std::size_t>(number) - 1];
  std::size_t end = text.find('\n', start);
  if (end == std::string::npos) end = text.size();
  if (end > start && text[end - 1] == '\r') --end;
  return std::string_view(text).substr(start, end - start);
}

std::string visible(std::string_view text) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const CodePoint c = decode(text, at);
    if (c.broken || (hidden(c.value) && c.value != '\n')) {
      out += escaped(c);
    } else {
      out += text.substr(at, c.bytes);
    }
    at += c.bytes;
  }
  return out;
}

std::string visible_line(std::string_view text) {
  std::string out;
  for (const char c : visible(text)) {
    if (c == '\n') {
      out += "\\n";
    } else {
      out += c;
    }
  }
  return out;
}

int display_width(std::string_view text) {
  return show(text).starts.back();
}

int display_column(const Span& span) {
  if (!span.source || span.line == 0) return 0;
  const auto starts = show(span.source->line(span.line)).starts;
  const int last = static_cast<int>(starts.size()) - 1;
  return starts[static_cast<std::size_t>(std::clamp(span.column - 1, 0, last))] + 1;
}

}  // namespace mistwright::scenario
