#include "models/flow/steady_flow.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"
#include "models/flow/k_epsilon.h"
#include "models/flow/momentum.h"
#include "models/flow/multigrid.h"
#include "models/flow/transport.h"

namespace mistwright::flow {
namespace {

/// Each cell's surplus: what leaks in less what flows out [m3/s].
Values surplus(const FlowCase& problem, const FaceValues& speed) {
  Values left = net_outflow_m3_per_s(problem.lattice, speed);
  for (std::size_t c = 0; c < left.size(); ++c) left[c] = problem.leak_in_m3_per_s[c] - left[c];
  return left;
}

double largest(const Values& values) {
  double most = 0.0;
  for (const double value : values) most = std::fmax(most, std::fabs(value));
  return most;
}

double largest_change(const Values& now, const Values& before) {
  double most = 0.0;
  for (std::size_t c = 0; c < now.size(); ++c)
    most = std::fmax(most, std::fabs(now[c] - before[c]));
  return most;
}

double share(double part, double whole) {
  return whole > 0.0 ? part / whole : 0.0;
}

double fastest_m_per_s(const FlowState& state) {
  double most = 0.0;
  for (const Values& speed : state.speed_m_per_s) most = std::fmax(most, largest(speed));
  return most;
}

/// Pressure's cycles in an iteration where sheets stand inside coarse cells. With one the flow in a
/// skirt comes out wrong, with ten as with three.
constexpr int sheet_cycles = 3;

class Iteration {
 public:
  Iteration(const FlowCase& problem, FlowState& state)
      : problem_(problem),
        state_(state),
        momentum_(problem),
        eddies_(problem),
        heat_(problem),
        pressure_(problem.lattice),
        correction_(problem.lattice.zeros()),
        before_(state.speed_m_per_s),
        coupling_(problem.lattice.face_zeros()) {
    eddies_.refresh(state_);
  }

  /// @return largest change of a speed, or of the warmth, as a share of the largest there is
  double step() {
    before_ = state_.speed_m_per_s;
    const Values warmth_before = state_.warmth_K;
    next_ = state_.speed_m_per_s;
    for (std::size_t axis = 0; axis < 3; ++axis)
      momentum_.step(axis, state_, eddies_.walls(), next_);
    state_.speed_m_per_s = next_;
    correct();
    carry_heat();
    if (problem_.turbulent) eddies_.step(state_);
    double most = 0.0;
    for (std::size_t axis = 0; axis < 3; ++axis)
      most = std::fmax(most, largest_change(state_.speed_m_per_s[axis], before_[axis]));
    const double moved =
        share(most, std::fmax(fastest_m_per_s(state_), problem_.lid_speed_m_per_s));
    const double warmed =
        share(largest_change(state_.warmth_K, warmth_before), largest(state_.warmth_K));
    return std::fmax(moved, warmed);
  }

 private:
  void correct() {
    const Lattice& g = problem_.lattice;
    const FaceValues& response = momentum_.response();
    for (std::size_t axis = 0; axis < 3; ++axis)
      for (std::size_t c = g.first; c < g.last; ++c)
        coupling_[axis][c] = g.face_m2[axis] * response[axis][c];
    pressure_.set(coupling_);
    std::fill(correction_.begin(), correction_.end(), 0.0);
    const Values left = surplus(problem_, state_.speed_m_per_s);
    for (int cycle = 0; cycle < (g.shut[0].empty() && g.shut[1].empty() ? 1 : sheet_cycles);
         ++cycle)
      pressure_.cycle(left, correction_);
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const std::size_t s = g.stride[axis];
      for (std::size_t c = g.first; c < g.last; ++c)
        state_.speed_m_per_s[axis][c] += response[axis][c] * (correction_[c - s] - correction_[c]);
    }
    for (std::size_t c = g.first; c < g.last; ++c) state_.pressure_m2_per_s2[c] += correction_[c];
  }

  void carry_heat() {
    const HeatCase& heat = problem_.heat;
    if (heat.source_K_m3_per_s.empty()) return;
    heat_.set(state_, problem_.viscosity_m2_per_s / air_prandtl_number, eddy_prandtl_number);
    Values source = heat.source_K_m3_per_s;
    if (problem_.sharpness_fraction > 0.0)
      heat_.sharpen(state_.warmth_K, problem_.sharpness_fraction, source);
    constexpr double relaxation = 0.9;
    constexpr int rounds = 4;
    heat_.sweep({source, heat.loss_m3_per_s}, relaxation, rounds, state_.warmth_K);
    heat_.level({source, heat.loss_m3_per_s}, state_.warmth_K);
  }

  const FlowCase& problem_;
  FlowState& state_;
  Momentum momentum_;
  KEpsilon eddies_;
  Transport heat_;
  Multigrid pressure_;
  Values correction_;
  FaceValues before_, next_, coupling_;
};

/// Sums states, to be divided in the end.
class Mean {
 public:
  explicit Mean(const Lattice& lattice) : sum_(lattice) {}
  void add(const FlowState& state) {
    each(state, [](Values& to, const Values& from) {
      for (std::size_t c = 0; c < to.size(); ++c) to[c] += from[c];
    });
    ++count_;
  }
  void take(FlowState& state) {
    if (count_ == 0) return;
    const double share = 1.0 / count_;
    each(state, [share](Values& to, const Values&) {
      for (double& value : to) value *= share;
    });
    state = sum_;
  }

 private:
  template <class Do>
  void each(const FlowState& other, const Do& act) {
    for (std::size_t axis = 0; axis < 3; ++axis)
      act(sum_.speed_m_per_s[axis], other.speed_m_per_s[axis]);
    act(sum_.pressure_m2_per_s2, other.pressure_m2_per_s2);
    act(sum_.viscosity_m2_per_s, other.viscosity_m2_per_s);
    act(sum_.k_m2_per_s2, other.k_m2_per_s2);
    act(sum_.dissipation_m2_per_s3, other.dissipation_m2_per_s3);
    act(sum_.warmth_K, other.warmth_K);
  }
  FlowState sum_;
  int count_ = 0;
};

}  // namespace

void cold_start(const FlowCase& problem, FlowState& state) {
  const Lattice& g = problem.lattice;
  for (std::size_t axis = 0; axis < 3; ++axis)
    for (std::size_t c = 0; c < g.size; ++c)
      if (g.open[axis][c] > 0.0) state.speed_m_per_s[axis][c] = 0.0;
  std::fill(state.pressure_m2_per_s2.begin(), state.pressure_m2_per_s2.end(), 0.0);
  std::fill(state.warmth_K.begin(), state.warmth_K.end(), 0.0);
  KEpsilon(problem).start(state);
}

void warm_start(const FlowCase& problem, const FlowState& from, double speed_ratio,
                FlowState& state) {
  const Lattice& g = problem.lattice;
  const double r = speed_ratio;
  const auto take = [](Values& to, const Values& values, double factor) {
    for (std::size_t c = 0; c < to.size(); ++c) to[c] = factor * values[c];
  };
  for (std::size_t axis = 0; axis < 3; ++axis)
    for (std::size_t c = 0; c < g.size; ++c)
      if (g.open[axis][c] > 0.0) state.speed_m_per_s[axis][c] = r * from.speed_m_per_s[axis][c];
  take(state.pressure_m2_per_s2, from.pressure_m2_per_s2, r * r);
  take(state.k_m2_per_s2, from.k_m2_per_s2, r * r);
  take(state.dissipation_m2_per_s3, from.dissipation_m2_per_s3, r * r * r);
  take(state.warmth_K, from.warmth_K, 1.0 / r);
}

double balance_m3_per_s(const FlowCase& problem, double residual_m3_per_s,
                        FaceValues& speed_m_per_s) {
  constexpr int cycle_cap = 400;  // sheets inside coarse cells slow the cycles
  const Lattice& g = problem.lattice;
  FaceValues coupling = g.face_zeros();
  for (std::size_t axis = 0; axis < 3; ++axis)
    for (std::size_t c = g.first; c < g.last; ++c)
      coupling[axis][c] = g.open[axis][c] * g.face_m2[axis] / g.step_m[axis];
  Multigrid pressure(g);
  pressure.set(coupling);
  double worst = 0.0;
  for (int cycle = 0; cycle < cycle_cap; ++cycle) {
    const Values left = surplus(problem, speed_m_per_s);
    worst = largest(left);
    if (worst <= residual_m3_per_s) break;
    Values p = g.zeros();
    pressure.cycle(left, p);
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const std::size_t s = g.stride[axis];
      const double per_m = 1.0 / g.step_m[axis];
      for (std::size_t c = g.first; c < g.last; ++c)
        speed_m_per_s[axis][c] += g.open[axis][c] * per_m * (p[c - s] - p[c]);
    }
  }
  return worst;
}

SteadyReport settle(const FlowCase& problem, const SteadyOptions& options, FlowState& state) {
  SteadyReport report;
  Iteration iteration(problem, state);
  Mean mean(problem.lattice);
  for (int n = 1; n <= options.iteration_cap && !report.steady; ++n) {
    report.last_change_fraction = iteration.step();
    report.iterations = n;
    report.steady = report.last_change_fraction <= options.rest_fraction;
    if (2 * n > options.iteration_cap) mean.add(state);
  }
  if (!report.steady) mean.take(state);
  for (const Values& speed : state.speed_m_per_s)
    for (const double value : speed)
      if (!std::isfinite(value)) throw ContractError("the airflow's iteration ran away");
  const Lattice& g = problem.lattice;
  const double scale = std::fmax(fastest_m_per_s(state), 1e-9) *
                       std::max({g.face_m2[0], g.face_m2[1], g.face_m2[2]});
  report.imbalance_fraction =
      balance_m3_per_s(problem, options.balance_fraction * scale, state.speed_m_per_s) / scale;
  return report;
}

}  // namespace mistwright::flow
