#include "sim/scenario/problem.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cstdint>

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

/// A line as shown, with the display column at which each code point begins.
struct Shown {
  std::string text;
  std::vector<int> starts;         ///< display column, from 0, of each code point and of the end
  std::vector<std::size_t> bytes;  ///< offset in text of each code point and of the end
};

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

std::string paint(const RenderOptions& options, const char* colour, const std::string& text) {
  return options.colour ? fmt::format("\x1b[1;{}m{}\x1b[0m", colour, text) : text;
}

/// One excerpt line and, under it, carets and label, cut to the terminal around the caret.
std::string excerpt(const Span& span, const std::string& label, char mark, std::size_t gutter,
                    const RenderOptions& options) {
  const Shown shown = show(span.source->line(span.line));
  const int last = static_cast<int>(shown.starts.size()) - 1;
  const int first_point = std::clamp(span.column - 1, 0, last);
  const int end_point = std::clamp(first_point + std::max(span.length, 1), first_point, last);
  int first = 0;
  int end = last;
  const int room = std::max(options.width - static_cast<int>(gutter) - 3, 20);
  if (shown.starts[static_cast<std::size_t>(last)] > room) {
    const int caret = shown.starts[static_cast<std::size_t>(first_point)];
    while (first < first_point && caret - shown.starts[static_cast<std::size_t>(first)] > room / 3)
      ++first;
    while (end > first + 1 && shown.starts[static_cast<std::size_t>(end)] -
                                      shown.starts[static_cast<std::size_t>(first)] >
                                  room - 6) {
      --end;
    }
  }
  const auto offset = [&](int point) { return shown.bytes[static_cast<std::size_t>(point)]; };
  const auto column = [&](int point) { return shown.starts[static_cast<std::size_t>(point)]; };
  const std::string before = first > 0 ? "..." : "";
  const std::string after = end < last ? "..." : "";
  const std::string text =
      before + shown.text.substr(offset(first), offset(end) - offset(first)) + after;
  const int indent = column(first_point) - column(first) + static_cast<int>(before.size());
  const int carets =
      std::max(1, column(std::min(end_point, std::max(end, first_point))) - column(first_point));
  return fmt::format("{:>{}} | {}\n{:>{}} | {}{}{}\n", span.line, gutter, text, "", gutter,
                     std::string(static_cast<std::size_t>(indent), ' '),
                     paint(options, "31", std::string(static_cast<std::size_t>(carets), mark)),
                     label.empty() ? std::string() : fmt::format(" {}", visible(label)));
}

std::string place(const Span& span) {
  if (span.line == 0) return visible(span.file());
  return fmt::format("{}:{}:{}", visible(span.file()), span.line, display_column(span));
}

std::string quoted(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    const auto u = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') {
      out += '\\';
      out += c;
    } else if (c == '\n') {
      out += "\\n";
    } else if (u < 0x20 || u == 0x7F) {
      out += fmt::format("\\u{:04x}", u);
    } else {
      out += c;
    }
  }
  return out + "\"";
}

std::string json_span(const Span& span) {
  return span.line == 0 ? "null"
                        : fmt::format("{{\"line\":{},\"column\":{},\"length\":{}}}", span.line,
                                      display_column(span), span.length);
}

std::size_t count_of(const std::vector<Problem>& problems, Severity severity) {
  std::size_t count = 0;
  for (const auto& p : problems)
    count += p.severity == severity ? static_cast<std::size_t>(p.count) : 0;
  return count;
}

}  // namespace

SourceText::SourceText(std::string name_, std::string text_)
    : name(std::move(name_)), text(std::move(text_)), line_starts{0} {
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

int display_width(std::string_view text) {
  return show(text).starts.back();
}

int display_column(const Span& span) {
  if (!span.source || span.line == 0) return 0;
  const auto starts = show(span.source->line(span.line)).starts;
  const int last = static_cast<int>(starts.size()) - 1;
  return starts[static_cast<std::size_t>(std::clamp(span.column - 1, 0, last))] + 1;
}

std::string render(const Problem& problem, const RenderOptions& options) {
  const bool error = problem.severity == Severity::Error;
  std::string out = fmt::format(
      "{}: {}{}\n",
      paint(options, error ? "31" : "33",
            fmt::format("{}[{}]", error ? "error" : "warning", problem.code)),
      visible(problem.message), problem.count > 1 ? fmt::format(" ({} times)", problem.count) : "");
  const bool has_line = problem.at.source && problem.at.line > 0;
  const bool has_second =
      problem.second && problem.second->at.source && problem.second->at.line > 0;
  const int deepest = std::max(problem.at.line, has_second ? problem.second->at.line : 0);
  const std::size_t gutter = std::max<std::size_t>(fmt::format("{}", deepest).size(), 1);
  const std::string bar = fmt::format("{:>{}} |\n", "", gutter);
  if (!problem.at.file().empty())
    out += fmt::format("{:>{}}--> {}\n", "", gutter, place(problem.at));
  if (has_line) {
    const std::string main = excerpt(problem.at, problem.label, '^', gutter, options);
    out += bar;
    if (!has_second) {
      out += main;
    } else {
      const std::string other =
          excerpt(problem.second->at, problem.second->label, '-', gutter, options);
      if (problem.second->at.file() != problem.at.file()) {
        out += main + fmt::format("{:>{}}::: {}\n", "", gutter, place(problem.second->at)) + bar +
               other;
      } else {
        const bool main_first = problem.at.line <= problem.second->at.line;
        const bool far = std::abs(problem.at.line - problem.second->at.line) > 1;
        out += (main_first ? main : other) + (far ? "...\n" : "") + (main_first ? other : main);
      }
    }
    out += bar;
  }
  if (!problem.help.empty()) out += fmt::format("help: {}\n", visible(problem.help));
  if (!problem.note.empty()) out += fmt::format("note: {}\n", visible(problem.note));
  return out;
}

std::string render(const std::vector<Problem>& problems, const RenderOptions& options) {
  std::string out;
  int printed = 0;
  for (const auto& problem : problems) {
    if (printed++ == options.most) break;
    out += render(problem, options);
  }
  const auto most = static_cast<std::size_t>(options.most);
  if (problems.size() > most) out += fmt::format("... and {} more\n", problems.size() - most);
  const std::size_t errors = count_of(problems, Severity::Error);
  const std::size_t warnings = count_of(problems, Severity::Warning);
  out += fmt::format("{} error{}, {} warning{}{}\n", errors, errors == 1 ? "" : "s", warnings,
                     warnings == 1 ? "" : "s",
                     errors > 0 ? "; nothing was run, nothing was written" : "");
  return out;
}

std::string render_json(const std::vector<Problem>& problems) {
  std::string list;
  for (const auto& p : problems) {
    const std::string fix = p.fix ? fmt::format("{{\"span\":{},\"text\":{}}}", json_span(p.fix->at),
                                                quoted(visible(p.fix->text)))
                                  : "null";
    list += fmt::format(
        "{}{{\"code\":{},\"severity\":\"{}\",\"file\":{},\"span\":{},\"message\":{},\"help\":{},"
        "\"note\":{},\"fix\":{},\"count\":{}}}",
        list.empty() ? "" : ",", quoted(p.code),
        p.severity == Severity::Error ? "error" : "warning", quoted(visible(p.at.file())),
        json_span(p.at), quoted(visible(p.message)), quoted(visible(p.help)),
        quoted(visible(p.note)), fix, p.count);
  }
  return fmt::format("{{\"schema\":1,\"errors\":{},\"warnings\":{},\"problems\":[{}]}}\n",
                     count_of(problems, Severity::Error), count_of(problems, Severity::Warning),
                     list);
}

bool any_error(const std::vector<Problem>& problems) {
  return count_of(problems, Severity::Error) > 0;
}

int exit_status(const std::vector<Problem>& problems) {
  if (!any_error(problems)) return 0;
  return std::any_of(problems.begin(), problems.end(),
                     [](const Problem& p) { return p.unreadable; })
             ? 4
             : 3;
}

void fold_repeats(std::vector<Problem>& problems) {
  std::vector<Problem> kept;
  for (auto& p : problems) {
    const auto same = std::find_if(kept.begin(), kept.end(), [&](const Problem& k) {
      return k.code == p.code && k.message == p.message && k.at.line == p.at.line &&
             k.at.column == p.at.column && k.at.file() == p.at.file();
    });
    if (same != kept.end()) {
      same->count += p.count;
    } else {
      kept.push_back(std::move(p));
    }
  }
  problems = std::move(kept);
}

}  // namespace mistwright::scenario
