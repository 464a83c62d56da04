#include "sim/record/recorder.h"

#include <fmt/chrono.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <ctime>
#include <functional>

#include "models/units.h"
#include "sim/house/spray.h"
#include "sim/record/house_group.h"
#include "sim/record/sha256.h"

namespace mistwright::record {

namespace {

constexpr double rho = water_density_kg_per_m3;

std::string utc_text(std::int64_t utc_s) {
  return fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(static_cast<std::time_t>(utc_s)));
}

/// Adds variables to one group.
class Columns {
 public:
  explicit Columns(Group& group) : group_(group) {}

  Variable& add(const std::string& name, const std::string& meaning, const std::string& units,
                std::vector<std::string> dimensions, std::vector<double> values) {
    group_.variables.push_back({.name = name,
                                .long_name = meaning,
                                .units = units,
                                .dimensions = std::move(dimensions),
                                .values = std::move(values)});
    return group_.variables.back();
  }
  Variable& whole(const std::string& name, const std::string& meaning,
                  std::vector<std::string> dimensions, std::vector<double> values,
                  std::vector<std::string> flags = {}) {
    Variable& variable = add(name, meaning, "1", std::move(dimensions), std::move(values));
    variable.whole = true;
    variable.flag_meanings = std::move(flags);
    return variable;
  }

 private:
  Group& group_;
};

std::vector<double> made(std::size_t count, const std::function<double(std::size_t)>& value) {
  std::vector<double> values(count);
  for (std::size_t i = 0; i < count; ++i) values[i] = value(i);
  return values;
}

std::vector<double> counting(std::size_t count) {
  return made(count, [](std::size_t i) { return static_cast<double>(i); });
}

void add_time(Columns& columns, HouseRun& run, const std::string& name,
              const std::vector<double>& time_us) {
  Variable& time =
      columns.add(name, "time", "microseconds since " + utc_text(run.house().civil.start_utc_s),
                  {name}, time_us);
  time.whole = true;
  time.standard_name = "time";
  time.attributes["calendar"] = "standard";
}

Group series_group(HouseRun& run) {
  const Frames& frames = run.frames();
  Group group{
      .name = "series", .dimensions = {{"time", frames.series_time_us.size()}}, .variables = {}};
  Columns columns(group);
  add_time(columns, run, "time", frames.series_time_us);
  const auto& names = series_columns();
  for (std::size_t i = 0; i < names.size(); ++i) {
    Variable& variable =
        columns.add(names[i].name, names[i].long_name, names[i].units, {"time"}, frames.series[i]);
    variable.standard_name = names[i].standard_name;
    variable.cell_methods = "time: point";
  }
  return group;
}

Group air_group(HouseRun& run) {
  const Frames& frames = run.frames();
  const flow::AirCells& air = run.plan().air;
  Group group{
      .name = "air",
      .dimensions = {{"time", frames.series_time_us.size()}, {"air_y", air.ny}, {"air_x", air.nx}},
      .variables = {}};
  Columns columns(group);
  add_time(columns, run, "time", frames.series_time_us);
  columns.add("air_y", "centre of the air cell across the house", "m", {"air_y"},
              made(air.ny, [&](std::size_t j) { return air.y_m[j * air.nx]; }));
  columns.add("air_x", "centre of the air cell along the house", "m", {"air_x"},
              made(air.nx, [&](std::size_t i) { return air.x_m[i]; }));
  columns
      .add("air_temperature", "air temperature", "K", {"time", "air_y", "air_x"},
           frames.cell_temperature_K)
      .standard_name = "air_temperature";
  columns
      .add("humidity_ratio", "water vapour per mass of dry air", "1", {"time", "air_y", "air_x"},
           frames.cell_humidity)
      .standard_name = "humidity_mixing_ratio";
  columns.add("vapour_pressure_deficit", "vapour pressure deficit", "Pa",
              {"time", "air_y", "air_x"}, frames.cell_deficit_Pa);
  return group;
}

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
  const std::size_t layers = plan.layer_sun_fraction.size();
  for (std::uint32_t valve = 0; valve < run.house().network.valves.size(); ++valve) {
    const double burst_s = longest_burst_s(run.house(), valve);
    if (burst_s <= 0.0) continue;
    std::vector<Sprayed> sprayed =
        typical_burst(shared.airflow, run.works(), valve, run.water().classes());
    const ZoneAlone zone = run.works().alone(valve, burst_s);
    for (Sprayed& one : sprayed) {
      for (double& kg : one.class_kg) kg /= zone.windows[one.head].spray_s();
    }
    const Landed landed = land(shared, run.water().classes(), sprayed);
    for (std::size_t b = 0; b < rate.size(); ++b) {
      double kg = landed.medium_kg[b];
      for (std::size_t layer = 0; layer < layers; ++layer)
        kg += landed.layer_kg[b * layers + layer];
      rate[b] += kg / plan.benches.cells[b].area_m2;
    }
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

/// Every head as its own zone's burst finds it.
Group heads_group(HouseRun& run) {
  const House& house = run.house();
  const std::size_t count = house.heads.size();
  Group group{.name = "heads", .dimensions = {{"head", count}}, .variables = {}};
  Columns columns(group);
  std::vector<std::string> names;
  std::vector<std::string> types;
  std::vector<std::string> zones;
  for (const PlacedHead& head : house.heads) names.push_back(head.name);
  for (const water::HeadType& type : house.head_types) types.push_back(type.name);
  for (const water::Valve& valve : house.network.valves) zones.push_back(valve.name);
  std::vector<ZoneAlone> alone;
  for (std::uint32_t v = 0; v < house.network.valves.size(); ++v) {
    alone.push_back(run.works().alone(v, longest_burst_s(house, v)));
  }
  columns.whole("head", "head", {"head"}, counting(count), names);
  const auto per_head = [&](const char* name, const char* meaning, const char* units,
                            const std::function<double(std::size_t)>& value) {
    columns.add(name, meaning, units, {"head"}, made(count, value));
  };
  const auto zone = [&](std::size_t h) -> const ZoneAlone& { return alone[house.heads[h].valve]; };
  const auto type = [&](std::size_t h) -> const water::HeadType& {
    return house.head_types[house.heads[h].type];
  };
  per_head("x", "along the house", "m", [&](std::size_t h) { return house.heads[h].x_m; });
  per_head("y", "across the house", "m", [&](std::size_t h) { return house.heads[h].y_m; });
  per_head("z", "above the floor", "m", [&](std::size_t h) { return house.heads[h].z_m; });
  columns.whole(
      "type", "head type", {"head"},
      made(count, [&](std::size_t h) { return static_cast<double>(house.heads[h].type); }), types);
  columns.whole(
      "zone", "valve in front of it", {"head"},
      made(count, [&](std::size_t h) { return static_cast<double>(house.heads[h].valve); }), zones);
  per_head("pressure", "gauge pressure at the head, its zone alone open", "Pa",
           [&](std::size_t h) { return zone(h).hydraulics.head_pressure_Pa[h]; });
  per_head("flow", "flow of the head, its zone alone open", "m3 s-1",
           [&](std::size_t h) { return zone(h).hydraulics.head_flow_m3_per_s[h]; });
  per_head("dv50", "volume median diameter of its drops", "m", [&](std::size_t h) {
    return water::head_dv50_m(type(h), std::max(1.0, zone(h).hydraulics.head_pressure_Pa[h]));
  });
  per_head("spray_time", "seconds of spray in the zone's longest burst", "s",
           [&](std::size_t h) { return zone(h).windows[h].spray_s(); });
  per_head("told_time", "seconds that the clock tells in that burst", "s",
           [&](std::size_t h) { return zone(h).burst_s; });
  per_head("working_pressure_low", "lowest working pressure of its type", "Pa",
           [&](std::size_t h) { return type(h).working_pressure_low_Pa; });
  per_head("working_pressure_high", "highest working pressure of its type", "Pa",
           [&](std::size_t h) { return type(h).working_pressure_high_Pa; });
  return group;
}

/// The network with the zone open that draws the most.
Group network_group(HouseRun& run) {
  const House& house = run.house();
  const water::Network& network = house.network;
  Group group{.name = "network",
              .dimensions = {{"node", network.nodes.size()}, {"pipe", network.pipes.size()}},
              .variables = {}};
  water::Hydraulics fullest;
  std::string open = "none";
  for (std::uint32_t v = 0; v < network.valves.size(); ++v) {
    ZoneAlone zone = run.works().alone(v, 1.0);
    if (v == 0 || zone.hydraulics.supply_flow_m3_per_s > fullest.supply_flow_m3_per_s) {
      fullest = std::move(zone.hydraulics);
      open = network.valves[v].name;
    }
  }
  group.attributes["open_valve"] = open;
  group.attributes["supply_flow_m3_per_s"] = fmt::format("{}", fullest.supply_flow_m3_per_s);
  Columns columns(group);
  std::vector<std::string> nodes;
  std::vector<std::string> pipes;
  for (const auto& node : network.nodes) nodes.push_back(node.name);
  for (const auto& pipe : network.pipes) pipes.push_back(pipe.name);
  columns.whole("node", "node of the pipework", {"node"}, counting(nodes.size()), nodes);
  columns.add("elevation", "above the floor", "m", {"node"},
              made(nodes.size(), [&](std::size_t i) { return network.nodes[i].elevation_m; }));
  columns.add("node_pressure", "gauge pressure", "Pa", {"node"}, fullest.node_pressure_Pa);
  columns.whole("pipe", "pipe", {"pipe"}, counting(pipes.size()), pipes);
  columns.whole("pipe_from", "node from which flow counts as positive", {"pipe"},
                made(pipes.size(),
                     [&](std::size_t i) { return static_cast<double>(network.pipes[i].from); }));
  columns.whole(
      "pipe_to", "node towards which flow counts as positive", {"pipe"},
      made(pipes.size(), [&](std::size_t i) { return static_cast<double>(network.pipes[i].to); }));
  columns.add("pipe_flow", "flow", "m3 s-1", {"pipe"}, fullest.pipe_flow_m3_per_s);
  columns.add("pipe_velocity", "mean velocity", "m s-1", {"pipe"},
              made(pipes.size(), [&](std::size_t i) {
                const double d = network.pipes[i].diameter_m;
                return fullest.pipe_flow_m3_per_s[i] / (0.25 * pi * d * d);
              }));
  return group;
}

Group water_group(HouseRun& run) {
  const auto& classes = run.water().classes();
  Group group{.name = "water",
              .dimensions = {{"fate", water_fates}, {"size_class", classes.count()}},
              .variables = {}};
  Columns columns(group);
  columns.whole("fate", "where the heads' water ended", {"fate"}, counting(water_fates),
                {"leaves", "medium", "floor", "walls", "cover", "air", "out"});
  columns.add("size_class", "droplet diameter, middle of the class", "m", {"size_class"},
              classes.diameter_m);
  columns.add("size_class_lower", "lower edge of the class", "m", {"size_class"},
              {classes.edges_m.begin(), classes.edges_m.end() - 1});
  columns.add("size_class_upper", "upper edge of the class", "m", {"size_class"},
              {classes.edges_m.begin() + 1, classes.edges_m.end()});
  // What leaves caught but could not hold ran off to the medium: moved over class by class in
  // proportion.
  const auto& fates = run.water().ledger().fate_by_class_kg;
  double runoff = run.crop().ledger().film_runoff_kg.value() - run.crop().ledger().dew_kg.value();
  double on_leaves = 0.0;
  const auto leaves = static_cast<std::size_t>(WaterFate::Leaves);
  const auto medium = static_cast<std::size_t>(WaterFate::Medium);
  for (const auto& kg : fates[leaves]) on_leaves += kg.value();
  const double moved = on_leaves > 0.0 ? std::clamp(runoff / on_leaves, 0.0, 1.0) : 0.0;
  columns.add("mass", "mass of water", "kg", {"fate", "size_class"},
              made(water_fates * classes.count(), [&](std::size_t i) {
                const std::size_t fate = i / classes.count();
                const std::size_t k = i % classes.count();
                const double kg = fates[fate][k].value();
                if (fate == leaves) return kg * (1.0 - moved);
                if (fate == medium) return kg + moved * fates[leaves][k].value();
                return kg;
              }));
  group.attributes["drawn_from_supply_kg"] =
      fmt::format("{}", run.water().ledger().drawn_kg.value());
  group.attributes["drained_from_lines_kg"] =
      fmt::format("{}", run.water().ledger().drained_lines_kg.value());
  return group;
}

Group events_group(HouseRun& run) {
  const auto& notes = run.frames().notes;
  Group group{.name = "events", .dimensions = {{"event", notes.size()}}, .variables = {}};
  Columns columns(group);
  columns.whole("event", "number of the event", {"event"}, counting(notes.size()));
  Variable& time =
      columns.whole("event_time", "time", {"event"}, made(notes.size(), [&](std::size_t i) {
                      return static_cast<double>(notes[i].time.time_since_epoch().count());
                    }));
  time.units = "microseconds since " + utc_text(run.house().civil.start_utc_s);
  const auto kind = [](const Frames::Note& note) {
    if (note.part == water_part) return note.kind == WaterPart::Open ? 0.0 : 1.0;
    return note.part == devices_part ? 2.0 : 3.0;
  };
  columns.whole(
      "kind", "what happened", {"event"},
      made(notes.size(), [&](std::size_t i) { return kind(notes[i]); }),
      {"burst_told", "valve_shut", "fan_vent_or_shade_switched", "drying_turned_to_dew_or_back"});
  columns.add("value", "burst: seconds told; switching: number of the device", "1", {"event"},
              made(notes.size(), [&](std::size_t i) { return notes[i].first; }));
  columns.whole("valve", "valve of a burst, else 0", {"event"},
                made(notes.size(), [&](std::size_t i) {
                  return notes[i].part == water_part ? notes[i].second : 0.0;
                }));
  return group;
}

Group audit_group(HouseRun& run) {
  const auto& balances = run.frames().balances;
  Group group{.name = "audit", .dimensions = {{"line", balances.size()}}, .variables = {}};
  Columns columns(group);
  std::vector<std::string> names;
  names.reserve(balances.size());
  for (const auto& balance : balances) names.push_back(balance.name);
  columns.whole("line", "balance", {"line"}, counting(balances.size()), names);
  const auto of = [&](const std::function<double(const engine::Balance&)>& value) {
    return made(balances.size(), [&](std::size_t i) { return value(balances[i]); });
  };
  columns.whole(
      "quantity", "what is counted", {"line"}, of([](const engine::Balance& b) {
        return b.units == "J" ? 1.0 : b.name.find("vapour") != std::string::npos ? 2.0 : 0.0;
      }),
      {"water", "energy", "vapour"});
  // Kilograms for water and vapour, joules for heat, as `quantity` says: one column cannot name
  // both.
  columns.add("inflow", "came in, kg or J", "1", {"line"},
              of([](const auto& b) { return b.inflow; }));
  columns.add("outflow", "went out, kg or J", "1", {"line"},
              of([](const auto& b) { return b.outflow; }));
  columns.add("stored_change", "held more than at the start, kg or J", "1", {"line"},
              of([](const auto& b) { return b.stored_change; }));
  columns.add("residual", "what does not close, kg or J", "1", {"line"},
              of([](const auto& b) { return b.residual(); }));
  columns.add("relative", "residual over in, out and held", "1", {"line"},
              of([](const auto& b) { return b.relative_residual(); }));
  return group;
}

Group flow_group(HouseRun& run, const Regime& regime, std::size_t number) {
  const flow::RegimeField& field = regime.field;
  const flow::Grid& grid = field.grid;
  Group group{.name = fmt::format("flow_{}", number),
              .dimensions = {{"z", grid.nz}, {"y", grid.ny}, {"x", grid.nx}},
              .variables = {}};
  double volume = 0.0;
  for (const double v : run.plan().air.volume_m3) volume += v;
  group.attributes = {
      {"regime", regime.words},
      {"total_flow_m3_per_s", fmt::format("{}", regime.nominal_inflow_m3_per_s)},
      {"air_changes", fmt::format("{}", regime.nominal_inflow_m3_per_s * 3600.0 / volume)}};
  Columns columns(group);
  columns.add("z", "centre of the cell above the floor", "m", {"z"},
              made(grid.nz, [&](std::size_t k) { return grid.z_centre_m(k); }));
  columns.add("y", "centre of the cell across the house", "m", {"y"},
              made(grid.ny, [&](std::size_t j) { return grid.y_centre_m(j); }));
  columns.add("x", "centre of the cell along the house", "m", {"x"},
              made(grid.nx, [&](std::size_t i) { return grid.x_centre_m(i); }));
  const auto cells =
      [&](const std::function<double(std::size_t, std::size_t, std::size_t)>& value) {
        return made(grid.cells(), [&](std::size_t c) {
          if (grid.fluid[c] == 0) return std::nan("");
          return value(c % grid.nx, c / grid.nx % grid.ny, c / (grid.nx * grid.ny));
        });
      };
  const std::vector<std::string> axes = {"z", "y", "x"};
  columns.add("u", "air speed along the house", "m s-1", axes, cells([&](auto i, auto j, auto k) {
                return 0.5 * (field.u_m_per_s[grid.u_face(i, j, k)] +
                              field.u_m_per_s[grid.u_face(i + 1, j, k)]);
              }));
  columns.add("v", "air speed across the house", "m s-1", axes, cells([&](auto i, auto j, auto k) {
                return 0.5 * (field.v_m_per_s[grid.v_face(i, j, k)] +
                              field.v_m_per_s[grid.v_face(i, j + 1, k)]);
              }));
  columns.add("w", "air speed upwards", "m s-1", axes, cells([&](auto i, auto j, auto k) {
                return 0.5 * (field.w_m_per_s[grid.w_face(i, j, k)] +
                              field.w_m_per_s[grid.w_face(i, j, k + 1)]);
              }));
  columns.add(
      "sigma", "turbulent speed, each component", "m s-1", axes,
      cells([&](auto i, auto j, auto k) { return field.sigma_m_per_s[grid.cell(i, j, k)]; }));
  return group;
}

Group provenance_group(HouseRun& run, const Provenance& provenance) {
  Group group{.name = "provenance", .dimensions = {}, .variables = {}};
  const House& house = run.house();
  group.attributes = {
      {"version", provenance.version},
      {"compiler", provenance.compiler},
      {"started", provenance.started},
      {"ended", provenance.ended},
      {"wall_seconds", fmt::format("{:.3f}", provenance.wall_seconds)},
      {"threads", fmt::format("{}", provenance.threads)},
      {"seed", fmt::format("{}", house.numerics.seed)},
      {"house_name", house.name},
      {"note", house.note},
      {"weather", house.weather.source},
      {"scenario_path", house.source.path},
      {"scenario_text", house.source.text},
      {"scenario_sha256", sha256(house.source.text)},
      {"events", fmt::format("{}", run.engine().events())},
      {"bursts", fmt::format("{}", run.water().bursts())},
      {"air_stretches", fmt::format("{}", run.shared().stretch_number)},
      {"local_offset_s", fmt::format("{}", house.civil.offset_s(house.civil.start_utc_s))},
      {"worst_audit_relative", fmt::format("{:.3e}", run.frames().worst_audit_fraction)},
      {"representatives", fmt::format("{}", run.shared().representatives.depth_m.size())},
      {"dense_spray_last_correction",
       fmt::format("{:.3e}", run.water().ledger().worst_dense_correction_fraction)},
      {"assumed", assumed_text(house.assumed)}};
  std::string hashes;
  for (const std::uint64_t hash : provenance.hourly_state_hash)
    hashes += fmt::format("{:016x}\n", hash);
  group.attributes["hourly_state_hash"] = hashes;
  const double evaporated = run.crop().ledger().film_evaporated_kg.value();
  group.attributes["representative_error"] = fmt::format(
      "{:.3e}",
      evaporated > 0.0 ? run.crop().ledger().correction_gross_kg.value() / evaporated : 0.0);
  return group;
}

}  // namespace

Record record_run(HouseRun& run, const Provenance& provenance) {
  Record record;
  record.attributes = {
      {"title", run.house().name},
      {"source", "mistwright " + provenance.version},
      {"history", provenance.started + " mistwright run " + run.house().source.path},
      {"references", "equations and their sources: models/SOURCES.md of the source code"},
      {"comment", run.house().note}};
  record.groups.push_back(house_group(run.house()));
  record.groups.push_back(series_group(run));
  record.groups.push_back(air_group(run));
  record.groups.push_back(bench_group(run));
  record.groups.push_back(leaves_group(run));
  record.groups.push_back(heads_group(run));
  record.groups.push_back(network_group(run));
  record.groups.push_back(water_group(run));
  record.groups.push_back(events_group(run));
  record.groups.push_back(audit_group(run));
  std::size_t number = 0;
  for (const std::uint64_t key : run.shared().slots) {
    const DeviceState devices =
        DeviceState::from_key(key, run.house().fans.size(), run.house().openings.size());
    record.groups.push_back(flow_group(run, run.airflow().regime(devices), number++));
  }
  record.groups.push_back(provenance_group(run, provenance));
  return record;
}

}  // namespace mistwright::record
