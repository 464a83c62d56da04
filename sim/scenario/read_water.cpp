#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "models/units.h"
#include "models/water/pipe.h"
#include "sim/scenario/pipework.h"
#include "sim/scenario/readers.h"

namespace mistwright::scenario {
namespace {

using water::Network;

/// A valve of unknown size loses this many velocity heads of its own bore: a globe pattern, 340
/// times the friction factor of rough turbulent flow (Crane TP-410, from memory), near 6.
constexpr double plain_valve_loss_coefficient = 6.0;

double bore_flow_coefficient(double diameter_m, double loss_coefficient) {
  const double area_m2 = pi * diameter_m * diameter_m / 4.0;
  return area_m2 * std::sqrt(2.0 / (water_density_kg_per_m3 * loss_coefficient));
}

void read_supply(Reading& reading, const Value& root, Pipework& pipework) {
  Table table = table_of(reading, root, "supply");
  water::Supply& supply = reading.house.network.supply;
  supply.name = "supply";
  const auto temperature = table.quantity("temperature");
  supply.temperature_K = temperature.value;
  const auto node = table.text("node");
  const auto elevation = table.quantity("elevation");
  pipework.add_node(node.value, node.given ? node.at : table.at(),
                    {.elevation_m = elevation.value});
  supply.node = 0;
  if (table.has("pump_curve")) {
    supply.curve = read_curve(table, reading, "pump_curve", Kind::GaugePressure, "pump curve");
    for (const char* other : {"static_pressure", "bucket_volume", "bucket_time"}) {
      if (table.has(other)) {
        reading.error(
            "E0520", table.key_span(other),
            fmt::format("`{}` and `pump_curve` describe the same supply", other),
            "a hose bib has a static pressure and a bucket test, a pump has a curve: keep one");
      }
    }
    table.finish();
    return;
  }
  const std::size_t before = reading.problems.size();
  const auto pressure = table.quantity("static_pressure");
  supply.static_pressure_Pa = pressure.value;
  if (pressure.given && !pressure.good && pressure.value < 0.0 &&
      reading.problems.size() > before) {
    reading.problems.back().help =
        "a supply that sucks cannot feed heads; for a pump drawing from a tank, give `elevation` "
        "and `pump_curve`";
  }
  for (const char* key : {"static_pressure", "bucket_volume", "bucket_time"}) {
    if (!table.has(key)) table.missing(key);
  }
  const auto volume = table.quantity("bucket_volume");
  const auto time = table.quantity("bucket_time");
  if (volume.good && time.good) supply.bucket_flow_m3_per_s = volume.value / time.value;
  const auto left = table.quantity("bucket_pressure");
  supply.bucket_pressure_Pa = left.value;
  pipework.bucket_at = table.text("bucket_at");
  if (pressure.good && left.good && left.value >= pressure.value) {
    reading.error(
        "E0521", left.given ? left.at : pressure.at,
        "the bucket test leaves as much pressure as there is with everything shut",
        "the static pressure is read with everything shut, the bucket's with the end fully open");
  }
  table.finish();
}

void read_nodes(Reading& reading, const Value& root, Pipework& pipework) {
  for_each_table(reading, root, "node", [&](Table& table) {
    const auto name = table.text("name");
    const auto elevation = table.quantity("elevation");
    const auto x = table.quantity("x");
    const auto y = table.quantity("y");
    if (name.good && name.value == pipework.nodes.name(0)) {
      reading.error("E0522", name.at, "this node is the supply's own",
                    "give its `elevation` in [supply]");
      return;
    }
    pipework.add_node(name.value, name.at, {elevation.value, x.value, y.value, x.given && y.given});
  });
}

void read_pipes(Reading& reading, const Value& root, Pipework& pipework) {
  for_each_table(reading, root, "pipe", [&](Table& table) {
    const auto from = table.text("from");
    const auto to = table.text("to");
    const auto name = table.has("name") ? table.text("name") : Got<std::string>{};
    const auto material = table.choice("material");
    water::Pipe pipe;
    pipe.name = name.good ? name.value : fmt::format("{} to {}", from.value, to.value);
    pipe.length_m = table.quantity("length").value;
    pipe.diameter_m = table.quantity("diameter").value;
    pipe.roughness_m =
        table.quantity("roughness", material.good ? material.typed.c_str() : nullptr).value;
    pipe.minor_loss_coefficient = table.quantity("minor_loss").value;
    if (!from.good || !to.good) return;
    if (from.value == to.value) {
      reading.error("E0523", to.at, fmt::format("pipe `{}` ends where it begins", pipe.name));
      return;
    }
    pipe.from = pipework.node(from.value, from.at);
    pipe.to = pipework.node(to.value, to.at);
    pipework.add_pipe(pipe, name.good ? name.at : table.at());
  });
}

/// The loss of the pipes from the supply to where the bucket stood is part of the test, so the
/// pressure that was left at the supply while the bucket filled is what those pipes took.
void place_bucket(Reading& reading, const Pipework& pipework) {
  const Got<std::string>& at = pipework.bucket_at;
  if (!at.given) return;
  const auto node = pipework.nodes.find(reading, at);
  if (!node) return;
  water::Supply& supply = reading.house.network.supply;
  const auto path = pipework.path_to(*node);
  if (!path) {
    reading.error("E0524", at.at, fmt::format("no pipe leads from the supply to `{}`", at.value));
    return;
  }
  if (supply.temperature_K < 273.15 || supply.bucket_flow_m3_per_s <= 0.0) return;
  const water::Water water = water::liquid_water(supply.temperature_K);
  const auto& nodes = reading.house.network.nodes;
  double left_Pa =
      supply.bucket_pressure_Pa + water.density_kg_per_m3 * gravity_m_per_s2 *
                                      (nodes[*node].elevation_m - nodes[supply.node].elevation_m);
  for (const std::uint32_t i : *path) {
    const water::Pipe& pipe = reading.house.network.pipes[i];
    if (pipe.diameter_m <= 0.0 || pipe.length_m <= 0.0) return;
    left_Pa += water::pipe_drop_Pa(pipe, supply.bucket_flow_m3_per_s, water);
  }
  if (left_Pa >= supply.static_pressure_Pa && supply.static_pressure_Pa > 0.0) {
    reading.error(
        "E0525", at.at,
        fmt::format("the pipes to `{}` alone would take {} at the bucket's flow; the supply has {}",
                    at.value, rounded(left_Pa, "kPa"), rounded(supply.static_pressure_Pa, "kPa")),
        "check the bucket's volume and time, and the bore of the hose");
  }
  supply.bucket_pressure_Pa = std::max(left_Pa, 0.0);
}

Names read_valves(Reading& reading, const Value& root, Pipework& pipework) {
  Names names("valve");
  Network& network = reading.house.network;
  for_each_table(reading, root, "valve", [&](Table& table) {
    const auto name = table.text("name");
    const auto pipe = table.text("pipe");
    names.add(reading, name.value, name.at);
    water::Valve valve{.name = name.value};
    const auto bar = table.quantity("flow_at_1_bar");
    const auto psi = table.quantity("flow_at_1_psi");
    if (bar.given && psi.given) {
      Problem& p = reading.error("E0526", psi.at, "a valve's flow is given twice",
                                 "keep `flow_at_1_bar` or `flow_at_1_psi`");
      p.second = Second{bar.at, "given here already"};
    }
    const auto index = pipework.pipes.find(reading, pipe);
    if (bar.given) {
      valve.flow_coefficient_m3_per_s_per_sqrtPa = bar.value / std::sqrt(1e5);
    } else if (psi.given) {
      valve.flow_coefficient_m3_per_s_per_sqrtPa = psi.value / std::sqrt(6894.757293168361);
    } else if (index && network.pipes[*index].diameter_m > 0.0) {
      const double bore_m = network.pipes[*index].diameter_m;
      valve.flow_coefficient_m3_per_s_per_sqrtPa =
          bore_flow_coefficient(bore_m, plain_valve_loss_coefficient);
      const auto shown = [&](double k) {
        return rounded(bore_flow_coefficient(bore_m, k) * std::sqrt(1e5), "L/min");
      };
      reading.assume({fmt::format("valve.flow_at_1_bar ({})", name.value), shown(6.0), shown(12.0),
                      shown(3.0), "derived", "water the valve passes with 1 bar lost in it"});
    }
    valve.opening_delay_s = table.quantity("opening_delay").value;
    valve.closing_delay_s = table.quantity("closing_delay").value;
    const auto number = static_cast<std::uint32_t>(network.valves.size());
    if (index && network.pipes[*index].valve) {
      reading.error("E0527", pipe.at,
                    fmt::format("pipe `{}` has a valve already: `{}`", pipe.value,
                                network.valves[*network.pipes[*index].valve].name));
    } else if (index) {
      network.pipes[*index].valve = number;
    }
    network.valves.push_back(valve);
  });
  if (network.valves.size() > 4096) {
    reading.error("E0528", names.at(4096),
                  fmt::format("{} valves; at most 4096 are simulated", network.valves.size()));
  }
  return names;
}

}  // namespace

std::vector<std::pair<double, double>> read_curve(Table& table, Reading& reading, const char* key,
                                                  Kind pressure, const char* name) {
  std::vector<std::pair<double, double>> curve;
  const Value* list = table.raw(key);
  if (!list) return curve;
  std::vector<Span> places;
  bool good = true;
  for (const Value& point : list->items) {
    if (point.type != Value::Type::List || point.items.size() != 2) {
      reading.error("E0530", point.at,
                    fmt::format("a point of the {} is a flow and a pressure", name),
                    "write [\"10 L/min\", \"40 psi\"]");
      good = false;
      continue;
    }
    const auto flow = table.item(point.items[0], Kind::Flow, key);
    const auto p = table.item(point.items[1], pressure, key);
    good = good && flow.good && p.good;
    curve.emplace_back(flow.value, p.value);
    places.push_back(point.at);
  }
  if (!good) return curve;
  if (curve.size() < 2) {
    reading.error("E0530", list->at, fmt::format("a {} needs two points or more", name));
    return curve;
  }
  for (std::size_t i = 0; i < curve.size(); ++i) {
    if (curve[i].first < 0.0 || curve[i].second < 0.0) {
      reading.error("E0530", places[i],
                    fmt::format("flow and pressure of a {} cannot be negative", name));
    }
    if (i == 0) continue;
    const auto flow = [&](std::size_t k) { return rounded(curve[k].first, "L/min"); };
    if (curve[i].first <= curve[i - 1].first) {
      reading.error("E0531", places[i],
                    fmt::format("flows of the {} must grow from point to point", name),
                    fmt::format("{} is not above {}; check point {}", flow(i), flow(i - 1), i + 1));
    } else if (curve[i].second >= curve[i - 1].second) {
      const std::string from = flow(i - 1);
      Problem& p = reading.error(
          "E0531", places[i],
          fmt::format("{} rises between {} and {}", name, from.substr(0, from.find(' ')), flow(i)),
          fmt::format(
              "pressure must fall as flow grows, else two flows fit one pressure; check point {}",
              i + 1));
      p.second = Second{places[i - 1], "the point before"};
    }
  }
  return curve;
}

Names read_water(Reading& reading, const Value& root) {
  const Names types = read_head_types(reading, root);
  Pipework pipework(reading);
  read_supply(reading, root, pipework);
  read_nodes(reading, root, pipework);
  read_pipes(reading, root, pipework);
  Names valves = read_valves(reading, root, pipework);
  read_rows(reading, root, pipework, types, valves);
  read_heads(reading, root, pipework, types, valves);
  place_bucket(reading, pipework);
  pipework.finish(valves, root.find("head") || root.find("row"));
  return valves;
}

}  // namespace mistwright::scenario
