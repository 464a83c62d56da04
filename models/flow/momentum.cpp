#include "models/flow/momentum.h"

#include <algorithm>
#include <cmath>

#include "models/flow/quick.h"
#include "models/units.h"

namespace mistwright::flow {
namespace {

constexpr int sweeps = 4;

}  // namespace

Momentum::Momentum(const FlowCase& problem)
    : problem_(problem),
      diffusion_(problem.lattice.face_zeros()),
      neighbour_{problem.lattice.face_zeros(), problem.lattice.face_zeros()},
      flow_(problem.lattice.face_zeros()),
      centre_(problem.lattice.zeros()),
      source_(problem.lattice.zeros()),
      spare_(problem.lattice.zeros()),
      response_(problem.lattice.face_zeros()) {}

/// Conductances between neighbouring speeds, and what walls and leaves take.
void Momentum::diffuse(std::size_t axis, const FlowState& now, const WallDrag& walls) {
  const Lattice& g = problem_.lattice;
  const std::size_t s = g.stride[axis];
  const double* nu = now.viscosity_m2_per_s.data();
  std::fill(centre_.begin(), centre_.end(), 0.0);
  std::fill(source_.begin(), source_.end(), 0.0);
  for (std::size_t b = 0; b < 3; ++b) {
    const std::size_t t = g.stride[b];
    double *low = neighbour_[0][b].data(), *high = neighbour_[1][b].data();
    if (b == axis) {
      const double per_nu = g.face_m2[b] / g.step_m[b];
      for (std::size_t c = g.first; c < g.last; ++c) {
        low[c] = per_nu * nu[c - s];
        high[c] = per_nu * nu[c];
      }
      continue;
    }
    const double* open = g.open[b].data();
    double* face = diffusion_[b].data();
    const double per_nu = 0.5 * g.face_m2[b] / g.step_m[b];
    for (std::size_t c = g.first - s; c < g.last + t; ++c)
      face[c] = open[c] * per_nu * (nu[c] + nu[c - t]);
    const double* wall = walls.conductance_m3_per_s[b].data();
    for (std::size_t c = g.first; c < g.last; ++c) {
      low[c] = 0.5 * (face[c] + face[c - s]);
      high[c] = 0.5 * (face[c + t] + face[c + t - s]);
      centre_[c] += 0.5 * (wall[c] + wall[c - s]);
    }
  }
}

/// Air carried through the sides of the control volumes, upwind.
void Momentum::carry(std::size_t axis, const FlowState& now) {
  const Lattice& g = problem_.lattice;
  const std::size_t s = g.stride[axis];
  for (std::size_t b = 0; b < 3; ++b) {
    const std::size_t t = g.stride[b];
    const double* v = now.speed_m_per_s[b].data();
    double* flow = flow_[b].data();
    const double half_m2 = 0.5 * g.face_m2[b];
    // The lower side along the own axis is the centre of the cell below.
    const std::size_t back = b == axis ? t : s;
    for (std::size_t c = g.first; c < g.last + t; ++c) flow[c] = half_m2 * (v[c] + v[c - back]);
    double *low = neighbour_[0][b].data(), *high = neighbour_[1][b].data();
    for (std::size_t c = g.first; c < g.last; ++c) {
      low[c] += std::max(flow[c], 0.0);
      high[c] += std::max(-flow[c + t], 0.0);
    }
  }
}

/// What lies farther upstream than a sheet says nothing of the air before it.
void Momentum::blunt_beside_sheets(std::size_t axis, std::size_t b, Values& extra) const {
  const Lattice& g = problem_.lattice;
  const std::size_t s = g.stride[axis], t = g.stride[b];
  for (const std::size_t face : g.shut[b]) {
    if (axis == b)
      extra[face] = extra[face + t] = 0.0;
    else
      for (const std::size_t beside : {face - t, face + t}) extra[beside] = extra[beside + s] = 0.0;
  }
}

void Momentum::sharpen(std::size_t axis, const FlowState& now) {
  if (problem_.sharpness_fraction == 0.0) return;
  const Lattice& g = problem_.lattice;
  const double* u = now.speed_m_per_s[axis].data();
  const double* known = g.known[axis].data();
  const double* open = g.open[axis].data();
  double* extra = spare_.data();
  for (std::size_t b = 0; b < 3; ++b) {
    const std::size_t t = g.stride[b];
    const double* flow = flow_[b].data();
    // Across the own axis walls and mouths are known speeds in their place; beside it they lie
    // half a cell away, and only open faces count.
    const double* there = b == axis ? known : open;
    for (std::size_t c = g.first; c < g.last + t; ++c) {
      const double forward =
          std::max(flow[c], 0.0) * sharper({u[c - t], u[c], u[c - 2 * t], there[c - 2 * t]});
      const double backward =
          std::min(flow[c], 0.0) * sharper({u[c], u[c - t], u[c + t], there[c + t]});
      extra[c] = there[c] * there[c - t] * (forward + backward);
    }
    blunt_beside_sheets(axis, b, spare_);
    for (std::size_t c = g.first; c < g.last; ++c)
      source_[c] += problem_.sharpness_fraction * (extra[c] - extra[c + t]);
  }
}

/// Pressure, buoyancy, thrust, the drag of leaves and air that leaks in at rest.
void Momentum::force(std::size_t axis, const FlowState& now) {
  const Lattice& g = problem_.lattice;
  const std::size_t s = g.stride[axis];
  const double* p = now.pressure_m2_per_s2.data();
  const double* thrust = problem_.force_m4_per_s2[axis].data();
  const double* leak = problem_.leak_in_m3_per_s.data();
  const double area = g.face_m2[axis];
  for (std::size_t c = g.first; c < g.last; ++c) {
    source_[c] += area * (p[c - s] - p[c]) + thrust[c];
    centre_[c] += 0.5 * (std::max(leak[c], 0.0) + std::max(leak[c - s], 0.0));
  }
  const double* drag = problem_.drag_m2.data();
  const auto& v = now.speed_m_per_s;
  const auto held = [&](std::size_t c) {
    const auto [sx, sy, sz] = g.stride;
    const double x = 0.5 * (v[0][c] + v[0][c + sx]), y = 0.5 * (v[1][c] + v[1][c + sy]),
                 z = 0.5 * (v[2][c] + v[2][c + sz]);
    return 0.5 * drag[c] * std::sqrt(x * x + y * y + z * z);
  };
  for (std::size_t c = g.first; c < g.last; ++c)
    if (drag[c] + drag[c - s] > 0.0) centre_[c] += held(c) + held(c - s);
  if (axis == 2 && problem_.heat.expansion_1_per_K > 0.0) {
    const double lift = 0.5 * gravity_m_per_s2 * problem_.heat.expansion_1_per_K * g.cell_m3;
    for (std::size_t c = g.first; c < g.last; ++c)
      source_[c] += lift * (now.warmth_K[c] + now.warmth_K[c - s]);
  }
}

void Momentum::sweep(std::size_t axis, Values& speed) {
  const Lattice& g = problem_.lattice;
  const auto [sx, sy, sz] = g.stride;
  const double* open = g.open[axis].data();
  const double *lx = neighbour_[0][0].data(), *hx = neighbour_[1][0].data(),
               *ly = neighbour_[0][1].data(), *hy = neighbour_[1][1].data(),
               *lz = neighbour_[0][2].data(), *hz = neighbour_[1][2].data();
  double* response = response_[axis].data();
  double* inverse = centre_.data();
  const double* was = speed.data();
  const double area = g.face_m2[axis];
  for (std::size_t c = g.first; c < g.last; ++c) {
    const double others = (lx[c] + hx[c]) + (ly[c] + hy[c]) + (lz[c] + hz[c]);
    const double whole = (others + inverse[c]) / relaxation_factor_;
    source_[c] += (1.0 - relaxation_factor_) * whole * was[c];
    response[c] = open[c] > 0.0 ? area / (whole - others) : 0.0;
    inverse[c] = open[c] > 0.0 ? 1.0 / whole : 0.0;
  }
  double* next = spare_.data();
  for (int round = 0; round < sweeps; ++round) {
    const double* u = speed.data();
    for (std::size_t c = g.first; c < g.last; ++c)
      next[c] = (source_[c] + ((lx[c] * u[c - sx] + hx[c] * u[c + sx]) +
                               (ly[c] * u[c - sy] + hy[c] * u[c + sy]) +
                               (lz[c] * u[c - sz] + hz[c] * u[c + sz]))) *
                inverse[c];
    double* to = speed.data();
    for (std::size_t c = g.first; c < g.last; ++c) to[c] = open[c] > 0.0 ? next[c] : to[c];
  }
}

void Momentum::step(std::size_t axis, const FlowState& now, const WallDrag& walls,
                    FaceValues& next) {
  diffuse(axis, now, walls);
  carry(axis, now);
  sharpen(axis, now);
  force(axis, now);
  if (axis == 0 && problem_.lid_speed_m_per_s != 0.0) {
    const Lattice& g = problem_.lattice;
    const Values& wall = walls.conductance_m3_per_s[2];
    for (std::size_t j = 0; j < g.cells[1]; ++j)
      for (std::size_t i = 1; i < g.cells[0]; ++i) {
        const std::size_t c = g.at(i, j, g.cells[2] - 1);
        source_[c] += 0.5 * (wall[c] + wall[c - 1]) * problem_.lid_speed_m_per_s;
      }
  }
  sweep(axis, next[axis]);
}

}  // namespace mistwright::flow
