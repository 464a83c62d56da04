#include "models/water/fill.h"

#include <algorithm>
#include <limits>

#include "models/contracts.h"
#include "models/units.h"
#include "models/water/network_graph.h"
#include "models/water/pipe.h"
#include "models/water/supply.h"

namespace mistwright::water {
namespace {

constexpr double never_s = std::numeric_limits<double>::infinity();

/// Volume of a pipe that lies above a height, its two ends joined by a straight line.
double volume_above_m3(const Network& network, const Pipe& pipe, double height_m) {
  const double a_m = network.nodes[pipe.from].elevation_m;
  const double b_m = network.nodes[pipe.to].elevation_m;
  const double low_m = std::min(a_m, b_m);
  const double high_m = std::max(a_m, b_m);
  double share = 0.0;
  if (low_m > height_m) {
    share = 1.0;
  } else if (high_m > height_m) {
    share = (high_m - height_m) / (high_m - low_m);
  }
  return share * 0.25 * pi * pipe.diameter_m * pipe.diameter_m * pipe.length_m;
}

/// A zone's pipes and what of each runs empty.
struct Zone {
  Reach from_supply;               // with all valves open but those further down
  std::vector<bool> node;          // behind the valve and before any further one
  std::vector<bool> pipe;          // behind the valve, its own pipe among them
  std::vector<double> drained_m3;  // by pipe
};

/// Behind a valve lies what it alone cuts off, so that a master valve further up does no harm.
Zone zone_of(const Network& network, const std::vector<NetworkHead>& heads, std::uint32_t valve) {
  std::vector<bool> open(network.valves.size(), true);
  const Reach all = reach(network, open);
  open[valve] = false;
  const Reach without = reach(network, open);
  open[valve] = true;
  const auto cut_off = [&](std::uint32_t n) { return all.node[n] && !without.node[n]; };
  for (const Pipe& pipe : network.pipes) {
    if (pipe.valve && *pipe.valve != valve && (cut_off(pipe.from) || cut_off(pipe.to))) {
      open[*pipe.valve] = false;
    }
  }
  Zone zone;
  zone.from_supply = reach(network, open);
  for (std::uint32_t n = 0; n < network.nodes.size(); ++n) {
    zone.node.push_back(cut_off(n) && zone.from_supply.node[n]);
  }
  double lowest_m = std::numeric_limits<double>::infinity();
  for (const NetworkHead& head : heads) {
    if (zone.node[head.node] && !head.type->check_valve) {
      lowest_m = std::min(lowest_m, head.elevation_m);
    }
  }
  for (const Pipe& pipe : network.pipes) {
    const bool member =
        (zone.node[pipe.from] || zone.node[pipe.to]) && (!pipe.valve || *pipe.valve == valve);
    zone.pipe.push_back(member);
    zone.drained_m3.push_back(member ? volume_above_m3(network, pipe, lowest_m) : 0.0);
  }
  return zone;
}

/// Pressure left at the valve's outlet when a flow is drawn there.
double outlet_pressure_Pa(const Network& network, const Zone& zone, std::uint32_t valve,
                          double flow_m3_per_s) {
  const Water water = liquid_water(network.supply.temperature_K);
  const auto inlet = std::find_if(network.pipes.begin(), network.pipes.end(),
                                  [&](const Pipe& p) { return p.valve && *p.valve == valve; });
  std::uint32_t node = zone.node[inlet->to] ? inlet->from : inlet->to;
  double pressure_Pa =
      supply_pressure_Pa(network.supply, flow_m3_per_s) +
      water.density_kg_per_m3 * gravity_m_per_s2 *
          (network.nodes[network.supply.node].elevation_m - network.nodes[node].elevation_m);
  const double c = network.valves[valve].flow_coefficient_m3_per_s_per_sqrtPa;
  if (c > 0.0) pressure_Pa -= flow_m3_per_s * flow_m3_per_s / (c * c);
  while (zone.from_supply.pipe_towards[node]) {
    const Pipe& pipe = network.pipes[*zone.from_supply.pipe_towards[node]];
    pressure_Pa -= pipe_drop_Pa(pipe, flow_m3_per_s, water);
    node = pipe.from == node ? pipe.to : pipe.from;
  }
  return pressure_Pa;
}

/// The flow at which nothing is left; a supply without any loss on the way is cut at 1 m3/s.
double fill_flow_of(const Network& network, const Zone& zone, std::uint32_t valve) {
  if (outlet_pressure_Pa(network, zone, valve, 0.0) <= 0.0) return 0.0;
  double low = 0.0;
  double high = 1e-6;
  while (high < 1.0 && outlet_pressure_Pa(network, zone, valve, high) > 0.0) {
    low = high;
    high *= 2.0;
  }
  for (int halving = 0; halving < 60; ++halving) {
    const double middle = 0.5 * (low + high);
    (outlet_pressure_Pa(network, zone, valve, middle) > 0.0 ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

/// One moving front.
struct Front {
  std::uint32_t pipe = 0;
  std::uint32_t towards = 0;
  double left_m3 = 0.0;
};

/// Follows the fronts through a zone; each arrival may split one front into several.
class Fill {
 public:
  Fill(const Network& network, const Zone& zone, ZoneFill& out)
      : network_(network), zone_(zone), out_(out), entered_(network.pipes.size(), false) {}

  void run(std::uint32_t valve) {
    for (std::uint32_t p = 0; p < network_.pipes.size(); ++p) {
      const Pipe& pipe = network_.pipes[p];
      if (pipe.valve && *pipe.valve == valve) enter(p, zone_.node[pipe.to] ? pipe.to : pipe.from);
    }
    double time_s = 0.0;
    while (!fronts_.empty()) {
      const auto first =
          std::min_element(fronts_.begin(), fronts_.end(),
                           [](const Front& a, const Front& b) { return a.left_m3 < b.left_m3; });
      const Front arrived = *first;
      fronts_.erase(first);
      // The fronts share the flow evenly, so all lose the same volume meanwhile.
      for (Front& front : fronts_) front.left_m3 -= arrived.left_m3;
      if (arrived.left_m3 > 0.0) {
        time_s +=
            arrived.left_m3 * static_cast<double>(fronts_.size() + 1) / out_.fill_flow_m3_per_s;
      }
      arrive(arrived.towards, time_s);
    }
    out_.full_after_s = time_s;
  }

 private:
  void enter(std::uint32_t pipe, std::uint32_t towards) {
    entered_[pipe] = true;
    fronts_.push_back({.pipe = pipe, .towards = towards, .left_m3 = zone_.drained_m3[pipe]});
  }
  void arrive(std::uint32_t node, double time_s) {
    if (out_.node_wet_after_s[node] <= time_s) return;
    out_.node_wet_after_s[node] = time_s;
    for (std::uint32_t p = 0; p < network_.pipes.size(); ++p) {
      const Pipe& pipe = network_.pipes[p];
      if (!zone_.pipe[p] || entered_[p] || (pipe.from != node && pipe.to != node)) continue;
      enter(p, pipe.from == node ? pipe.to : pipe.from);
    }
  }

  const Network& network_;
  const Zone& zone_;
  ZoneFill& out_;
  std::vector<bool> entered_;
  std::vector<Front> fronts_;
};

}  // namespace

ZoneFill zone_fill(const Network& network, const std::vector<NetworkHead>& heads,
                   std::uint32_t valve) {
  EXPECT(valve < network.valves.size());
  const Zone zone = zone_of(network, heads, valve);
  ZoneFill out;
  out.node_in_zone = zone.node;
  out.node_wet_after_s.assign(network.nodes.size(), 0.0);
  if (std::find(zone.node.begin(), zone.node.end(), true) == zone.node.end()) return out;
  for (const double volume : zone.drained_m3) out.drained_m3 += volume;
  out.fill_flow_m3_per_s = fill_flow_of(network, zone, valve);
  for (std::size_t n = 0; n < zone.node.size(); ++n) {
    if (zone.node[n]) out.node_wet_after_s[n] = never_s;
  }
  Fill(network, zone, out).run(valve);
  return out;
}

std::vector<SprayWindow> spray_windows(const Network& network,
                                       const std::vector<NetworkHead>& heads, std::uint32_t valve,
                                       const Hydraulics& hydraulics, double burst_s) {
  EXPECT(burst_s >= 0.0);
  EXPECT(hydraulics.head_flow_m3_per_s.size() == heads.size());
  const ZoneFill fill = zone_fill(network, heads, valve);
  std::vector<SprayWindow> windows(heads.size());
  for (std::size_t i = 0; i < heads.size(); ++i) {
    const std::uint32_t node = heads[i].node;
    if (!fill.node_in_zone[node] || hydraulics.head_flow_m3_per_s[i] <= 0.0) continue;
    windows[i] = {.start_s = network.valves[valve].opening_delay_s + fill.node_wet_after_s[node],
                  .stop_s = burst_s + network.valves[valve].closing_delay_s};
  }
  return windows;
}

double wasted_m3(const Network& network, const std::vector<NetworkHead>& heads, std::uint32_t valve,
                 double burst_s) {
  EXPECT(burst_s >= 0.0);
  const ZoneFill fill = zone_fill(network, heads, valve);
  const Valve& valve_of = network.valves[valve];
  const double open_s = burst_s + valve_of.closing_delay_s - valve_of.opening_delay_s;
  return std::min(fill.drained_m3, fill.fill_flow_m3_per_s * std::max(0.0, open_s));
}

}  // namespace mistwright::water
