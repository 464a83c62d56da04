#include "models/flow/transport.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"
#include "models/flow/quick.h"
#include "models/flow/wide.h"

namespace mistwright::flow {
namespace {

double dot(const Lattice& g, const Values& a, const Values& b) {
  double sum = 0.0;
  for (std::size_t c = g.first; c < g.last; ++c) sum += a[c] * b[c];
  return sum;
}

double largest(const Lattice& g, const Values& a) {
  double most = 0.0;
  for (std::size_t c = g.first; c < g.last; ++c) most = std::fmax(most, std::fabs(a[c]));
  return most;
}

}  // namespace

Transport::Transport(const FlowCase& problem)
    : problem_(problem),
      equations_(problem.lattice),
      flow_(problem.lattice.face_zeros()),
      centre_(problem.lattice.zeros()),
      inflow_(problem.lattice.zeros()),
      outflow_(problem.lattice.zeros()),
      spare_(problem.lattice.zeros()),
      extra_(problem.lattice.zeros()) {
  const Lattice& g = problem.lattice;
  for (std::size_t c = g.first; c < g.last; ++c) {
    const double leak = problem.leak_in_m3_per_s[c];
    inflow_[c] = std::max(leak, 0.0);
    outflow_[c] = std::max(-leak, 0.0);
    if (g.air[c] == 0.0) continue;
    for (std::size_t b = 0; b < 3; ++b)
      for (const std::size_t face : {c, c + g.stride[b]})
        if (g.open[b][face] == 0.0) edges_.push_back({b, face, c});
  }
}

/// What comes in and goes out through faces on the boundary, besides cracks.
void Transport::pass_boundary() {
  const Lattice& g = problem_.lattice;
  const auto reset = [&](std::size_t c) {
    inflow_[c] = std::max(problem_.leak_in_m3_per_s[c], 0.0);
    outflow_[c] = std::max(-problem_.leak_in_m3_per_s[c], 0.0);
  };
  for (const std::size_t c : passing_) reset(c);
  passing_.clear();
  for (const auto& [axis, face, cell] : edges_)
    if (flow_[axis][face] != 0.0 && (passing_.empty() || passing_.back() != cell))
      passing_.push_back(cell);
  for (const std::size_t c : passing_)
    for (std::size_t b = 0; b < 3; ++b) {
      const std::size_t t = g.stride[b];
      const double below = (1.0 - g.open[b][c]) * flow_[b][c];
      const double above = (1.0 - g.open[b][c + t]) * flow_[b][c + t];
      inflow_[c] += std::max(below, 0.0) + std::max(-above, 0.0);
      outflow_[c] += std::max(-below, 0.0) + std::max(above, 0.0);
    }
}

MISTWRIGHT_WIDE
void Transport::set(const FlowState& state, double molecular_m2_per_s, double prandtl_number) {
  const Lattice& g = problem_.lattice;
  for (std::size_t b = 0; b < 3; ++b) {
    const std::size_t first = g.first, last = g.last + g.stride[b];
    const double* v = state.speed_m_per_s[b].data();
    double* flow = flow_[b].data();
    const double area = g.face_m2[b];
#pragma omp simd
    for (std::size_t c = first; c < last; ++c) flow[c] = area * v[c];
  }
  pass_boundary();
  spread(state, molecular_m2_per_s, prandtl_number);
}

MISTWRIGHT_WIDE
void Transport::spread(const FlowState& state, double molecular_m2_per_s, double prandtl_number) {
  const Lattice& g = problem_.lattice;
  const double* nu = state.viscosity_m2_per_s.data();
  const double laminar = problem_.viscosity_m2_per_s;
  for (std::size_t b = 0; b < 3; ++b) {
    const std::size_t t = g.stride[b], first = g.first, last = g.last + t;
    const double per_m = g.face_m2[b] / g.step_m[b];
    const double *flow = flow_[b].data(), *open = g.open[b].data();
    double *below = equations_.of_below[b].data(), *above = equations_.of_above[b].data();
#pragma omp simd
    for (std::size_t c = first; c < last; ++c) {
      const double eddy = 0.5 * (nu[c] + nu[c - t]) - laminar;
      const double both =
          per_m * (molecular_m2_per_s + (eddy > 0.0 ? eddy : 0.0) * (1.0 / prandtl_number));
      below[c] = open[c] * ((flow[c] > 0.0 ? flow[c] : 0.0) + both);
      above[c] = open[c] * ((flow[c] < 0.0 ? -flow[c] : 0.0) + both);
    }
  }
}

MISTWRIGHT_WIDE
void Transport::sharpen(const Values& value, double sharpness_fraction, Values& source) {
  const Lattice& g = problem_.lattice;
  const double* x = value.data();
  const double* air = g.air.data();
  double *extra = extra_.data(), *to = source.data();
  for (std::size_t b = 0; b < 3; ++b) {
    const std::size_t t = g.stride[b], first = g.first, last = g.last;
    const double *flow = flow_[b].data(), *open = g.open[b].data();
#pragma omp simd
    for (std::size_t c = first; c < last + t; ++c)
      extra[c] = sharpness_fraction * open[c] *
                 (std::max(flow[c], 0.0) * sharper({x[c - t], x[c], x[c - 2 * t], air[c - 2 * t]}) +
                  std::min(flow[c], 0.0) * sharper({x[c], x[c - t], x[c + t], air[c + t]}));
#pragma omp simd
    for (std::size_t c = first; c < last; ++c) to[c] += extra[c] - extra[c + t];
  }
}

MISTWRIGHT_WIDE
void Transport::first_round(const Sources& given, double relaxation_factor, Range range,
                            const Values& value) {
  const auto [sx, sy, sz] = problem_.lattice.stride;
  const double *lx = equations_.of_below[0].data(), *hx = equations_.of_above[0].data(),
               *ly = equations_.of_below[1].data(), *hy = equations_.of_above[1].data(),
               *lz = equations_.of_below[2].data(), *hz = equations_.of_above[2].data();
  const double *air = problem_.lattice.air.data(), *inflow = inflow_.data(), *x = value.data(),
               *made = given.source.data(), *loss = given.loss_m3_per_s.data();
  double *source = equations_.source.data(), *inverse = equations_.inverse.data(),
         *next = spare_.data();
  const double keep = 1.0 - relaxation_factor, per_relaxation = 1.0 / relaxation_factor;
#pragma omp simd
  for (std::size_t c = range.first; c < range.last; ++c) {
    const double taken =
        inflow[c] + ((lx[c] + hx[c + sx]) + (ly[c] + hy[c + sy]) + (lz[c] + hz[c + sz]));
    const double whole = (taken + loss[c]) * per_relaxation;
    const double known = made[c] + keep * whole * x[c];
    const double near = (lx[c] * x[c - sx] + hx[c + sx] * x[c + sx]) +
                        (ly[c] * x[c - sy] + hy[c + sy] * x[c + sy]) +
                        (lz[c] * x[c - sz] + hz[c + sz] * x[c + sz]);
    const double per_whole = whole > 0.0 ? air[c] / whole : 0.0;
    source[c] = known;
    inverse[c] = per_whole;
    next[c] = (known + near) * per_whole;
  }
}

void Transport::sweep(const Sources& given, double relaxation_factor, Values& value) {
  const Lattice& g = problem_.lattice;
  sweep_layers(
      g, equations_,
      [&](std::size_t k) { first_round(given, relaxation_factor, g.layer(k), value); }, spare_,
      value);
}

void Transport::level(const Sources& given, Values& value) {
  const Lattice& g = problem_.lattice;
  double missing = 0.0, per_unit = 0.0;
  for (std::size_t c = g.first; c < g.last; ++c) {
    const double leaves = g.air[c] * (outflow_[c] + given.loss_m3_per_s[c]);
    missing += g.air[c] * given.source[c] - leaves * value[c];
    per_unit += leaves;
  }
  if (per_unit <= 0.0) return;
  for (std::size_t c = g.first; c < g.last; ++c) value[c] += g.air[c] * missing / per_unit;
}

/// Each cell's own coefficient but for its loss, and the inverse of both together.
void Transport::sum_up(const Values& loss) {
  const Lattice& g = problem_.lattice;
  for (std::size_t c = g.first; c < g.last; ++c) {
    double sum = inflow_[c];
    for (std::size_t b = 0; b < 3; ++b)
      sum += equations_.of_below[b][c] + equations_.of_above[b][c + g.stride[b]];
    centre_[c] = sum;
    const double whole = sum + loss[c];
    equations_.inverse[c] = g.air[c] > 0.0 && whole > 0.0 ? 1.0 / whole : 0.0;
  }
}

MISTWRIGHT_WIDE
void Transport::multiply(const Values& loss, const Values& x, Values& y) const {
  const auto [sx, sy, sz] = problem_.lattice.stride;
  const std::size_t first = problem_.lattice.first, last = problem_.lattice.last;
  const double *lx = equations_.of_below[0].data(), *hx = equations_.of_above[0].data(),
               *ly = equations_.of_below[1].data(), *hy = equations_.of_above[1].data(),
               *lz = equations_.of_below[2].data(), *hz = equations_.of_above[2].data();
  const double *centre = centre_.data(), *lost = loss.data(), *from = x.data();
  double* to = y.data();
#pragma omp simd
  for (std::size_t c = first; c < last; ++c)
    to[c] = (centre[c] + lost[c]) * from[c] - ((lx[c] * from[c - sx] + hx[c + sx] * from[c + sx]) +
                                               (ly[c] * from[c - sy] + hy[c + sy] * from[c + sy]) +
                                               (lz[c] * from[c - sz] + hz[c + sz] * from[c + sz]));
}

bool Transport::solve(const Sources& given, double tolerance_fraction, Values& value) {
  const Lattice& g = problem_.lattice;
  constexpr int iteration_cap = 2000;
  const Values& loss = given.loss_m3_per_s;
  Values r = g.zeros(), v = g.zeros(), p = g.zeros(), s = g.zeros(), t = g.zeros(),
         p_hat = g.zeros(), s_hat = g.zeros();
  sum_up(loss);
  multiply(loss, value, v);
  const Values& inverse = equations_.inverse;
  for (std::size_t c = g.first; c < g.last; ++c) r[c] = g.air[c] * (given.source[c] - v[c]);
  const double goal = tolerance_fraction * largest(g, given.source);
  const Values shadow = r;
  double rho = 1.0, alpha = 1.0, omega = 1.0;
  std::fill(v.begin(), v.end(), 0.0);
  for (int iteration = 0; iteration < iteration_cap; ++iteration) {
    if (largest(g, r) <= goal) return true;
    const double rho_new = dot(g, shadow, r);
    if (rho_new == 0.0) return false;
    const double beta = rho_new / rho * (alpha / omega);
    rho = rho_new;
    for (std::size_t c = g.first; c < g.last; ++c) {
      p[c] = r[c] + beta * (p[c] - omega * v[c]);
      p_hat[c] = inverse[c] * p[c];
    }
    multiply(loss, p_hat, v);
    alpha = rho / dot(g, shadow, v);
    for (std::size_t c = g.first; c < g.last; ++c) {
      s[c] = r[c] - alpha * v[c];
      s_hat[c] = inverse[c] * s[c];
    }
    multiply(loss, s_hat, t);
    const double tt = dot(g, t, t);
    omega = tt > 0.0 ? dot(g, t, s) / tt : 0.0;
    for (std::size_t c = g.first; c < g.last; ++c) {
      value[c] += alpha * p_hat[c] + omega * s_hat[c];
      r[c] = s[c] - omega * t[c];
    }
    if (omega == 0.0) return largest(g, r) <= goal;
  }
  return largest(g, r) <= goal;
}

}  // namespace mistwright::flow
