#pragma once
// What stands about the air of the house at an instant: sun and sky through cloth and cover, the
// air outside, the flows through the envelope, and what cover and floor cannot hold. Asked by the
// air's part for each stretch; kept apart so that other solvers can be given the very same house.
#include <cstddef>
#include <vector>

#include "models/air/house_balance.h"
#include "models/sky/weather.h"
#include "sim/house/canopy.h"
#include "sim/house/shared.h"

namespace mistwright {

struct Surroundings {
  double light_at_leaves_W_per_m2 = 0.0;
  double sky_temperature_K = 0.0;  ///< what the cover sees: sky and cloth
  double sun_on_floor_W_per_m2 = 0.0, sun_on_medium_W_per_m2 = 0.0, sun_on_cover_W_per_m2 = 0.0;
  double outside_temperature_K = 0.0, outside_humidity_ratio = 0.0;
  double wind_speed_m_per_s = 0.0, wind_from_rad = 0.0;
};

/// Sun and sky through cloth and cover, and what of it each surface keeps.
/// @param weather  of that instant
[[nodiscard]] Surroundings surroundings_at(const House& house, const Plan& plan,
                                           const sky::Weather& weather, double utc_s,
                                           bool shade_drawn);

/// Air through the envelope.
struct AirThrough {
  double air_changes_per_h = 0.0;
  double flow_ratio = 0.0;         ///< its flow over the regime's nominal one
  double speed_ratio = 0.0;        ///< of the air inside to that at nominal flows (Drive)
  double bench_speed_ratio = 0.0;  ///< the same over the benches, small eddies and all
};

/// @param state  of the air, for how warm it is inside
[[nodiscard]] AirThrough air_through(const Shared& shared, const DeviceState& devices,
                                     const Regime& regime, const Surroundings& around,
                                     const std::vector<double>& state);

/// What the balances of heat and water need: the regime's own flows, scaled to those of the moment.
/// Between two air cells what passes through goes with the envelope's flows, what goes to and fro
/// with the speed of the air inside.
[[nodiscard]] air::HouseNow house_now(const Plan& plan, const Regime& regime,
                                      const Surroundings& around, const AirThrough& through);

/// What the leaves need.
[[nodiscard]] CanopyNow canopy_now(const Surroundings& around, const AirThrough& through);

/// Water that left an air cell's cover and floor because they could not hold it.
struct Overflow {
  double on_benches_kg = 0.0;  ///< dripped from the cover
  double off_floor_kg = 0.0;
  bool fell = false;
};

/// Condensate beyond what the cover holds falls straight down, on benches and on the floor by their
/// areas; the floor keeps what it can.
/// @param cover_water_kg, floor_water_kg  of this cell; lowered to what they hold
Overflow drip(const air::HouseFixed& fixed, const Cover& cover, std::size_t cell,
              double& cover_water_kg, double& floor_water_kg);

}  // namespace mistwright
