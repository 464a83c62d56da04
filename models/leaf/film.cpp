#include "models/leaf/film.h"

namespace mistwright::leaf {

double demand_to_dry_m(double depth_m, double break_depth_m) {
  return demand_to_bare_m(depth_m, 1.0, break_depth_m);
}

double demand_to_bare_m(double depth_m, double bare_fraction, double break_depth_m) {
  EXPECT(depth_m >= 0.0 && break_depth_m > 0.0);
  EXPECT(bare_fraction >= 0.0 && bare_fraction <= 1.0);
  const double u_wanted = std::sqrt(1.0 - bare_fraction);
  const double excess = depth_m - break_depth_m;
  if (excess >= 0.0) return excess + 3.0 * break_depth_m * (1.0 - u_wanted);
  const double u = std::cbrt(depth_m / break_depth_m);
  return 3.0 * break_depth_m * std::max(u - u_wanted, 0.0);
}

FilmPassage film_over(double depth_m, std::span<const double> node_time_s,
                      std::span<const double> node_demand_m, const FilmLaw& law,
                      double bare_fraction) {
  EXPECT(node_time_s.size() == node_demand_m.size() && !node_time_s.empty());
  FilmPassage passage{.depth_m = depth_m};
  for (std::size_t n = 0; n + 1 < node_time_s.size(); ++n) {
    const double demand_m = node_demand_m[n + 1] - node_demand_m[n];
    const double before_m = passage.depth_m;
    if (demand_m <= 0.0) {
      const FilmGain gain = film_gain(before_m, -demand_m, law);
      passage.depth_m = gain.depth_m;
      passage.runoff_m += gain.runoff_m;
      passage.dew_m -= demand_m;
      continue;
    }
    const double wet_m = demand_to_bare_m(before_m, bare_fraction, law.break_depth_m);
    if (wet_m < demand_m)
      passage.bare_time_s += (node_time_s[n + 1] - node_time_s[n]) * (1.0 - wet_m / demand_m);
    passage.depth_m = film_after(before_m, demand_m, law.break_depth_m);
    passage.evaporated_m += before_m - passage.depth_m;
  }
  return passage;
}

}  // namespace mistwright::leaf
