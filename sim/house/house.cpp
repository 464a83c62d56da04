#include "sim/house/house.h"

#include <cmath>

namespace mistwright {

double Structure::roof_height_m(double y_m) const {
  const double s = 2.0 * y_m / width_m - 1.0;
  return eave_height_m + (ridge_height_m - eave_height_m) * std::sqrt(std::fmax(0.0, 1.0 - s * s));
}

double House::bench_area_m2() const {
  double sum_m2 = 0.0;
  for (const Bench& bench : benches) sum_m2 += bench.length_m * bench.width_m;
  return sum_m2;
}

}  // namespace mistwright
