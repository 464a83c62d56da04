#pragma once
// Loops over films that a compiler can spread over vector lanes, for the solvers that ours is
// compared with. Built for the machine they run on.
#include <cstddef>

namespace mistwright::bench {

/// A class's run of leaves under one demand.
template <class Number>
struct FilmRun {
  std::size_t count = 0;
  const Number* depth_m = nullptr;
  const Number* radiation_factor = nullptr;
  const Number* conductance_factor = nullptr;
  const Number* area_m2 = nullptr;
  Number alpha_m_per_s = 0, beta_m_per_s = 0;
  Number break_depth_m = 0, capacity_m = 0;
};

/// Wetted areas weighted by the two factors.
struct WettedSums {
  double by_radiation_m2 = 0.0, by_conductance_m2 = 0.0;
};

/// Rates of the films and what the air needs to know of them.
WettedSums film_rates(const FilmRun<double>& run, double* rate_m_per_s);

/// One explicit step: films, dry time, wetted areas before it.
template <class Number>
WettedSums film_step(const FilmRun<Number>& run, Number step_s, Number dry_depth_m, Number* depth_m,
                     Number* dry_s);

extern template WettedSums film_step<float>(const FilmRun<float>&, float, float, float*, float*);
extern template WettedSums film_step<double>(const FilmRun<double>&, double, double, double*,
                                             double*);

/// Depths at two instants, and whether leaves went bare between.
struct DrySpan {
  std::size_t count = 0;
  const double* before_m = nullptr;
  const double* after_m = nullptr;
  const double* radiation_factor = nullptr;
  const double* conductance_factor = nullptr;
  double alpha_m_per_s = 0.0, beta_m_per_s = 0.0;
  double dry_depth_m = 0.0, break_depth_m = 0.0, step_s = 0.0;
};
void count_dry(const DrySpan& span, double* dry_s);

}  // namespace mistwright::bench
