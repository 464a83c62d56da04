#pragma once
// From water that left the heads to where it landed: footprints by size class, read at the air's own
// evaporation, then shared out by the canopy.
#include <vector>

#include "models/droplet/spectrum.h"
#include "sim/house/shared.h"

namespace mistwright {

/// Water sprayed by one head since its valve opened, by size class.
struct Sprayed {
  std::uint32_t head = 0;
  droplet::Launch launch;
  std::vector<double> class_kg;
};

/// Classes with less than this share of a head's water ride with their neighbours' footprints: they are
/// dropped and the rest scaled up by as much.
inline constexpr double least_class_share = 1e-4;

/// Shares of the size classes at a pressure, small ones dropped.
[[nodiscard]] std::vector<double> class_shares(const water::HeadType& type, double pressure_Pa,
                                               const droplet::SizeClasses& classes);

/// Lands what was sprayed, in the present regime and air. Dense sprays wet their own air: the vapour
/// given off raises each air cell's humidity and the evaporation is read again, `passes` times, damped.
[[nodiscard]] Landed land(Shared& shared, const droplet::SizeClasses& classes,
                          const std::vector<Sprayed>& sprayed);

}  // namespace mistwright
