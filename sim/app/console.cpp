#include "sim/app/console.h"

#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>

#include "sim/scenario/quantity.h"

namespace mistwright::app {
namespace {

std::size_t columns(std::string_view text) {
  return static_cast<std::size_t>(scenario::display_width(text));
}

}  // namespace

Terminal terminal_of(int descriptor) {
  Terminal terminal;
  terminal.interactive = isatty(descriptor) == 1;
  const char* kind = std::getenv("TERM");
  const char* no_colour = std::getenv("NO_COLOR");
  const bool dumb = kind == nullptr || std::string_view(kind) == "dumb";
  const bool refused = no_colour != nullptr && *no_colour != '\0';
  terminal.colour = terminal.interactive && !dumb && !refused;
  winsize size{};
  if (terminal.interactive && ioctl(descriptor, TIOCGWINSZ, &size) == 0 && size.ws_col > 0) {
    terminal.width = size.ws_col;
  }
  return terminal;
}

std::optional<std::string> nearest(std::string_view word, const std::vector<std::string>& known) {
  std::optional<std::string> best;
  std::size_t fewest = std::max<std::size_t>(2, word.size() / 3) + 1;
  for (const std::string& candidate : known) {
    const std::size_t distance = scenario::edit_distance(word, candidate);
    if (distance < fewest) {
      fewest = distance;
      best = candidate;
    }
  }
  return best;
}

void JsonObject::number(std::string_view key, double value) {
  if (!std::isfinite(value)) return none(key);
  raw(key, fmt::format("{}", value));
}

void JsonObject::whole(std::string_view key, long long value) {
  raw(key, fmt::format("{}", value));
}

void JsonObject::text(std::string_view key, std::string_view value) {
  raw(key, json_text(value));
}

void JsonObject::flag(std::string_view key, bool value) {
  raw(key, value ? "true" : "false");
}

void JsonObject::none(std::string_view key) {
  raw(key, "null");
}

void JsonObject::raw(std::string_view key, std::string_view json) {
  fields_.emplace_back(key, json);
}

std::string JsonObject::str() const {
  std::string out = "{";
  for (const auto& [key, value] : fields_) {
    if (out.size() > 1) out += ", ";
    out += json_text(key) + ": " + value;
  }
  return out + "}";
}

std::string json_text(std::string_view text) {
  std::string out = "\"";
  for (const char c : scenario::visible(text)) {
    if (c == '"' || c == '\\') out += '\\';
    if (c == '\n') {
      out += "\\n";
    } else {
      out += c;
    }
  }
  return out + '"';
}

std::string json_array(const std::vector<std::string>& values) {
  return fmt::format("[{}]", fmt::join(values, ", "));
}

std::string aligned(const std::vector<Row>& rows) {
  std::size_t widest = 0;
  for (const Row& row : rows) widest = std::max(widest, columns(row.label));
  std::string out;
  for (const Row& row : rows) {
    out += row.label + std::string(widest + 2 - columns(row.label), ' ') + row.value + '\n';
  }
  return out;
}

scenario::Problem mistake(std::string code, std::string message, std::string help) {
  scenario::Problem problem;
  problem.code = std::move(code);
  problem.message = std::move(message);
  problem.help = std::move(help);
  return problem;
}

scenario::Problem trouble(const record::FileError& error) {
  scenario::Problem problem = mistake("E0401", error.problem, error.help);
  problem.at.source = std::make_shared<const scenario::SourceText>(error.path, "");
  problem.unreadable = true;
  return problem;
}

void tell(const Manners& manners, const std::vector<scenario::Problem>& problems,
          const char* outcome) {
  if (manners.json) {
    fmt::print("{}", scenario::render_json(problems));
    return;
  }
  const Terminal terminal = terminal_of(2);
  const scenario::RenderOptions options{.width = terminal.width, .colour = terminal.colour};
  if (outcome == nullptr) {
    fmt::print(stderr, "{}", scenario::render(problems, options));
    return;
  }
  for (const scenario::Problem& problem : problems) {
    fmt::print(stderr, "{}", scenario::render(problem, options));
  }
  fmt::print(stderr, "{}\n", outcome);
}

int refuse(const Manners& manners, Status status, const std::vector<scenario::Problem>& problems,
           const char* outcome) {
  tell(manners, problems, outcome);
  return status;
}

}  // namespace mistwright::app
