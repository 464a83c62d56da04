#pragma once
// Heads: flow and droplet size against pressure.
#include <string>

namespace mistwright::water {

enum class LaunchPattern { Disc, FullCone, HollowCone, Upward, Downward };

/// A kind of head: q = k p^x, and a droplet spectrum that grows finer with pressure.
struct HeadType {
  std::string name;
  double rated_flow_m3_per_s = 0.0;   ///< at rated_pressure_Pa
  double rated_pressure_Pa = 0.0;     ///< gauge
  double flow_exponent = 0.5;         ///< x
  double dv10_m = 0.0, dv50_m = 0.0, dv90_m = 0.0;  ///< volume percentiles at spectrum_pressure_Pa
  double spectrum_pressure_Pa = 0.0;
  double spectrum_exponent = 0.3;     ///< n in Dv0.5 ~ p^-n (Lefebvre's form)
  LaunchPattern launch = LaunchPattern::Disc;
  double launch_angle_rad = 0.0;      ///< Disc: elevation of the sheet above level; cones: half angle
  double wetted_diameter_m = 0.0;     ///< in still air, from its riser height
  double wetted_height_m = 0.6;       ///< height above the catch plane at which that was measured
  double working_pressure_low_Pa = 0.0, working_pressure_high_Pa = 0.0;
  bool check_valve = false;
  double check_opens_Pa = 0.0, check_closes_Pa = 0.0;
  std::string evidence;               ///< tag: source, memory, common practice, derived, invented
};

/// Flow [m3/s] at a gauge pressure; zero at and below zero.
[[nodiscard]] double head_flow_m3_per_s(const HeadType& type, double pressure_Pa);

/// Dv0.5 [m] at a gauge pressure.
[[nodiscard]] double head_dv50_m(const HeadType& type, double pressure_Pa);

}  // namespace mistwright::water
