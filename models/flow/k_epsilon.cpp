#include "models/flow/k_epsilon.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "models/units.h"

namespace mistwright::flow {
namespace {

// Launder and Spalding 1974.
constexpr double makes = 1.44, eats = 1.92, k_prandtl = 1.0, dissipation_prandtl = 1.3;
constexpr double karman = 0.41, wall_roughness = 9.0;  ///< E of a smooth wall
/// Where the viscous layer and the logarithmic law meet, in wall units.
constexpr double viscous_layer = 11.06;
/// Production beyond this many times the dissipation is an artefact of stagnation (Menter 1994).
constexpr double most_production = 10.0;
constexpr double least_k_m2_per_s2 = 1e-8, least_dissipation_m2_per_s3 = 1e-10;
constexpr double relaxation = 0.8;
constexpr int rounds = 4;

const double root4_of_eddy = std::pow(eddy_coefficient, 0.25);

}  // namespace

double rms_m_per_s(double k_m2_per_s2) {
  return std::sqrt(2.0 / 3.0 * k_m2_per_s2);
}

double eddy_timescale_s(double k_m2_per_s2, double dissipation_m2_per_s3) {
  constexpr double schmidt = 0.85;
  return 1.5 * eddy_coefficient / schmidt * k_m2_per_s2 / dissipation_m2_per_s3;
}

KEpsilon::KEpsilon(const FlowCase& problem)
    : problem_(problem),
      carried_(problem),
      walls_{problem.lattice.face_zeros()},
      sides_(problem.lattice.face_zeros()),
      shear_1_per_s2_(problem.lattice.zeros()),
      production_(problem.lattice.zeros()),
      dissipated_(problem.lattice.zeros()),
      source_(problem.lattice.zeros()),
      loss_(problem.lattice.zeros()),
      centre_speed_{problem.lattice.zeros(), problem.lattice.zeros(), problem.lattice.zeros()} {
  const Lattice& g = problem.lattice;
  for (std::size_t c = g.first; c < g.last; ++c) {
    if (g.air[c] == 0.0) continue;
    double beside = 0.0;
    for (std::size_t b = 0; b < 3; ++b) {
      if (b == 1 && problem.slice) continue;
      sides_[b][c] = (1.0 - g.open[b][c]) + (1.0 - g.open[b][c + g.stride[b]]);
      beside += sides_[b][c];
    }
    if (beside > 0.0) wall_cells_.push_back(c);
  }
}

void KEpsilon::start(FlowState& state) const {
  const Lattice& g = problem_.lattice;
  double fastest = 0.0;
  for (const MouthFace& mouth : problem_.mouths)
    fastest = std::fmax(fastest, std::fabs(mouth.speed_m_per_s));
  double thrust = 0.0, volume = 0.0;
  for (std::size_t c = g.first; c < g.last; ++c) {
    volume += g.air[c] * g.cell_m3;
    for (const Values& force : problem_.force_m4_per_s2) thrust += std::fabs(force[c]);
  }
  // Warm air rises as fast as (g beta Q H)^(1/3) (Deardorff 1970).
  double lift_m3_per_s3 = 0.0;
  for (const double source : problem_.heat.source_K_m3_per_s)
    lift_m3_per_s3 += std::fmax(0.0, source) * gravity_m_per_s2 * problem_.heat.expansion_1_per_K /
                      std::cbrt(volume);
  const double scale_m_per_s =
      std::fmax(0.05, 0.1 * fastest + std::sqrt(thrust / std::pow(volume, 2.0 / 3.0)) +
                          std::cbrt(lift_m3_per_s3));
  const double k = 0.02 * scale_m_per_s * scale_m_per_s, length_m = 0.05 * std::cbrt(volume);
  for (std::size_t c = g.first; c < g.last; ++c) {
    state.k_m2_per_s2[c] = g.air[c] * k;
    state.dissipation_m2_per_s3[c] =
        g.air[c] * std::pow(eddy_coefficient, 0.75) * k * std::sqrt(k) / length_m;
  }
}

/// Twice the squared strain rate at cell centres, from speeds at centres beside it.
void KEpsilon::measure_shear(const FlowState& state) {
  const Lattice& g = problem_.lattice;
  for (std::size_t a = 0; a < 3; ++a) {
    const double* v = state.speed_m_per_s[a].data();
    const std::size_t s = g.stride[a];
    for (std::size_t c = g.first; c < g.last; ++c) centre_speed_[a][c] = 0.5 * (v[c] + v[c + s]);
  }
  for (std::size_t c = g.first; c < g.last; ++c) {
    double sum = 0.0;
    for (std::size_t a = 0; a < 3; ++a) {
      const double along =
          (state.speed_m_per_s[a][c + g.stride[a]] - state.speed_m_per_s[a][c]) / g.step_m[a];
      sum += 2.0 * along * along;
    }
    const auto slope = [&](std::size_t of, std::size_t b) {
      // Beside a wall the logarithmic law takes this part over.
      if (sides_[b][c] > 0.0 || (b == 1 && problem_.slice)) return 0.0;
      const std::size_t t = g.stride[b];
      return (centre_speed_[of][c + t] - centre_speed_[of][c - t]) / (2.0 * g.step_m[b]);
    };
    const double xy = slope(0, 1) + slope(1, 0), xz = slope(0, 2) + slope(2, 0),
                 yz = slope(1, 2) + slope(2, 1);
    shear_1_per_s2_[c] = sum + ((xy * xy + xz * xz) + yz * yz);
  }
}

void KEpsilon::near_walls(const FlowState& state) {
  const Lattice& g = problem_.lattice;
  for (Values& conductance : walls_.conductance_m3_per_s)
    std::fill(conductance.begin(), conductance.end(), 0.0);
  const double nu = problem_.viscosity_m2_per_s;
  for (const std::size_t c : wall_cells_)
    for (std::size_t b = 0; b < 3; ++b) {
      if (sides_[b][c] == 0.0) continue;
      const double away_m = 0.5 * g.step_m[b];
      double pull_m_per_s = nu / away_m;
      if (problem_.turbulent) {
        const double friction = root4_of_eddy * std::sqrt(state.k_m2_per_s2[c]);
        const double units = friction * away_m / nu;
        if (units > viscous_layer)
          pull_m_per_s = karman * friction / std::log(wall_roughness * units);
      }
      walls_.conductance_m3_per_s[b][c] = sides_[b][c] * g.face_m2[b] * pull_m_per_s;
    }
}

void KEpsilon::refresh(FlowState& state) {
  const Lattice& g = problem_.lattice;
  near_walls(state);
  for (std::size_t c = g.first; c < g.last; ++c) {
    double eddy = 0.0;
    if (problem_.turbulent && g.air[c] > 0.0) {
      const double k = state.k_m2_per_s2[c];
      eddy = eddy_coefficient * k * k /
             std::fmax(state.dissipation_m2_per_s3[c], least_dissipation_m2_per_s3);
    }
    state.viscosity_m2_per_s[c] = g.air[c] * (problem_.viscosity_m2_per_s + eddy);
  }
}

double KEpsilon::nearest_wall_m(std::size_t cell) const {
  double nearest_m = std::numeric_limits<double>::max();
  for (std::size_t b = 0; b < 3; ++b)
    if (sides_[b][cell] > 0.0) nearest_m = std::min(nearest_m, 0.5 * problem_.lattice.step_m[b]);
  return nearest_m;
}

/// What shear makes and what is eaten, by cell; beside walls by the logarithmic law.
void KEpsilon::make_and_eat(const FlowState& state) {
  const Lattice& g = problem_.lattice;
  const Values &k = state.k_m2_per_s2, &eps = state.dissipation_m2_per_s3;
  const double nu = problem_.viscosity_m2_per_s;
  for (std::size_t c = g.first; c < g.last; ++c) {
    const double eddy = std::max(state.viscosity_m2_per_s[c] - nu, 0.0);
    production_[c] = std::min(eddy * shear_1_per_s2_[c], most_production * eps[c]);
    dissipated_[c] = eps[c];
  }
  for (const std::size_t c : wall_cells_) {
    for (std::size_t b = 0; b < 3; ++b) {
      double slide2 = 0.0;
      for (std::size_t a = 0; a < 3; ++a)
        if (a != b) slide2 += centre_speed_[a][c] * centre_speed_[a][c];
      production_[c] += walls_.conductance_m3_per_s[b][c] / g.face_m2[b] * slide2 / g.step_m[b];
    }
    const double nearest_m = nearest_wall_m(c);
    const double friction = root4_of_eddy * std::sqrt(k[c]);
    const double units = friction * nearest_m / nu;
    const double slope =
        units > viscous_layer ? std::log(wall_roughness * units) / karman : viscous_layer;
    dissipated_[c] = friction * friction * friction * slope / (2.0 * nearest_m);
  }
}

/// Adds what mouths bring in of k, or of epsilon.
void KEpsilon::bring_in(const FlowState& state, bool of_k) {
  const Lattice& g = problem_.lattice;
  for (const MouthFace& mouth : problem_.mouths) {
    const bool lower = g.air[mouth.face] > 0.0;
    const std::size_t cell = lower ? mouth.face : mouth.face - g.stride[mouth.axis];
    const double speed = state.speed_m_per_s[mouth.axis][mouth.face];
    source_[cell] += std::fmax(lower ? speed : -speed, 0.0) * g.face_m2[mouth.axis] *
                     (of_k ? mouth.k_m2_per_s2 : mouth.dissipation_m2_per_s3);
  }
}

void KEpsilon::step(FlowState& state) {
  const Lattice& g = problem_.lattice;
  Values &k = state.k_m2_per_s2, &eps = state.dissipation_m2_per_s3;
  const double nu = problem_.viscosity_m2_per_s;
  measure_shear(state);
  make_and_eat(state);
  carried_.set(state, nu, k_prandtl);
  for (std::size_t c = g.first; c < g.last; ++c) {
    source_[c] = g.cell_m3 * production_[c];
    loss_[c] = g.cell_m3 * dissipated_[c] / std::max(k[c], least_k_m2_per_s2);
  }
  bring_in(state, true);
  const Values k_was = k;
  carried_.sweep({source_, loss_}, relaxation, rounds, k);
  carried_.set(state, nu, dissipation_prandtl);
  for (std::size_t c = g.first; c < g.last; ++c) {
    const double rate = eps[c] / std::max(k_was[c], least_k_m2_per_s2);
    source_[c] = g.cell_m3 * makes * production_[c] * rate;
    loss_[c] = g.cell_m3 * eats * rate;
  }
  bring_in(state, false);
  // Beside walls epsilon is held: this outweighs whatever passes through the cell's sides.
  constexpr double held_m3_per_s = 1e6;
  for (const std::size_t c : wall_cells_) {
    const double friction = root4_of_eddy * std::sqrt(k[c]);
    loss_[c] = held_m3_per_s;
    source_[c] = held_m3_per_s * friction * friction * friction / (karman * nearest_wall_m(c));
  }
  carried_.sweep({source_, loss_}, relaxation, rounds, eps);
  for (std::size_t c = g.first; c < g.last; ++c) {
    k[c] = g.air[c] * std::max(k[c], least_k_m2_per_s2);
    eps[c] = g.air[c] * std::max(eps[c], least_dissipation_m2_per_s3);
  }
  refresh(state);
}

}  // namespace mistwright::flow
