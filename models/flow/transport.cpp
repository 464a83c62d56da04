#include "models/flow/transport.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"
#include "models/flow/quick.h"
#include "models/flow/wide.h"

namespace mistwright::flow {
namespace {

double dot(const Lattice& g, const Values& a, const Values& b) {
  return even_sum(g, [&](std::size_t c) { return a[c] * b[c]; });
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
      inflow_(problem.lattice.zeros()),
      outflow_(problem.lattice.zeros()),
      spare_(problem.lattice.zeros()),
      extra_(problem.lattice.zeros()),
      whole_(problem.lattice.zeros()) {
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
    if (state_->speed_m_per_s[axis][face] != 0.0 && (passing_.empty() || passing_.back() != cell))
      passing_.push_back(cell);
  for (const std::size_t c : passing_)
    for (std::size_t b = 0; b < 3; ++b) {
      const std::size_t t = g.stride[b];
      const double* flow = state_->speed_m_per_s[b].data();
      const double below = (1.0 - g.open[b][c]) * g.face_m2[b] * flow[c];
      const double above = (1.0 - g.open[b][c + t]) * g.face_m2[b] * flow[c + t];
      inflow_[c] += std::max(below, 0.0) + std::max(-above, 0.0);
      outflow_[c] += std::max(-below, 0.0) + std::max(above, 0.0);
    }
}

void Transport::set(const FlowState& state, double molecular_m2_per_s, double prandtl_number) {
  state_ = &state;
  pass_boundary();
  spread(molecular_m2_per_s, prandtl_number);
}

void Transport::spread(double molecular_m2_per_s, double prandtl_number) {
  molecular_m2_per_s_ = molecular_m2_per_s;
  prandtl_number_ = prandtl_number;
}

/// Coefficients of the faces below the cells of a layer along an axis.
MISTWRIGHT_WIDE
void Transport::pass_faces(std::size_t axis, std::size_t k, Range range,
                           Equations& equations) const {
  const Lattice& g = problem_.lattice;
  const std::size_t from = g.layer(k), t = g.stride[axis];
  const double *v = state_->speed_m_per_s[axis].data() + from,
               *nu = state_->viscosity_m2_per_s.data() + from, *open = g.open[axis].data() + from;
  double *below = equations.of_below[axis].of(k), *above = equations.of_above[axis].of(k);
  const double area = g.face_m2[axis], per_m = area / g.step_m[axis];
  const double laminar = problem_.viscosity_m2_per_s, molecular = molecular_m2_per_s_,
               per_prandtl = 1.0 / prandtl_number_;
#pragma omp simd
  for (std::size_t c = range.first; c < range.last; ++c) {
    const double eddy = 0.5 * (nu[c] + nu[c - t]) - laminar;
    const double both = per_m * (molecular + (eddy > 0.0 ? eddy : 0.0) * per_prandtl);
    const double flow = area * v[c];
    below[c] = open[c] * ((flow > 0.0 ? flow : 0.0) + both);
    above[c] = open[c] * ((flow < 0.0 ? -flow : 0.0) + both);
  }
}

MISTWRIGHT_WIDE
void Transport::sharpen(const Values& value, double sharpness_fraction, Values& source) {
  const Lattice& g = problem_.lattice;
  const double* x = value.data();
  double *extra = extra_.data(), *to = source.data();
  for (std::size_t b = 0; b < 3; ++b) {
    const std::size_t t = g.stride[b], first = g.first, last = g.last;
    const double *v = state_->speed_m_per_s[b].data(), *open = g.open[b].data();
    double* flow = spare_.data();
    const double area = g.face_m2[b];
#pragma omp simd
    for (std::size_t c = first; c < last + t; ++c) flow[c] = area * v[c];
#pragma omp simd
    for (std::size_t c = first; c < last + t; ++c)
      extra[c] = sharpness_fraction * open[c] *
                 (std::max(flow[c], 0.0) * sharper({x[c - t], x[c], x[c - 2 * t], open[c - t]}) +
                  std::min(flow[c], 0.0) * sharper({x[c], x[c - t], x[c + t], open[c + t]}));
#pragma omp simd
    for (std::size_t c = first; c < last; ++c) to[c] += extra[c] - extra[c + t];
  }
}

MISTWRIGHT_WIDE
void Transport::first_round(const Sources& given, double relaxation_factor, std::size_t k,
                            Range range, const Values& value) {
  const Lattice& g = problem_.lattice;
  const Stencil a(g, equations_, k);
  const std::size_t from = g.layer(k);
  const double *air = g.air.data() + from, *inflow = inflow_.data() + from,
               *x = value.data() + from, *made = given.source.data() + from,
               *loss = given.loss_m3_per_s.data() + from;
  double *source = equations_.source.of(k), *inverse = equations_.inverse.of(k),
         *next = spare_.data() + from;
  const double keep = 1.0 - relaxation_factor, per_relaxation = 1.0 / relaxation_factor;
#pragma omp simd
  for (std::size_t c = range.first; c < range.last; ++c) {
    const double whole = ((inflow[c] + a.sum(c)) + loss[c]) * per_relaxation;
    const double known = made[c] + keep * whole * x[c];
    const double per_whole = whole > 0.0 ? air[c] / whole : 0.0;
    source[c] = known;
    inverse[c] = per_whole;
    next[c] = (known + a.neighbours(x, c)) * per_whole;
  }
}

void Transport::sweep(const Sources& given, double relaxation_factor, Values& value) {
  const Lattice& g = problem_.lattice;
  const Range layer = g.in_layer();
  pass_faces(2, 0, layer, equations_);
  sweep_layers(
      g, equations_,
      [&](std::size_t k) {
        for (std::size_t b = 0; b < 2; ++b)
          pass_faces(b, k, {layer.first, layer.first + g.stride[b]}, equations_);
        each_piece(layer, [&](Range piece) {
          for (std::size_t b = 0; b < 2; ++b)
            pass_faces(b, k, {piece.first + g.stride[b], piece.last + g.stride[b]}, equations_);
          pass_faces(2, k + 1, piece, equations_);
          first_round(given, relaxation_factor, k, piece, value);
        });
      },
      spare_, value);
}

void Transport::level(const Sources& given, Values& value) {
  const Lattice& g = problem_.lattice;
  const auto leaves = [&](std::size_t c) {
    return g.air[c] * (outflow_[c] + given.loss_m3_per_s[c]);
  };
  const double per_unit = even_sum(g, leaves);
  const double missing =
      even_sum(g, [&](std::size_t c) { return g.air[c] * given.source[c] - leaves(c) * value[c]; });
  if (per_unit <= 0.0) return;
  for (std::size_t c = g.first; c < g.last; ++c) value[c] += g.air[c] * missing / per_unit;
}

/// The equations of all layers at once. Leaves each cell's whole coefficient in `whole_`.
Equations Transport::all_equations(const Values& loss) {
  const Lattice& g = problem_.lattice;
  const Range layer = g.in_layer();
  Equations all(g, g.cells[2] + 1);
  pass_faces(2, 0, layer, all);
  for (std::size_t k = 0; k < g.cells[2]; ++k) {
    for (std::size_t b = 0; b < 2; ++b)
      pass_faces(b, k, {layer.first, layer.last + g.stride[b]}, all);
    pass_faces(2, k + 1, layer, all);
    const Stencil a(g, all, k);
    for (std::size_t c = layer.first; c < layer.last; ++c) {
      const std::size_t cell = g.layer(k) + c;
      whole_[cell] = inflow_[cell] + a.sum(c) + loss[cell];
    }
  }
  return all;
}

MISTWRIGHT_WIDE
void Transport::multiply(const Equations& equations, const Values& x, Values& y) const {
  const Lattice& g = problem_.lattice;
  const Range layer = g.in_layer();
  for (std::size_t k = 0; k < g.cells[2]; ++k) {
    const Stencil a(g, equations, k);
    const std::size_t start = g.layer(k);
    const double *whole = whole_.data() + start, *from = x.data() + start;
    double* to = y.data() + start;
#pragma omp simd
    for (std::size_t c = layer.first; c < layer.last; ++c)
      to[c] = whole[c] * from[c] - a.neighbours(from, c);
  }
}

bool Transport::solve(const Sources& given, double tolerance_fraction, Values& value) {
  const Lattice& g = problem_.lattice;
  constexpr int iteration_cap = 2000;
  const Equations equations = all_equations(given.loss_m3_per_s);
  Values r = g.zeros(), v = g.zeros(), p = g.zeros(), s = g.zeros(), t = g.zeros(),
         p_hat = g.zeros(), s_hat = g.zeros();
  multiply(equations, value, v);
  Values inverse = g.zeros();
  for (std::size_t c = g.first; c < g.last; ++c) {
    r[c] = g.air[c] * (given.source[c] - v[c]);
    inverse[c] = g.air[c] > 0.0 && whole_[c] > 0.0 ? 1.0 / whole_[c] : 0.0;
  }
  const double goal = tolerance_fraction * largest(g, given.source);
  const auto there = [&] { return std::isfinite(dot(g, r, r)) && largest(g, r) <= goal; };
  const Values shadow = r;
  double rho = 1.0, alpha = 1.0, omega = 1.0;
  std::fill(v.begin(), v.end(), 0.0);
  for (int iteration = 0; iteration < iteration_cap; ++iteration) {
    if (there()) return true;
    const double rho_new = dot(g, shadow, r);
    if (rho_new == 0.0) return false;
    const double beta = rho_new / rho * (alpha / omega);
    rho = rho_new;
    for (std::size_t c = g.first; c < g.last; ++c) {
      p[c] = r[c] + beta * (p[c] - omega * v[c]);
      p_hat[c] = inverse[c] * p[c];
    }
    multiply(equations, p_hat, v);
    alpha = rho / dot(g, shadow, v);
    for (std::size_t c = g.first; c < g.last; ++c) {
      s[c] = r[c] - alpha * v[c];
      s_hat[c] = inverse[c] * s[c];
    }
    multiply(equations, s_hat, t);
    const double tt = dot(g, t, t);
    omega = tt > 0.0 ? dot(g, t, s) / tt : 0.0;
    for (std::size_t c = g.first; c < g.last; ++c) {
      value[c] += alpha * p_hat[c] + omega * s_hat[c];
      r[c] = s[c] - omega * t[c];
    }
    if (omega == 0.0) return there();
  }
  return there();
}

}  // namespace mistwright::flow
