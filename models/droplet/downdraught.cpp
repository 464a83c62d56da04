#include "models/droplet/downdraught.h"

#include <array>
#include <complex>

#include "models/contracts.h"
#include "models/units.h"

namespace mistwright::droplet {

namespace {

/// Mean of the column's speed over its section, weighed by its load, which is taken to lie as its
/// speed does.
constexpr double loaded_mean_ratio = 0.5;

/// Speed of the air on the column's axis whose momentum flux is the weight of what hangs in it.
/// Sizes: Swanson's mean over Dv10, Dv50 and Dv90, 0.3, 0.4 and 0.3 (Hurst, Reiman and White 2000,
/// Petroleum Geoscience, from memory).
double column_speed_m_per_s(const water::HeadType& type, double pressure_Pa,
                            double weight_m4_per_s3, double radius_m) {
  const double finer = water::head_dv50_m(type, pressure_Pa) / type.dv50_m;
  struct Falling {
    double fall_m_per_s, share;
  };
  const auto falling = [&](double diameter_m, double share) {
    return Falling{terminal_velocity_m_per_s(diameter_m * finer, reference_air), share};
  };
  const std::array<Falling, 3> sizes = {falling(type.dv10_m, 0.3), falling(type.dv50_m, 0.4),
                                        falling(type.dv90_m, 0.3)};
  const auto held_m4_per_s2 = [&](double speed_m_per_s) {
    double sum = 0.0;
    for (const Falling& size : sizes)
      sum += size.share * weight_m4_per_s3 * type.wetted_height_m / size.fall_m_per_s *
             time_down_ratio(loaded_mean_ratio * speed_m_per_s / size.fall_m_per_s);
    return sum;
  };
  const double section_m2 = pi * radius_m * radius_m / (2.0 * std::numbers::ln2);
  double low = 0.0, high = std::sqrt(held_m4_per_s2(0.0) / section_m2);
  for (int i = 0; i < 40; ++i) {
    const double middle = 0.5 * (low + high);
    (section_m2 * middle * middle < held_m4_per_s2(middle) ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

}  // namespace

double time_down_ratio(double speed_ratio) {
  EXPECT(speed_ratio >= 0.0);
  if (speed_ratio < 1e-8) return 1.0 - speed_ratio * 8.0 / 15.0;
  // With y = 1 - 2x: the integral of 1/(1 + c (1 - y^2)^2) from 0 to 1, the real part of that of
  // 1/(1 + i k (1 - y^2)) with k = sqrt(c).
  const std::complex<double> b(0.0, std::sqrt(speed_ratio)), a = 1.0 + b;
  return (std::atanh(std::sqrt(b / a)) / std::sqrt(a * b)).real();
}

Downdraught downdraught(const water::HeadType& type, double pressure_Pa, const SheetJet& jet,
                        const DragAir& air) {
  EXPECT(pressure_Pa > 0.0 && type.wetted_diameter_m > 0.0 && type.wetted_height_m > 0.0);
  Downdraught down;
  const double weight_m4_per_s3 = gravity_m_per_s2 * water::head_flow_m3_per_s(type, pressure_Pa) *
                                  water_density_kg_per_m3 / air.density_kg_per_m3;
  if (jet.momentum_m4_per_s2 > 0.0) {
    // A load in the jet has gone s after s^2 / (sqrt(2) A): closed form of its mean speed.
    const double way_m2_per_s = std::numbers::sqrt2 * jet.amplitude_m2_per_s;
    const double fall =
        terminal_velocity_m_per_s(water::head_dv50_m(type, pressure_Pa), reference_air);
    down.sag_per_m2 = weight_m4_per_s3 * std::cos(type.launch_angle_rad) /
                      (way_m2_per_s * jet.momentum_m4_per_s2);
    down.sag_ends_m = std::min(widths_of_fall_ratio * radial_jet_spread_ratio * way_m2_per_s / fall,
                               std::sqrt(steepest_ratio / down.sag_per_m2));
  }
  down.column_radius_m = column_radius_ratio * type.wetted_diameter_m;
  down.column_height_m = type.wetted_height_m;
  down.column_m_per_s =
      column_speed_m_per_s(type, pressure_Pa, weight_m4_per_s3, down.column_radius_m);
  return down;
}

}  // namespace mistwright::droplet
