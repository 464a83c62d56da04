#pragma once
// In which directions do a head's drops start?
#include <algorithm>
#include <cmath>

#include "models/droplet/entrainment.h"
#include "models/units.h"

namespace mistwright::droplet {

/// Two numbers of 0 to 1 that place a drop in the spray.
struct Placement {
  double turn_fraction = 0.0;  ///< of the full circle about the upright
  double slice_fraction =
      0.0;  ///< across the sheet, or from the axis of a cone to its edge by equal solid angles
};

/// Velocity at launch. A sheet's drops are spread evenly over its angle; a full cone's over solid
/// angle.
inline Velocity launch_velocity(const Launch& launch, const Placement& placement) {
  double elevation = 0.0;
  const double across = (2.0 * placement.slice_fraction - 1.0) * launch.spread_rad;
  switch (launch.pattern) {
    case water::LaunchPattern::Disc:
      elevation = launch.angle_rad + across;
      break;
    case water::LaunchPattern::Upward:
      elevation = 0.5 * pi - std::max(0.0, launch.angle_rad + across);
      break;
    case water::LaunchPattern::HollowCone:
      elevation = -0.5 * pi + std::max(0.0, launch.angle_rad + across);
      break;
    case water::LaunchPattern::FullCone:
    case water::LaunchPattern::Downward:
      elevation = -std::asin(1.0 - placement.slice_fraction * (1.0 - std::cos(launch.angle_rad)));
      break;
  }
  const double turn = 2.0 * pi * placement.turn_fraction;
  const double level = launch.speed_m_per_s * std::cos(elevation);
  return {level * std::cos(turn), level * std::sin(turn),
          launch.speed_m_per_s * std::sin(elevation)};
}

}  // namespace mistwright::droplet
