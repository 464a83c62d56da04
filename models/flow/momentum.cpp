#include "models/flow/momentum.h"

#include <algorithm>
#include <cmath>

#include "models/flow/quick.h"
#include "models/flow/wide.h"
#include "models/units.h"

namespace mistwright::flow {
namespace {

constexpr double relaxation = 0.9;
/// Cells whose faces are passed at a time, so that the first round finds them in the nearest cache.
constexpr std::size_t piece_size = 256;

/// What passes one side of the control volumes about the faces across an axis, and on what terms.
struct Passage {
  const double *flow_low, *flow_high;      ///< speeds whose mean passes it
  const double *spread_low, *spread_high;  ///< conductances that add up on it
  const double *speed, *there;  ///< what is carried, and 1 where it may be used for QUICK
  std::size_t next;             ///< distance to the neighbour beyond the side
  double half_m2, spread_factor, sharpness_fraction;
};

/// @param below,above  what the two neighbours take of each other; `extra` QUICK's correction
MISTWRIGHT_WIDE
void pass_side(const Passage& side, Range range, double* below, double* above, double* extra) {
  const double *v = side.flow_low, *w = side.flow_high, *d = side.spread_low, *e = side.spread_high,
               *u = side.speed, *there = side.there;
  const std::size_t t = side.next;
  const double half_m2 = side.half_m2, factor = side.spread_factor;
  const double sharpness = side.sharpness_fraction;
#pragma omp simd
  for (std::size_t c = range.first; c < range.last; ++c) {
    const double flow = half_m2 * (w[c] + v[c]);
    const double spread = factor * (e[c] + d[c]);
    const double forth = flow > 0.0 ? flow : 0.0, back = flow < 0.0 ? flow : 0.0;
    below[c] = spread + forth;
    above[c] = spread - back;
    const double carried = forth * sharper({u[c - t], u[c], u[c - 2 * t], there[c - 2 * t]}) +
                           back * sharper({u[c], u[c - t], u[c + t], there[c + t]});
    extra[c] = sharpness * (there[c] * there[c - t]) * carried;
  }
}

}  // namespace

Momentum::Momentum(const FlowCase& problem, const FlowState& state)
    : problem_(problem),
      diffusion_(problem.lattice.face_zeros()),
      extra_(problem.lattice.face_zeros()),
      equations_(problem.lattice),
      hold_m3_per_s_(problem.lattice.zeros()),
      given_m4_per_s2_(problem.lattice.zeros()),
      other_(state.speed_m_per_s),
      response_(problem.lattice.face_zeros()) {
  for (const double drag : problem.drag_m2) leaves_ = leaves_ || drag > 0.0;
  for (std::size_t c = 0; c < problem.lattice.size; ++c)
    hold_m3_per_s_[c] = 0.5 * std::max(problem.leak_in_m3_per_s[c], 0.0);
}

MISTWRIGHT_WIDE
void Momentum::hold(const FlowState& now) {
  const Lattice& g = problem_.lattice;
  const auto [sx, sy, sz] = g.stride;
  const std::size_t first = g.first, last = g.last;
  const double *u = now.speed_m_per_s[0].data(), *v = now.speed_m_per_s[1].data(),
               *w = now.speed_m_per_s[2].data();
  const double *drag = problem_.drag_m2.data(), *leak = problem_.leak_in_m3_per_s.data();
  double* held = hold_m3_per_s_.data();
#pragma omp simd
  for (std::size_t c = first; c < last; ++c) {
    const double x = 0.5 * (u[c] + u[c + sx]), y = 0.5 * (v[c] + v[c + sy]),
                 z = 0.5 * (w[c] + w[c + sz]);
    held[c] =
        0.5 * (leak[c] > 0.0 ? leak[c] : 0.0) + 0.5 * drag[c] * std::sqrt(x * x + y * y + z * z);
  }
}

/// What the three axes share.
MISTWRIGHT_WIDE
void Momentum::prepare(const FlowState& now) {
  const Lattice& g = problem_.lattice;
  const double* nu = now.viscosity_m2_per_s.data();
  const std::size_t first = g.first - g.stride[2], last = g.last + g.stride[2];
  for (std::size_t b = 0; b < 3; ++b) {
    const std::size_t t = g.stride[b];
    const double* open = g.open[b].data();
    double* half = diffusion_[b].data();
    const double per_nu = 0.25 * g.face_m2[b] / g.step_m[b];
#pragma omp simd
    for (std::size_t c = first; c < last; ++c) half[c] = open[c] * per_nu * (nu[c] + nu[c - t]);
  }
  if (leaves_) hold(now);
}

/// Thrust, buoyancy and what a lid drags along.
const Values& Momentum::given_forces(std::size_t axis, const FlowState& now,
                                     const WallDrag& walls) {
  const Lattice& g = problem_.lattice;
  const Values& thrust = problem_.force_m4_per_s2[axis];
  Values& given = given_m4_per_s2_;
  if (axis == 2 && problem_.heat.expansion_1_per_K > 0.0) {
    const double lift = 0.5 * gravity_m_per_s2 * problem_.heat.expansion_1_per_K * g.cell_m3;
    const double* warmth = now.warmth_K.data();
    const std::size_t below = g.stride[2];
    for (std::size_t c = g.first; c < g.last; ++c)
      given[c] = thrust[c] + lift * (warmth[c] + warmth[c - below]);
    return given;
  }
  if (axis == 0 && problem_.lid_speed_m_per_s != 0.0) {
    given = thrust;
    const Values& wall = walls.flat_m3_per_s;
    for (std::size_t j = 0; j < g.cells[1]; ++j)
      for (std::size_t i = 1; i < g.cells[0]; ++i) {
        const std::size_t c = g.at(i, j, g.cells[2] - 1);
        given[c] += 0.5 * (wall[c] + wall[c - 1]) * problem_.lid_speed_m_per_s;
      }
    return given;
  }
  return thrust;
}

/// Air carried through the lower sides that stand across one axis, upwind, and diffusion there.
void Momentum::pass_faces(std::size_t axis, std::size_t across, const FlowState& now, Range range) {
  const Lattice& g = problem_.lattice;
  const std::size_t s = g.stride[axis], t = g.stride[across];
  const bool own = axis == across;
  const double* v = now.speed_m_per_s[across].data();
  Passage side{};
  side.flow_high = v;
  side.half_m2 = 0.5 * g.face_m2[across];
  // The lower side along the own axis is the centre of the cell below.
  side.flow_low = v - (own ? t : s);
  if (own) {
    side.spread_low = side.spread_high = now.viscosity_m2_per_s.data() - t;
    side.spread_factor = 0.5 * g.face_m2[across] / g.step_m[across];
  } else {
    side.spread_high = diffusion_[across].data();
    side.spread_low = side.spread_high - s;
    side.spread_factor = 1.0;
  }
  side.speed = now.speed_m_per_s[axis].data();
  // Across the own axis walls and mouths are known speeds in their place; beside it they lie half
  // a cell away, and only open faces count.
  side.there = own ? g.known[axis].data() : g.open[axis].data();
  side.next = t;
  side.sharpness_fraction = problem_.sharpness_fraction;
  pass_side(side, range, equations_.of_below[across].data(), equations_.of_above[across].data(),
            extra_[across].data());
}

/// Pressure, walls, leaves and air that leaks in at rest join what passes the sides, and the first
/// of the sweeps is made.
MISTWRIGHT_WIDE
void Momentum::first_round(std::size_t axis, const FlowState& now, const Given& terms,
                           Range range) {
  const Lattice& g = problem_.lattice;
  const auto [sx, sy, sz] = g.stride;
  const std::size_t s = g.stride[axis];
  const double *lx = equations_.of_below[0].data(), *hx = equations_.of_above[0].data(),
               *ly = equations_.of_below[1].data(), *hy = equations_.of_above[1].data(),
               *lz = equations_.of_below[2].data(), *hz = equations_.of_above[2].data();
  const double *ex = extra_[0].data(), *ey = extra_[1].data(), *ez = extra_[2].data();
  const double* wall = terms.wall.data();
  const double *u = now.speed_m_per_s[axis].data(), *p = now.pressure_m2_per_s2.data();
  const double *given = terms.force.data(), *held = hold_m3_per_s_.data();
  const double* open = g.open[axis].data();
  double *source = equations_.source.data(), *inverse = equations_.inverse.data(),
         *response = response_[axis].data(), *next = other_[axis].data();
  const double area = g.face_m2[axis];
  constexpr double keep = 1.0 - relaxation, per_relaxation = 1.0 / relaxation;
#pragma omp simd
  for (std::size_t c = range.first; c < range.last; ++c) {
    const double others = (lx[c] + hx[c + sx]) + (ly[c] + hy[c + sy]) + (lz[c] + hz[c + sz]);
    const double taken = 0.5 * (wall[c] + wall[c - s]) + (held[c] + held[c - s]);
    const double whole = (others + taken) * per_relaxation;
    const double carried = (ex[c] - ex[c + sx]) + (ey[c] - ey[c + sy]) + (ez[c] - ez[c + sz]);
    const double known = area * (p[c - s] - p[c]) + given[c] + carried + keep * whole * u[c];
    const double near = (lx[c] * u[c - sx] + hx[c + sx] * u[c + sx]) +
                        (ly[c] * u[c - sy] + hy[c + sy] * u[c + sy]) +
                        (lz[c] * u[c - sz] + hz[c + sz] * u[c + sz]);
    const double per_whole = open[c] > 0.0 ? 1.0 / whole : 0.0;
    source[c] = known;
    inverse[c] = per_whole;
    response[c] = open[c] > 0.0 ? area / (whole - others) : 0.0;
    next[c] = open[c] > 0.0 ? (known + near) * per_whole : u[c];
  }
}

void Momentum::step(const FlowState& now, const WallDrag& walls, FaceValues& next) {
  const Lattice& g = problem_.lattice;
  prepare(now);
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const Given terms{given_forces(axis, now, walls), walls.along_m3_per_s[axis]};
    pass_faces(axis, 2, now, g.layer(0));
    sweep_layers(
        g, equations_,
        [&](std::size_t k) {
          const Range layer = g.layer(k);
          for (std::size_t b = 0; b < 2; ++b)
            pass_faces(axis, b, now, {layer.first, layer.first + g.stride[b]});
          for (Range piece{layer.first, 0}; piece.first < layer.last; piece.first = piece.last) {
            piece.last = std::min(layer.last, piece.first + piece_size);
            for (std::size_t b = 0; b < 3; ++b)
              pass_faces(axis, b, now, {piece.first + g.stride[b], piece.last + g.stride[b]});
            first_round(axis, now, terms, piece);
          }
        },
        other_[axis], next[axis]);
  }
}

}  // namespace mistwright::flow
