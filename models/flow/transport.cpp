#include "models/flow/transport.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"
#include "models/flow/quick.h"

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
      neighbour_{problem.lattice.face_zeros(), problem.lattice.face_zeros()},
      flow_(problem.lattice.face_zeros()),
      centre_(problem.lattice.zeros()),
      inflow_(problem.lattice.zeros()),
      outflow_(problem.lattice.zeros()),
      spare_(problem.lattice.zeros()),
      inverse_(problem.lattice.zeros()),
      was_(problem.lattice.zeros()) {}

void Transport::set(const FlowState& state, double molecular_m2_per_s, double prandtl_number) {
  const Lattice& g = problem_.lattice;
  const double* leak = problem_.leak_in_m3_per_s.data();
  for (std::size_t c = g.first; c < g.last; ++c) {
    inflow_[c] = std::max(leak[c], 0.0);
    outflow_[c] = std::max(-leak[c], 0.0);
  }
  for (std::size_t b = 0; b < 3; ++b) {
    const std::size_t t = g.stride[b];
    const double *v = state.speed_m_per_s[b].data(), *nu = state.viscosity_m2_per_s.data(),
                 *open = g.open[b].data(), *air = g.air.data();
    double *flow = flow_[b].data(), *low = neighbour_[0][b].data(), *high = neighbour_[1][b].data();
    const double area = g.face_m2[b], per_m = area / g.step_m[b];
    for (std::size_t c = g.first; c < g.last + t; ++c) flow[c] = area * v[c];
    const double laminar = problem_.viscosity_m2_per_s;
    const auto spread = [&](std::size_t c) {
      const double eddy = 0.5 * (nu[c] + nu[c - t]) - laminar;
      return open[c] * per_m * (molecular_m2_per_s + std::max(eddy, 0.0) / prandtl_number);
    };
    for (std::size_t c = g.first; c < g.last; ++c) {
      low[c] = open[c] * std::max(flow[c], 0.0) + spread(c);
      high[c] = open[c + t] * std::max(-flow[c + t], 0.0) + spread(c + t);
      const double below = air[c] * (1.0 - open[c]) * flow[c];
      const double above = air[c] * (1.0 - open[c + t]) * flow[c + t];
      inflow_[c] += std::max(below, 0.0) + std::max(-above, 0.0);
      outflow_[c] += std::max(-below, 0.0) + std::max(above, 0.0);
    }
  }
  for (std::size_t c = g.first; c < g.last; ++c) {
    double sum = inflow_[c];
    for (std::size_t b = 0; b < 3; ++b) sum += neighbour_[0][b][c] + neighbour_[1][b][c];
    centre_[c] = sum;
  }
}

void Transport::sharpen(const Values& value, double sharpness_fraction, Values& source) const {
  const Lattice& g = problem_.lattice;
  const double* x = value.data();
  Values extra = g.zeros();
  for (std::size_t b = 0; b < 3; ++b) {
    const std::size_t t = g.stride[b];
    const double *flow = flow_[b].data(), *open = g.open[b].data();
    for (std::size_t c = g.first; c < g.last + t; ++c)
      extra[c] = sharpness_fraction * open[c] *
                 (std::max(flow[c], 0.0) * sharper({x[c - t], x[c], x[c - 2 * t], open[c - t]}) +
                  std::min(flow[c], 0.0) * sharper({x[c], x[c - t], x[c + t], open[c + t]}));
    for (std::size_t c = g.first; c < g.last; ++c) source[c] += extra[c] - extra[c + t];
  }
}

void Transport::sweep(const Sources& given, double relaxation_factor, int rounds, Values& value) {
  const Lattice& g = problem_.lattice;
  const auto [sx, sy, sz] = g.stride;
  const double *lx = neighbour_[0][0].data(), *hx = neighbour_[1][0].data(),
               *ly = neighbour_[0][1].data(), *hy = neighbour_[1][1].data(),
               *lz = neighbour_[0][2].data(), *hz = neighbour_[1][2].data();
  for (std::size_t c = g.first; c < g.last; ++c) {
    const double whole = (centre_[c] + given.loss_m3_per_s[c]) / relaxation_factor;
    was_[c] = given.source[c] + (1.0 - relaxation_factor) * whole * value[c];
    inverse_[c] = g.air[c] > 0.0 && whole > 0.0 ? 1.0 / whole : 0.0;
  }
  for (int round = 0; round < rounds; ++round) {
    const double* x = value.data();
    double* next = spare_.data();
    for (std::size_t c = g.first; c < g.last; ++c)
      next[c] = (was_[c] + ((lx[c] * x[c - sx] + hx[c] * x[c + sx]) +
                            (ly[c] * x[c - sy] + hy[c] * x[c + sy]) +
                            (lz[c] * x[c - sz] + hz[c] * x[c + sz]))) *
                inverse_[c];
    std::swap(value, spare_);
  }
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

void Transport::multiply(const Values& loss, const Values& x, Values& y) const {
  const Lattice& g = problem_.lattice;
  const auto [sx, sy, sz] = g.stride;
  for (std::size_t c = g.first; c < g.last; ++c)
    y[c] = (centre_[c] + loss[c]) * x[c] -
           ((neighbour_[0][0][c] * x[c - sx] + neighbour_[1][0][c] * x[c + sx]) +
            (neighbour_[0][1][c] * x[c - sy] + neighbour_[1][1][c] * x[c + sy]) +
            (neighbour_[0][2][c] * x[c - sz] + neighbour_[1][2][c] * x[c + sz]));
}

bool Transport::solve(const Sources& given, double tolerance_fraction, Values& value) {
  const Lattice& g = problem_.lattice;
  constexpr int iteration_cap = 2000;
  const Values& loss = given.loss_m3_per_s;
  Values r = g.zeros(), v = g.zeros(), p = g.zeros(), s = g.zeros(), t = g.zeros(),
         p_hat = g.zeros(), s_hat = g.zeros();
  multiply(loss, value, v);
  for (std::size_t c = g.first; c < g.last; ++c) {
    r[c] = g.air[c] * (given.source[c] - v[c]);
    const double whole = centre_[c] + loss[c];
    inverse_[c] = g.air[c] > 0.0 && whole > 0.0 ? 1.0 / whole : 0.0;
  }
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
      p_hat[c] = inverse_[c] * p[c];
    }
    multiply(loss, p_hat, v);
    alpha = rho / dot(g, shadow, v);
    for (std::size_t c = g.first; c < g.last; ++c) {
      s[c] = r[c] - alpha * v[c];
      s_hat[c] = inverse_[c] * s[c];
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
