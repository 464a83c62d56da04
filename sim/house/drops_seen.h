#pragma once
// How does the water fly? For pictures: tracks of single drops of one head, the water that hangs in
// the air during a burst and after it, and where that head's water lands, with the fans off and on.
// Computed once the run is over, from typical bursts in the air that the run's own bursts met; no
// result of the run depends on it.
#include <optional>
#include <vector>

#include "models/droplet/airborne.h"
#include "sim/house/assemble.h"

namespace mistwright {

/// After a burst starts, over which the water in the air is a mean.
inline constexpr double airborne_window_s = 60.0;
/// Drops are let be at this age: fog would draw circles without end.
inline constexpr double tracks_until_s = 120.0;
/// A track is drawn with no more points, and with an error of as much until then.
inline constexpr std::size_t most_track_points = 60;
inline constexpr double track_tolerance_m = 0.01;

/// One droplet diameter of a head's spray.
struct SizeSeen {
  std::size_t size_class = 0;
  double diameter_m = 0.0;
  double finer_fraction = 0.0;  ///< of the head's water, in this class and finer ones
};

/// The drops of one size in one regime.
struct FlownSize {
  std::vector<droplet::Track> tracks;  ///< thinned
  droplet::Outcome outcome;            ///< of that size's water
  /// Level distance from the head within which half of what lands on benches does; none where less
  /// than a hundredth lands there.
  std::optional<double> landing_distance_m;
};

/// One regime's air.
struct FlownAir {
  RegimeSpray spray;  ///< of the run
  bool fan_on = false;
  double K_m2_per_s = 0.0;                 ///< mean over the run's water
  std::vector<FlownSize> sizes;            ///< as DropsSeen::sizes
  droplet::Outcome head;                   ///< of all of that head's water
  std::vector<double> airborne_kg_per_m3;  ///< as droplet::Airborne
};

struct DropsSeen {
  std::uint32_t head = 0;
  droplet::Launch launch;
  std::vector<SizeSeen> sizes;  ///< rising
  std::vector<FlownAir> airs;   ///< fans off, then on; only what the run's bursts met
};

/// @return nothing when no head sprayed
[[nodiscard]] std::optional<DropsSeen> drops_seen(HouseRun& run);

}  // namespace mistwright
