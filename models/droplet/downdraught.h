#pragma once
// What does the weight of a sheet's drops do to the air?
// For as long as drops ride in the sheet's jet they hang on it, so that its middle bends down by
// the momentum flux W t, W = g q rho_w / rho_a. Below, their weight hangs on a column of air under
// the head: at half its height its momentum flux is the weight of all the water in it, which falls
// the faster the faster the column does.
// Left out: cones, whose drops fly the way their air goes; fog (is_fog), which drifts off before it
// could pull a column down; air that has grown heavy since it is cool and moist; columns in a wind,
// which lean; the seconds until a column stands.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "models/droplet/drag.h"
#include "models/droplet/motion.h"
#include "models/water/head.h"

namespace mistwright::droplet {

/// How the weight of a sheet's drops bends its jet and pulls down the air below it. The middle of
/// the jet has the slope -sag_per_m2 s^2 up to the distance s = sag_ends_m and goes straight on
/// from there.
struct Downdraught {
  double sag_per_m2 = 0.0;
  double sag_ends_m = 0.0;
  double column_m_per_s = 0.0;   ///< on the column's axis at half its height, its fastest
  double column_radius_m = 0.0;  ///< where it has half its axis's speed
  double column_height_m = 0.0;  ///< from the head down to where it has spread out
};

/// Half-width over distance of a free turbulent radial jet, where the mean speed is half that of
/// its middle. Source: Heskestad 1966, J. Appl. Mech. 33:417 (0.11; from memory).
inline constexpr double radial_jet_spread_ratio = 0.11;
/// Drops count as gone from the sheet's jet when they have fallen this many of its half-widths:
/// ours, chosen with column_radius_ratio between the two-way runs (DEVELOPERS.md).
inline constexpr double widths_of_fall_ratio = 3.0;
/// The steepest that a sheet's jet is bent: 60 degrees.
inline constexpr double steepest_ratio = std::numbers::sqrt3;
/// Half-width of the column over the wetted diameter: ours, likewise.
inline constexpr double column_radius_ratio = 0.36;

/// @param amplitude_m2_per_s  of the sheet's jet at its whole momentum: its speed times distance
/// @param momentum_m4_per_s2  its momentum flux over the density of air
struct SheetJet {
  double amplitude_m2_per_s, momentum_m4_per_s2;
};

/// Of a sheet's drops at a gauge pressure.
/// Source: momentum of the drops' weight, derived here; widths: see the constants.
[[nodiscard]] Downdraught downdraught(const water::HeadType& type, double pressure_Pa,
                                      const SheetJet& jet, const DragAir& air);

/// How long a drop takes down a column over how long in still air, 1 to 0, where the mean column
/// has 16 x^2 (1-x)^2 of its fastest at the share x of its height.
/// @param speed_ratio  the column's fastest over the drop's fall, 0 and above
/// Source: closed form of the integral of 1/(1 + speed_ratio 16 x^2 (1-x)^2) from 0 to 1.
[[nodiscard]] double time_down_ratio(double speed_ratio);

/// Air that flows out and down in a column, in a plane through its axis.
struct ColumnFlow {
  double outward_m_per_s, up_m_per_s;
};

/// The column under a head: w = -w0 16 x^2 (1-x)^2 exp(-ln2 (r/R)^2) at the share x of its height,
/// with the level flow that keeps its air whole.
/// @param r_m      from its axis, 0 and above
/// @param depth_m  below the head; the column is nought above it and below its foot
[[gnu::always_inline]] inline ColumnFlow column_flow(const Downdraught& down, double r_m,
                                                     double depth_m) {
  constexpr double ln2_number = std::numbers::ln2;
  const double height_m = std::max(down.column_height_m, 1e-6);
  const double radius2_m2 = std::max(down.column_radius_m * down.column_radius_m, 1e-12);
  const double x = std::min(std::max(depth_m / height_m, 0.0), 1.0);
  const double power = std::min(ln2_number * r_m * r_m / radius2_m2, 600.0);
  const double gaussian_ratio = exp_factor(-power);
  const double way = 4.0 * x * (1.0 - x), slope = 8.0 * way * (1.0 - 2.0 * x);
  const double inside_m2 = radius2_m2 / (2.0 * ln2_number) * (1.0 - gaussian_ratio);
  return {-down.column_m_per_s * slope / height_m * inside_m2 / std::max(r_m, 1e-6),
          -down.column_m_per_s * way * way * gaussian_ratio};
}

}  // namespace mistwright::droplet
