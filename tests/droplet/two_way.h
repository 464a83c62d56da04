#pragma once
// A spray and its air, each driving the other until both stand still: what the induced air of
// entrainment.h stands in for. Drops fly through the mean air as it is and give it the momentum
// that drag takes from them, cell by cell; Reynolds' equations move the air under that force and
// the drops fly again (particle-source-in-cell method, Crowe, Sharma and Stock 1977, J. Fluids Eng.
// 99:325, from memory). Drops do not dry: cooled air that sinks is left out, as are drops that
// meet.
#include <algorithm>
#include <array>
#include <cmath>
#include <utility>
#include <vector>

#include "models/droplet/drag.h"
#include "models/droplet/entrainment.h"
#include "models/droplet/launch_directions.h"
#include "models/droplet/motion.h"
#include "models/droplet/spectrum.h"
#include "models/flow/enclosure.h"
#include "models/flow/house_case.h"
#include "models/flow/k_epsilon.h"
#include "models/flow/momentum_field.h"
#include "models/flow/regime_field.h"
#include "models/flow/steady_flow.h"
#include "models/flow/turbulence.h"
#include "models/units.h"

namespace mistwright::test {

/// The field of a flow, with the turbulence that solve_field() gives drops: the model's own over
/// the floor that thermal convection keeps up.
inline flow::RegimeField field_of(const flow::Enclosure& house, const flow::Grid& grid,
                                  const flow::HouseFlow& air) {
  flow::RegimeField field;
  field.grid = grid;
  const flow::Lattice& g = air.problem.lattice;
  field.u_m_per_s = g.gather_faces(grid, air.state.speed_m_per_s[0], 0);
  field.v_m_per_s = g.gather_faces(grid, air.state.speed_m_per_s[1], 1);
  field.w_m_per_s = g.gather_faces(grid, air.state.speed_m_per_s[2], 2);
  const double floor_m_per_s = flow::FieldOptions{}.background_turbulence_m_per_s;
  const double floor_s =
      flow::lagrangian_timescale_s(flow::room_mixing_length_m(house.ridge_height_m), floor_m_per_s);
  field.sigma_m_per_s.assign(grid.cells(), floor_m_per_s);
  field.timescale_s.assign(grid.cells(), floor_s);
  field.leak_in_m3_per_s.assign(grid.cells(), 0.0);
  for (std::size_t cell = 0; cell < grid.cells(); ++cell) {
    if (grid.fluid[cell] == 0) continue;
    const std::size_t c = g.of(grid, cell);
    const double k = air.state.k_m2_per_s2[c], rms = flow::rms_m_per_s(k);
    const double sigma = std::hypot(floor_m_per_s, rms);
    field.sigma_m_per_s[cell] = sigma;
    field.timescale_s[cell] =
        (rms * rms * flow::eddy_timescale_s(k, air.state.dissipation_m2_per_s3[c]) +
         floor_m_per_s * floor_m_per_s * floor_s) /
        (sigma * sigma);
  }
  return field;
}

/// The part of a house in which a spray is solved: planes of symmetry through the head stand at
/// the zero of a mirrored axis.
struct Part {
  flow::Enclosure house;
  flow::Grid grid;
  std::vector<flow::PortFlow> ports = {};
  std::array<bool, 2> mirrored = {false, false};

  /// Share of the head's spray that flies here.
  [[nodiscard]] double share_fraction() const {
    return (mirrored[0] ? 0.5 : 1.0) * (mirrored[1] ? 0.5 : 1.0);
  }
};

/// What one head sends out: drops of each size in each direction.
struct Spray {
  water::HeadType head;
  droplet::Launch launch;  ///< without induced air
  droplet::SizeClasses classes = droplet::size_classes(24);
  std::vector<double> volume = {};  ///< share of each class

  /// Water over the density of air [m3/s].
  [[nodiscard]] double flow_m3_per_s(const droplet::DragAir& air) const {
    return water::head_flow_m3_per_s(head, head.rated_pressure_Pa) * water_density_kg_per_m3 /
           air.density_kg_per_m3;
  }
};

/// Adds what drops give to the air to the open faces about where they are.
struct Given {
  const flow::Lattice& lattice;
  flow::FaceValues force_m4_per_s2 = lattice.face_zeros();

  void add(const std::array<double, 3>& at_m, const std::array<double, 3>& momentum) {
    for (std::size_t axis = 0; axis < 3; ++axis) {
      if (momentum[axis] == 0.0) continue;
      std::size_t corner = 0;
      std::array<double, 3> high{};
      for (std::size_t d = 0; d < 3; ++d) {
        // Beside a wall the nearest cell takes all, so that none is lost in it.
        const auto last = static_cast<double>(lattice.cells[d] - 1);
        const double wished = at_m[d] / lattice.step_m[d] - (d == axis ? 0.0 : 0.5);
        const double s =
            d == axis ? std::clamp(wished, 0.0, last + 1.0) : std::clamp(wished, 0.0, last);
        const double low = std::floor(s);
        corner += static_cast<std::size_t>(low + static_cast<double>(flow::Lattice::margin)) *
                  lattice.stride[d];
        high[d] = s - low;
      }
      for (unsigned which = 0; which < 8; ++which) {
        std::size_t c = corner;
        double share = momentum[axis];
        for (std::size_t d = 0; d < 3; ++d) {
          const bool upper = (which >> d & 1U) != 0;
          if (upper) c += lattice.stride[d];
          share *= upper ? high[d] : 1.0 - high[d];
        }
        force_m4_per_s2[axis][c] += share * lattice.open[axis][c];
      }
    }
  }
};

/// A drop on its way through the mean air.
struct FlyingDrop {
  std::array<double, 3> at_m, v_m_per_s;
  double diameter_m = 0.0, age_s = 0.0;
};

/// What all drops of a flight share.
struct Flight {
  const Part& part;
  const flow::RegimeField& field;
  droplet::Motion motion{droplet::reference_air};
  double plane_m = 0.0;  ///< height at which the throw is measured
};

/// One step of a drop; the air gets what drag takes and what holds the drop's weight.
/// @return momentum given, for a unit of water
inline std::array<double, 3> step(const Flight& flight, FlyingDrop& drop) {
  const droplet::Motion& motion = flight.motion;
  const flow::Grid& grid = flight.field.grid;
  const flow::AirSample s = flight.field.sample(drop.at_m[0], drop.at_m[1], drop.at_m[2]);
  const std::array<double, 3> air = {s.u_m_per_s, s.v_m_per_s, s.w_m_per_s};
  std::array<double, 3> off{};
  for (std::size_t d = 0; d < 3; ++d) off[d] = drop.v_m_per_s[d] - air[d];
  const double relative = std::hypot(off[0], off[1], off[2]);
  const double rate =
      motion.drag_rate_per_s(drop.diameter_m, droplet::slip_factor(drop.diameter_m, motion.air),
                             motion.reynolds_s_per_m2 * drop.diameter_m * relative);
  const double sink = motion.weight_m_per_s2 / rate;
  double dt = std::min({grid.dx_m / std::max(std::fabs(drop.v_m_per_s[0]), 1e-3),
                        grid.dy_m / std::max(std::fabs(drop.v_m_per_s[1]), 1e-3),
                        grid.dz_m / std::max(std::fabs(drop.v_m_per_s[2]), 1e-3), 1.0});
  dt *= 0.5;
  if (relative > 1.2 * sink) dt = std::min(dt, 0.2 / rate);
  const droplet::Relaxation relax = droplet::Relaxation::over(dt, rate);
  off[2] += sink;
  std::array<double, 3> given{};
  for (std::size_t d = 0; d < 3; ++d) {
    const double drift = air[d] - (d == 2 ? sink : 0.0);
    const double v = drift + off[d] * relax.decay_factor;
    drop.at_m[d] += drift * dt + off[d] * relax.reach_s;
    given[d] = drop.v_m_per_s[d] - v - (d == 2 ? motion.weight_m_per_s2 * dt : 0.0);
    drop.v_m_per_s[d] = v;
    if (d < 2 && flight.part.mirrored[d] && drop.at_m[d] < 0.0) {
      drop.at_m[d] = -drop.at_m[d];
      drop.v_m_per_s[d] = -drop.v_m_per_s[d];
    }
  }
  drop.age_s += dt;
  return given;
}

/// Flies one drop until it meets a surface or has flown for a minute.
/// @param flow_m3_per_s  of such drops, over the density of air
/// @return how far from the head's upright it passes the plane of the throw; below zero if not
inline double fly(const Flight& flight, FlyingDrop drop, const droplet::Launch& from,
                  double flow_m3_per_s, Given& given) {
  constexpr double longest_s = 60.0;
  const flow::Enclosure& house = flight.part.house;
  const flow::Grid& grid = flight.field.grid;
  double radius_m = -1.0;
  while (drop.age_s < longest_s) {
    const std::array<double, 3> before = drop.at_m;
    std::array<double, 3> momentum = step(flight, drop);
    const std::array<double, 3>& to = drop.at_m;
    std::array<double, 3> middle{};
    for (std::size_t d = 0; d < 3; ++d) {
      momentum[d] *= flow_m3_per_s;
      middle[d] = 0.5 * (before[d] + to[d]);
    }
    given.add(middle, momentum);
    if (radius_m < 0.0 && to[2] < flight.plane_m)
      radius_m = std::hypot(to[0] - from.x_m, to[1] - from.y_m);
    const bool outside = to[0] <= 0.0 || to[0] >= house.length_m || to[1] <= 0.0 ||
                         to[1] >= house.width_m || to[2] <= 0.0 ||
                         to[2] >= house.roof_height_m(to[1]);
    if (outside || grid.fluid[grid.cell_at(to[0], to[1], to[2])] == 0) break;
  }
  return radius_m;
}

/// What all the water of a head does to the air each second, and how far it is thrown.
struct Thrown {
  flow::FaceValues force_m4_per_s2;  ///< over the density of air
  double reach_m = 0.0;              ///< radius that holds 95 % of what passes the plane
};

inline Thrown thrown(const Part& part, const flow::RegimeField& field, const flow::Lattice& lattice,
                     const Spray& spray) {
  constexpr int turns = 16, slices = 5;
  const Flight flight{part, field, droplet::Motion(droplet::reference_air),
                      spray.launch.z_m - spray.head.wetted_height_m};
  Given given{lattice};
  const double each = part.share_fraction() / (turns * slices);
  std::vector<std::pair<double, double>> rings;
  double landed = 0.0;
  for (std::size_t k = 0; k < spray.classes.count(); ++k) {
    if (spray.volume[k] < 1e-3) continue;
    for (int n = 0; n < turns * slices; ++n) {
      const droplet::Velocity v = droplet::launch_velocity(
          spray.launch,
          {(n % turns + 0.5) / turns * part.share_fraction(), (n / turns + 0.5) / slices});
      const FlyingDrop drop{{spray.launch.x_m, spray.launch.y_m, spray.launch.z_m},
                            {v.u_m_per_s, v.v_m_per_s, v.w_m_per_s},
                            spray.classes.diameter_m[k]};
      const double share = each * spray.volume[k];
      const double radius_m =
          fly(flight, drop, spray.launch, spray.flow_m3_per_s(flight.motion.air) * share, given);
      if (radius_m < 0.0) continue;
      rings.emplace_back(radius_m, share);
      landed += share;
    }
  }
  std::sort(rings.begin(), rings.end());
  double held = 0.0, reach_m = 0.0;
  for (const auto& [radius_m, share] : rings) {
    if (held >= 0.95 * landed) break;
    held += share;
    reach_m = radius_m;
  }
  return {given.force_m4_per_s2, reach_m};
}

/// As houses are solved.
inline flow::HouseTerms terms_of(const Part& part) {
  flow::HouseTerms terms;
  terms.sharpness_fraction = 0.5;
  terms.slick = part.mirrored;
  return terms;
}

/// The air before the head sprays.
inline flow::RegimeField undisturbed_field(const Part& part) {
  flow::HouseFlow air = flow::house_flow(part.house, part.grid, part.ports, terms_of(part));
  flow::cold_start(air.problem, air.state);
  if (!part.ports.empty())
    flow::settle(air.problem, {.iteration_cap = 250, .rest_fraction = 1e-4}, air.state);
  return field_of(part.house, part.grid, air);
}

struct TwoWayOptions {
  int rounds = 12;              ///< of drops and air
  int iterations = 30;          ///< of the air in a round
  double taken_fraction = 0.5;  ///< of the new force in a round
};

struct TwoWayAir {
  flow::RegimeField field;
  double last_change_ratio = 0.0;  ///< of the force in the last round, mean over mean
  double reach_m = 0.0;
};

/// Lets a spray and its air drive each other.
inline TwoWayAir two_way_air(const Part& part, const Spray& spray, const TwoWayOptions& options) {
  flow::HouseFlow air = flow::house_flow(part.house, part.grid, part.ports, terms_of(part));
  flow::cold_start(air.problem, air.state);
  const flow::FaceValues own = air.problem.force_m4_per_s2;
  flow::FaceValues force = air.problem.lattice.face_zeros();
  TwoWayAir result;
  for (int round = 0; round < options.rounds; ++round) {
    const Thrown now =
        thrown(part, field_of(part.house, part.grid, air), air.problem.lattice, spray);
    const double taken = round == 0 ? 1.0 : options.taken_fraction;
    double change = 0.0, sum = 0.0;
    for (std::size_t axis = 0; axis < 3; ++axis)
      for (std::size_t c = 0; c < force[axis].size(); ++c) {
        const double more = now.force_m4_per_s2[axis][c] - force[axis][c];
        force[axis][c] += taken * more;
        change += std::fabs(more);
        sum += std::fabs(now.force_m4_per_s2[axis][c]);
        air.problem.force_m4_per_s2[axis][c] = own[axis][c] + force[axis][c];
      }
    result.last_change_ratio = change / sum;
    result.reach_m = now.reach_m;
    if (round == 0) flow::cold_start(air.problem, air.state);
    flow::settle(air.problem, {.iteration_cap = options.iterations, .rest_fraction = 1e-5},
                 air.state);
  }
  result.field = field_of(part.house, part.grid, air);
  return result;
}

/// Values of a part on the grid of the whole house, mirrored across an axis at the part's zero.
inline flow::RegimeField unfolded(const flow::RegimeField& half, std::size_t axis) {
  flow::RegimeField whole;
  const flow::Grid& g = half.grid;
  flow::Grid& to = whole.grid = g;
  const std::size_t count = axis == 0 ? g.nx : g.ny;
  (axis == 0 ? to.nx : to.ny) = 2 * count;
  const auto fold = [&](std::size_t at) { return at < count ? count - 1 - at : at - count; };
  const auto fold_face = [&](std::size_t at) { return at < count ? count - at : at - count; };
  to.fluid.resize(to.cells());
  for (auto* list : {&whole.sigma_m_per_s, &whole.timescale_s, &whole.leak_in_m3_per_s})
    list->resize(to.cells());
  for (std::size_t cell = 0; cell < to.cells(); ++cell) {
    auto [i, j, k] = to.place(cell);
    (axis == 0 ? i : j) = fold(axis == 0 ? i : j);
    const std::size_t from = g.cell(i, j, k);
    to.fluid[cell] = g.fluid[from];
    whole.sigma_m_per_s[cell] = half.sigma_m_per_s[from];
    whole.timescale_s[cell] = half.timescale_s[from];
  }
  whole.u_m_per_s.resize(to.u_faces());
  whole.v_m_per_s.resize(to.v_faces());
  whole.w_m_per_s.resize(to.w_faces());
  for (std::size_t k = 0; k <= to.nz; ++k)
    for (std::size_t j = 0; j <= to.ny; ++j)
      for (std::size_t i = 0; i <= to.nx; ++i) {
        const std::size_t ci = axis == 0 && i < to.nx ? fold(i) : i;
        const std::size_t cj = axis == 1 && j < to.ny ? fold(j) : j;
        const double sign = (axis == 0 ? i : j) < count ? -1.0 : 1.0;
        if (j < to.ny && k < to.nz)
          whole.u_m_per_s[to.u_face(i, j, k)] =
              axis == 0 ? sign * half.u_m_per_s[g.u_face(fold_face(i), j, k)]
                        : half.u_m_per_s[g.u_face(i, cj, k)];
        if (i < to.nx && k < to.nz)
          whole.v_m_per_s[to.v_face(i, j, k)] =
              axis == 1 ? sign * half.v_m_per_s[g.v_face(i, fold_face(j), k)]
                        : half.v_m_per_s[g.v_face(ci, j, k)];
        if (i < to.nx && j < to.ny)
          whole.w_m_per_s[to.w_face(i, j, k)] = half.w_m_per_s[g.w_face(ci, cj, k)];
      }
  return whole;
}

}  // namespace mistwright::test
