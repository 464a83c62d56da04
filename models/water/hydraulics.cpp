#include "models/water/hydraulics.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "models/contracts.h"
#include "models/units.h"
#include "models/water/flow_solver.h"
#include "models/water/network_graph.h"
#include "models/water/pipe.h"
#include "models/water/supply.h"

namespace mistwright::water {
namespace {

/// The network at one temperature, and which of its heads are open.
class Rounds {
 public:
  Rounds(const Network& network, const std::vector<NetworkHead>& heads,
         const std::vector<bool>& valve_open, double water_temperature_K);
  Hydraulics settle();

 private:
  void settle_open_heads();
  bool change_check_valves();
  void solve_once();
  void rest();
  void read(const FlowSolution& solution);
  void balance();
  [[nodiscard]] FlowProblem problem() const;
  [[nodiscard]] std::vector<double> tree_flows() const;
  [[nodiscard]] bool passes(const Pipe& pipe) const {
    return reach_.node[pipe.from] && reach_.node[pipe.to] &&
           (!pipe.valve || valve_open_[*pipe.valve]);
  }
  [[nodiscard]] double lift_Pa(double elevation_m) const {
    return water_.density_kg_per_m3 * gravity_m_per_s2 * elevation_m;
  }
  [[nodiscard]] bool stiff_supply() const {
    return network_.supply.curve.empty() && supply_loss_Pa_s2_per_m6(network_.supply) == 0.0;
  }

  const Network& network_;
  const std::vector<NetworkHead>& heads_;
  const std::vector<bool>& valve_open_;
  Water water_;
  Reach reach_;
  std::vector<bool> open_;        // by head
  std::vector<bool> shut_again_;  // by head: a check valve that has opened and shut
  std::vector<bool> backward_;    // by head: its last solution ran backwards
  Hydraulics state_;
};

Rounds::Rounds(const Network& network, const std::vector<NetworkHead>& heads,
               const std::vector<bool>& valve_open, double water_temperature_K)
    : network_(network),
      heads_(heads),
      valve_open_(valve_open),
      water_(liquid_water(water_temperature_K)),
      reach_(reach(network, valve_open)),
      open_(heads.size(), false),
      shut_again_(heads.size(), false),
      backward_(heads.size(), false) {
  for (const NetworkHead& head : heads) {
    EXPECT(head.node < network.nodes.size() && head.type != nullptr);
    EXPECT(head.type->flow_exponent >= 0.0 && head.type->flow_exponent <= 2.0);
    EXPECT(head.type->rated_flow_m3_per_s > 0.0 && head.type->rated_pressure_Pa > 0.0);
    EXPECT(head.type->check_closes_Pa <= head.type->check_opens_Pa || !head.type->check_valve);
  }
  state_.node_reached = reach_.node;
  state_.head_chatters.assign(heads.size(), false);
}

/// What each pipe of the spanning tree carries if each open head passes its rated flow: Newton's
/// start.
std::vector<double> Rounds::tree_flows() const {
  std::vector<double> below(network_.nodes.size(), 0.0);
  for (std::size_t i = 0; i < heads_.size(); ++i) {
    if (open_[i]) below[heads_[i].node] += heads_[i].type->rated_flow_m3_per_s;
  }
  std::vector<double> flow(network_.pipes.size(), 0.0);
  for (auto it = reach_.order.rbegin(); it != reach_.order.rend(); ++it) {
    if (!reach_.pipe_towards[*it]) continue;
    const Pipe& pipe = network_.pipes[*reach_.pipe_towards[*it]];
    const bool outward = pipe.to == *it;
    flow[*reach_.pipe_towards[*it]] = outward ? below[*it] : -below[*it];
    below[outward ? pipe.from : pipe.to] += below[*it];
  }
  for (std::size_t p = 0; p < flow.size(); ++p) {
    const double area_m2 = 0.25 * pi * network_.pipes[p].diameter_m * network_.pipes[p].diameter_m;
    const double creep_m3_per_s = 1e-3 * area_m2;  // 1 mm/s where nothing is known
    if (std::abs(flow[p]) < creep_m3_per_s) flow[p] = creep_m3_per_s;
  }
  return flow;
}

/// Nodes of the network first, then one beneath each head, then the supply's source. Links: passing
/// pipes, open heads, supply, each in order.
FlowProblem Rounds::problem() const {
  const std::size_t nodes = network_.nodes.size();
  FlowProblem out;
  out.potential_Pa.resize(nodes);
  for (std::size_t n = 0; n < nodes; ++n) {
    if (!reach_.node[n]) out.potential_Pa[n] = 0.0;
  }
  const std::vector<double> start = tree_flows();
  for (std::size_t p = 0; p < network_.pipes.size(); ++p) {
    const Pipe& pipe = network_.pipes[p];
    if (!passes(pipe)) continue;
    double valve_loss = 0.0;
    if (pipe.valve) {
      const double c = network_.valves[*pipe.valve].flow_coefficient_m3_per_s_per_sqrtPa;
      if (c > 0.0) valve_loss = 1.0 / (c * c);
    }
    out.links.push_back({.from = pipe.from,
                         .to = pipe.to,
                         .law = PipeLaw{pipe, water_, valve_loss},
                         .first_flow_m3_per_s = start[p]});
  }
  double rated_sum = 0.0;
  for (std::size_t i = 0; i < heads_.size(); ++i) {
    out.potential_Pa.push_back(lift_Pa(heads_[i].elevation_m));
    if (!open_[i]) continue;
    const HeadType& type = *heads_[i].type;
    rated_sum += type.rated_flow_m3_per_s;
    out.links.push_back({.from = heads_[i].node,
                         .to = static_cast<std::uint32_t>(nodes + i),
                         .law = PowerLaw{type.rated_flow_m3_per_s, type.rated_pressure_Pa,
                                         1.0 / std::max(type.flow_exponent, least_flow_exponent)},
                         .first_flow_m3_per_s = type.rated_flow_m3_per_s});
  }
  const Supply& supply = network_.supply;
  const double source_Pa = lift_Pa(network_.nodes[supply.node].elevation_m);
  if (stiff_supply()) {
    out.potential_Pa[supply.node] = source_Pa + supply.static_pressure_Pa;
  } else {
    const auto source = static_cast<std::uint32_t>(out.potential_Pa.size());
    out.potential_Pa.push_back(source_Pa);
    out.links.push_back({.from = source,
                         .to = supply.node,
                         .law = SupplyLaw{supply},
                         .first_flow_m3_per_s = rated_sum});
  }
  out.demand_m3_per_s.assign(out.potential_Pa.size(), 0.0);
  return out;
}

void Rounds::read(const FlowSolution& solution) {
  state_.iterations += solution.iterations;
  state_.converged = state_.converged && solution.converged;
  state_.node_pressure_Pa.assign(network_.nodes.size(), 0.0);
  for (std::size_t n = 0; n < network_.nodes.size(); ++n) {
    if (!reach_.node[n]) continue;
    state_.node_pressure_Pa[n] = solution.potential_Pa[n] - lift_Pa(network_.nodes[n].elevation_m);
  }
  state_.pipe_flow_m3_per_s.assign(network_.pipes.size(), 0.0);
  std::size_t link = 0;
  for (std::size_t p = 0; p < network_.pipes.size(); ++p) {
    if (passes(network_.pipes[p])) state_.pipe_flow_m3_per_s[p] = solution.flow_m3_per_s[link++];
  }
  state_.head_pressure_Pa.assign(heads_.size(), 0.0);
  state_.head_flow_m3_per_s.assign(heads_.size(), 0.0);
  for (std::size_t i = 0; i < heads_.size(); ++i) {
    const NetworkHead& head = heads_[i];
    if (!reach_.node[head.node]) continue;
    const double pressure_Pa = solution.potential_Pa[head.node] - lift_Pa(head.elevation_m);
    state_.head_pressure_Pa[i] = pressure_Pa;
    if (!open_[i]) continue;
    // The link's own flow, which is balanced exactly; it meets k p^x to the solver's tolerance.
    const double flow = solution.flow_m3_per_s[link++];
    state_.head_flow_m3_per_s[i] = std::max(flow, 0.0);
    backward_[i] = flow < 0.0;
  }
  state_.supply_flow_m3_per_s = 0.0;
  if (!stiff_supply()) state_.supply_flow_m3_per_s = solution.flow_m3_per_s[link];
  state_.supply_pressure_Pa = state_.node_pressure_Pa[network_.supply.node];
}

/// With no head open water stands: one potential everywhere.
void Rounds::rest() {
  FlowSolution still;
  still.converged = true;
  const double potential_Pa = lift_Pa(network_.nodes[network_.supply.node].elevation_m) +
                              supply_pressure_Pa(network_.supply, 0.0);
  still.potential_Pa.assign(network_.nodes.size(), potential_Pa);
  still.flow_m3_per_s.assign(network_.pipes.size() + 1, 0.0);
  read(still);
}

void Rounds::solve_once() {
  if (std::find(open_.begin(), open_.end(), true) == open_.end()) {
    rest();
  } else {
    read(solve_flows(problem()));
  }
}

/// Heads that would draw air or water inwards are shut. Taking away such an inflow lowers every
/// pressure, so none of them would open again: the loop ends.
void Rounds::settle_open_heads() {
  for (std::size_t i = 0; i < heads_.size(); ++i) {
    if (!heads_[i].type->check_valve) open_[i] = reach_.node[heads_[i].node];
  }
  bool changed = true;
  while (changed) {
    solve_once();
    changed = false;
    for (std::size_t i = 0; i < heads_.size(); ++i) {
      if (!open_[i] || !backward_[i]) continue;
      open_[i] = false;
      shut_again_[i] = true;
      changed = true;
    }
  }
}

/// Opens the check valves whose opening pressure is reached; if there are none, shuts the worse
/// half of those below their closing pressure (shutting all at once would shut some that the
/// others' going would have saved). Each opens once and shuts once at most, so the rounds end.
bool Rounds::change_check_valves() {
  bool changed = false;
  std::vector<std::pair<double, std::size_t>> starved;
  for (std::size_t i = 0; i < heads_.size(); ++i) {
    const HeadType& type = *heads_[i].type;
    if (!type.check_valve || !reach_.node[heads_[i].node]) continue;
    const double pressure_Pa = state_.head_pressure_Pa[i];
    if (!open_[i] && !shut_again_[i] && pressure_Pa >= type.check_opens_Pa) {
      open_[i] = true;
      changed = true;
    }
    if (open_[i] && pressure_Pa < type.check_closes_Pa) {
      starved.emplace_back(pressure_Pa - type.check_closes_Pa, i);
    }
  }
  if (changed || starved.empty()) return changed;
  std::sort(starved.begin(), starved.end());
  for (std::size_t k = 0; k < (starved.size() + 1) / 2; ++k) {
    open_[starved[k].second] = false;
    shut_again_[starved[k].second] = true;
  }
  return true;
}

/// The greatest imbalance at a node, from the flows as reported.
void Rounds::balance() {
  std::vector<double> left(network_.nodes.size(), 0.0);
  for (std::size_t p = 0; p < network_.pipes.size(); ++p) {
    left[network_.pipes[p].from] -= state_.pipe_flow_m3_per_s[p];
    left[network_.pipes[p].to] += state_.pipe_flow_m3_per_s[p];
  }
  for (std::size_t i = 0; i < heads_.size(); ++i) {
    left[heads_[i].node] -= state_.head_flow_m3_per_s[i];
  }
  if (stiff_supply()) state_.supply_flow_m3_per_s = -left[network_.supply.node];
  left[network_.supply.node] += state_.supply_flow_m3_per_s;
  state_.residual_m3_per_s = 0.0;
  for (const double rest_m3_per_s : left) {
    state_.residual_m3_per_s = std::max(state_.residual_m3_per_s, std::abs(rest_m3_per_s));
  }
  state_.converged =
      state_.converged && state_.residual_m3_per_s <= 1e-9 * std::abs(state_.supply_flow_m3_per_s);
}

Hydraulics Rounds::settle() {
  do {
    settle_open_heads();
  } while (change_check_valves());
  for (std::size_t i = 0; i < heads_.size(); ++i) {
    const HeadType& type = *heads_[i].type;
    state_.head_chatters[i] =
        type.check_valve && shut_again_[i] && state_.head_pressure_Pa[i] >= type.check_opens_Pa;
  }
  balance();
  return state_;
}

}  // namespace

Hydraulics solve(const Network& network, const std::vector<NetworkHead>& heads,
                 const std::vector<bool>& valve_open, double water_temperature_K) {
  return Rounds(network, heads, valve_open, water_temperature_K).settle();
}

}  // namespace mistwright::water
