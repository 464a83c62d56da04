#include "sim/report/needed.h"

#include <fmt/core.h>

#include <stdexcept>

namespace mistwright::report {
namespace {

using Axes = std::vector<std::string>;

struct Needed {
  const char* group;
  std::vector<const char*> variables;
  Axes axes;
  bool whole_group_may_lack = false;
};

const std::vector<Needed>& needed() {
  static const std::vector<Needed> table{
      {"series",
       {"time", "outside_temperature", "vapour_pressure_deficit", "hottest_leaf_temperature",
        "bare_share"},
       {"time"}},
      {"bench",
       {"cell", "x", "y", "area", "dry_time", "worst_dry_time", "longest_dry_spell",
        "mist_on_leaves", "mist_on_medium", "demand", "soggy_time"},
       {"cell"}},
      {"bench", {"map_time"}, {"map_time"}},
      {"bench", {"film_depth", "bare_share"}, {"map_time", "cell"}},
      {"bench", {"hour_of_day", "mist_rate_on_bench", "leaf_loss"}, {"hour"}},
      {"bench", {"bare_minutes"}, {"hour", "cell"}},
      {"leaves", {"dry_time"}, {"leaf"}},
      {"water", {"fate"}, {"fate"}},
      {"water", {"size_class"}, {"size_class"}},
      {"water", {"mass"}, {"fate", "size_class"}},
      {"heads",
       {"x", "y", "pressure", "flow", "dv50", "told_time", "spray_time", "working_pressure_low",
        "working_pressure_high"},
       {"head"},
       true},
      {"house",
       {"bench", "bench_x", "bench_y", "bench_length", "bench_width", "bench_height"},
       {"bench"},
       true},
      {"house", {"fan", "fan_x", "fan_y", "fan_diameter", "fan_wall"}, {"fan"}, true},
      {"house",
       {"opening", "opening_x", "opening_y", "opening_width", "opening_wall"},
       {"opening"},
       true},
      {"air", {"time"}, {"time"}, true},
      {"air", {"air_x"}, {"air_x"}, true},
      {"air", {"air_y"}, {"air_y"}, true},
      {"air", {"air_temperature", "vapour_pressure_deficit"}, {"time", "air_y", "air_x"}, true},
      {"events", {"event_time", "kind", "value"}, {"event"}, true},
      {"deposit", {"fans", "bursts"}, {"fans"}, true},
      {"deposit", {"size_group", "size_group_lower", "size_group_upper"}, {"size_group"}, true},
      {"deposit", {"leaf_area"}, {"cell"}, true},
      {"deposit", {"leaf_deposit"}, {"fans", "size_group", "cell"}, true},
      {"drops", {"fans"}, {"fans"}, true},
      {"drops", {"diameter"}, {"size"}, true},
      {"drops", {"fate_share"}, {"fans", "size", "fate"}, true},
      {"drops", {"landing_distance"}, {"fans", "size"}, true},
      {"drops", {"track_fans", "track_size", "point_count"}, {"track"}, true},
      {"drops", {"point_x", "point_z"}, {"point"}, true},
      {"drops", {"airborne_water"}, {"fans", "z", "x"}, true},
      {"drops", {"head_share"}, {"fans", "cell"}, true},
      {"audit",
       {"line", "quantity", "inflow", "outflow", "stored_change", "residual", "relative"},
       {"line"},
       true}};
  return table;
}

std::string words(const Axes& axes) {
  std::string text;
  for (const std::string& axis : axes) text += (text.empty() ? "" : ", ") + axis;
  return text;
}

void expect_axes(const record::Group& group, const std::string& name, const Axes& axes) {
  if (group.variable(name).dimensions != axes)
    throw std::out_of_range(fmt::format("{}/{} should run along {}, not along {}", group.name, name,
                                        words(axes), words(group.variable(name).dimensions)));
}

}  // namespace

void expect_needed(const record::Record& record) {
  for (const Needed& entry : needed()) {
    if (entry.whole_group_may_lack && record.find(entry.group) == nullptr) continue;
    const record::Group& group = record.group(entry.group);
    for (const char* name : entry.variables) {
      expect_axes(group, name, entry.axes);
      if (!entry.whole_group_may_lack && group.variable(name).values.empty())
        throw std::out_of_range(fmt::format("{}/{} is empty", group.name, name));
    }
  }
  for (const record::Group& group : record.groups) {
    if (!group.name.starts_with("flow_") || group.find("u") == nullptr) continue;
    for (const char* axis : {"x", "y", "z"}) expect_axes(group, axis, {axis});
    for (const char* speed : {"u", "v", "w"}) expect_axes(group, speed, {"z", "y", "x"});
    if (group.variable("u").values.empty()) throw std::out_of_range(group.name + "/u is empty");
  }
}

}  // namespace mistwright::report
