#include "sim/scenario/problem.h"

#include <fmt/core.h>

#include <algorithm>
#include <map>
#include <tuple>

namespace mistwright::scenario {
namespace {

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

}  // namespace

std::size_t count_of(const std::vector<Problem>& problems, Severity severity) {
  std::size_t count = 0;
  for (const auto& p : problems)
    count += p.severity == severity ? static_cast<std::size_t>(p.count) : 0;
  return count;
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
  std::map<std::tuple<std::string, int, int, std::string, std::string>, std::size_t> places;
  std::vector<Problem> kept;
  for (auto& p : problems) {
    const auto [place, fresh] = places.emplace(
        std::tuple(p.at.file(), p.at.line, p.at.column, p.code, p.message), kept.size());
    if (fresh) {
      kept.push_back(std::move(p));
    } else {
      kept[place->second].count += p.count;
    }
  }
  problems = std::move(kept);
}

}  // namespace mistwright::scenario
