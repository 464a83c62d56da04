#pragma once
// How wide a patch does one parcel stand for? Part of the level turbulence is carried by the
// parcel's path and the rest by a Gaussian patch about it, whose width follows from the same linear
// step: second moments of place, speed and eddy. Together they spread as the whole turbulence does,
// with far fewer parcels for a smooth map. Idea: de Haan and Rotach 1998, Q. J. R. Meteorol. Soc.
// 124:2771, puff-particle model (abstract read); the moments are derived here. Exact in even
// turbulence; in uneven turbulence the path drifts as if by its own part alone (bench shares moved
// by less than 0.1 point when that was tried); a patch stops growing at a given width, from where
// the path carries all of it. Left out: patches that meet walls other than the house's ends and
// sides, that follow shear, or that spread along the fall.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <vector>

namespace mistwright::droplet {

/// Share of the level turbulence's variance that a patch carries while it grows. The more, the
/// fewer parcels; all of it would make the path blind to where eddies differ.
inline constexpr double patch_variance_fraction = 0.75;
/// Nothing of a patch is sought further off than this many of its widths.
inline constexpr double patch_reach_width_ratio = 3.0;

/// What one step of the walk and of the drag does to one level component; see Relaxation and
/// walk_step_ratio().
struct LevelStep {
  double dt_s = 0.0;
  double reach_s = 0.0;        ///< of Relaxation
  double decay_factor = 0.0;   ///< of Relaxation
  double memory_ratio = 0.0;   ///< of the eddy over the step, 0 to 1
  double stretch_ratio = 1.0;  ///< by which the mean air draws the patch apart
};

/// Second moments of the part of the level motion that the patch carries: one component, both level
/// ones alike. Once it grows no more, the eddies in it that its width tells of die away; from then
/// on the path meets the rest and all new ones.
struct Patch {
  double place2_m2 = 0.0;
  double place_speed_m2_per_s = 0.0, place_eddy_m = 0.0;
  double speed2_m2_per_s2 = 0.0, speed_eddy_m_per_s = 0.0;
  double eddy2_ratio = 1.0;
  double slip2_m2_per_s2 = 0.0;  ///< of the drops' speed through the patch's own eddies
  bool grows = true;

  /// A parcel that is a point and stays one.
  [[nodiscard]] static Patch none() {
    Patch patch;
    patch.eddy2_ratio = 0.0;
    patch.grows = false;
    return patch;
  }

  [[nodiscard]] double width_m() const { return std::sqrt(place2_m2); }

  /// Whether a step still changes it: once hardly any eddy is left in it, it stays as it is.
  [[nodiscard]] bool changes() const { return eddy2_ratio >= least_eddy2_ratio; }

  /// @param sigma_m_per_s  rms of the whole level turbulence
  /// @param widest_m       at which the patch stops growing
  /// @return whether it has just stopped: the path's eddies are then to be taken from
  /// eddy_after_ratio()
  [[gnu::always_inline]] bool step(const LevelStep& by, double sigma_m_per_s, double widest_m) {
    const double s = sigma_m_per_s * patch_sigma_ratio, E = eddy2_ratio;
    const bool moves = changes();
    const double R = moves ? by.reach_s : 0.0, D = moves ? by.decay_factor : 1.0;
    const double memory = moves ? by.memory_ratio : 1.0, stretch = moves ? by.stretch_ratio : 1.0;
    const double g = (moves ? by.dt_s - R : 0.0) * s, e = (1.0 - D) * s;
    const double met = D * speed_eddy_m_per_s + e * E;  // of the new speed with the old eddy
    place2_m2 += g * g * E + R * R * speed2_m2_per_s2 +
                 2.0 * (g * place_eddy_m + R * place_speed_m2_per_s + g * R * speed_eddy_m_per_s);
    place_speed_m2_per_s = D * place_speed_m2_per_s + e * place_eddy_m + g * met +
                           R * (D * speed2_m2_per_s2 + e * speed_eddy_m_per_s);
    place_eddy_m = memory * (place_eddy_m + g * E + R * speed_eddy_m_per_s);
    speed2_m2_per_s2 = D * D * speed2_m2_per_s2 + e * e * E + 2.0 * D * e * speed_eddy_m_per_s;
    speed_eddy_m_per_s = memory * met;
    place2_m2 *= stretch * stretch;
    place_speed_m2_per_s *= stretch;
    place_eddy_m *= stretch;
    eddy2_ratio *= grows ? 1.0 : memory * memory;
    const double slip2 =
        std::max(0.0, speed2_m2_per_s2 - 2.0 * s * speed_eddy_m_per_s + s * s * eddy2_ratio);
    slip2_m2_per_s2 = moves ? slip2 : slip2_m2_per_s2;
    const bool stops = grows & (place2_m2 >= widest_m * widest_m);
    grows = grows & !stops;
    return stops;
  }

  /// What the path meets from when the patch stops growing: what it met, and what of the patch's
  /// eddies its width does not tell. Only what it tells stays with the patch.
  /// @param lot_number  two numbers with mean 0 and variance 1
  std::array<double, 2> eddy_after_ratio(const std::array<double, 2>& path_ratio,
                                         const std::array<double, 2>& lot_number) {
    const double told = place_eddy_m * place_eddy_m / place2_m2;
    const double untold = patch_sigma_ratio * std::sqrt(std::max(0.0, 1.0 - told));
    eddy2_ratio = told;
    speed_eddy_m_per_s = place_speed_m2_per_s * place_eddy_m / place2_m2;
    return {rest_sigma_ratio * path_ratio[0] + untold * lot_number[0],
            rest_sigma_ratio * path_ratio[1] + untold * lot_number[1]};
  }

  /// Mean speed of the drops of a patch that are so far off its centre, over the path's own.
  [[nodiscard]] double speed_there_m_per_s(double off_m) const {
    return place_speed_m2_per_s / place2_m2 * off_m;
  }
  /// Eddy, over the whole rms, that a drop so far off the centre meets.
  /// @param path_ratio  what the path meets
  /// @param lot_number  drawn with mean 0 and variance 1
  [[nodiscard]] double eddy_there_ratio(double off_m, double path_ratio, double lot_number) const {
    const double untold = std::max(0.0, eddy2_ratio - place_eddy_m * place_eddy_m / place2_m2);
    return path_sigma_ratio() * path_ratio +
           patch_sigma_ratio * (place_eddy_m / place2_m2 * off_m + std::sqrt(untold) * lot_number);
  }

  /// What is left of the level turbulence's rms for the path.
  [[gnu::always_inline]] [[nodiscard]] static double path_sigma_ratio(bool grows) {
    return grows ? rest_sigma_ratio : 1.0;
  }
  [[nodiscard]] double path_sigma_ratio() const { return path_sigma_ratio(grows); }

  static constexpr double least_eddy2_ratio = 1e-3;

 private:
  // Roots of patch_variance_fraction and of what it leaves.
  static constexpr double patch_sigma_ratio = 0.8660254037844386;
  static constexpr double rest_sigma_ratio = 0.5;
  static_assert(patch_variance_fraction == 0.75);
};

/// A strip of equal cells along one axis.
struct Strip {
  double low_m = 0.0, high_m = 0.0;
  std::size_t cells = 0;
};

/// Where a patch lies along one axis.
struct Place {
  double at_m = 0.0, width_m = 0.0;
};

/// Shares of a patch on neighbouring cells of a strip.
struct Shares {
  std::size_t first = 0;
  std::vector<double> share;

  /// What reaches beyond the walls across the axis, at 0 and at wall_m, is mirrored there. Beyond
  /// 4.5 widths there is nothing.
  void of(const Strip& strip, const Place& place, double wall_m) {
    const double edge_m = (strip.high_m - strip.low_m) / static_cast<double>(strip.cells);
    const double reach_m = 4.5 * place.width_m, last = static_cast<double>(strip.cells);
    const bool walls = place.at_m - reach_m < 0.0 || place.at_m + reach_m > wall_m;
    const auto cell = [&](double x_m) {
      return std::clamp(std::floor((x_m - strip.low_m) / edge_m), 0.0, last - 1.0);
    };
    first = static_cast<std::size_t>(cell(place.at_m - reach_m));
    const auto end = static_cast<std::size_t>(cell(place.at_m + reach_m)) + 1;
    const double per_m = 1.0 / (place.width_m * std::numbers::sqrt2);
    const auto below = [&](double x_m) { return 0.5 * std::erfc((place.at_m - x_m) * per_m); };
    share.clear();
    const auto up_to = [&](std::size_t i) {
      const double x_m = strip.low_m + edge_m * static_cast<double>(i);
      return walls ? below(x_m) - below(-x_m) + 1.0 - below(2.0 * wall_m - x_m) : below(x_m);
    };
    double before = up_to(first);
    for (std::size_t i = first; i < end; ++i) {
      const double after = up_to(i + 1);
      share.push_back(after - before);
      before = after;
    }
  }
};

}  // namespace mistwright::droplet
