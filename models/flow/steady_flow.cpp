#include "models/flow/steady_flow.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"
#include "models/flow/k_epsilon.h"
#include "models/flow/momentum.h"
#include "models/flow/multigrid.h"
#include "models/flow/transport.h"
#include "models/flow/wide.h"

namespace mistwright::flow {
namespace {

/// Each cell's surplus: what leaks in less what flows out [m3/s].
/// @return the largest
MISTWRIGHT_WIDE
double surplus_m3_per_s(const FlowCase& problem, const FaceValues& speed, Singles& surplus) {
  const Lattice& g = problem.lattice;
  const std::size_t sx = g.stride[0], sy = g.stride[1], sz = g.stride[2];
  const std::size_t first = g.first, last = g.last;
  const double *u = speed[0].data(), *v = speed[1].data(), *w = speed[2].data(),
               *air = g.air.data(), *leak = problem.leak_in_m3_per_s.data();
  const double area_x = g.face_m2[0], area_y = g.face_m2[1], area_z = g.face_m2[2];
  float* to = surplus.data();
  double most = 0.0;
#pragma omp simd reduction(max : most)
  for (std::size_t c = first; c < last; ++c) {
    const double out =
        (u[c + sx] - u[c]) * area_x + (v[c + sy] - v[c]) * area_y + (w[c + sz] - w[c]) * area_z;
    const double left = air[c] * (leak[c] - out);
    const double size = left > 0.0 ? left : -left;
    most = size > most ? size : most;
    to[c] = static_cast<float>(left);
  }
  return most;
}

/// How much speeds and their changes are at most.
struct Most {
  double speed_m_per_s = 0.0, change_m_per_s = 0.0;
};

/// Speeds across one axis after a correction of the pressure.
MISTWRIGHT_WIDE
Most push(const Lattice& g, std::size_t axis, const Values& response, const Singles& correction,
          const Values& before, Values& speed) {
  const std::size_t s = g.stride[axis], first = g.first, last = g.last;
  const double *was = before.data(), *answer = response.data();
  const float* p = correction.data();
  double* u = speed.data();
  double fastest = 0.0, most = 0.0;
#pragma omp simd reduction(max : fastest, most)
  for (std::size_t c = first; c < last; ++c) {
    const double next =
        u[c] + answer[c] * (static_cast<double>(p[c - s]) - static_cast<double>(p[c]));
    const double change = next > was[c] ? next - was[c] : was[c] - next;
    const double size = next > 0.0 ? next : -next;
    u[c] = next;
    fastest = size > fastest ? size : fastest;
    most = change > most ? change : most;
  }
  return {fastest, most};
}

MISTWRIGHT_WIDE
double largest_change(const Values& now, const Values& before) {
  const std::size_t size = now.size();
  const double *a = now.data(), *b = before.data();
  double most = 0.0;
#pragma omp simd reduction(max : most)
  for (std::size_t c = 0; c < size; ++c) {
    const double change = a[c] > b[c] ? a[c] - b[c] : b[c] - a[c];
    most = change > most ? change : most;
  }
  return most;
}

double largest(const Values& values) {
  double most = 0.0;
  for (const double value : values) most = std::max(most, std::fabs(value));
  return most;
}

double share(double part, double whole) {
  return whole > 0.0 ? part / whole : 0.0;
}

double fastest_m_per_s(const FlowState& state) {
  double most = 0.0;
  for (const Values& speed : state.speed_m_per_s) most = std::max(most, largest(speed));
  return most;
}

/// How much of the imbalance an iteration may leave, and cycles of pressure at most. Few do it but
/// where sheets stand inside coarse cells or a coarse grid has few of them.
struct Pressing {
  double left_fraction = 0.1;
  int most_cycles = 8;
};
constexpr Pressing usual, gentle{0.03, 16};
constexpr double usual_relaxation = 0.9, gentle_relaxation = 0.7;

class Iteration {
 public:
  Iteration(const FlowCase& problem, bool gently, FlowState& state)
      : problem_(problem),
        state_(state),
        pressing_(gently ? gentle : usual),
        momentum_(problem, state, gently ? gentle_relaxation : usual_relaxation),
        eddies_(problem),
        heat_(problem),
        pressure_(problem.lattice),
        surplus_(problem.lattice.size, 0.0F),
        next_(state.speed_m_per_s) {
    const Lattice& g = problem.lattice;
    for (std::size_t axis = 0; axis < 3; ++axis)
      for (std::size_t c = 0; c < g.size; ++c)
        if (g.open[axis][c] == 0.0)
          fastest_outside_m_per_s_ =
              std::max(fastest_outside_m_per_s_, std::fabs(state.speed_m_per_s[axis][c]));
    eddies_.refresh(state_);
  }

  /// @return largest change of a speed, or of the warmth, as a share of the largest there is
  double step() {
    momentum_.step(state_, eddies_.walls(), next_);
    std::swap(state_.speed_m_per_s, next_);
    const Most most = correct(next_);
    const double warmed = carry_heat();
    if (problem_.turbulent) eddies_.step(state_);
    const double moved =
        share(most.change_m_per_s,
              std::max({most.speed_m_per_s, fastest_outside_m_per_s_, problem_.lid_speed_m_per_s}));
    return std::max(moved, warmed);
  }

 private:
  Most correct(const FaceValues& before) {
    const Lattice& g = problem_.lattice;
    const FaceValues& response = momentum_.response();
    pressure_.set(response, g.face_m2);
    Most most;
    double worst = surplus_m3_per_s(problem_, state_.speed_m_per_s, surplus_);
    const double goal = pressing_.left_fraction * worst;
    for (int cycle = 0; cycle < pressing_.most_cycles && worst > goal; ++cycle) {
      const Singles& correction = pressure_.cycle(surplus_);
      most = {};
      for (std::size_t axis = 0; axis < 3; ++axis) {
        const Most here =
            push(g, axis, response[axis], correction, before[axis], state_.speed_m_per_s[axis]);
        most.speed_m_per_s = std::max(most.speed_m_per_s, here.speed_m_per_s);
        most.change_m_per_s = std::max(most.change_m_per_s, here.change_m_per_s);
      }
      for (std::size_t c = g.first; c < g.last; ++c)
        state_.pressure_m2_per_s2[c] += static_cast<double>(correction[c]);
      worst = surplus_m3_per_s(problem_, state_.speed_m_per_s, surplus_);
    }
    return most;
  }

  /// @return largest change of the warmth as a share of the largest
  double carry_heat() {
    const HeatCase& heat = problem_.heat;
    if (heat.source_K_m3_per_s.empty()) return 0.0;
    const Values before = state_.warmth_K;
    heat_.set(state_, problem_.viscosity_m2_per_s / air_prandtl_number, eddy_prandtl_number);
    Values source = heat.source_K_m3_per_s;
    if (problem_.sharpness_fraction > 0.0)
      heat_.sharpen(state_.warmth_K, problem_.sharpness_fraction, source);
    constexpr double relaxation = 0.9;
    heat_.sweep({source, heat.loss_m3_per_s}, relaxation, state_.warmth_K);
    heat_.level({source, heat.loss_m3_per_s}, state_.warmth_K);
    return share(largest_change(state_.warmth_K, before), largest(state_.warmth_K));
  }

  const FlowCase& problem_;
  FlowState& state_;
  Pressing pressing_;
  Momentum momentum_;
  KEpsilon eddies_;
  Transport heat_;
  Multigrid pressure_;
  Singles surplus_;
  FaceValues next_;
  double fastest_outside_m_per_s_ = 0.0;  ///< through faces that stay what they are
};

bool finite(const FlowState& state) {
  // A sum tells of any value that is none.
  double sum = 0.0;
  for (const Values& speed : state.speed_m_per_s)
    for (const double value : speed) sum += std::fabs(value);
  for (const Values* values : {&state.k_m2_per_s2, &state.dissipation_m2_per_s3, &state.warmth_K})
    for (const double value : *values) sum += std::fabs(value);
  return std::isfinite(sum);
}

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
  Singles left(g.size, 0.0F);
  double worst = 0.0;
  for (int cycle = 0; cycle < cycle_cap; ++cycle) {
    worst = surplus_m3_per_s(problem, speed_m_per_s, left);
    if (worst <= residual_m3_per_s) break;
    const Singles& p = pressure.cycle(left);
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const std::size_t s = g.stride[axis];
      const double per_m = 1.0 / g.step_m[axis];
      for (std::size_t c = g.first; c < g.last; ++c)
        speed_m_per_s[axis][c] +=
            g.open[axis][c] * per_m * (static_cast<double>(p[c - s]) - static_cast<double>(p[c]));
    }
  }
  return worst;
}

SteadyReport settle(const FlowCase& problem, const SteadyOptions& options, FlowState& state) {
  SteadyReport report;
  Iteration iteration(problem, options.gently, state);
  Mean mean(problem.lattice);
  for (int n = 1; n <= options.iteration_cap && !report.steady; ++n) {
    report.last_change_fraction = iteration.step();
    report.iterations = n;
    report.steady = report.last_change_fraction <= options.rest_fraction;
    if (2 * n > options.iteration_cap) mean.add(state);
  }
  if (!report.steady) mean.take(state);
  report.finite = finite(state);
  if (!report.finite) return report;
  const Lattice& g = problem.lattice;
  const double scale = std::fmax(fastest_m_per_s(state), 1e-9) *
                       std::max({g.face_m2[0], g.face_m2[1], g.face_m2[2]});
  report.imbalance_fraction =
      balance_m3_per_s(problem, options.balance_fraction * scale, state.speed_m_per_s) / scale;
  return report;
}

}  // namespace mistwright::flow
