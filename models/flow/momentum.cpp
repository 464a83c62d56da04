#include "models/flow/momentum.h"

#include <algorithm>
#include <cmath>

#include "models/flow/quick.h"
#include "models/flow/wide.h"
#include "models/units.h"

namespace mistwright::flow {
namespace {

/// What passes one side of the control volumes about the faces across an axis, and on what terms.
struct Passage {
  const double *flow_low, *flow_high;  ///< speeds whose mean passes it
  const double *viscosity, *open;      ///< of cells and of the faces that the side is made of
  const double *speed, *there;         ///< what is carried, and 1 where QUICK may use it
  std::size_t own, next;  ///< distances to the neighbours along the axis and beyond the side
  double half_m2, per_viscosity, sharpness_fraction;
};

/// What a passage makes: what the two neighbours take of each other, and QUICK's correction.
struct Made {
  double *below, *above, *extra;
};

/// A flow's parts up and down its axis.
struct Flow {
  double forth = 0.0, back = 0.0;
};

/// What a flow carries besides the upwind value.
inline double extra_at(const double* u, const double* there, std::size_t c, std::size_t t,
                       const Flow& flow) {
  const double carried = flow.forth * sharper({u[c - t], u[c], u[c - 2 * t], there[c - 2 * t]}) +
                         flow.back * sharper({u[c], u[c - t], u[c + t], there[c + t]});
  return there[c] * there[c - t] * carried;
}

/// Sides across the speed's own axis: the lower one is the centre of the cell below.
MISTWRIGHT_WIDE
void pass_along(const Passage& side, Range range, const Made& made) {
  const double *v = side.flow_low, *w = side.flow_high, *nu = side.viscosity, *u = side.speed,
               *there = side.there;
  double *below = made.below, *above = made.above, *extra = made.extra;
  const std::size_t t = side.next;
  const double half_m2 = side.half_m2, per_nu = 4.0 * side.per_viscosity;
  const double sharpness = side.sharpness_fraction;
#pragma omp simd
  for (std::size_t c = range.first; c < range.last; ++c) {
    const double flow = half_m2 * (w[c] + v[c]), spread = per_nu * nu[c - t];
    const double forth = flow > 0.0 ? flow : 0.0, back = flow < 0.0 ? flow : 0.0;
    below[c] = spread + forth;
    above[c] = spread - back;
    extra[c] = sharpness * extra_at(u, there, c, t, {forth, back});
  }
}

/// Sides beside the speed's axis, each made of halves of two faces.
MISTWRIGHT_WIDE
void pass_beside(const Passage& side, Range range, const Made& made) {
  const double *v = side.flow_low, *w = side.flow_high, *nu = side.viscosity, *open = side.open,
               *u = side.speed, *there = side.there;
  double *below = made.below, *above = made.above, *extra = made.extra;
  const std::size_t s = side.own, t = side.next;
  const double half_m2 = side.half_m2, per_nu = side.per_viscosity;
  const double sharpness = side.sharpness_fraction;
#pragma omp simd
  for (std::size_t c = range.first; c < range.last; ++c) {
    const double flow = half_m2 * (w[c] + v[c]);
    const double spread =
        per_nu * (open[c] * (nu[c] + nu[c - t]) + open[c - s] * (nu[c - s] + nu[c - s - t]));
    const double forth = flow > 0.0 ? flow : 0.0, back = flow < 0.0 ? flow : 0.0;
    below[c] = spread + forth;
    above[c] = spread - back;
    extra[c] = sharpness * extra_at(u, there, c, t, {forth, back});
  }
}

}  // namespace

Momentum::Momentum(const FlowCase& problem, const FlowState& state, double relaxation_factor)
    : problem_(problem),
      relaxation_factor_(relaxation_factor),
      extra_{Layers(problem.lattice, 1), Layers(problem.lattice, 1), Layers(problem.lattice, 2)},
      equations_(problem.lattice),
      hold_m3_per_s_(problem.lattice.zeros()),
      given_m4_per_s2_(problem.lattice.zeros()),
      other_(state.speed_m_per_s),
      response_(problem.lattice.face_zeros()) {
  find_blunt();
  for (const double drag : problem.drag_m2) leaves_ = leaves_ || drag > 0.0;
  for (std::size_t c = 0; c < problem.lattice.size; ++c)
    hold_m3_per_s_[c] = 0.5 * std::max(problem.leak_in_m3_per_s[c], 0.0);
}

MISTWRIGHT_WIDE
void Momentum::hold(const FlowState& now) {
  const Lattice& g = problem_.lattice;
  const std::size_t sx = g.stride[0], sy = g.stride[1], sz = g.stride[2];
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
void Momentum::pass_faces(std::size_t axis, std::size_t across, const FlowState& now, std::size_t k,
                          Range range) {
  const Lattice& g = problem_.lattice;
  const std::size_t from = g.layer(k), s = g.stride[axis], t = g.stride[across];
  const bool own = axis == across;
  Passage side{};
  side.own = s;
  side.next = t;
  side.flow_high = now.speed_m_per_s[across].data() + from;
  side.flow_low = side.flow_high - s;
  side.half_m2 = 0.5 * g.face_m2[across];
  side.viscosity = now.viscosity_m2_per_s.data() + from;
  side.open = g.open[across].data() + from;
  side.per_viscosity = 0.25 * g.face_m2[across] / g.step_m[across];
  side.speed = now.speed_m_per_s[axis].data() + from;
  // Across the own axis walls and mouths are known speeds in their place; beside it they lie half
  // a cell away, and only open faces count.
  side.there = (own ? g.known[axis].data() : g.open[axis].data()) + from;
  side.sharpness_fraction = problem_.sharpness_fraction;
  const Made made{equations_.of_below[across].of(k), equations_.of_above[across].of(k),
                  extra_[across].of(k)};
  if (own)
    pass_along(side, range, made);
  else
    pass_beside(side, range, made);
  const auto& blunt = blunt_[axis][across];
  const auto end = std::lower_bound(blunt.begin(), blunt.end(), from + range.last);
  for (auto at = std::lower_bound(blunt.begin(), end, from + range.first); at != end; ++at)
    made.extra[*at - from] = 0.0;
}

/// What lies farther upstream than a sheet says nothing of the air before it: QUICK's correction is
/// left out there.
void Momentum::find_blunt() {
  const Lattice& g = problem_.lattice;
  for (std::size_t axis = 0; axis < 3; ++axis)
    for (std::size_t b = 0; b < 3; ++b) {
      const std::size_t s = g.stride[axis], t = g.stride[b];
      auto& blunt = blunt_[axis][b];
      for (const std::size_t face : g.shut[b]) {
        if (axis == b)
          blunt.insert(blunt.end(), {face, face + t});
        else
          blunt.insert(blunt.end(), {face - t, face - t + s, face + t, face + t + s});
      }
      std::sort(blunt.begin(), blunt.end());
    }
}

/// Pressure, walls, leaves and air that leaks in at rest join what passes the sides, and the first
/// of the sweeps is made.
MISTWRIGHT_WIDE
void Momentum::first_round(std::size_t axis, const FlowState& now, const Given& given,
                           std::size_t k, Range range) {
  const Lattice& g = problem_.lattice;
  const Stencil a(g, equations_, k);
  const std::size_t from = g.layer(k), s = g.stride[axis];
  const double *ex = extra_[0].of(k), *ey = extra_[1].of(k), *ez = extra_[2].of(k),
               *above = extra_[2].of(k + 1);
  const double *wall = given.wall_m3_per_s.data() + from,
               *force = given.force_m4_per_s2.data() + from, *held = hold_m3_per_s_.data() + from,
               *open = g.open[axis].data() + from;
  const double *u = now.speed_m_per_s[axis].data() + from,
               *p = now.pressure_m2_per_s2.data() + from;
  double *source = equations_.source.of(k), *inverse = equations_.inverse.of(k),
         *response = response_[axis].data() + from, *next = other_[axis].data() + from;
  const double area = g.face_m2[axis];
  const double keep = 1.0 - relaxation_factor_, per_relaxation = 1.0 / relaxation_factor_;
#pragma omp simd
  for (std::size_t c = range.first; c < range.last; ++c) {
    const double others = a.sum(c);
    const double taken = 0.5 * (wall[c] + wall[c - s]) + (held[c] + held[c - s]);
    const double whole = (others + taken) * per_relaxation;
    const double carried = (ex[c] - ex[c + a.sx]) + (ey[c] - ey[c + a.sy]) + (ez[c] - above[c]);
    const double known = area * (p[c - s] - p[c]) + force[c] + carried + keep * whole * u[c];
    const double per_whole = open[c] > 0.0 ? 1.0 / whole : 0.0;
    source[c] = known;
    inverse[c] = per_whole;
    response[c] = open[c] > 0.0 ? area / (whole - others) : 0.0;
    next[c] = open[c] > 0.0 ? (known + a.neighbours(u, c)) * per_whole : u[c];
  }
}

void Momentum::step(const FlowState& now, const WallDrag& walls, FaceValues& next) {
  const Lattice& g = problem_.lattice;
  const Range layer = g.in_layer();
  if (leaves_) hold(now);
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const Given given{given_forces(axis, now, walls), walls.along_m3_per_s[axis]};
    pass_faces(axis, 2, now, 0, layer);
    sweep_layers(
        g, equations_,
        [&](std::size_t k) {
          for (std::size_t b = 0; b < 2; ++b)
            pass_faces(axis, b, now, k, {layer.first, layer.first + g.stride[b]});
          each_piece(layer, [&](Range piece) {
            for (std::size_t b = 0; b < 2; ++b)
              pass_faces(axis, b, now, k, {piece.first + g.stride[b], piece.last + g.stride[b]});
            pass_faces(axis, 2, now, k + 1, piece);
            first_round(axis, now, given, k, piece);
          });
        },
        other_[axis], next[axis]);
  }
}

}  // namespace mistwright::flow
