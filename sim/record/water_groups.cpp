// Heads, pipework, and where the water went.
#include <fmt/format.h>

#include <algorithm>

#include "models/units.h"
#include "sim/house/spray.h"
#include "sim/record/columns.h"

namespace mistwright::record {

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

}  // namespace mistwright::record
