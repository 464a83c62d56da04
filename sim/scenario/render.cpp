#include <fmt/core.h>

#include <algorithm>

#include "sim/scenario/display.h"
#include "sim/scenario/problem.h"

namespace mistwright::scenario {
namespace {

constexpr std::size_t longest_message = 96;  ///< so that the first line stays within 120 columns

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

/// "help: ..." broken between words at the terminal's width; single words may stick out.
std::string wrapped(const char* title, const std::string& text, int width) {
  std::string out;
  std::string line = title;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find(' ', at), text.size());
    const std::string word = text.substr(at, end - at);
    if (line.size() > 5 && display_width(line) + 1 + display_width(word) > width) {
      out += line;
      out += '\n';
      line = "     ";
    }
    line += ' ';
    line += word;
    at = end + 1;
  }
  return out + line + "\n";
}

std::string place(const Span& span) {
  if (span.line == 0) return visible_line(span.file());
  return fmt::format("{}:{}:{}", visible_line(span.file()), span.line, display_column(span));
}

bool on_a_line(const Span& span) {
  return span.source && span.line > 0;
}

/// The excerpts of a fault and of the other place that belongs to it, in the order of the file.
std::string two_places(const Problem& problem, std::size_t gutter, const RenderOptions& options) {
  const Span& at = problem.at;
  const Span& also = problem.second->at;
  const std::string main = excerpt(at, problem.label, '^', gutter, options);
  const std::string other = excerpt(also, problem.second->label, '-', gutter, options);
  if (also.file() != at.file()) {
    return fmt::format("{}{:>{}}::: {}\n{:>{}} |\n{}", main, "", gutter, place(also), "", gutter,
                       other);
  }
  const bool main_first = std::pair(at.line, at.column) <= std::pair(also.line, also.column);
  const int apart = std::abs(at.line - also.line);
  const std::string& upper = main_first ? main : other;
  const std::string& lower = main_first ? other : main;
  // Two places on one line share its excerpt.
  return fmt::format("{}{}{}", upper, apart > 1 ? "...\n" : "",
                     apart == 0 ? lower.substr(lower.find('\n') + 1) : lower);
}

}  // namespace

std::string render(const Problem& problem, const RenderOptions& options) {
  const bool error = problem.severity == Severity::Error;
  std::string out =
      fmt::format("{}: {}{}\n",
                  paint(options, error ? "31" : "33",
                        fmt::format("{}[{}]", error ? "error" : "warning", problem.code)),
                  cut(visible_line(problem.message), longest_message),
                  problem.count > 1 ? fmt::format(" ({} times)", problem.count) : "");
  const bool has_second = problem.second && on_a_line(problem.second->at);
  const int deepest = std::max(problem.at.line, has_second ? problem.second->at.line : 0);
  const std::size_t gutter = fmt::format("{}", deepest).size();
  if (!problem.at.file().empty()) {
    out += fmt::format("{:>{}}--> {}\n", "", gutter, place(problem.at));
  }
  if (on_a_line(problem.at)) {
    const std::string bar = fmt::format("{:>{}} |\n", "", gutter);
    out += bar;
    out += has_second ? two_places(problem, gutter, options)
                      : excerpt(problem.at, problem.label, '^', gutter, options);
    out += bar;
  }
  if (!problem.help.empty()) out += wrapped("help:", visible(problem.help), options.width);
  if (!problem.note.empty()) out += wrapped("note:", visible(problem.note), options.width);
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

}  // namespace mistwright::scenario
