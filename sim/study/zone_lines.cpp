#include "sim/study/zone_lines.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <string_view>

#include "models/contracts.h"
#include "models/units.h"
#include "models/water/network_graph.h"
#include "models/water/pipe.h"
#include "models/water/supply.h"
#include "sim/study/rearranged.h"

namespace mistwright::study {

namespace {

/// Drawn plastic, common practice; K of a tee run straight through, and of a feed with its bends
/// (from memory: 0.2 to 1.5, and 2 to 6).
constexpr double plastic_roughness_m = 1.5e-6, stretch_loss_number = 0.5, feed_loss_number = 4.0;
/// Nearer than this on the plan a pipe goes straight up or down.
constexpr double upright_m = 1e-3;

double square_way_m(const water::Node& a, const water::Node& b) {
  return std::abs(a.x_m - b.x_m) + std::abs(a.y_m - b.y_m) +
         std::abs(a.elevation_m - b.elevation_m);
}

/// A head's name without the number at its end.
std::string_view row_name(std::string_view name) {
  const std::size_t last = name.find_last_not_of("0123456789");
  if (last == std::string_view::npos || last + 1 == name.size()) return name;
  return name.substr(0, name[last] == ' ' ? last : last + 1);
}

/// Adds lines to a zone's network.
class Laying {
 public:
  Laying(const House& house, const Trunk& trunk, const LinePipes& pipes)
      : house_(house), trunk_(trunk), pipes_(pipes) {
    out_.network = trunk.network;
    water::Valve valve = trunk.valve;
    // A valve as wide as its feed.
    const double wider = trunk.valve_bore_m > 0.0 ? pipes.feed.bore_m / trunk.valve_bore_m : 1.0;
    valve.flow_coefficient_m3_per_s_per_sqrtPa *= wider * wider;
    out_.network.valves = {valve};
  }

  ZoneLines lay(std::span<const RisingHead> zone) {
    for (std::size_t from = 0; from < zone.size();) {
      std::size_t to = from + 1;
      while (to < zone.size() && zone[to].row == zone[from].row) ++to;
      add_row(zone.subspan(from, to - from));
      from = to;
    }
    return std::move(out_);
  }

 private:
  std::uint32_t add_node(const water::Node& node) {
    out_.network.nodes.push_back(node);
    return static_cast<std::uint32_t>(out_.network.nodes.size() - 1);
  }

  /// A line between two nodes, square to the walls.
  struct Ends {
    std::uint32_t from, to;
  };
  struct Bore {
    double bore_m, loss_number;
  };
  std::uint32_t add_line(const Ends& ends, const Bore& of) {
    const auto& nodes = out_.network.nodes;
    water::Pipe pipe;
    pipe.name = fmt::format("line {}", out_.network.pipes.size());
    pipe.from = ends.from;
    pipe.to = ends.to;
    pipe.length_m = std::max(0.01, square_way_m(nodes[ends.from], nodes[ends.to]));
    pipe.diameter_m = of.bore_m;
    pipe.roughness_m = plastic_roughness_m;
    pipe.minor_loss_coefficient = of.loss_number;
    out_.network.pipes.push_back(pipe);
    return static_cast<std::uint32_t>(out_.network.pipes.size() - 1);
  }

  void add_row(std::span<const RisingHead> row) {
    std::vector<std::uint32_t> feet;
    for (const RisingHead& rising : row) feet.push_back(add_head(rising));
    std::vector<std::uint32_t> along = feet;
    const auto& nodes = out_.network.nodes;
    const water::Node& valves = nodes[trunk_.manifold];
    if (square_way_m(valves, nodes[along.back()]) < square_way_m(valves, nodes[along.front()]))
      std::reverse(along.begin(), along.end());
    feed_row(along.front());
    for (std::size_t i = 1; i < along.size(); ++i) {
      out_.laterals.push_back(
          add_line({along[i - 1], along[i]}, {pipes_.lateral.bore_m, stretch_loss_number}));
      out_.lateral_m += out_.network.pipes.back().length_m;
    }
  }

  /// From the valve, or from the row fed before that is nearest.
  void feed_row(std::uint32_t entry) {
    const bool first = entries_.empty();
    std::uint32_t from = trunk_.manifold;
    double nearest_m = std::numeric_limits<double>::infinity();
    for (const std::uint32_t other : entries_) {
      const double way_m = square_way_m(out_.network.nodes[other], out_.network.nodes[entry]);
      if (way_m < nearest_m) nearest_m = way_m, from = other;
    }
    const std::uint32_t pipe = add_line({from, entry}, {pipes_.feed.bore_m, feed_loss_number});
    if (first) out_.network.pipes[pipe].valve = 0;
    out_.feeds.push_back(pipe);
    out_.feed_m += out_.network.pipes[pipe].length_m;
    entries_.push_back(entry);
  }

  /// @return the node on the line from which it rises
  std::uint32_t add_head(const RisingHead& rising) {
    const PlacedHead& head = house_.heads[rising.head];
    const std::uint32_t foot = add_node({head.name, rising.foot_m, head.x_m, head.y_m});
    std::uint32_t node = foot;
    if (rising.riser.length_m > 0.0) {
      node = add_node({head.name, head.z_m, head.x_m, head.y_m});
      water::Pipe riser = rising.riser;
      riser.from = foot;
      riser.to = node;
      out_.network.pipes.push_back(riser);
    }
    out_.heads.push_back({node, &house_.head_types[head.type], head.z_m});
    return foot;
  }

  const House& house_;
  const Trunk& trunk_;
  const LinePipes& pipes_;
  ZoneLines out_;
  std::vector<std::uint32_t> entries_;
};

/// A head and its riser, where that goes straight up or down.
RisingHead rising_head(const House& house, std::uint32_t head) {
  const auto& nodes = house.network.nodes;
  const water::Node& top = nodes[house.heads[head].node];
  const auto riser = riser_of(house, head);
  const water::Node& foot = nodes[foot_of(house, head)];
  if (!riser || std::hypot(foot.x_m - top.x_m, foot.y_m - top.y_m) > upright_m)
    return {head, 0, top.elevation_m, {}};
  return {head, 0, foot.elevation_m, house.network.pipes[*riser]};
}

}  // namespace

Trunk trunk_of(const House& house) {
  const water::Network& whole = house.network;
  const water::Reach wet = water::reach(whole, std::vector<bool>(whole.valves.size(), false));
  Trunk trunk;
  trunk.network.supply = whole.supply;
  std::vector<std::uint32_t> number(whole.nodes.size(), 0);
  for (std::size_t n = 0; n < whole.nodes.size(); ++n) {
    if (!wet.node[n]) continue;
    number[n] = static_cast<std::uint32_t>(trunk.network.nodes.size());
    trunk.network.nodes.push_back(whole.nodes[n]);
  }
  trunk.network.supply.node = number[whole.supply.node];
  trunk.manifold = trunk.network.supply.node;
  bool found = false;
  for (const water::Pipe& pipe : whole.pipes) {
    if (pipe.valve) {
      const bool stands = wet.node[pipe.from] || wet.node[pipe.to];
      if (found || !stands) continue;
      trunk.manifold = number[wet.node[pipe.from] ? pipe.from : pipe.to];
      trunk.valve = whole.valves[*pipe.valve];
      trunk.valve_bore_m = pipe.diameter_m;
      found = true;
    } else if (wet.node[pipe.from] && wet.node[pipe.to]) {
      trunk.network.pipes.push_back(pipe);
      trunk.network.pipes.back().from = number[pipe.from];
      trunk.network.pipes.back().to = number[pipe.to];
    }
  }
  return trunk;
}

double manifold_pressure_Pa(const Trunk& trunk, double flow_m3_per_s) {
  const water::Network& network = trunk.network;
  const water::Water water = water::liquid_water(network.supply.temperature_K);
  double pressure_Pa = water::supply_pressure_Pa(network.supply, flow_m3_per_s);
  const double rise_m =
      network.nodes[trunk.manifold].elevation_m - network.nodes[network.supply.node].elevation_m;
  pressure_Pa -= water.density_kg_per_m3 * gravity_m_per_s2 * rise_m;
  if (network.pipes.size() + 1 > network.nodes.size()) return pressure_Pa;
  const water::Reach wet = water::reach(network, {});
  std::uint32_t node = trunk.manifold;
  while (wet.pipe_towards[node]) {
    const water::Pipe& pipe = network.pipes[*wet.pipe_towards[node]];
    pressure_Pa -= water::pipe_drop_Pa(pipe, flow_m3_per_s, water);
    node = pipe.from == node ? pipe.to : pipe.from;
  }
  return pressure_Pa;
}

std::vector<RisingHead> rising_heads(const House& house, const Trunk& trunk) {
  const water::Node& valves = trunk.network.nodes[trunk.manifold];
  struct NamedRow {
    std::string_view name;
    double way_m = 0.0;
    std::vector<RisingHead> heads;
  };
  std::vector<NamedRow> rows;
  for (std::uint32_t h = 0; h < house.heads.size(); ++h) {
    const PlacedHead& head = house.heads[h];
    const RisingHead rising = rising_head(house, h);
    const double way_m = square_way_m(valves, {{}, rising.foot_m, head.x_m, head.y_m});
    const std::string_view name = row_name(head.name);
    auto row = std::find_if(rows.begin(), rows.end(),
                            [&](const NamedRow& one) { return one.name == name; });
    if (row == rows.end()) row = rows.insert(rows.end(), {name, way_m, {}});
    row->way_m = std::min(row->way_m, way_m);
    row->heads.push_back(rising);
  }
  std::stable_sort(rows.begin(), rows.end(),
                   [](const NamedRow& a, const NamedRow& b) { return a.way_m < b.way_m; });
  std::vector<RisingHead> heads;
  for (std::uint32_t r = 0; r < rows.size(); ++r)
    for (RisingHead& head : rows[r].heads) {
      head.row = r;
      heads.push_back(head);
    }
  return heads;
}

ZoneLines lay_zone(const House& house, const Trunk& trunk, std::span<const RisingHead> zone,
                   const LinePipes& pipes) {
  EXPECT(!zone.empty());
  return Laying(house, trunk, pipes).lay(zone);
}

}  // namespace mistwright::study
