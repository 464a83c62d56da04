#include "sim/scenario/reading.h"

#include <fmt/core.h>

#include <algorithm>

namespace mistwright::scenario {
std::string nearest_word(const std::vector<std::string>& words, const std::string& word) {
  std::string best;
  std::size_t distance = std::max<std::size_t>(word.size() / 2, 2);
  for (const auto& candidate : words) {
    const std::size_t d = edit_distance(candidate, word);
    if (d < distance) {
      distance = d;
      best = candidate;
    }
  }
  return best;
}

Problem& Reading::error(const char* code, const Span& at, std::string message, std::string help) {
  problems.push_back(
      Problem{.code = code, .message = std::move(message), .at = at, .help = std::move(help)});
  return problems.back();
}

Problem& Reading::warning(const char* code, const Span& at, std::string message, std::string help) {
  Problem& problem = error(code, at, std::move(message), std::move(help));
  problem.severity = Severity::Warning;
  return problem;
}

bool Reading::errors_since(std::size_t before) const {
  return std::any_of(problems.begin() + static_cast<std::ptrdiff_t>(before), problems.end(),
                     [](const Problem& p) { return p.severity == Severity::Error; });
}

void Reading::assume(Assumed assumed) {
  if (assumed_keys_.insert(assumed.key).second) house.assumed.push_back(std::move(assumed));
}

bool Names::add(Reading& reading, const std::string& name, const Span& at) {
  const bool known = taken(reading, name, at);
  if (!known && !name.empty()) index_.emplace(name, static_cast<std::uint32_t>(names_.size()));
  names_.push_back(name);
  spans_.push_back(at);
  return !known;
}

bool Names::taken(Reading& reading, const std::string& name, const Span& at) const {
  const auto place = index_.find(name);
  if (place == index_.end()) return false;
  Problem& p =
      reading.error("E0210", at, fmt::format("another {} is called \"{}\" already", what_, name),
                    "give each a name of its own");
  p.second = Second{spans_[place->second], "the other one"};
  return true;
}

std::optional<std::uint32_t> Names::quiet_find(const std::string& name) const {
  const auto place = index_.find(name);
  if (place == index_.end()) return std::nullopt;
  return place->second;
}

std::optional<std::uint32_t> Names::find(Reading& reading, const Got<std::string>& name) const {
  if (!name.good) return std::nullopt;
  if (const auto index = quiet_find(name.value)) return index;
  Problem& p =
      reading.error("E0211", name.at, fmt::format("{} `{}` is not defined", what_, name.value));
  const std::string near = nearest_word(names_, name.value);
  if (!near.empty()) {
    const Span& there = spans_[index_.at(near)];
    p.help = there.line > 0
                 ? fmt::format("nearest: `{}`; defined in {}:{}", near, there.file(), there.line)
                 : fmt::format("nearest: `{}`", near);
  } else if (names_.empty()) {
    p.help = fmt::format("no {} is defined at all", what_);
  }
  return std::nullopt;
}

void for_each_table(Reading& reading, const Value& root, const char* name,
                    const std::function<void(Table&)>& each) {
  const Entry* entry = root.find(name);
  if (!entry) return;
  if (entry->value.type == Value::Type::Table) {
    reading.error("E0209", entry->key_at,
                  fmt::format("there may be several of these: write [[{}]]", name));
    return;
  }
  if (entry->value.type != Value::Type::List) {
    reading.error("E0203", entry->value.at,
                  fmt::format("`{}` must be a table [[{}]], but this is {}", name, name,
                              type_name(entry->value.type)));
    return;
  }
  for (const Value& item : entry->value.items) {
    if (item.type != Value::Type::Table) {
      reading.error(
          "E0203", item.at,
          fmt::format("`{}` must hold tables, but this is {}", name, type_name(item.type)));
      continue;
    }
    Table table(reading, &item, name, item.at);
    each(table);
    table.finish();
  }
}

Table table_of(Reading& reading, const Value& root, const char* name) {
  const Entry* entry = root.find(name);
  if (entry && entry->value.type != Value::Type::Table) {
    reading.error("E0203", entry->value.at,
                  fmt::format("`{}` must be a table [{}], but this is {}", name, name,
                              type_name(entry->value.type)));
    return Table(reading, nullptr, name, entry->key_at);
  }
  return Table(reading, entry ? &entry->value : nullptr, name,
               entry ? entry->key_at : Span{root.at.source, 0, 0, 1});
}

}  // namespace mistwright::scenario
