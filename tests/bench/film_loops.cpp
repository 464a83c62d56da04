#include "tests/bench/film_loops.h"

#include <bit>
#include <cmath>
#include <cstdint>

namespace mistwright::bench {

namespace {

/// Cube root of a number from 0 to about 1 without branches: a third of the exponent's bits gives
/// five bits, and each of Halley's steps trebles them.
template <class Number>
inline Number cube_root(Number x) {
  const float kept = static_cast<float>(x) > 1e-30f ? static_cast<float>(x) : 1e-30f;
  const auto bits = static_cast<float>(std::bit_cast<std::int32_t>(kept));
  const auto third = static_cast<std::int32_t>(bits * (1.0f / 3.0f)) + 709958130;
  Number u = static_cast<Number>(std::bit_cast<float>(third));
  constexpr int steps = sizeof(Number) > sizeof(float) ? 3 : 2;
  for (int step = 0; step < steps; ++step) {
    const Number cube = u * u * u;
    u *= (cube + Number(2) * x) / (Number(2) * cube + x);
  }
  return u;
}

template <class Number>
inline Number wetted(Number depth, Number per_break) {
  const Number x = depth * per_break;
  const Number u = cube_root(x);
  const Number w = x < Number(1) ? u * u : Number(1);
  return x > Number(0) ? w : Number(0);
}

}  // namespace

WettedSums film_rates(const FilmRun<double>& run, double* rate_m_per_s) {
  const double per_break = 1.0 / run.break_depth_m;
  double f_sum = 0.0;
  double g_sum = 0.0;
#pragma omp simd reduction(+ : f_sum, g_sum)
  for (std::size_t i = 0; i < run.count; ++i) {
    const double f = run.radiation_factor[i];
    const double g = run.conductance_factor[i];
    const double demand = run.alpha_m_per_s * f + run.beta_m_per_s * g;
    const double depth = run.depth_m[i];
    double wet = wetted(depth, per_break);
    wet = demand > 0.0 ? wet : 1.0;
    const double full = (demand < 0.0) & (depth >= run.capacity_m) ? 0.0 : 1.0;
    rate_m_per_s[i] = -demand * wet * full;
    f_sum += run.area_m2[i] * f * wet;
    g_sum += run.area_m2[i] * g * wet;
  }
  return {f_sum, g_sum};
}

template <class Number>
WettedSums film_step(const FilmRun<Number>& run, Number step_s, Number dry_depth_m, Number* depth_m,
                     Number* dry_s) {
  const Number per_break = Number(1) / run.break_depth_m;
  Number f_sum = 0;
  Number g_sum = 0;
#pragma omp simd reduction(+ : f_sum, g_sum)
  for (std::size_t i = 0; i < run.count; ++i) {
    const Number f = run.radiation_factor[i];
    const Number g = run.conductance_factor[i];
    const Number demand = run.alpha_m_per_s * f + run.beta_m_per_s * g;
    const Number depth = depth_m[i];
    Number wet = wetted(depth, per_break);
    wet = demand > Number(0) ? wet : Number(1);
    Number next = depth - step_s * demand * wet;
    next = next > Number(0) ? next : Number(0);
    depth_m[i] = next < run.capacity_m ? next : run.capacity_m;
    const bool dry = (demand > Number(0)) & (depth < dry_depth_m);
    dry_s[i] += dry ? step_s : Number(0);
    f_sum += run.area_m2[i] * f * wet;
    g_sum += run.area_m2[i] * g * wet;
  }
  return {static_cast<double>(f_sum), static_cast<double>(g_sum)};
}

template WettedSums film_step<float>(const FilmRun<float>&, float, float, float*, float*);
template WettedSums film_step<double>(const FilmRun<double>&, double, double, double*, double*);

void count_dry(const DrySpan& span, double* dry_s) {
  int crossed = 0;
#pragma omp simd reduction(+ : crossed)
  for (std::size_t i = 0; i < span.count; ++i) {
    const double demand = span.alpha_m_per_s * span.radiation_factor[i] +
                          span.beta_m_per_s * span.conductance_factor[i];
    const bool was = span.before_m[i] < span.dry_depth_m;
    const bool is = span.after_m[i] < span.dry_depth_m;
    dry_s[i] += (was & is & (demand > 0.0)) ? span.step_s : 0.0;
    crossed += was != is ? 1 : 0;
  }
  if (crossed == 0) return;
  // Demand until the depth is reached, as in the film's law: a straight line in time.
  const double u_dry = std::cbrt(span.dry_depth_m / span.break_depth_m);
  const auto until = [&](double depth_m) {
    const double excess = depth_m - span.break_depth_m;
    if (excess >= 0.0) return excess + 3.0 * span.break_depth_m * (1.0 - u_dry);
    return 3.0 * span.break_depth_m *
           (std::cbrt(std::fmax(depth_m, 0.0) / span.break_depth_m) - u_dry);
  };
  for (std::size_t i = 0; i < span.count; ++i) {
    const bool was = span.before_m[i] < span.dry_depth_m;
    const bool is = span.after_m[i] < span.dry_depth_m;
    if (was || !is) continue;
    const double left = until(span.before_m[i]);
    const double past = -until(span.after_m[i]);
    dry_s[i] += span.step_s * past / (left + past);
  }
}

}  // namespace mistwright::bench
