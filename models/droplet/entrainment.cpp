#include "models/droplet/entrainment.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "models/contracts.h"
#include "models/units.h"

namespace mistwright::droplet {

namespace {

constexpr double ln2 = std::numbers::ln2;
/// Nearer than this to the head the jet is held as it is here: the head itself is about this large.
constexpr double nearest_m = 0.01;
/// Half the angle over which a sheet's drops spread: our assumption, 3 to 8 degrees in photographs
/// of sheets.
constexpr double sheet_spread_rad = 0.09;

/// The jet's strength along its way: root of the share of momentum that it carries by then, and the
/// slope of that.
struct Growth {
  double strength, slope_per_m;
};

Growth growth(double s_m, double growth_m) {
  const double left = std::exp(-s_m / growth_m);
  const double strength = std::sqrt(1.0 - left);
  return {strength, 0.5 * left / (growth_m * strength)};
}

/// Radial jet in the plane of (s, n), s along the sheet and n across it: s U = dpsi/dn, s W =
/// -dpsi/ds, psi = A(s) b s I(n/(b s)) T(n/s), I the integral of the Gaussian, T = 1/(1 + (n/s)^2)
/// the share of the inflow that still passes at an angle off the sheet (ours: a smooth way to
/// nought on the axis).
struct Planar {
  double along, across;
  double spreading;  ///< across, for what the head itself has sent: see InducedAir::carrying
};

/// A self-similar jet: distance times speed on its axis at its whole momentum, the distance over
/// which it takes that up, and its half-width over distance.
struct Jet {
  double amplitude_m2_per_s, growth_m, spread;
};

/// How far a point counts to the jet, 1 on its axis to 0 outside: 0.94 where the speed is half the
/// axis's and 0.23 at twice that width (ours).
double within_jet(double gaussian) {
  const double out = (1.0 - gaussian) * (1.0 - gaussian);
  return 1.0 - out * out;
}

Planar radial_jet(const Jet& jet, double s_m, double n_m) {
  const double b = jet.spread;
  const double s = std::max(s_m, nearest_m);
  const Growth g = growth(s, jet.growth_m);
  const double A = jet.amplitude_m2_per_s * g.strength;
  const double slope = s_m > nearest_m ? jet.amplitude_m2_per_s * g.slope_per_m : 0.0;
  const double xi = n_m / s, eta = xi / b;
  const bool off_sheet = std::abs(eta) > 7.0;  // there the Gaussian is below 2e-15
  const double E = off_sheet ? 0.0 : std::exp(-ln2 * eta * eta);
  const double I = 0.5 * std::sqrt(pi / ln2) *
                   (off_sheet ? std::copysign(1.0, eta) : std::erf(std::sqrt(ln2) * eta));
  const double T = 1.0 / (1.0 + xi * xi), dT = -2.0 * xi * T * T;
  const double along = A / s * (E * T + b * I * dT);
  const double across = -b / s * ((slope * s + A) * I * T - A * (E * eta * T + I * dT * xi));
  return {along, across, across + within_jet(E) * (along * xi - across)};
}

/// Round jet in (x, r): r U = dpsi/dr, r V = -dpsi/dx, psi = A(x) b^2 x (1 - E)/(2 ln 2).
Planar round_jet(const Jet& jet, double x_m, double r_m) {
  const double spread = jet.spread;
  if (x_m <= 0.0) return {0.0, 0.0, 0.0};
  const double x = std::max(x_m, nearest_m);
  const double r = std::max(r_m, 1e-6);
  const Growth g = growth(x, jet.growth_m);
  const double A = jet.amplitude_m2_per_s * g.strength;
  const double slope = x_m > nearest_m ? jet.amplitude_m2_per_s * g.slope_per_m : 0.0;
  const double eta = r / (spread * x);
  const double E = std::exp(-ln2 * eta * eta);
  const double dpsi =
      spread * spread / (2.0 * ln2) *
      ((slope * x + A) * -std::expm1(-ln2 * eta * eta) - A * E * 2.0 * ln2 * eta * eta);
  const double along = A / x * E, across = -dpsi / r;
  return {along, across, across + within_jet(E) * (along * r / x - across)};
}

bool is_cone(water::LaunchPattern pattern) {
  return pattern != water::LaunchPattern::Disc;
}

/// Half-width ratio of a Gaussian jet with the flow and momentum of one that fills the spray's cone
/// evenly, and never narrower than a free jet.
double cone_spread(double half_angle_rad) {
  return std::max(round_jet_spread_ratio, std::sqrt(0.5 * ln2) * std::tan(half_angle_rad));
}

}  // namespace

InducedAir::InducedAir(const Launch& launch)
    : cone_(is_cone(launch.pattern)),
      axis_factor_(launch.pattern == water::LaunchPattern::Upward ? 1.0 : -1.0),
      cos_factor_(std::cos(launch.angle_rad)),
      sin_factor_(std::sin(launch.angle_rad)),
      spread_ratio_(cone_ ? cone_spread(launch.angle_rad) : radial_jet_spread_ratio),
      growth_m_(launch.jet_growth_m),
      fastest_m_per_s_(launch.speed_m_per_s) {
  const double momentum = std::max(0.0, launch.jet_momentum_m4_per_s2);
  // Momentum flux of a Gaussian profile: pi/(2 ln 2) b^2 U^2 round, sqrt(pi/(2 ln 2)) b U^2 per
  // width of a sheet.
  amplitude_m2_per_s_ = cone_ ? std::sqrt(2.0 * ln2 * momentum / pi) / spread_ratio_
                              : std::sqrt(momentum / (2.0 * pi * cos_factor_ * spread_ratio_ *
                                                      std::sqrt(pi / (2.0 * ln2))));
}

Velocity InducedAir::at(const Offset& from_head) const {
  return velocity(from_head, false);
}

Velocity InducedAir::carrying(const Offset& from_head) const {
  return velocity(from_head, true);
}

Velocity InducedAir::velocity(const Offset& from_head, bool spreading) const {
  const double r = std::sqrt(from_head.x_m * from_head.x_m + from_head.y_m * from_head.y_m);
  const Jet jet{amplitude_m2_per_s_, growth_m_, spread_ratio_};
  double radial = 0.0, up = 0.0;
  if (cone_) {
    const Planar flow = round_jet(jet, axis_factor_ * from_head.z_m, r);
    radial = spreading ? flow.spreading : flow.across;
    up = axis_factor_ * flow.along;
  } else {
    const Planar flow = radial_jet(jet, r * cos_factor_ + from_head.z_m * sin_factor_,
                                   from_head.z_m * cos_factor_ - r * sin_factor_);
    const double across = spreading ? flow.spreading : flow.across;
    radial = flow.along * cos_factor_ - across * sin_factor_;
    up = flow.along * sin_factor_ + across * cos_factor_;
  }
  const double speed = std::sqrt(radial * radial + up * up);
  const double cap = speed > fastest_m_per_s_ ? fastest_m_per_s_ / speed : 1.0;
  const double over_r = r > 0.0 ? cap * radial / r : 0.0;
  return {over_r * from_head.x_m, over_r * from_head.y_m, cap * up};
}

double InducedAir::flow_m3_per_s(double distance_m) const {
  EXPECT(distance_m > 0.0);
  if (!any()) return 0.0;
  const double A = amplitude_m2_per_s_ * growth(distance_m, growth_m_).strength;
  if (cone_) return A * spread_ratio_ * spread_ratio_ * distance_m * pi / ln2;
  return 2.0 * pi * cos_factor_ * A * spread_ratio_ * distance_m * std::sqrt(pi / ln2);
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
                 const Offset& place, double burst_s) {
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
  const DragAir air = drag_air(reference_air);
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
  return launch;
}

}  // namespace mistwright::droplet
