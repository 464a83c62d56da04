#include "sim/house/house.h"

#include <cmath>

namespace mistwright {

double Structure::roof_height_m(double y_m) const {
  const double s = 2.0 * y_m / width_m - 1.0;
  return eave_height_m + (ridge_height_m - eave_height_m) * std::sqrt(std::fmax(0.0, 1.0 - s * s));
}

}  // namespace mistwright
