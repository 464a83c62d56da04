#pragma once
// One parcel in the air: how fast it takes up what it meets, and how long a step may be.
#include <algorithm>
#include <array>
#include <cmath>

#include "models/droplet/contact.h"
#include "models/droplet/induced_air.h"
#include "models/droplet/motion.h"
#include "models/droplet/patch.h"
#include "models/droplet/walk.h"

namespace mistwright::droplet {

/// A drop that stands for a share of the class's water.
struct Parcel {
  Point at;
  Velocity v;
  /// Speed through the air that is not the eddies' doing: of the throw, then of the fall. It says
  /// how soon a drop leaves an eddy; the speed through the gusts themselves would end strong gusts
  /// sooner than weak ones.
  Velocity slip = {};
  std::array<double, 3> omega{};  ///< turbulent speed met, over its rms
  double diameter_m = 0.0;
  double mass_fraction = 0.0;  ///< share of the class's water
  double first_mass_fraction = 0.0;
  double age_s = 0.0;
  double jet_ends_s = 0.0;
  Patch patch = {};
};

/// The air of a regime and of a head as a parcel flies through it.
struct Sky {
  const Launch& launch;
  FieldSeen seen;
  Motion motion;
  InducedAir induced;

  [[nodiscard]] Point head() const { return {launch.x_m, launch.y_m, launch.z_m}; }
};

/// Drag on a drop while a step lasts.
struct Pace {
  double rate_per_s, sink_m_per_s;
  double reynolds_number, relative_m_per_s;
};

/// @param relative2_m2_per_s2  square of the speed through the air
/// @param gusts2_m2_per_s2     mean square of one level component through the patch's own eddies
[[gnu::always_inline]] inline Pace pace_at(const Motion& motion, double diameter_m,
                                           double relative2_m2_per_s2, double gusts2_m2_per_s2) {
  const double Re = motion.reynolds_s_per_m2 * diameter_m *
                    std::sqrt(relative2_m2_per_s2 + 2.0 * gusts2_m2_per_s2);
  // Above 2 um the exponential in the slip factor is nil.
  const double slip = 1.0 + 2.514 * motion.air.mean_free_path_m / diameter_m;
  const double rate = motion.drag_rate_per_s(diameter_m, slip, Re);
  return {rate, motion.weight_m_per_s2 / rate, Re, std::sqrt(relative2_m2_per_s2)};
}

/// A drop that crosses eddies faster than this is hardly moved by them: 0.3 mm a step at 0.02 m/s.
inline constexpr double shortest_eddy_step_s = 0.016;

/// What the length of a step hangs on.
struct Stride {
  double crossing_s;      ///< see crossing_time_s()
  double cell_edge_m;     ///< the smallest of the grid
  double speed_m_per_s;   ///< about how fast the drop goes, whatever its present gust
  double off2_m2_per_s2;  ///< square of the speed that it has yet to lose
  double sigma_m_per_s;
  double jet_m_per_s, jet_distance_m;
};

/// The step: short against the turbulence's time, the crossing
/// of a grid cell, the change of drag while a drop that is thrown or let go finds its speed, and
/// the width of a jet. By place alone where nothing is thrown, so that no gust chooses its own
/// step.
[[gnu::always_inline]] inline double step_s(const Motion& motion, double diameter_m,
                                            const Pace& pace, const Stride& s) {
  const double gusts_s = std::max(0.2 * s.crossing_s, shortest_eddy_step_s);
  const double cell_s = 0.7 * s.cell_edge_m / s.speed_m_per_s;
  const double sinking_number = motion.reynolds_s_per_m2 * diameter_m * pace.sink_m_per_s;
  const double most =
      0.4 * std::max(pace.sink_m_per_s, pace.relative_m_per_s) + 3.0 * s.sigma_m_per_s;
  const bool finding =
      (std::max(pace.reynolds_number, sinking_number) > 1.0) & (s.off2_m2_per_s2 > most * most);
  const double finding_s = 0.2 / pace.rate_per_s;
  const double drag_s = finding ? finding_s : gusts_s;
  const double width_s = 0.12 * std::max(s.jet_distance_m, 0.05) / s.speed_m_per_s;
  const double jet_s = s.jet_m_per_s > 0.05 ? width_s : gusts_s;
  return std::min(std::min(gusts_s, cell_s), std::min(drag_s, jet_s));
}

/// How fast a drop goes, whatever its present gust.
[[gnu::always_inline]] inline double usual_speed_m_per_s(double mean_air_m_per_s,
                                                         double slip_m_per_s,
                                                         double sigma_m_per_s) {
  return mean_air_m_per_s + slip_m_per_s + 2.0 * sigma_m_per_s + 1e-9;
}

}  // namespace mistwright::droplet
