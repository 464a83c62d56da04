// The two laws of a looped network, checked from the reported flows alone. Seeds are fixed.
#include <cmath>
#include <cstdlib>
#include <optional>
#include <string_view>

#include "models/units.h"
#include "models/water/hydraulics.h"
#include "models/water/network_graph.h"
#include "models/water/supply.h"
#include "tests/support/catch.h"
#include "tests/water/looped_networks.h"

using namespace mistwright;
using namespace mistwright::water;
using test::LoopedCase;
using test::rel;

namespace {

std::uint64_t looped_cases() {
  const char* full = std::getenv("MISTWRIGHT_FULL");
  return full != nullptr && std::string_view(full) == "1" ? 1000 : 50;
}

/// What is lost along a pipe and its open valve, in the direction of the pipe.
double lost_m(const LoopedCase& c, std::size_t p, double flow_m3_per_s) {
  const Pipe& pipe = c.network.pipes[p];
  const Water water = liquid_water(c.water_temperature_K);
  double lost_Pa = pipe_drop_Pa(pipe, flow_m3_per_s, water);
  if (pipe.valve) {
    const double k = c.network.valves[*pipe.valve].flow_coefficient_m3_per_s_per_sqrtPa;
    if (k > 0.0) lost_Pa += flow_m3_per_s * std::abs(flow_m3_per_s) / (k * k);
  }
  return lost_Pa / (water.density_kg_per_m3 * gravity_m_per_s2);
}

bool shut_pipe(const LoopedCase& c, const Pipe& pipe) {
  return pipe.valve && !c.valve_open[*pipe.valve];
}

/// Greatest imbalance at any node, the supply's included.
double imbalance_m3_per_s(const LoopedCase& c, const Hydraulics& state) {
  std::vector<double> left(c.network.nodes.size(), 0.0);
  left[c.network.supply.node] = state.supply_flow_m3_per_s;
  for (std::size_t p = 0; p < c.network.pipes.size(); ++p) {
    left[c.network.pipes[p].from] -= state.pipe_flow_m3_per_s[p];
    left[c.network.pipes[p].to] += state.pipe_flow_m3_per_s[p];
  }
  for (std::size_t h = 0; h < c.heads.size(); ++h) {
    left[c.heads[h].node] -= state.head_flow_m3_per_s[h];
  }
  double worst = 0.0;
  for (const double rest : left) worst = std::max(worst, std::abs(rest));
  return worst;
}

struct Loops {
  double worst_m = 0.0;
  int count = 0;
  std::vector<std::optional<double>> head_m;  ///< by node: fallen since the supply's; none: dry
};

/// Grows a spanning tree from the supply through what is open. Each pipe left over closes one loop:
/// what is lost along it must be the difference of what is lost on the two ways through the tree.
Loops close_loops(const LoopedCase& c, const std::vector<double>& flow_m3_per_s) {
  const auto& pipes = c.network.pipes;
  Loops out;
  out.head_m.resize(c.network.nodes.size());
  out.head_m[c.network.supply.node] = 0.0;
  std::vector<bool> used(pipes.size(), false);
  for (bool grown = true; grown;) {
    grown = false;
    for (std::size_t p = 0; p < pipes.size(); ++p) {
      auto& from_m = out.head_m[pipes[p].from];
      auto& to_m = out.head_m[pipes[p].to];
      if (shut_pipe(c, pipes[p]) || from_m.has_value() == to_m.has_value()) continue;
      const double fall_m = lost_m(c, p, flow_m3_per_s[p]);
      if (from_m) {
        to_m = *from_m - fall_m;
      } else {
        from_m = *to_m + fall_m;
      }
      used[p] = true;
      grown = true;
    }
  }
  for (std::size_t p = 0; p < pipes.size(); ++p) {
    const auto& from_m = out.head_m[pipes[p].from];
    const auto& to_m = out.head_m[pipes[p].to];
    if (used[p] || shut_pipe(c, pipes[p]) || !from_m || !to_m) continue;
    const double open_m = *from_m - *to_m - lost_m(c, p, flow_m3_per_s[p]);
    out.worst_m = std::max(out.worst_m, std::abs(open_m));
    ++out.count;
  }
  return out;
}

/// What the set as a whole has met.
struct Met {
  int laminar = 0, transitional = 0, turbulent = 0, shut = 0, reverse = 0, dry = 0, loops = 0;
  double worst_imbalance_ratio = 0.0, worst_loop_m = 0.0;
};

void count_pipes(const LoopedCase& c, const Hydraulics& state, Met& met) {
  const Water water = liquid_water(c.water_temperature_K);
  for (std::size_t p = 0; p < c.network.pipes.size(); ++p) {
    const Pipe& pipe = c.network.pipes[p];
    const double flow = state.pipe_flow_m3_per_s[p];
    const double Re = reynolds_number(flow, pipe.diameter_m, water);
    CAPTURE(p, flow, Re);
    const bool wet = state.node_reached[pipe.from] && state.node_reached[pipe.to];
    if (shut_pipe(c, pipe) || !wet) REQUIRE(flow == 0.0);
    if (shut_pipe(c, pipe)) ++met.shut;
    if (!wet) ++met.dry;
    if (Re < 1.0) continue;  // as good as still
    if (flow < 0.0) ++met.reverse;
    if (Re <= 2000.0) {
      ++met.laminar;
    } else {
      ++(Re < 4000.0 ? met.transitional : met.turbulent);
    }
  }
}

/// Reported pressures are those that the supply gives and the losses leave.
void check_pressures(const LoopedCase& c, const Hydraulics& state, const Loops& loops) {
  const double weight = liquid_density_kg_per_m3(c.water_temperature_K) * gravity_m_per_s2;
  const std::uint32_t supply = c.network.supply.node;
  const double top_m = state.supply_pressure_Pa / weight + c.network.nodes[supply].elevation_m;
  REQUIRE_THAT(state.supply_pressure_Pa,
               rel(supply_pressure_Pa(c.network.supply, state.supply_flow_m3_per_s), 1e-9));
  for (std::size_t n = 0; n < c.network.nodes.size(); ++n) {
    CAPTURE(n);
    REQUIRE(state.node_reached[n] == loops.head_m[n].has_value());
    if (!loops.head_m[n]) continue;
    const double here_m = state.node_pressure_Pa[n] / weight + c.network.nodes[n].elevation_m;
    REQUIRE_THAT(here_m, test::abs(top_m + *loops.head_m[n], 1e-6));
  }
}

/// Each open head passes what its pressure gives.
void check_heads(const LoopedCase& c, const Hydraulics& state) {
  const double weight = liquid_density_kg_per_m3(c.water_temperature_K) * gravity_m_per_s2;
  for (std::size_t h = 0; h < c.heads.size(); ++h) {
    const NetworkHead& head = c.heads[h];
    CAPTURE(h);
    if (!state.node_reached[head.node] || state.head_flow_m3_per_s[h] == 0.0) continue;
    const double pressure_Pa = state.node_pressure_Pa[head.node] -
                               weight * (head.elevation_m - c.network.nodes[head.node].elevation_m);
    REQUIRE_THAT(state.head_flow_m3_per_s[h],
                 rel(head_flow_m3_per_s(*head.type, pressure_Pa), 1e-6));
  }
}

}  // namespace

TEST_CASE(
    "water: random looped networks balance at each node to 1e-9 of the supply and round each loop "
    "to a thousandth of a millimetre",
    "[water][law]") {
  const std::vector<HeadType> types = test::looped_types();
  Met met;
  for (std::uint64_t i = 0; i < looped_cases(); ++i) {
    const LoopedCase c = test::looped_case(i, types);
    const Hydraulics state = solve(c.network, c.heads, c.valve_open, c.water_temperature_K);
    CAPTURE(i, state.iterations);
    REQUIRE(state.converged);
    REQUIRE(state.supply_flow_m3_per_s > 0.0);
    const double ratio = imbalance_m3_per_s(c, state) / state.supply_flow_m3_per_s;
    REQUIRE(ratio <= 1e-9);
    const Loops loops = close_loops(c, state.pipe_flow_m3_per_s);
    REQUIRE(loops.worst_m <= 1e-6);
    check_pressures(c, state, loops);
    check_heads(c, state);
    count_pipes(c, state, met);
    met.loops += loops.count;
    met.worst_imbalance_ratio = std::max(met.worst_imbalance_ratio, ratio);
    met.worst_loop_m = std::max(met.worst_loop_m, loops.worst_m);
  }
  INFO(fmt::format(
      "{} loops, laminar {}, transitional {}, turbulent {}, shut {}, reverse {}, dry {}; "
      "worst {:.1e} of the supply, {:.1e} m",
      met.loops, met.laminar, met.transitional, met.turbulent, met.shut, met.reverse, met.dry,
      met.worst_imbalance_ratio, met.worst_loop_m));
  CHECK(met.loops > static_cast<int>(looped_cases()));
  CHECK(met.laminar > 0);
  CHECK(met.transitional > 0);
  CHECK(met.turbulent > 0);
  CHECK(met.shut > 0);
  CHECK(met.reverse > 0);
  CHECK(met.dry > 0);
}

TEST_CASE("water: the checks of nodes and loops see one flow that is off by a hundred-thousandth",
          "[water][law]") {
  const std::vector<HeadType> types = test::looped_types();
  int seen = 0;
  for (std::uint64_t i = 0; i < 100; ++i) {
    const LoopedCase c = test::looped_case(i, types);
    Hydraulics state = solve(c.network, c.heads, c.valve_open, c.water_temperature_K);
    // The last pipe is a chord: it closes a loop if water comes to both its ends without it.
    const Pipe& last = c.network.pipes.back();
    Network without = c.network;
    without.pipes.pop_back();
    const Reach other_ways = reach(without, c.valve_open);
    if (!other_ways.node[last.from] || !other_ways.node[last.to]) continue;
    double& flow = state.pipe_flow_m3_per_s.back();
    if (std::abs(lost_m(c, without.pipes.size(), flow)) < 0.2) continue;
    flow *= 1.0 + 1e-5;
    CAPTURE(i);
    CHECK(imbalance_m3_per_s(c, state) > 1e-9 * state.supply_flow_m3_per_s);
    CHECK(close_loops(c, state.pipe_flow_m3_per_s).worst_m > 1e-6);
    ++seen;
  }
  CHECK(seen >= 3);
}
