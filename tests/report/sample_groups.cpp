#include "tests/report/sample_groups.h"

#include <array>
#include <cmath>
#include <numbers>

#include "sim/record/house_group.h"

namespace mistwright::test {

using record::Group;
using record::Variable;
using Function = std::function<double(std::size_t)>;

/// Appends a variable filled by index.
void add(Group& group, const std::string& name, const std::string& long_name,
         const std::string& units, std::vector<std::string> dimensions,
         const std::function<double(std::size_t)>& value) {
  Variable v{.name = name,
             .long_name = long_name,
             .units = units,
             .dimensions = std::move(dimensions),
             .values = {}};
  std::size_t count = 1;
  for (const auto& d : v.dimensions)
    for (const auto& dimension : group.dimensions)
      if (dimension.name == d) count *= dimension.size;
  for (std::size_t i = 0; i < count; ++i) v.values.push_back(value(i));
  group.variables.push_back(std::move(v));
}

void whole(Group& group, std::vector<std::string> meanings) {
  group.variables.back().whole = true;
  group.variables.back().flag_meanings = std::move(meanings);
}

Group sample_heads(const SampleChoice& choice) {
  Group g{.name = "heads", .dimensions = {{"head", 6}}, .variables = {}};
  const auto row = [&](const char* name, const char* words, const char* units, const Function& f) {
    add(g, name, words, units, {"head"}, f);
  };
  row("head", "head", "1", [](std::size_t i) { return static_cast<double>(i); });
  whole(g, {"1", "2", "3", "4", "5", "6"});
  row("x", "along the house", "m",
      [](std::size_t i) { return 2.5 + 1.1 * static_cast<double>(i % 3); });
  row("y", "across the house", "m", [](std::size_t i) { return i < 3 ? 0.9 : 2.7; });
  row("z", "above the floor", "m", [](std::size_t) { return 1.4; });
  row("type", "head type", "1", [](std::size_t) { return 0.0; });
  whole(g, {"fine mist 60"});
  row("zone", "zone", "1", [](std::size_t) { return 0.0; });
  whole(g, {"bench valve"});
  row("pressure", "pressure at the head", "Pa",
      [&](std::size_t i) { return choice.last_head_Pa + 4e3 * static_cast<double>(5 - i); });
  row("flow", "flow of the head", "m3 s-1", [](std::size_t) { return 60e-3 / 3600.0; });
  row("dv50", "volume median diameter", "m", [](std::size_t) { return 1.5e-4; });
  row("spray_time", "full spray in a burst", "s",
      [](std::size_t i) { return 5.0 - 0.2 * static_cast<double>(i); });
  row("told_time", "burst as told by the clock", "s", [](std::size_t) { return 6.0; });
  row("working_pressure_low", "lowest working pressure", "Pa", [](std::size_t) { return 2.0e5; });
  row("working_pressure_high", "highest working pressure", "Pa", [](std::size_t) { return 4.0e5; });
  return g;
}

Group sample_water() {
  Group g{.name = "water", .dimensions = {{"fate", 7}, {"size_class", 12}}, .variables = {}};
  add(g, "fate", "where the water ended", "1", {"fate"},
      [](std::size_t i) { return static_cast<double>(i); });
  whole(g, {"leaves", "medium", "floor", "walls", "cover", "air", "out"});
  const auto diameter = [](std::size_t k) { return 3e-5 * std::pow(1.35, static_cast<double>(k)); };
  add(g, "size_class", "droplet diameter", "m", {"size_class"},
      [&](std::size_t k) { return diameter(k); });
  add(g, "mass", "mass of water", "kg", {"fate", "size_class"}, [&](std::size_t i) {
    const double d = diameter(i % 12) * 1e4;
    const double mass = 14.0 * 0.13 * std::exp(-2.0 * std::pow(std::log(d / 1.5), 2));
    const double small = 1.0 / (1.0 + d * d);
    const double share[7] = {0.62 * (1 - small), 0.22 * (1 - small), 0.13 * (1 - small), 0.02,
                             0.01 * small,       0.6 * small,        0.38 * small};
    double total = 0.0;
    for (const double s : share) total += s;
    return mass * share[i / 12] / total;
  });
  return g;
}

Group sample_deposit() {
  Group g{.name = "deposit",
          .dimensions = {{"fans", 2}, {"size_group", 4}, {"cell", 16}},
          .variables = {}};
  const auto counter = [&](const char* name) {
    add(g, name, name, "1", {name}, [](std::size_t i) { return static_cast<double>(i); });
    whole(g);
  };
  add(g, "fans", "whether any fan ran", "1", {"fans"},
      [](std::size_t i) { return static_cast<double>(i); });
  whole(g, {"off", "on"});
  add(g, "bursts", "bursts that landed", "1", {"fans"}, [](std::size_t) { return 30.0; });
  whole(g);
  counter("size_group");
  const std::array<double, 5> edges{1e-5, 5e-5, 1e-4, 2e-4, 1e-3};
  add(g, "size_group_lower", "lower edge", "m", {"size_group"},
      [&](std::size_t i) { return edges[i]; });
  add(g, "size_group_upper", "upper edge", "m", {"size_group"},
      [&](std::size_t i) { return edges[i + 1]; });
  counter("cell");
  add(g, "leaf_area", "area of leaves", "m2", {"cell"}, [](std::size_t) { return 0.04; });
  const std::array<double, 16> cans{10, 12, 9, 11, 8, 13, 10, 7, 12, 11, 9, 8, 10, 14, 6, 10};
  add(g, "leaf_deposit", "mist on leaves", "kg m-2", {"fans", "size_group", "cell"},
      [&](std::size_t i) {
        const std::size_t row = i / 16;
        return row == 0 ? 0.2 : row == 6 ? 0.01 * cans[i % 16] : 0.0;
      });
  return g;
}

Group sample_events() {
  Group g{.name = "events", .dimensions = {{"event", 8}}, .variables = {}};
  g.attributes = {{"fans_running_at_start", "0"}, {"openings_open_at_start", "1"}};
  add(g, "event_time", "time", sample_time_units, {"event"},
      [](std::size_t i) { return 2.16e10 + 6e8 * static_cast<double>(i); });
  whole(g);
  // Bursts are told and shut; at the end the fan starts with both vents, and stops.
  const std::array<double, 8> kind{0, 1, 0, 1, 0, 1, 2, 2}, value{6, 0, 6, 0, 9, 0, 1, 0},
      open{0, 0, 0, 0, 0, 0, 2, 0};
  add(g, "kind", "what happened", "1", {"event"}, [&](std::size_t i) { return kind[i]; });
  whole(g,
        {"burst_told", "valve_shut", "fan_vent_or_shade_switched", "drying_turned_to_dew_or_back"});
  add(g, "value", "seconds told or fans that run", "1", {"event"},
      [&](std::size_t i) { return value[i]; });
  add(g, "openings_open", "openings open after a switching", "1", {"event"},
      [&](std::size_t i) { return open[i]; });
  whole(g);
  return g;
}

Group sample_air() {
  Group g{
      .name = "air", .dimensions = {{"time", 289}, {"air_y", 2}, {"air_x", 6}}, .variables = {}};
  add(g, "time", "time", sample_time_units, {"time"},
      [](std::size_t i) { return 3e8 * static_cast<double>(i); });
  whole(g);
  add(g, "air_y", "centre of the air cell across the house", "m", {"air_y"},
      [](std::size_t j) { return 0.9 + 1.8 * static_cast<double>(j); });
  add(g, "air_x", "centre of the air cell along the house", "m", {"air_x"},
      [](std::size_t i) { return 0.6 + 1.2 * static_cast<double>(i); });
  const auto warmth = [](std::size_t i) {
    const double hour = static_cast<double>(i / 12) / 12.0;
    return std::exp(-std::pow((hour - 14.0) / 4.0, 2)) *
           (10.0 + 0.8 * static_cast<double>(i % 6) + 0.3 * static_cast<double>(i / 6 % 2));
  };
  add(g, "air_temperature", "air temperature", "K", {"time", "air_y", "air_x"},
      [&](std::size_t i) { return 290.0 + warmth(i); });
  add(g, "humidity_ratio", "water vapour per mass of dry air", "1", {"time", "air_y", "air_x"},
      [](std::size_t) { return 0.011; });
  add(g, "vapour_pressure_deficit", "vapour pressure deficit", "Pa", {"time", "air_y", "air_x"},
      [&](std::size_t i) { return 150.0 + 120.0 * warmth(i); });
  return g;
}

Group sample_audit() {
  Group g{.name = "audit", .dimensions = {{"line", 4}}, .variables = {}};
  const std::vector<std::string> names{"water of leaves", "water of the medium",
                                       "energy of the air", "vapour of the air"};
  const auto row = [&](const char* name, const char* words, const std::array<double, 4>& v) {
    add(g, name, words, "1", {"line"}, [&](std::size_t i) { return v[i]; });
  };
  row("line", "line of the audit", {0, 1, 2, 3});
  whole(g, names);
  row("quantity", "what is counted", {0, 0, 1, 2});
  whole(g, {"water", "energy", "vapour"});
  row("inflow", "came in", {7.4, 3.6, 8.1e7, 9.2});
  row("outflow", "went out", {7.1, 2.9, 8.0e7, 9.1});
  row("stored_change", "held more than at the start", {0.3, 0.7, 1.0e6, 0.1});
  row("residual", "what does not close", {1e-12, -2e-12, 3e-4, 1e-13});
  row("relative", "residual over inflow", {1.4e-13, 5.6e-13, 3.7e-12, 1.1e-14});
  return g;
}

Group sample_flow(const std::string& name, const std::string& words, double strength) {
  Group g{.name = name, .dimensions = {{"z", 12}, {"y", 18}, {"x", 36}}, .variables = {}};
  g.attributes = {{"regime", words},
                  {"total_flow_m3_per_s", std::to_string(0.9 * strength)},
                  {"air_changes", std::to_string(50.0 * strength)}};
  for (const char* axis : {"z", "y", "x"}) {
    add(g, axis, std::string("centre of the cell along ") + axis, "m", {axis},
        [](std::size_t i) { return 0.2 * static_cast<double>(i) + 0.1; });
  }
  const auto at = [](std::size_t i) {
    return std::array<double, 3>{0.2 * static_cast<double>(i % 36) + 0.1,
                                 0.2 * static_cast<double>(i / 36 % 18) + 0.1,
                                 0.2 * static_cast<double>(i / 648) + 0.1};
  };
  const auto field = [&](const char* n, const char* w,
                         const std::function<double(double, double, double)>& f) {
    add(g, n, w, "m s-1", {"z", "y", "x"}, [&](std::size_t i) {
      const auto p = at(i);
      return strength * f(p[0], p[1], p[2]);
    });
  };
  field("u", "air speed along the house", [](double x, double y, double) {
    return 0.15 + 0.25 * std::exp(-std::pow((y - 1.8) / (0.5 + 0.15 * (7.2 - x)), 2));
  });
  field("v", "air speed across the house",
        [](double x, double y, double) { return x > 5.0 ? 0.1 * (1.8 - y) * (x - 5.0) : 0.0; });
  field("w", "air speed upwards", [](double x, double, double z) {
    return x > 5.0 ? 0.08 * (1.4 - z) * (x - 5.0) : 0.03 * std::sin(x) * z;
  });
  field("sigma", "turbulent speed", [](double, double, double) { return 0.1; });
  const auto state = [&](const char* n, const char* w, const char* units,
                         const std::function<double(double, double, double)>& f) {
    add(g, n, w, units, {"z", "y", "x"}, [&](std::size_t i) {
      const auto p = at(i);
      return f(p[0], p[1], p[2]);
    });
  };
  state("air_temperature", "air temperature", "K", [&](double x, double y, double z) {
    return 297.0 + 0.5 * x + 0.8 * z - 1.5 * strength * std::exp(-std::pow(y - 1.8, 2));
  });
  state("humidity_ratio", "water vapour per mass of dry air", "1",
        [](double x, double y, double z) {
          return 0.010 + 0.004 * std::exp(-std::pow((x - 4.0) / 2.0, 2) - std::pow(z - 0.9, 2)) +
                 1e-4 * y;
        });
  g.attributes["grid_convergence_index"] = "0.06";
  g.attributes["steady"] = strength < 0.5 ? "0" : "1";
  return g;
}

Group sample_house(const SampleChoice& choice) {
  House h;
  h.name = "sample hoop house";
  h.structure = {.length_m = 7.2,
                 .width_m = 3.6,
                 .eave_height_m = 0.6,
                 .ridge_height_m = 2.3,
                 .orientation_rad = std::numbers::pi / 2.0,
                 .cover = {},
                 .shade = {}};
  h.benches = {{"south bench", 1.8, 0.3, 3.6, 1.2, 0.8},
               {choice.north_name, 1.8, 2.1, 3.6, 1.2, 0.8}};
  h.crop.film_capacity_m = 6e-5;
  Fan fan;
  fan.name = "exhaust fan";
  fan.along_m = 1.8;
  fan.height_m = 1.5;
  fan.diameter_m = 0.4;
  h.fans = {fan};
  h.openings = {Opening{.name = "door",
                        .wall = Wall::Front,
                        .along_m = 1.8,
                        .height_m = 1.0,
                        .width_m = 0.9,
                        .tall_m = 2.0},
                Opening{.name = "side vent",
                        .wall = Wall::Right,
                        .along_m = 1.2,
                        .height_m = 0.8,
                        .width_m = 0.8,
                        .tall_m = 0.4}};
  return record::house_group(h);
}

}  // namespace mistwright::test
