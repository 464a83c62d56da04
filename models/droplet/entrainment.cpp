#include "models/droplet/entrainment.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"
#include "models/droplet/induced_air.h"
#include "models/units.h"

namespace mistwright::droplet {

namespace {

using jets::ln2_number;
/// Half the angle over which a sheet's drops spread: our assumption, 3 to 8 degrees in photographs
/// of sheets.
constexpr double sheet_spread_rad = 0.09;

bool is_cone(water::LaunchPattern pattern) {
  return pattern != water::LaunchPattern::Disc;
}

/// Half-width ratio of a Gaussian jet with the flow and momentum of one that fills the spray's cone
/// evenly, and never narrower than a free jet.
double cone_spread(double half_angle_rad) {
  return std::max(round_jet_spread_ratio, std::sqrt(0.5 * ln2_number) * std::tan(half_angle_rad));
}

double sheet_amplitude_m2_per_s(double momentum_m4_per_s2, double cos_factor) {
  return std::sqrt(momentum_m4_per_s2 / (2.0 * pi * cos_factor * radial_jet_spread_ratio *
                                         std::sqrt(pi / (2.0 * ln2_number))));
}

}  // namespace

InducedAir::InducedAir(const Launch& launch)
    : cone_(is_cone(launch.pattern)),
      axis_factor_(launch.pattern == water::LaunchPattern::Upward ? 1.0 : -1.0),
      cos_factor_(std::cos(launch.angle_rad)),
      sin_factor_(std::sin(launch.angle_rad)),
      spread_ratio_(cone_ ? cone_spread(launch.angle_rad) : radial_jet_spread_ratio),
      growth_m_(launch.jet_growth_m),
      down_(launch.down),
      fastest_m_per_s_(launch.speed_m_per_s) {
  const double momentum = std::max(0.0, launch.jet_momentum_m4_per_s2);
  // Momentum flux of a Gaussian profile: pi/(2 ln 2) b^2 U^2 round, sqrt(pi/(2 ln 2)) b U^2 per
  // width of a sheet.
  amplitude_m2_per_s_ = cone_ ? std::sqrt(2.0 * ln2_number * momentum / pi) / spread_ratio_
                              : sheet_amplitude_m2_per_s(momentum, cos_factor_);
}

double InducedAir::flow_m3_per_s(double distance_m) const {
  EXPECT(distance_m > 0.0);
  if (!any()) return 0.0;
  const double A = amplitude_m2_per_s_ * jets::growth(distance_m, growth_m_).strength_ratio;
  if (cone_) return A * spread_ratio_ * spread_ratio_ * distance_m * pi / ln2_number;
  return 2.0 * pi * cos_factor_ * A * spread_ratio_ * distance_m * std::sqrt(pi / ln2_number);
}

Velocity induced_air(const Launch& launch, const Offset& from_head) {
  const InducedAir air(launch);
  return air.any() ? air.at(from_head) : Velocity{};
}

double induced_flow_m3_per_s(const Launch& launch, double distance_m) {
  return InducedAir(launch).flow_m3_per_s(distance_m);
}

double usual_velocity_coefficient(const water::HeadType& type) {
  if (type.launch_speed_m_per_s > 0.0) return 1.0;
  return is_cone(type.launch) ? 0.9 : 0.63;
}

double fastest_launch_m_per_s(const water::HeadType& type, double pressure_Pa) {
  if (type.launch_speed_m_per_s > 0.0) return type.launch_speed_m_per_s;
  return std::sqrt(2.0 * pressure_Pa / water_density_kg_per_m3);
}

double stopping_length_m(double diameter_m, double speed_m_per_s, const DragAir& air) {
  EXPECT(diameter_m > 0.0 && speed_m_per_s > 0.0);
  const double tau = relaxation_time_s(diameter_m, air);
  const double per_speed = air.density_kg_per_m3 * diameter_m / air.viscosity_Pa_s;
  // dx = tau dv / f(Re); midpoint rule in ln v over one e-fold.
  const int steps = 64;
  double length_m = 0.0;
  for (int i = 0; i < steps; ++i) {
    const double v = speed_m_per_s * std::exp(-(i + 0.5) / steps);
    length_m += tau * v / (steps * drag_factor(std::min(per_speed * v, 1.2e4)));
  }
  return length_m;
}

Launch launch_at(const water::HeadType& type, double pressure_Pa, const Throw& thrown,
                 const Offset& place, const AirState& air_state, double burst_s) {
  EXPECT(pressure_Pa > 0.0);
  EXPECT(thrown.velocity_coefficient > 0.0 && thrown.velocity_coefficient <= 1.0);
  Launch launch;
  launch.x_m = place.x_m;
  launch.y_m = place.y_m;
  launch.z_m = place.z_m;
  launch.pattern = type.launch;
  launch.angle_rad = type.launch_angle_rad;
  launch.spread_rad =
      type.launch == water::LaunchPattern::FullCone || type.launch == water::LaunchPattern::Downward
          ? 0.0
          : sheet_spread_rad;
  launch.speed_m_per_s = thrown.velocity_coefficient * fastest_launch_m_per_s(type, pressure_Pa);
  const DragAir air = drag_air(air_state);
  double along_axis = 1.0;
  if (is_cone(type.launch)) {
    const double c = std::cos(type.launch_angle_rad);
    along_axis = launch.spread_rad > 0.0 ? c : 0.5 * (1.0 + c);
  }
  launch.jet_momentum_m4_per_s2 = thrown.entrainment_fraction * along_axis *
                                  (water_density_kg_per_m3 / air.density_kg_per_m3 *
                                       water::head_flow_m3_per_s(type, pressure_Pa) +
                                   type.blown_air_m3_per_s) *
                                  launch.speed_m_per_s;
  launch.jet_growth_m =
      stopping_length_m(water::head_dv50_m(type, pressure_Pa), launch.speed_m_per_s, air);
  launch.jet_lasts_s = burst_s;
  if (!is_cone(type.launch) && !is_fog(type)) {
    const double momentum = launch.jet_momentum_m4_per_s2;
    const double amplitude = sheet_amplitude_m2_per_s(momentum, std::cos(launch.angle_rad));
    launch.down = downdraught(type, pressure_Pa, {amplitude, momentum}, air);
  }
  return launch;
}

Launch without_induced_air(Launch launch) {
  launch.jet_momentum_m4_per_s2 = 0.0;
  launch.down = {};
  return launch;
}

}  // namespace mistwright::droplet
