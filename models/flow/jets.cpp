#include "models/flow/jets.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "models/contracts.h"

namespace mistwright::flow {
namespace {

/// Half-width over distance: round 0.094 to 0.1, plane 0.10 (Rajaratnam 1976; Pope 2000 ch. 5).
constexpr double spread_ratio = 0.1;

}  // namespace

JetSection jet_section(const JetMouth& mouth, double along_m) {
  EXPECT(mouth.width_m > 0.0 && mouth.tall_m > 0.0);
  // A Gaussian of this half-width carries the momentum of a uniform mouth of width 1.
  static const double mouth_ratio = std::sqrt(2.0 * std::numbers::ln2 / std::numbers::pi);
  const double least_m = std::max(mouth.finest_m, spread_ratio * along_m);
  const double half_width_m = std::max(mouth_ratio * mouth.width_m, least_m);
  const double half_tall_m = std::max(mouth_ratio * mouth.tall_m, least_m);
  const double kept_ratio =
      mouth_ratio * std::sqrt(mouth.width_m * mouth.tall_m / (half_width_m * half_tall_m));
  return {half_width_m, half_tall_m, kept_ratio * mouth.speed_m_per_s};
}

double jet_speed_m_per_s(const JetMouth& mouth, const JetPoint& point) {
  if (point.along_m < 0.0) return 0.0;
  const JetSection section = jet_section(mouth, point.along_m);
  const double across = std::pow(point.aside_m / section.half_width_m, 2) +
                        std::pow(point.above_m / section.half_tall_m, 2);
  return section.axis_speed_m_per_s * std::exp(-std::numbers::ln2 * across);
}

JetMouth round_mouth(double diameter_m, double flow_m3_per_s) {
  EXPECT(diameter_m > 0.0);
  const double area_m2 = std::numbers::pi * diameter_m * diameter_m / 4.0;
  const double side_m = std::sqrt(area_m2);
  return {side_m, side_m, flow_m3_per_s / area_m2, 0.0};
}

}  // namespace mistwright::flow
