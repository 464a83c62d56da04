#include "models/flow/vents.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"
#include "models/units.h"

namespace mistwright::flow {
namespace {

/// Rounding on the way from degrees may pass the right angle.
constexpr double right_angle_rad = pi / 2.0 * (1.0 + 1e-12);

}  // namespace

double door_discharge_coefficient(double temperature_step_K) {
  EXPECT(temperature_step_K >= 0.0);
  constexpr double one_way = 0.65;
  return std::min(one_way, 0.40 + 0.0045 * temperature_step_K);
}

double louvre_discharge_coefficient(double angle_rad) {
  EXPECT(angle_rad >= 0.0 && angle_rad <= right_angle_rad);
  return plain_discharge_coefficient * std::sin(angle_rad);
}

double flap_discharge_coefficient(double angle_rad, double width_to_tall_ratio) {
  EXPECT(angle_rad >= 0.0 && angle_rad <= right_angle_rad && width_to_tall_ratio > 0.0);
  const double sine = std::sin(angle_rad);
  if (sine <= 0.0) return 0.0;
  return sine / std::sqrt(1.75 + 0.7 * std::exp(-width_to_tall_ratio / (32.5 * sine)));
}

double in_series_coefficient(double first_coefficient, double second_coefficient) {
  EXPECT(first_coefficient > 0.0 && second_coefficient > 0.0);
  return first_coefficient * second_coefficient / std::hypot(first_coefficient, second_coefficient);
}

}  // namespace mistwright::flow
