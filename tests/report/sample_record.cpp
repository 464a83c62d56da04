#include "tests/report/sample_record.h"

#include <array>
#include <cmath>
#include <functional>
#include <numbers>

#include "sim/record/house_group.h"
#include "tests/report/sample_groups.h"

namespace mistwright::test {
namespace {

using record::Group;
using record::Variable;
using Function = std::function<double(std::size_t)>;
constexpr double pi = std::numbers::pi;

/// A hump over the day that peaks at 13:00, 0 at night.
double noon(double hour) {
  const double s = std::sin(pi * (hour - 5.0) / 16.0);
  return hour > 5.0 && hour < 21.0 ? s * s : 0.0;
}

Group series() {
  Group g{.name = "series", .dimensions = {{"time", 289}}, .variables = {}};
  const auto hour = [](std::size_t i) { return static_cast<double>(i) / 12.0; };
  add(g, "time", "time", sample_time_units, {"time"},
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
  add(g, "map_time", "time of the maps", sample_time_units, {"map_time"},
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
  const auto air = [&](const char* name, const char* words, const char* units,
                       const std::function<double(double, const Cell&)>& f) {
    add(g, name, words, units, {"map_time", "cell"}, [&](std::size_t i) {
      return f(noon(0.5 * static_cast<double>(i / 384)), cell_at(i % 384));
    });
  };
  air("air_temperature", "air temperature over the cell", "K",
      [](double n, const Cell& c) { return 286.5 + n * (15.0 + 0.6 * c.x); });
  air("air_vapour_pressure_deficit", "vapour pressure deficit of the air over the cell", "Pa",
      [](double n, const Cell& c) { return 80.0 + n * (1100.0 + 140.0 * c.x + 60.0 * c.y); });
  air("air_speed", "air speed over the cell", "m s-1",
      [](double n, const Cell& c) { return 0.02 + 0.3 * n / (1.0 + std::pow(c.y - 1.8, 2)); });
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
              sample_heads(choice),
              sample_water(),
              sample_audit(),
              sample_events(),
              sample_deposit(),
              sample_air(),
              sample_flow("flow_fan_on", "fan on, vents open", 1.0),
              sample_flow("flow_still", "fan off, leakage only", 0.05),
              sample_house(choice),
              provenance};
  return r;
}

}  // namespace mistwright::test
