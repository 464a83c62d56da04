#include "models/flow/jets.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "models/contracts.h"

namespace mistwright::flow {
namespace {

/// Half-width over distance: round 0.094 to 0.1, plane 0.10 (Rajaratnam 1976; Pope 2000 ch. 5).
constexpr double spread_ratio = 0.1;
/// Shares of the room's cross-section that a jet fills before it weakens and when it is gone: the
/// two critical sections of confined jets (Sadovskaya 1955 after the Industrial Ventilation Design
/// Guidebook 2001 ch. 7: 0.24; the second, 0.4 to 0.42, from memory).
constexpr double weakens_fraction = 0.24, gone_fraction = 0.42;
/// A jet's edge is drawn where its speed is a tenth of the axis's (common practice).
constexpr double edge_ratio = 0.1;

/// Momentum left in a room, as a factor on the speed.
double confinement_factor(double half_width_m, double half_tall_m, double room_area_m2) {
  if (room_area_m2 <= 0.0) return 1.0;
  const double edge_squared = -std::log(edge_ratio) / std::numbers::ln2;
  const double filled = std::numbers::pi * edge_squared * half_width_m * half_tall_m / room_area_m2;
  return std::clamp((gone_fraction - filled) / (gone_fraction - weakens_fraction), 0.0, 1.0);
}

}  // namespace

double jet_speed_m_per_s(const JetMouth& mouth, const JetPoint& point) {
  EXPECT(mouth.width_m > 0.0 && mouth.tall_m > 0.0);
  if (point.along_m < 0.0) return 0.0;
  // A Gaussian of this half-width carries the momentum of a uniform mouth of width 1.
  static const double mouth_ratio = std::sqrt(2.0 * std::numbers::ln2 / std::numbers::pi);
  const double least_m = std::max(mouth.finest_m, spread_ratio * point.along_m);
  const double half_width_m = std::max(mouth_ratio * mouth.width_m, least_m);
  const double half_tall_m = std::max(mouth_ratio * mouth.tall_m, least_m);
  const double axis_ratio =
      mouth_ratio * std::sqrt(mouth.width_m * mouth.tall_m / (half_width_m * half_tall_m));
  const double across =
      std::pow(point.aside_m / half_width_m, 2) + std::pow(point.above_m / half_tall_m, 2);
  if (across > 30.0) return 0.0;
  return mouth.speed_m_per_s * axis_ratio * std::exp(-std::numbers::ln2 * across) *
         confinement_factor(half_width_m, half_tall_m, mouth.room_area_m2);
}

JetMouth round_mouth(double diameter_m, double flow_m3_per_s, double room_area_m2) {
  EXPECT(diameter_m > 0.0);
  const double area_m2 = std::numbers::pi * diameter_m * diameter_m / 4.0;
  const double side_m = std::sqrt(area_m2);
  return {side_m, side_m, flow_m3_per_s / area_m2, room_area_m2, 0.0};
}

}  // namespace mistwright::flow
