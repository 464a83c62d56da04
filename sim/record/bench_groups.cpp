// What benches and leaves have been through.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "models/units.h"
#include "sim/house/spray.h"
#include "sim/record/columns.h"

namespace mistwright::record {

namespace {

constexpr double rho = water_density_kg_per_m3;

/// Index of the map noted nearest to a moment.
std::size_t map_at(const Frames& frames, double time_us) {
  std::size_t best = 0;
  for (std::size_t i = 0; i < frames.map_time_us.size(); ++i) {
    if (std::abs(frames.map_time_us[i] - time_us) < std::abs(frames.map_time_us[best] - time_us))
      best = i;
  }
  return best;
}

/// Landing rate on each bench cell while its zones spray, in the regime of the run's start.
std::vector<double> burst_rate(HouseRun& run) {
  const Plan& plan = run.plan();
  Shared shared{run.house(), plan, run.airflow(), run.shared().threads};
  shared.devices = DeviceState::from_key(run.shared().slots.front(), run.house().fans.size(),
                                         run.house().openings.size());
  shared.air = run.climate().start_state();
  std::vector<double> rate(plan.benches.cells.size(), 0.0);
  for (std::uint32_t valve = 0; valve < run.house().network.valves.size(); ++valve) {
    if (longest_burst_s(run.house(), valve) <= 0.0) continue;
    const std::vector<Sprayed> sprayed =
        typical_burst(shared.airflow, run.works(), valve, run.water().classes());
    double all_kg = 0.0, all_kg_per_s = 0.0;
    for (const Sprayed& one : sprayed) {
      const double kg = std::accumulate(one.class_kg.begin(), one.class_kg.end(), 0.0);
      all_kg += kg;
      all_kg_per_s += kg / one.spray_s;
    }
    if (all_kg <= 0.0) continue;
    // A whole burst, as dense as it is, over its seconds.
    const Landed landed = land(shared, run.water().classes(), sprayed);
    const std::vector<double> of_cells = landed_kg_per_m2(plan, landed);
    for (std::size_t b = 0; b < rate.size(); ++b) rate[b] += of_cells[b] * all_kg_per_s / all_kg;
  }
  return rate;
}

void add_hours(Columns& columns, Group& group, HouseRun& run) {
  const Frames& frames = run.frames();
  const Plan& plan = run.plan();
  const std::size_t cells = plan.benches.cells.size();
  const auto hours = static_cast<std::size_t>(std::ceil(seconds(run.house().span) / 3600.0 - 1e-9));
  group.dimensions.push_back({"hour", hours});
  std::vector<double> of_day(hours);
  std::vector<double> mist(hours, 0.0);
  std::vector<double> loss(hours, 0.0);
  std::vector<double> bare(hours * cells);
  double area = 0.0;
  for (const auto& cell : plan.benches.cells) area += cell.area_m2;
  for (std::size_t h = 0; h < hours; ++h) {
    const SimTime start = run_start + std::chrono::hours(h);
    of_day[h] = static_cast<double>(run.house().civil.time_of_day_us(start)) / 3.6e9;
    const std::size_t first = map_at(frames, static_cast<double>(start.time_since_epoch().count()));
    const std::size_t last =
        map_at(frames, static_cast<double>(start.time_since_epoch().count()) + 3.6e9);
    for (std::size_t b = 0; b < cells; ++b) {
      const double weight = plan.benches.cells[b].area_m2 / area;
      mist[h] +=
          weight * rho * (frames.mist_m[last * cells + b] - frames.mist_m[first * cells + b]);
      loss[h] += weight * rho * plan.leaf_area_index *
                 (frames.demand_m[last * cells + b] - frames.demand_m[first * cells + b]);
      bare[h * cells + b] =
          (frames.dry_s[last * cells + b] - frames.dry_s[first * cells + b]) / 60.0;
    }
  }
  columns.add("hour", "hours since the start", "h", {"hour"}, counting(hours));
  columns.add("hour_of_day", "hour of the day by the wall clock at the start of the hour", "h",
              {"hour"}, of_day);
  columns.add("mist_rate_on_bench", "mist that landed on the bench in the hour", "kg m-2", {"hour"},
              mist);
  columns.add("leaf_loss", "what wet leaves would lose per bench area in the hour", "kg m-2",
              {"hour"}, loss);
  columns.add("bare_minutes",
              "minutes of the hour in which leaves were more than the set share bare", "min",
              {"hour", "cell"}, bare);
}

/// What leaves and medium of each cell have been through.
void add_cell_histories(Columns& columns, HouseRun& run) {
  const Frames& frames = run.frames();
  const Plan& plan = run.plan();
  const std::size_t cells = plan.benches.cells.size();
  const auto per_cell = [&](const char* name, const char* meaning, const char* units,
                            const std::function<double(std::size_t)>& value) {
    columns.add(name, meaning, units, {"cell"}, made(cells, value));
  };
  const LeafHistory& leaves = run.crop().leaves();
  const auto worst = [&plan](const std::vector<double>& of, std::size_t b) {
    double most = 0.0;
    for (std::uint32_t i = plan.first_leaf[b]; i < plan.first_leaf[b + 1]; ++i)
      most = std::max(most, of[i]);
    return most;
  };
  const std::size_t last = frames.map_time_us.size() - 1;
  per_cell("dry_time", "dry time, mean over the leaves of the cell", "s",
           [&](std::size_t b) { return frames.dry_s[last * cells + b]; });
  per_cell("worst_dry_time", "dry time of the driest leaf of the cell", "s",
           [&](std::size_t b) { return worst(leaves.dry_s, b); });
  per_cell("longest_dry_spell", "longest time on end that a leaf of the cell was dry", "s",
           [&](std::size_t b) { return worst(leaves.longest_spell_s, b); });
  const MediumHistory& medium = run.crop().medium();
  per_cell("mist_on_leaves", "mist kept by leaves, per bench area", "kg m-2",
           [&](std::size_t b) { return rho * medium.leaves_mist_m[b]; });
  per_cell("mist_on_medium", "mist that reached the medium, run-off counted", "kg m-2",
           [&](std::size_t b) { return rho * medium.mist_m[b]; });
  const std::vector<double> rate = burst_rate(run);
  per_cell("burst_rate", "rate at which mist lands while the heads spray", "kg m-2 s-1",
           [&](std::size_t b) { return rate[b]; });
  per_cell("demand", "what wet leaves would lose, per leaf area", "kg m-2",
           [&](std::size_t b) { return rho * medium.demand_m[b]; });
  per_cell("soggy_time", "time with less air in the medium than needed", "s",
           [&](std::size_t b) { return medium.soggy_s[b]; });
  per_cell("medium_water_fraction", "water in the medium at the end, by volume", "1",
           [&](std::size_t b) { return medium.water_m[b] / run.house().medium.depth_m; });
}

/// Air over the bench cells; only what the run knows.
void add_bench_air(Columns& columns, const Frames& frames) {
  const auto add = [&](const char* name, const char* meaning, const char* units,
                       const std::vector<double>& values) {
    if (!values.empty()) columns.add(name, meaning, units, {"map_time", "cell"}, values);
  };
  add("air_temperature", "air temperature over the cell", "K", frames.bench_air_temperature_K);
  add("air_vapour_pressure_deficit", "vapour pressure deficit of the air over the cell", "Pa",
      frames.bench_air_deficit_Pa);
  add("air_speed", "air speed over the cell", "m s-1", frames.bench_air_speed_m_per_s);
}

}  // namespace

Group bench_group(HouseRun& run) {
  const Frames& frames = run.frames();
  const Plan& plan = run.plan();
  const std::size_t cells = plan.benches.cells.size();
  Group group{.name = "bench",
              .dimensions = {{"map_time", frames.map_time_us.size()}, {"cell", cells}},
              .variables = {}};
  group.attributes["cell_edge_m"] = fmt::format("{}", plan.benches.edge_m);
  Columns columns(group);
  add_time(columns, run, "map_time", frames.map_time_us);
  columns.whole("cell", "number of the cell", {"cell"}, counting(cells));
  const auto per_cell = [&](const char* name, const char* meaning, const char* units,
                            const std::function<double(std::size_t)>& value) {
    columns.add(name, meaning, units, {"cell"}, made(cells, value));
  };
  per_cell("x", "centre along the house", "m",
           [&](std::size_t b) { return plan.benches.cells[b].x_m; });
  per_cell("y", "centre across the house", "m",
           [&](std::size_t b) { return plan.benches.cells[b].y_m; });
  std::vector<std::string> names;
  for (const Bench& bench : run.house().benches) names.push_back(bench.name);
  columns.whole(
      "bench", "bench", {"cell"},
      made(cells, [&](std::size_t b) { return static_cast<double>(plan.benches.cells[b].bench); }),
      names);
  per_cell("area", "area of the cell", "m2",
           [&](std::size_t b) { return plan.benches.cells[b].area_m2; });
  add_cell_histories(columns, run);
  columns.add("bare_share", "share of the cell's leaves more than the set share bare", "1",
              {"map_time", "cell"}, frames.bare_share);
  columns.add("film_depth", "mean depth of water on the cell's leaves", "m", {"map_time", "cell"},
              frames.film_depth_m);
  add_bench_air(columns, frames);
  add_hours(columns, group, run);
  return group;
}

Group leaves_group(HouseRun& run) {
  const Leaves& where = run.plan().leaves;
  const LeafHistory& what = run.crop().leaves();
  Group group{.name = "leaves", .dimensions = {{"leaf", where.count()}}, .variables = {}};
  Columns columns(group);
  columns.whole("leaf", "number of the leaf", {"leaf"}, counting(where.count()));
  columns.whole("cell", "cell of the bench map", {"leaf"},
                std::vector<double>(where.bench_cell.begin(), where.bench_cell.end()));
  columns.whole("layer", "layer, 0 at the top", {"leaf"},
                std::vector<double>(where.layer.begin(), where.layer.end()));
  columns.add("tilt", "angle from level", "rad", {"leaf"}, where.tilt_rad);
  columns.add("area", "area of one side", "m2", {"leaf"}, where.area_m2);
  columns.add("film_depth", "depth of water at the end", "m", {"leaf"}, what.depth_m);
  columns.add("dry_time", "time more than the set share bare while the air asked for water", "s",
              {"leaf"}, what.dry_s);
  columns.add("longest_dry_spell", "longest such time on end", "s", {"leaf"}, what.longest_spell_s);
  const auto mass = [&](const std::vector<double>& depth) {
    return made(depth.size(), [&](std::size_t i) { return rho * depth[i]; });
  };
  columns.add("deposit", "mist that landed and stayed at first, per leaf area", "kg m-2", {"leaf"},
              mass(what.deposit_m));
  columns.add("runoff", "of that and of dew, what the leaf could not hold", "kg m-2", {"leaf"},
              mass(what.runoff_m));
  columns.add("evaporated", "water evaporated from the leaf", "kg m-2", {"leaf"},
              mass(what.evaporated_m));
  return group;
}

}  // namespace mistwright::record
