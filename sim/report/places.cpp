#include "sim/report/places.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <numbers>

#include "sim/report/words.h"

namespace mistwright::report {
namespace {

constexpr double pi = std::numbers::pi;

/// "head 2" for "2" and "head 2", "head east 2" for "east 2".
std::string bare_name(const std::string& name) {
  return name.starts_with("head ") ? name.substr(5) : name;
}

std::string pair_words(const std::string& a, const std::string& b) {
  return b.empty() ? "head " + bare_name(a) : "heads " + bare_name(a) + " and " + bare_name(b);
}

/// "west bench" for "west" and "west bench".
std::string bench_words(const std::string& name) {
  return name.find("bench") != std::string::npos ? name : name + " bench";
}

}  // namespace

const std::string* attribute_text(const record::Record& record, const std::string& group,
                                  const std::string& name) {
  const record::Group* found = record.find(group);
  if (found == nullptr) return nullptr;
  const auto it = found->attributes.find(name);
  return it == found->attributes.end() ? nullptr : &it->second;
}

double attribute_number(const record::Group& group, const std::string& name, double otherwise) {
  const auto it = group.attributes.find(name);
  if (it == group.attributes.end()) return otherwise;
  char* end = nullptr;
  const double value = std::strtod(it->second.c_str(), &end);
  return end == it->second.c_str() ? otherwise : value;
}

std::string flag_word(const record::Variable& variable, std::size_t index) {
  const double value = variable.values.at(index);
  if (!(value >= 0.0 && value < 1e9)) return "unknown";
  const auto flag = static_cast<std::size_t>(value);
  return flag < variable.flag_meanings.size() ? variable.flag_meanings[flag] : std::to_string(flag);
}

Places::Places(const record::Record& record) {
  if (const record::Group* heads = record.find("heads")) {
    const record::Variable* names = heads->find("head");
    const auto& x = heads->variable("x").values;
    for (std::size_t i = 0; i < x.size(); ++i)
      heads_.push_back({names != nullptr && !names->flag_meanings.empty() ? flag_word(*names, i)
                                                                          : std::to_string(i + 1),
                        x[i], heads->variable("y").values[i]});
  }
  const record::Group* house = record.find("house");
  if (house == nullptr) return;
  const record::Variable& names = house->variable("bench");
  const record::Variable* skirts = house->find("bench_skirt");  // results of old have none
  const auto column = [&](const char* name, std::size_t i) {
    return house->variable(std::string("bench_") + name).values[i];
  };
  for (std::size_t i = 0; i < names.values.size(); ++i)
    benches_.push_back({flag_word(names, i), column("x", i), column("y", i), column("length", i),
                        column("width", i), column("height", i),
                        skirts != nullptr ? skirts->values[i] : 0.0});
  name_ends(*house);
}

void Places::name_ends(const record::Group& house) {
  const double bearing = attribute_number(house, "bearing_of_x_rad", 0.0);
  front_ = compass_words(bearing + pi) + " end";
  back_ = compass_words(bearing) + " end";
  const record::Variable& openings = house.variable("opening");
  for (std::size_t i = 0; i < openings.values.size(); ++i) {
    if (flag_word(openings, i).find("door") == std::string::npos) continue;
    const std::string wall = flag_word(house.variable("opening_wall"), i);
    if (wall == "front") front_ = "door end";
    if (wall == "back") back_ = "door end";
  }
  for (std::size_t i = 0; i < house.variable("fan").values.size(); ++i) {
    const std::string wall = flag_word(house.variable("fan_wall"), i);
    if (wall == "front") front_ = "fan end";
    if (wall == "back") back_ = "fan end";
    if (wall == "right") right_side_ = "fan side";
    if (wall == "left") left_side_ = "fan side";
  }
}

std::string Places::words(double x_m, double y_m) const {
  std::vector<std::string> parts;
  const Table* over = nullptr;
  for (const Table& bench : benches_) {
    const double along = (x_m - bench.x_m) / bench.length_m,
                 across = (y_m - bench.y_m) / bench.width_m;
    if (!(along >= 0.0 && along <= 1.0 && across >= 0.0 && across <= 1.0)) continue;
    parts.push_back(bench_words(bench.name));
    over = &bench;
    parts.push_back(along < 1.0 / 3.0 ? front_ : along > 2.0 / 3.0 ? back_ : "middle");
    if (across < 1.0 / 3.0 && !right_side_.empty()) parts.push_back(right_side_);
    if (across > 2.0 / 3.0 && !left_side_.empty()) parts.push_back(left_side_);
    break;
  }
  if (parts.empty()) parts.push_back(fmt::format("{:.1f} m along and {:.1f} m across", x_m, y_m));
  if (const std::string near = head_words(x_m, y_m, over); !near.empty()) parts.push_back(near);
  std::string text;
  for (const std::string& part : parts) {
    if (!text.empty()) text += ", ";
    text += part;
  }
  return text;
}

std::string Places::head_words(double x_m, double y_m, const Table* bench) const {
  if (heads_.empty()) return {};
  // The heads over the same bench are the ones that one sees; others only where it has none.
  constexpr double beside_m = 0.3;
  const auto over = [&](const Spot& head) {
    return bench == nullptr ||
           (head.x_m > bench->x_m - beside_m &&
            head.x_m < bench->x_m + bench->length_m + beside_m &&
            head.y_m > bench->y_m - beside_m && head.y_m < bench->y_m + bench->width_m + beside_m);
  };
  const bool any = std::any_of(heads_.begin(), heads_.end(), over);
  std::vector<std::pair<double, const Spot*>> near;
  for (const Spot& head : heads_)
    if (!any || over(head)) near.emplace_back(std::hypot(head.x_m - x_m, head.y_m - y_m), &head);
  std::stable_sort(near.begin(), near.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  const auto& [distance_m, first] = near[0];
  if (distance_m < 0.25 || near.size() == 1) return "by " + pair_words(first->name, "");
  const Spot* second = near[1].second;
  const double dx = second->x_m - first->x_m, dy = second->y_m - first->y_m;
  const double reach = dx * dx + dy * dy;
  const double along =
      reach > 0.0 ? ((x_m - first->x_m) * dx + (y_m - first->y_m) * dy) / reach : 0.0;
  if (along < 0.15) return "beyond " + pair_words(first->name, "");
  // Named in the order of the line, not of nearness.
  const Spot* low = std::min(first, second);
  const Spot* high = std::max(first, second);
  return "between " + pair_words(low->name, high->name);
}

}  // namespace mistwright::report
