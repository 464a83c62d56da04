#include "tests/report/sample_record.h"

#include <array>
#include <cmath>
#include <functional>
#include <numbers>

#include "sim/record/house_group.h"

namespace mistwright::test {
namespace {

using record::Group;
using record::Variable;
using Function = std::function<double(std::size_t)>;
constexpr double pi = std::numbers::pi;

const std::string start = "microseconds since 2027-05-28T05:00:00Z";

/// Appends a variable filled by index.
void add(Group& group, const std::string& name, const std::string& long_name,
         const std::string& units, std::vector<std::string> dimensions, const Function& value) {
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

void whole(Group& group, std::vector<std::string> meanings = {}) {
  group.variables.back().whole = true;
  group.variables.back().flag_meanings = std::move(meanings);
}

/// A hump over the day that peaks at 13:00, 0 at night.
double noon(double hour) {
  const double s = std::sin(pi * (hour - 5.0) / 16.0);
  return hour > 5.0 && hour < 21.0 ? s * s : 0.0;
}

Group series() {
  Group g{.name = "series", .dimensions = {{"time", 289}}, .variables = {}};
  const auto hour = [](std::size_t i) { return static_cast<double>(i) / 12.0; };
  add(g, "time", "time", start, {"time"},
      [](std::size_t i) { return 3e8 * static_cast<double>(i); });
  whole(g);
  const auto row = [&](const char* name, const char* words, const char* units,
                       const std::function<double(double)>& f) {
    add(g, name, words, units, {"time"}, [&](std::size_t i) { return f(hour(i)); });
  };
  const auto saw = [](double h) { return std::fmod(h * 6.0, 1.0); };
  row("outside_temperature", "air temperature outside", "K",
      [](double h) { return 286.0 + 13.0 * noon(h - 1.0); });
  row("outside_vapour_pressure_deficit", "vapour pressure deficit outside", "Pa",
      [](double h) { return 300.0 + 1500.0 * noon(h - 1.0); });
  row("wind_speed", "wind speed outside", "m s-1", [](double h) { return 1.0 + 2.0 * noon(h); });
  row("global_radiation", "global radiation outside", "W m-2",
      [](double h) { return 880.0 * noon(h); });
  row("light_at_leaves", "shortwave radiation above the leaves", "W m-2",
      [](double h) { return 300.0 * noon(h); });
  row("air_temperature", "air temperature in the house", "K",
      [&](double h) { return 286.5 + 17.5 * noon(h) - 0.8 * saw(h) * noon(h); });
  row("relative_humidity", "relative humidity", "1", [](double h) { return 0.95 - 0.4 * noon(h); });
  row("vapour_pressure_deficit", "vapour pressure deficit in the house", "Pa",
      [&](double h) { return 80.0 + 1700.0 * noon(h) * (0.8 + 0.2 * saw(h)); });
  row("leaf_temperature", "leaf temperature mean", "K",
      [](double h) { return 286.2 + 16.0 * noon(h); });
  row("hottest_leaf_temperature", "hottest leaf", "K",
      [](double h) { return 286.5 + 19.0 * noon(h); });
  row("medium_temperature", "medium temperature", "K",
      [](double h) { return 288.0 + 6.0 * noon(h - 2.0); });
  row("evaporation_demand", "mean potential evaporation of leaves per leaf area", "kg m-2 s-1",
      [](double h) { return 6.0e-5 * noon(h); });
  row("film_depth", "mean film depth on leaves", "m",
      [&](double h) { return 6e-5 * (1.0 - saw(h) * noon(h)); });
  row("bare_share", "share of leaves more than half bare", "1",
      [&](double h) { return 0.55 * saw(h) * noon(h); });
  row("medium_water_fraction", "water in the medium", "1",
      [](double h) { return 0.45 + 0.002 * h; });
  row("air_changes", "air changes", "h-1", [](double h) { return 2.0 + 40.0 * noon(h); });
  row("water_used", "water used", "kg", [](double h) { return 14.0 * h / 24.0; });
  row("leaf_evaporation", "water evaporated from leaves", "kg",
      [](double h) { return 6.0 * h / 24.0; });
  return g;
}

struct Cell {
  double x, y;
  int bench;
};

Cell cell_at(std::size_t c) {
  const std::size_t in_bench = c % 192;
  return {1.8 + 0.15 * (static_cast<double>(in_bench % 24) + 0.5),
          (c < 192 ? 0.3 : 2.1) + 0.15 * (static_cast<double>(in_bench / 24) + 0.5),
          c < 192 ? 0 : 1};
}

/// How much better than nothing a place is wetted: mounds under the heads.
double wetness(const Cell& cell) {
  double sum = 0.0;
  for (const double y : {0.9, 2.7})
    for (const double x : {2.5, 3.6, 4.7}) {
      const double r2 = (cell.x - x - 0.15) * (cell.x - x - 0.15) + (cell.y - y) * (cell.y - y);
      sum += std::exp(-r2 / 0.35);
    }
  return sum;
}

double dryness(const Cell& cell) {
  return std::max(0.0, 1.25 - wetness(cell)) * (0.55 + 0.1 * (cell.x - 1.8)) *
         (cell.bench == 1 ? 1.15 : 0.8);
}

Group bench(const SampleChoice& choice) {
  Group g{.name = "bench",
          .dimensions = {{"map_time", 49}, {"hour", 24}, {"cell", 384}},
          .variables = {}};
  g.attributes["cell_edge_m"] = "0.15";
  add(g, "map_time", "time of the maps", start, {"map_time"},
      [](std::size_t i) { return 1.8e9 * static_cast<double>(i); });
  whole(g);
  add(g, "hour", "hours since the start", "h", {"hour"},
      [](std::size_t i) { return static_cast<double>(i); });
  add(g, "cell", "number of the cell", "1", {"cell"},
      [](std::size_t i) { return static_cast<double>(i); });
  whole(g);
  const auto per_cell = [&](const char* name, const char* words, const char* units,
                            const std::function<double(const Cell&)>& f) {
    add(g, name, words, units, {"cell"}, [&](std::size_t c) { return f(cell_at(c)); });
  };
  per_cell("x", "along the house", "m", [](const Cell& c) { return c.x; });
  per_cell("y", "across the house", "m", [](const Cell& c) { return c.y; });
  per_cell("bench", "bench", "1", [](const Cell& c) { return static_cast<double>(c.bench); });
  whole(g, {"south bench", choice.north_name});
  per_cell("area", "area of the cell", "m2", [](const Cell&) { return 0.0225; });
  per_cell("dry_time", "dry time mean over the leaves of the cell", "s",
           [&](const Cell& c) { return 16000.0 * choice.dry_factor * dryness(c); });
  per_cell("worst_dry_time", "dry time of the worst leaf of the cell", "s",
           [&](const Cell& c) { return 20000.0 * choice.dry_factor * dryness(c); });
  per_cell("longest_dry_spell", "longest dry spell", "s",
           [&](const Cell& c) { return 900.0 * choice.dry_factor * dryness(c); });
  per_cell("mist_on_leaves", "mist on leaves per bench area", "kg m-2",
           [](const Cell& c) { return 0.2 + 0.9 * wetness(c); });
  per_cell("mist_on_medium", "mist on the medium", "kg m-2",
           [](const Cell& c) { return 0.1 + 0.35 * wetness(c); });
  per_cell("burst_rate", "landing rate during a burst", "kg m-2 s-1",
           [](const Cell& c) { return 0.004 * wetness(c); });
  per_cell("demand", "potential evaporation per leaf area", "kg m-2",
           [](const Cell& c) { return 1.6 + 0.08 * c.x; });
  per_cell("soggy_time", "soggy time", "s",
           [&](const Cell& c) { return 3600.0 * choice.soggy_h * wetness(c); });
  per_cell("medium_water_fraction", "water in the medium at the end", "1",
           [](const Cell& c) { return 0.42 + 0.05 * wetness(c); });
  add(g, "hour_of_day", "hour of the day by the wall clock at the start of the hour", "h", {"hour"},
      [](std::size_t i) { return static_cast<double>(i); });
  add(g, "mist_rate_on_bench", "mist that lands on the bench in the hour", "kg m-2", {"hour"},
      [](std::size_t i) { return i >= 6 && i < 20 ? 0.08 : 0.0; });
  add(g, "leaf_loss", "potential evaporation of the leaves per bench area in the hour", "kg m-2",
      {"hour"}, [](std::size_t i) { return 0.35 * noon(static_cast<double>(i) + 0.5); });
  add(g, "bare_minutes", "minutes of the hour more than half bare", "min", {"hour", "cell"},
      [&](std::size_t i) {
        const double h = static_cast<double>(i / 384) + 0.5;
        return std::min(60.0, std::max(0.0, 60.0 * choice.dry_factor * (noon(h) - 0.35) *
                                                dryness(cell_at(i % 384))));
      });
  add(g, "bare_share", "share of the cell's leaves more than half bare", "1", {"map_time", "cell"},
      [](std::size_t i) {
        const double h = 0.5 * static_cast<double>(i / 384);
        return std::min(1.0, noon(h) * dryness(cell_at(i % 384)));
      });
  add(g, "film_depth", "mean film depth of the cell's leaves", "m", {"map_time", "cell"},
      [](std::size_t i) {
        const double h = 0.5 * static_cast<double>(i / 384);
        return 8e-5 * std::max(0.0, 0.3 + 0.5 * wetness(cell_at(i % 384)) -
                                        0.6 * noon(h) * dryness(cell_at(i % 384)));
      });
  return g;
}

Group leaves(const SampleChoice& choice) {
  Group g{.name = "leaves", .dimensions = {{"leaf", 3840}}, .variables = {}};
  const auto cell = [](std::size_t i) { return cell_at(i % 384); };
  add(g, "cell", "cell of the bench map", "1", {"leaf"},
      [](std::size_t i) { return static_cast<double>(i % 384); });
  whole(g);
  add(g, "area", "area of one side", "m2", {"leaf"}, [](std::size_t) { return 0.002; });
  add(g, "dry_time", "dry time", "s", {"leaf"}, [&](std::size_t i) {
    return std::max(0.0, 16000.0 * choice.dry_factor * dryness(cell(i)) *
                                 (0.6 + 0.08 * static_cast<double>(i / 384)) -
                             600.0);
  });
  add(g, "film_depth", "film depth at the end", "m", {"leaf"}, [](std::size_t) { return 5e-5; });
  return g;
}

Group heads(const SampleChoice& choice) {
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

Group water() {
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

Group events() {
  Group g{.name = "events", .dimensions = {{"event", 4}}, .variables = {}};
  add(g, "event_time", "time", start, {"event"},
      [](std::size_t i) { return 2.16e10 + 6e8 * static_cast<double>(i); });
  whole(g);
  add(g, "kind", "what happened", "1", {"event"},
      [](std::size_t i) { return static_cast<double>(i % 2); });
  whole(g, {"burst starts", "burst ends"});
  add(g, "value", "seconds told", "1", {"event"}, [](std::size_t) { return 6.0; });
  return g;
}

Group audit() {
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

Group flow(const std::string& name, const std::string& words, double strength) {
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
  return g;
}

Group house(const SampleChoice& choice) {
  House h;
  h.name = "sample hoop house";
  h.structure = {.length_m = 7.2,
                 .width_m = 3.6,
                 .eave_height_m = 0.6,
                 .ridge_height_m = 2.3,
                 .orientation_rad = pi / 2.0,
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

}  // namespace

record::Record sample_record(const SampleChoice& choice) {
  record::Record r;
  r.attributes = {{"title", "An invented run for tests"},
                  {"source", "sample, not a simulation"},
                  {"history", "made by a test"}};
  Group provenance{.name = "provenance", .dimensions = {}, .variables = {}};
  provenance.attributes = {{"version", "0.1.0"},
                           {"house_name", "Sample hoop house"},
                           {"note", "Invented for a test."},
                           {"scenario_path", "sample.toml"},
                           {"scenario_text", "[house]\nname = \"sample\"\n"},
                           {"seed", "1"},
                           {"threads", "2"},
                           {"started", "2027-05-28T12:00:00Z"},
                           {"wall_seconds", "3.2"},
                           {"events", "5120"},
                           {"local_offset_s", "-18000"},
                           {"worst_audit_relative", "3.7e-12"},
                           {"representatives", "120"},
                           {"representative_error", "0.002"}};
  provenance.attributes["assumed"] =
      record::assumed_text({{"crop.film_capacity", "0.06 mm", "0.03 mm", "0.10 mm", "source",
                             "most water that a leaf holds"},
                            {"crop.dry_share", "0.5", "0.3", "0.7", "ours",
                             "share of a leaf that must be bare to count as dry"},
                            {"house.leakage", "1.0 per hour", "0.5", "3", "common practice",
                             "air changes with everything shut"}});
  r.groups = {series(),
              bench(choice),
              leaves(choice),
              heads(choice),
              water(),
              audit(),
              events(),
              flow("flow_fan_on", "fan on, vents open", 1.0),
              flow("flow_still", "fan off, leakage only", 0.05),
              house(choice),
              provenance};
  return r;
}

}  // namespace mistwright::test
