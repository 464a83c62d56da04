#pragma once
// From water that left the heads to where it landed: footprints by size class, read at the air's
// own evaporation, then shared out by the canopy.
#include <vector>

#include "models/droplet/spectrum.h"
#include "sim/house/shared.h"

namespace mistwright {

/// Water sprayed by one head since its valve opened, by size class.
struct Sprayed {
  std::uint32_t head = 0;
  droplet::Launch launch;
  double spray_s = 0.0;  ///< for how long it did
  std::vector<double> class_kg;
  std::vector<double> enough_noise_ratio;  ///< for each class: small where much of the water flies
};

/// Classes with less than this share of a head's water ride with their neighbours' footprints: they
/// are dropped and the rest scaled up by as much.
inline constexpr double least_class_share_fraction = 1e-4;

/// Noise that each class may have so that their sum has the wished one: over the root of the
/// class's share of the water, since its noise counts in the sum as its share does. In steps of a
/// fifth, so that shares that hardly differ ask for the same.
[[nodiscard]] std::vector<double> class_noise(const std::vector<double>& shares,
                                              double deposit_noise_ratio);

/// Shares of the size classes at a pressure, small ones dropped.
[[nodiscard]] std::vector<double> class_shares(const water::HeadType& type, double pressure_Pa,
                                               const droplet::SizeClasses& classes);

/// Lands what was sprayed, in the present regime and air. Dense sprays wet their own air: the
/// vapour given off fills the house and the evaporation is read again until both agree.
[[nodiscard]] Landed land(Shared& shared, const droplet::SizeClasses& classes,
                          const std::vector<Sprayed>& sprayed);

/// What came down on the bench map, leaves and medium together, on each cell [kg/m2].
[[nodiscard]] std::vector<double> landed_kg_per_m2(const Plan& plan, const Landed& landed);

}  // namespace mistwright
