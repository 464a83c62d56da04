#include "sim/scenario/schema.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>

namespace mistwright::scenario {
namespace {

constexpr std::array repeated{"bench", "head",  "row",       "node", "pipe",
                              "valve", "clock", "programme", "fan",  "vent"};

std::string limits_text(const Key& key) {
  const std::string low = key.low;
  const std::string high = key.high;
  if (key.kind == Kind::Choice) {
    std::string text;
    for (const auto& choice : choices(key))
      text += fmt::format("{}\"{}\"", text.empty() ? "" : ", ", choice);
    return fmt::format("one of {}", text);
  }
  if (is_quantity(key.kind)) {
    return fmt::format("{}, {} to {}", kind_info(key.kind).name, low, high);
  }
  switch (key.kind) {
    case Kind::Whole:
      return fmt::format("a whole number, {} to {}", low, high);
    case Kind::Flag:
      return "true or false";
    case Kind::Date:
      return "a date, or a date and time";
    case Kind::TimeOfDay:
      return "a time of day";
    case Kind::Zone:
      return "a time zone as \"+HH:MM\" or \"-HH:MM\"";
    case Kind::List:
      return "a list";
    case Kind::Table:
      return "a table";
    default:
      return "a text";
  }
}

std::string need_text(const Key& key) {
  switch (key.need) {
    case Need::Required:
      return "needed";
    case Need::Optional:
      return "may be left out";
    case Need::Preset:
      return fmt::format("left out: by `{}`", key.fallback);
    case Need::Default:
      break;
  }
  const bool range =
      *key.fallback_low != '\0' && std::string_view(key.fallback_low) != key.fallback_high;
  return fmt::format("left out: {}{} ({})", key.fallback,
                     range ? fmt::format(", {} to {}", key.fallback_low, key.fallback_high) : "",
                     key.evidence);
}

/// Breaks a text into lines of at most `width`, each after `indent` blanks.
std::string wrapped(const std::string& text, std::size_t indent, std::size_t width) {
  std::string out;
  std::string line;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find(' ', at), text.size());
    const std::string word = text.substr(at, end - at);
    if (!line.empty() && indent + line.size() + 1 + word.size() > width) {
      out += std::string(indent, ' ') + line + "\n";
      line.clear();
    }
    line += fmt::format("{}{}", line.empty() ? "" : " ", word);
    at = end + 1;
  }
  return out + std::string(indent, ' ') + line + "\n";
}

}  // namespace

const std::vector<Key>& keys() {
  static const std::vector<Key> all = [] {
    std::vector<Key> list;
    for (const auto part : {house_keys(), water_keys(), run_keys()})
      list.insert(list.end(), part.begin(), part.end());
    return list;
  }();
  return all;
}

const Key* find_key(std::string_view table, std::string_view name) {
  for (const Key& key : keys()) {
    if (table == key.table && name == key.name) return &key;
  }
  return nullptr;
}

std::string table_heading(std::string_view table) {
  if (table.empty()) return "the top of the file";
  if (table == "head_type") return "[head_type.NAME]";
  if (table == "programme.bands") return "a band of [[programme]]";
  if (std::find(repeated.begin(), repeated.end(), table) != repeated.end())
    return fmt::format("[[{}]]", table);
  return fmt::format("[{}]", table);
}

std::string nearest_key(std::string_view table, std::string_view name) {
  std::string best;
  std::size_t distance = name.size() < 5 ? 2 : name.size() < 9 ? 3 : 4;
  for (const Key& key : keys()) {
    if (table != key.table) continue;
    const std::size_t d = edit_distance(name, key.name);
    if (d < distance) {
      distance = d;
      best = key.name;
    }
  }
  return best;
}

std::vector<std::string> tables_with(std::string_view name) {
  std::vector<std::string> found;
  for (const Key& key : keys()) {
    if (name == key.name) found.emplace_back(key.table);
  }
  return found;
}

std::string belongs_in(std::string_view name) {
  const auto tables = tables_with(name);
  const std::size_t shown = std::min<std::size_t>(tables.size(), 3);
  std::string text;
  for (std::size_t i = 0; i < shown; ++i) {
    text += fmt::format("{}{}",
                        i == 0           ? ""
                        : i + 1 == shown ? " or "
                                         : ", ",
                        table_heading(tables[i]));
  }
  return text;
}

std::string keys_of(std::string_view table) {
  std::vector<std::string> names;
  for (const Key& key : keys()) {
    if (table == key.table) names.emplace_back(key.name);
  }
  std::sort(names.begin(), names.end());
  std::string text;
  for (const auto& name : names) text += fmt::format("{}{}", text.empty() ? "" : ", ", name);
  return text;
}

std::vector<std::string> choices(const Key& key) {
  std::vector<std::string> list;
  std::string_view rest = key.low;
  while (!rest.empty()) {
    const std::size_t bar = std::min(rest.find('|'), rest.size());
    list.emplace_back(rest.substr(0, bar));
    rest.remove_prefix(std::min(bar + 1, rest.size()));
  }
  return list;
}

std::string reference_text() {
  constexpr std::size_t width = 100;
  std::string out = wrapped(
      "Quantities are texts with a unit: \"40 psi\", \"3 s\", \"85 degF\". Temperatures take degC, "
      "degF or K; "
      "pressures of water count from the air outside; gal is the US gallon. A fraction is \"70 %\" "
      "or 0.7.",
      0, width);
  std::string_view table = "none yet";
  for (const Key& key : keys()) {
    if (table != key.table) {
      table = key.table;
      out += fmt::format("\n{}\n", table_heading(table));
    }
    out += fmt::format("  {}\n", key.name);
    out += wrapped(key.help, 6, width);
    out += wrapped(fmt::format("{}; {}", limits_text(key), need_text(key)), 6, width);
  }
  return out;
}

}  // namespace mistwright::scenario
