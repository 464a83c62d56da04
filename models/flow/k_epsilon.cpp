#include "models/flow/k_epsilon.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "models/flow/turbulence.h"
#include "models/flow/wide.h"
#include "models/units.h"

namespace mistwright::flow {
namespace {

// Launder and Spalding 1974.
constexpr double makes = 1.44, eats = 1.92, k_prandtl = 1.0, dissipation_prandtl = 1.3;
constexpr double wall_roughness = 9.0;  ///< E of a smooth wall
/// Where the viscous layer and the logarithmic law meet, in wall units.
constexpr double viscous_layer = 11.06;
/// Production beyond this many times the dissipation is an artefact of stagnation (Menter 1994).
constexpr double most_production = 10.0;
constexpr double least_k_m2_per_s2 = 1e-8, least_dissipation_m2_per_s3 = 1e-10;
constexpr double carried_relaxation = 0.8;

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
      walls_{problem.lattice.face_zeros(), problem.lattice.zeros()},
      sides_(problem.lattice.face_zeros()),
      no_shear_(problem.lattice.face_zeros()),
      centre_speed_m_per_s_(problem.lattice.face_zeros()),
      k_made_(problem.lattice.zeros()),
      k_loss_(problem.lattice.zeros()),
      dissipation_made_(problem.lattice.zeros()),
      dissipation_loss_(problem.lattice.zeros()) {
  const Lattice& g = problem.lattice;
  for (std::size_t c = g.first; c < g.last; ++c) {
    if (g.air[c] == 0.0) continue;
    double beside = 0.0;
    for (std::size_t b = 0; b < 3; ++b) {
      const double walls = (1.0 - g.open[b][c]) + (1.0 - g.open[b][c + g.stride[b]]);
      no_shear_[b][c] = walls > 0.0 ? 1.0 : 0.0;
      if (b < 2 && problem.slick[b]) continue;
      sides_[b][c] = walls;
      beside += walls;
    }
    if (beside > 0.0) wall_cells_.push_back(c);
  }
  for (const std::size_t c : wall_cells_) {
    double nearest_m = std::numeric_limits<double>::max();
    for (std::size_t b = 0; b < 3; ++b)
      if (sides_[b][c] > 0.0) nearest_m = std::min(nearest_m, 0.5 * g.step_m[b]);
    nearest_m_.push_back(nearest_m);
  }
  slope_.assign(wall_cells_.size(), viscous_layer);
  friction_m_per_s_.assign(wall_cells_.size(), 0.0);
}

void KEpsilon::start(FlowState& state) const {
  const Lattice& g = problem_.lattice;
  double fastest = 0.0;
  for (const MouthFace& mouth : problem_.mouths)
    fastest = std::fmax(fastest, std::fabs(mouth.speed_m_per_s));
  const double volume = even_sum(g, [&](std::size_t c) { return g.air[c] * g.cell_m3; });
  double thrust = 0.0;
  for (const Values& force : problem_.force_m4_per_s2)
    for (std::size_t c = g.first; c < g.last; ++c) thrust += std::fabs(force[c]);
  // Warm air rises as fast as (g beta Q H)^(1/3) (Deardorff 1970).
  const Values& source = problem_.heat.source_K_m3_per_s;
  const double heat_K_m3_per_s =
      source.empty() ? 0.0 : even_sum(g, [&](std::size_t c) { return std::max(0.0, source[c]); });
  const double lift_m3_per_s3 =
      heat_K_m3_per_s * gravity_m_per_s2 * problem_.heat.expansion_1_per_K / std::cbrt(volume);
  const double guess_m_per_s =
      0.1 * fastest + std::sqrt(thrust / std::pow(volume, 2.0 / 3.0)) + std::cbrt(lift_m3_per_s3);
  // A guess need not tell in which order the thrust was added up.
  constexpr double steps = 1e6;
  const double scale_m_per_s = std::max(0.05, std::round(steps * guess_m_per_s) / steps);
  const double k = 0.02 * scale_m_per_s * scale_m_per_s, length_m = 0.05 * std::cbrt(volume);
  for (std::size_t c = g.first; c < g.last; ++c) {
    state.k_m2_per_s2[c] = g.air[c] * k;
    state.dissipation_m2_per_s3[c] =
        g.air[c] * std::pow(eddy_coefficient, 0.75) * k * std::sqrt(k) / length_m;
  }
}

MISTWRIGHT_WIDE
void KEpsilon::centre_speeds(const FlowState& state) {
  const Lattice& g = problem_.lattice;
  const std::size_t first = g.first, last = g.last;
  for (std::size_t a = 0; a < 3; ++a) {
    const double* v = state.speed_m_per_s[a].data();
    double* centre = centre_speed_m_per_s_[a].data();
    const std::size_t s = g.stride[a];
#pragma omp simd
    for (std::size_t c = first; c < last; ++c) centre[c] = 0.5 * (v[c] + v[c + s]);
  }
}

/// What shear makes of both quantities and how fast they are eaten, away from walls. Shear is
/// twice the squared strain rate at cell centres, from speeds at centres beside it.
MISTWRIGHT_WIDE
void KEpsilon::make_and_eat(const FlowState& state) {
  const Lattice& g = problem_.lattice;
  const std::size_t sx = g.stride[0], sy = g.stride[1], sz = g.stride[2];
  const std::size_t first = g.first, last = g.last;
  const double *u = state.speed_m_per_s[0].data(), *v = state.speed_m_per_s[1].data(),
               *w = state.speed_m_per_s[2].data();
  const double *uc = centre_speed_m_per_s_[0].data(), *vc = centre_speed_m_per_s_[1].data(),
               *wc = centre_speed_m_per_s_[2].data();
  const double *by_x = no_shear_[0].data(), *by_y = no_shear_[1].data(),
               *by_z = no_shear_[2].data();
  const double *viscosity = state.viscosity_m2_per_s.data(), *k = state.k_m2_per_s2.data(),
               *eps = state.dissipation_m2_per_s3.data();
  double *k_made = k_made_.data(), *k_loss = k_loss_.data(), *eps_made = dissipation_made_.data(),
         *eps_loss = dissipation_loss_.data();
  const double laminar = problem_.viscosity_m2_per_s, cell_m3 = g.cell_m3;
  const double per_x = 1.0 / g.step_m[0], per_y = 1.0 / g.step_m[1], per_z = 1.0 / g.step_m[2];
  const double half_x = 0.5 * per_x, half_y = 0.5 * per_y, half_z = 0.5 * per_z;
#pragma omp simd
  for (std::size_t c = first; c < last; ++c) {
    const double xx = (u[c + sx] - u[c]) * per_x, yy = (v[c + sy] - v[c]) * per_y,
                 zz = (w[c + sz] - w[c]) * per_z;
    // Beside a wall the logarithmic law takes this part over; beside a slick one there is none.
    const double to_x = by_x[c] > 0.0 ? 0.0 : half_x, to_y = by_y[c] > 0.0 ? 0.0 : half_y,
                 to_z = by_z[c] > 0.0 ? 0.0 : half_z;
    const double xy = (uc[c + sy] - uc[c - sy]) * to_y + (vc[c + sx] - vc[c - sx]) * to_x;
    const double xz = (uc[c + sz] - uc[c - sz]) * to_z + (wc[c + sx] - wc[c - sx]) * to_x;
    const double yz = (vc[c + sz] - vc[c - sz]) * to_z + (wc[c + sy] - wc[c - sy]) * to_y;
    const double shear_1_per_s2 =
        2.0 * (xx * xx + yy * yy + zz * zz) + ((xy * xy + xz * xz) + yz * yz);
    const double eddy = viscosity[c] - laminar;
    const double wanted = (eddy > 0.0 ? eddy : 0.0) * shear_1_per_s2;
    const double most = most_production * eps[c];
    const double made_m5_per_s3 = cell_m3 * (wanted < most ? wanted : most);
    const double rate = eps[c] / (k[c] > least_k_m2_per_s2 ? k[c] : least_k_m2_per_s2);
    k_made[c] = made_m5_per_s3;
    k_loss[c] = cell_m3 * rate;
    eps_made[c] = makes * made_m5_per_s3 * rate;
    eps_loss[c] = cell_m3 * eats * rate;
  }
}

/// Drag of walls by the logarithmic law, or by viscosity where they are near.
void KEpsilon::near_walls(const FlowState& state) {
  const Lattice& g = problem_.lattice;
  const double nu = problem_.viscosity_m2_per_s;
  for (std::size_t w = 0; w < wall_cells_.size(); ++w) {
    const std::size_t c = wall_cells_[w];
    const double friction =
        problem_.turbulent ? root4_of_eddy * std::sqrt(state.k_m2_per_s2[c]) : 0.0;
    friction_m_per_s_[w] = friction;
    std::array<double, 3> across{};
    for (std::size_t b = 0; b < 3; ++b) {
      if (sides_[b][c] == 0.0) continue;
      const double away_m = 0.5 * g.step_m[b];
      const double units = friction * away_m / nu;
      double pull_m_per_s = nu / away_m, slope = viscous_layer;
      if (units > viscous_layer) {
        slope = std::log(wall_roughness * units) / karman_coefficient;
        pull_m_per_s = friction / slope;
      }
      if (away_m == nearest_m_[w]) slope_[w] = slope;
      across[b] = sides_[b][c] * g.face_m2[b] * pull_m_per_s;
    }
    for (std::size_t a = 0; a < 3; ++a)
      walls_.along_m3_per_s[a][c] = across[(a + 1) % 3] + across[(a + 2) % 3];
    walls_.flat_m3_per_s[c] = across[2];
  }
}

/// What the wall's drag makes of k beside it, and how fast the logarithmic law lets it be eaten.
void KEpsilon::by_walls(const FlowState& state) {
  const Lattice& g = problem_.lattice;
  for (std::size_t w = 0; w < wall_cells_.size(); ++w) {
    const std::size_t c = wall_cells_[w];
    double made = 0.0;
    for (std::size_t a = 0; a < 3; ++a)
      made +=
          walls_.along_m3_per_s[a][c] * (centre_speed_m_per_s_[a][c] * centre_speed_m_per_s_[a][c]);
    k_made_[c] += made;
    const double k = state.k_m2_per_s2[c], friction = friction_m_per_s_[w];
    k_loss_[c] = g.cell_m3 * friction * friction * friction * slope_[w] /
                 (2.0 * nearest_m_[w] * std::max(k, least_k_m2_per_s2));
  }
}

/// Beside walls epsilon is held: this outweighs whatever passes through the cell's sides.
void KEpsilon::hold_by_walls(const FlowState& state) {
  constexpr double held_m3_per_s = 1e6;
  for (std::size_t w = 0; w < wall_cells_.size(); ++w) {
    const std::size_t c = wall_cells_[w];
    const double friction = root4_of_eddy * std::sqrt(state.k_m2_per_s2[c]);
    dissipation_loss_[c] = held_m3_per_s;
    dissipation_made_[c] =
        held_m3_per_s * friction * friction * friction / (karman_coefficient * nearest_m_[w]);
  }
}

/// Adds what mouths bring in.
void KEpsilon::bring_in(const FlowState& state) {
  const Lattice& g = problem_.lattice;
  for (const MouthFace& mouth : problem_.mouths) {
    const bool lower = g.air[mouth.face] > 0.0;
    const std::size_t cell = lower ? mouth.face : mouth.face - g.stride[mouth.axis];
    const double speed = state.speed_m_per_s[mouth.axis][mouth.face];
    const double inflow_m3_per_s = std::max(lower ? speed : -speed, 0.0) * g.face_m2[mouth.axis];
    k_made_[cell] += inflow_m3_per_s * mouth.k_m2_per_s2;
    dissipation_made_[cell] += inflow_m3_per_s * mouth.dissipation_m2_per_s3;
  }
}

/// Eddy viscosity, of quantities that do not fall below the least.
MISTWRIGHT_WIDE
void KEpsilon::mix(FlowState& state) const {
  const std::size_t first = problem_.lattice.first, last = problem_.lattice.last;
  const double* air = problem_.lattice.air.data();
  double *k = state.k_m2_per_s2.data(), *eps = state.dissipation_m2_per_s3.data(),
         *viscosity = state.viscosity_m2_per_s.data();
  const double laminar = problem_.viscosity_m2_per_s;
#pragma omp simd
  for (std::size_t c = first; c < last; ++c) {
    const double energy = k[c] > least_k_m2_per_s2 ? k[c] : least_k_m2_per_s2;
    const double rate = eps[c] > least_dissipation_m2_per_s3 ? eps[c] : least_dissipation_m2_per_s3;
    k[c] = air[c] * energy;
    eps[c] = air[c] * rate;
    viscosity[c] = air[c] * (laminar + eddy_coefficient * energy * energy / rate);
  }
}

void KEpsilon::refresh(FlowState& state) {
  if (problem_.turbulent) {
    mix(state);
  } else {
    for (std::size_t c = problem_.lattice.first; c < problem_.lattice.last; ++c)
      state.viscosity_m2_per_s[c] = problem_.lattice.air[c] * problem_.viscosity_m2_per_s;
  }
  near_walls(state);
}

void KEpsilon::step(FlowState& state) {
  const double nu = problem_.viscosity_m2_per_s;
  centre_speeds(state);
  make_and_eat(state);
  by_walls(state);
  bring_in(state);
  carried_.set(state, nu, k_prandtl);
  carried_.sweep({k_made_, k_loss_}, carried_relaxation, state.k_m2_per_s2);
  hold_by_walls(state);
  carried_.spread(nu, dissipation_prandtl);
  carried_.sweep({dissipation_made_, dissipation_loss_}, carried_relaxation,
                 state.dissipation_m2_per_s3);
  refresh(state);
}

}  // namespace mistwright::flow
