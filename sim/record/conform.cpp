#include "sim/record/conform.h"

#include <algorithm>
#include <bit>
#include <cctype>
#include <cmath>
#include <set>

#include "models/contracts.h"
#include "sim/record/sha256.h"

namespace mistwright::record {
namespace {

[[noreturn]] void refuse(const std::string& where, const std::string& why) {
  throw ContractError("results: " + where + " " + why);
}

/// CF 1.10, section 2.3: a letter, then letters, digits and underscores.
void check_name(const std::string& name, const std::string& where, std::set<std::string>& seen) {
  const auto plain = [](unsigned char c) { return std::isalnum(c) != 0 || c == '_'; };
  if (name.empty() || std::isalpha(static_cast<unsigned char>(name[0])) == 0 ||
      !std::all_of(name.begin(), name.end(), plain))
    refuse(where, "has a name that CF forbids");
  std::string lower = name;
  std::transform(lower.begin(), lower.end(), lower.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  if (!seen.insert(lower).second) refuse(where, "has the name of another but for case");
}

void check_values(const Variable& variable, const std::string& where) {
  if (!variable.flag_meanings.empty() && !variable.whole)
    refuse(where, "is a category but not of whole numbers");
  if (!variable.whole) return;
  const auto meanings = static_cast<double>(variable.flag_meanings.size());
  for (const double value : variable.values) {
    // Beyond 2^53 a double no longer holds each whole number.
    if (!(std::abs(value) <= 9007199254740992.0) || value != std::trunc(value))
      refuse(where, "holds a fraction among whole numbers");
    if (meanings > 0.0 && !(value >= 0.0 && value < meanings))
      refuse(where, "holds a flag without a meaning");
  }
}

void add_missing_coordinates(Group& group) {
  std::vector<Variable> counters;
  for (const Dimension& dimension : group.dimensions) {
    if (group.find(dimension.name) != nullptr) continue;
    Variable counter{.name = dimension.name,
                     .long_name = "number of the " + dimension.name + ", from 0",
                     .units = "1",
                     .dimensions = {dimension.name},
                     .values = {},
                     .whole = true};
    for (std::size_t i = 0; i < dimension.size; ++i)
      counter.values.push_back(static_cast<double>(i));
    counters.push_back(std::move(counter));
  }
  group.variables.insert(group.variables.begin(), counters.begin(), counters.end());
}

void add_missing_attributes(const Group& group, Variable& variable) {
  const bool is_coordinate = variable.dimensions == std::vector<std::string>{variable.name};
  if (variable.units.find(" since ") != std::string::npos) {
    variable.attributes.emplace("calendar", "standard");
    if (is_coordinate) variable.attributes.emplace("axis", "T");
  } else if (is_coordinate &&
             (variable.name == "x" || variable.name == "y" || variable.name == "z")) {
    const char axis = static_cast<char>(std::toupper(static_cast<unsigned char>(variable.name[0])));
    variable.attributes.emplace("axis", std::string(1, axis));
    if (variable.name == "z") variable.attributes.emplace("positive", "up");
  }
  // CF section 5: places that are not axes are named, so that readers make coordinates of them.
  if (!is_coordinate && variable.name != "x" && variable.name != "y" && variable.name != "z") {
    std::string places;
    for (const char* place : {"x", "y", "z"}) {
      const Variable* found = group.find(place);
      if (found == nullptr || found->dimensions.size() != 1 || found->dimensions[0] == place)
        continue;
      if (std::find(variable.dimensions.begin(), variable.dimensions.end(), found->dimensions[0]) ==
          variable.dimensions.end())
        continue;
      if (!places.empty()) places += ' ';
      places += place;
    }
    if (!places.empty()) variable.attributes.emplace("coordinates", places);
  }
}

}  // namespace

std::size_t value_count(const Group& group, const Variable& variable) {
  std::size_t count = 1;
  for (const std::string& name : variable.dimensions) {
    const auto it =
        std::find_if(group.dimensions.begin(), group.dimensions.end(),
                     [&](const Dimension& dimension) { return dimension.name == name; });
    if (it == group.dimensions.end())
      refuse(group.name + "/" + variable.name,
             "has a dimension that its group does not know: " + name);
    count *= it->size;
  }
  return count;
}

Record conforming(Record record) {
  record.attributes.insert_or_assign("Conventions", "CF-1.10");
  std::set<std::string> group_names;
  for (Group& group : record.groups) {
    check_name(group.name, "group " + group.name, group_names);
    add_missing_coordinates(group);
    std::set<std::string> names;
    for (Variable& variable : group.variables) {
      const std::string where = group.name + "/" + variable.name;
      check_name(variable.name, where, names);
      if (variable.units.empty() || variable.long_name.empty())
        refuse(where, "lacks units or a long name");
      if (value_count(group, variable) != variable.values.size())
        refuse(where, "does not fill its dimensions");
      check_values(variable, where);
      add_missing_attributes(group, variable);
    }
    for (const Dimension& dimension : group.dimensions)
      if (group.variable(dimension.name).dimensions != std::vector<std::string>{dimension.name})
        refuse(group.name + "/" + dimension.name,
               "is a coordinate but not along its own dimension");
  }
  return record;
}

std::string content_sha256(const Record& record) {
  std::map<std::string, std::pair<const Group*, const Variable*>> by_path;
  for (const Group& group : record.groups)
    for (const Variable& variable : group.variables)
      by_path["/" + group.name + "/" + variable.name] = {&group, &variable};
  Sha256 hash;
  for (const auto& [path, found] : by_path) {
    const auto& [group, variable] = found;
    hash.add(path);
    hash.add(std::string_view(variable->whole ? "\0i" : "\0f", 2));
    hash.add(std::uint64_t{variable->dimensions.size()});
    for (const std::string& name : variable->dimensions)
      hash.add(std::uint64_t{group->variable(name).values.size()});
    for (const double value : variable->values)
      hash.add(variable->whole ? static_cast<std::uint64_t>(static_cast<std::int64_t>(value))
                               : std::bit_cast<std::uint64_t>(value));
  }
  return hash.digest();
}

}  // namespace mistwright::record
