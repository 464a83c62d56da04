#include "models/droplet/landing.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "models/contracts.h"
#include "models/droplet/drag.h"
#include "models/droplet/motion.h"
#include "models/units.h"

namespace mistwright::droplet {

namespace {

constexpr double surface_tension_20C_N_per_m = 0.07274;  // IAPWS R1-76(2014)

/// Smooth step from 0 to 1 over a factor of about three about x = 1.
double rises(double x) {
  const double x2 = x * x;
  return x2 * x2 / (1.0 + x2 * x2);
}

/// Where in the tilts of its leaves a canopy is asked: mean, and half of it to either side, with
/// the weights of Simpson's rule. One tilt alone would make run-off a cliff.
constexpr std::array<double, 3> tilt_factors = {0.5, 1.0, 1.5};
constexpr std::array<double, 3> tilt_weights = {1.0 / 6.0, 4.0 / 6.0, 1.0 / 6.0};

/// Leaf area that a drop coming down a path meets, over the leaf's own area: |cos| of the angle
/// between path and the leaf's normal, averaged over the leaf's bearing. Closed form as in de Wit's
/// leaf projection.
double projected_ratio(double tilt_rad, double descent_rad) {
  const double level = std::cos(tilt_rad) * std::sin(descent_rad);
  const double upright = std::sin(tilt_rad) * std::cos(descent_rad);
  if (upright <= level) return level;
  const double psi = std::acos(level / upright);
  return level + 2.0 / pi * (upright * std::sin(psi) - psi * level);
}

/// A drop as it arrives.
struct Arrival {
  double fall_m_per_s, speed_m_per_s, descent_rad;
};

Arrival arrival(double diameter_m, double air_speed_m_per_s) {
  const double fall = terminal_velocity_m_per_s(diameter_m, reference_air);
  return {fall, std::hypot(fall, air_speed_m_per_s), std::atan2(fall, air_speed_m_per_s)};
}

/// Share of hits that a leaf at a tilt gives back.
double rejected_fraction(const Canopy& canopy, double tilt_rad, double diameter_m,
                         double speed_m_per_s) {
  const double rolled = rises(diameter_m / roll_off_diameter_m(canopy.surface, tilt_rad));
  const double across_m_per_s = speed_m_per_s * std::cos(tilt_rad);
  const double We = water_density_kg_per_m3 * across_m_per_s * across_m_per_s * diameter_m /
                    surface_tension_20C_N_per_m;
  return 1.0 - (1.0 - rolled) * (1.0 - bounce_fraction(canopy.surface, We));
}

/// What one layer does to water that reaches it.
struct Layer {
  double hit_fraction = 0.0;   ///< of the water strikes a leaf
  double kept_fraction = 0.0;  ///< of the water stays on one
};

Layer layer_of(const Canopy& canopy, double diameter_m, double air_speed_m_per_s) {
  const Arrival drop = arrival(diameter_m, air_speed_m_per_s);
  const double area = canopy.leaf_area_index / canopy.layers;
  const double settles_ratio = drop.fall_m_per_s / std::max(drop.speed_m_per_s, 1e-12);
  // Settling takes the upright part of the flux onto the leaf's plan area; the level part follows
  // the air round the leaf unless inertia holds it to its path.
  const double E = doubted_efficiency(
      stokes_number(diameter_m, air_speed_m_per_s, canopy.leaf_length_m), canopy.doubt_ratio);
  Layer layer;
  for (std::size_t i = 0; i < tilt_factors.size(); ++i) {
    const double tilt = std::min(canopy.mean_tilt_rad * tilt_factors[i], 0.5 * pi);
    const double straight = projected_ratio(tilt, drop.descent_rad);
    const double settling = std::cos(tilt) * settles_ratio;
    const double met = settling + E * std::max(0.0, straight - settling);
    // Beer: the optical depth along the path, per height fallen.
    const double hit = -std::expm1(-area * met / settles_ratio);
    layer.hit_fraction += tilt_weights[i] * hit;
    layer.kept_fraction += tilt_weights[i] * hit *
                           (1.0 - rejected_fraction(canopy, tilt, diameter_m, drop.speed_m_per_s));
  }
  return layer;
}

}  // namespace

double impaction_efficiency(double stokes_number, double half_point_number) {
  EXPECT(stokes_number >= 0.0 && half_point_number > 0.0);
  const double ratio = stokes_number / (stokes_number + half_point_number);
  return ratio * ratio;
}

double doubted_efficiency(double stokes_number, double doubt_ratio) {
  EXPECT(doubt_ratio > 0.0 && doubt_ratio <= 4.0);
  constexpr double half_point_number = 0.8, doubtful_number = 0.2;
  return impaction_efficiency(
      stokes_number,
      (doubtful_number + half_point_number) / std::sqrt(doubt_ratio) - doubtful_number);
}

double stokes_number(double diameter_m, double speed_m_per_s, double width_m) {
  EXPECT(diameter_m > 0.0 && speed_m_per_s >= 0.0 && width_m > 0.0);
  return relaxation_time_s(diameter_m, drag_air(reference_air)) * speed_m_per_s / width_m;
}

ContactAngles contact_angles(LeafSurface surface) {
  // Water on leaves: advancing 60 to 160 degrees by species, hysteresis 20 to 60 (common practice;
  // the three classes are ours).
  switch (surface) {
    case LeafSurface::Waxy:
      return {radians(140.0), radians(110.0)};
    case LeafSurface::Ordinary:
      return {radians(95.0), radians(50.0)};
    case LeafSurface::Wettable:
      return {radians(60.0), radians(15.0)};
  }
  return {};
}

double roll_off_diameter_m(LeafSurface surface, double tilt_rad) {
  EXPECT(tilt_rad >= 0.0 && tilt_rad <= 0.5 * pi + 1e-12);
  const ContactAngles angles = contact_angles(surface);
  const double mean = 0.5 * (angles.advancing_rad + angles.receding_rad);
  // A cap of contact angle theta and base width w: volume pi w^3/24 (2 - 3c + c^3)/sin^3, c = cos
  // theta.
  const double c = std::cos(mean), s = std::sin(mean);
  const double cap = (2.0 - 3.0 * c + c * c * c) / (4.0 * s * s * s);  // (d/w)^3
  const double width_over_diameter = 1.0 / std::cbrt(cap);
  const double grip = width_over_diameter * surface_tension_20C_N_per_m *
                      (std::cos(angles.receding_rad) - std::cos(angles.advancing_rad));
  const double pull =
      pi / 6.0 * water_density_kg_per_m3 * gravity_m_per_s2 * std::max(std::sin(tilt_rad), 1e-3);
  return std::sqrt(grip / pull);
}

double bounce_fraction(LeafSurface surface, double weber_number) {
  EXPECT(weber_number >= 0.0);
  // Water drops of 63 to 545 um leave waxy leaves again below spray speed, and hardly ever others
  // (Dorr, Wang, Mayo, McCue, Forster, Hanan and He 2015, Exp. Fluids 56:143, arXiv:1506.04258,
  // abstract read): energy of impact against what the wetted base holds, a Weber number of a few.
  // On ordinary leaves losses begin with splash, above about 150. Largest shares and half-way
  // points are ours.
  switch (surface) {
    case LeafSurface::Waxy:
      return 0.8 * rises(std::sqrt(weber_number / 3.0));
    case LeafSurface::Ordinary:
      return 0.4 * rises(std::sqrt(weber_number / 150.0));
    case LeafSurface::Wettable:
      return 0.0;
  }
  return 0.0;
}

Landing landing(const Canopy& canopy, double diameter_m, double air_speed_m_per_s) {
  EXPECT(canopy.leaf_area_index >= 0.0 && canopy.layers >= 1 && canopy.layers <= 16);
  EXPECT(canopy.mean_tilt_rad >= 0.0 && canopy.mean_tilt_rad <= 0.5 * pi);
  EXPECT(canopy.leaf_length_m > 0.0);
  EXPECT(diameter_m >= 1e-6 && diameter_m <= 5e-3);
  EXPECT(air_speed_m_per_s >= 0.0 && air_speed_m_per_s <= 20.0);
  const Layer layer = layer_of(canopy, diameter_m, air_speed_m_per_s);
  Landing result;
  double left = 1.0;
  for (int i = 0; i < canopy.layers; ++i) {
    result.layer_share_fraction.push_back(left * layer.kept_fraction);
    result.runoff_share_fraction += left * (layer.hit_fraction - layer.kept_fraction);
    left -= left * layer.hit_fraction;
  }
  result.through_share_fraction = left;
  return result;
}

}  // namespace mistwright::droplet
