#pragma once
// What does a drop's path touch first, and how much of it stays there?
// A surface keeps the share that settles onto it and the share whose inertia carries it through the
// slow air at the surface; the rest is given back to the air. Equations: reflection that yields a
// settling flux v_t C out of turbulence (Boughton, Delaurentis and Dunn 1987, extended to fall
// speeds above the turbulence); inertial impaction (St/(St + 0.8))^2. Left out: Brownian diffusion
// (below 1 um), thermophoresis, electric charge.
#include <algorithm>
#include <cstddef>
#include <optional>
#include <vector>

#include "models/droplet/bench_grid.h"
#include "models/flow/enclosure.h"
#include "models/flow/regime_field.h"

namespace mistwright::droplet {

struct Point {
  double x_m = 0.0, y_m = 0.0, z_m = 0.0;
};

[[nodiscard]] inline Point between(const Point& from, const Point& to, double share_fraction) {
  return {from.x_m + share_fraction * (to.x_m - from.x_m),
          from.y_m + share_fraction * (to.y_m - from.y_m),
          from.z_m + share_fraction * (to.z_m - from.z_m)};
}

enum class Surface { BenchTop, Floor, Wall, Cover, BoxTop, BoxSide, Opening };

/// The first touch of a path.
struct Contact {
  Surface surface = Surface::Floor;
  double share_fraction = 0.0;  ///< of the path, from its start
  Point normal = {};            ///< unit, into the air
  std::size_t bench = 0;        ///< for BenchTop
};

/// The earliest of the contacts offered; the first of equals.
struct First {
  std::optional<Contact> contact = {};
  void offer(const std::optional<Contact>& other) {
    if (other && (!contact || other->share_fraction < contact->share_fraction)) contact = other;
  }
};

/// Heights between which a path inside the walls touches nothing. Its end alone is held to the
/// upper one: roofs bulge outward, so that between two places under a roof all is under it.
struct OpenAir {
  double low_m = 0.0, eaves_m = 0.0, rise_ratio = 0.0;
  /// A tent from eaves to ridge, below any roof.
  [[gnu::always_inline]] [[nodiscard]] double high_m(double off_sides_m) const {
    return eaves_m + rise_ratio * off_sides_m;
  }
};

/// The house as drops meet it.
class Surroundings {
 public:
  Surroundings(const flow::Enclosure& house, const BenchGrid& benches,
               const flow::RegimeField& field);

  /// What the straight path from one point to another touches first. The start lies in the air.
  [[nodiscard]] std::optional<Contact> first_contact(const Point& from, const Point& to) const {
    return plainly_clear(from, to) ? std::nullopt : search(from, to);
  }

  /// How far a path inside the walls may lead from anywhere in a cell, along each axis, before it
  /// can touch the roof, a bench, a box or a sheet, or cross a bench's height so near beside it;
  /// for each cell, and never more than a cell and a half.
  [[nodiscard]] std::vector<double> clearances_m(const flow::Grid& grid, double beside_m) const;

  [[nodiscard]] const OpenAir& open_air() const { return open_; }

  /// The nearest point inside walls, roof and floor.
  [[nodiscard]] Point inside(const Point& point) const;

 private:
  struct Exit {
    flow::Side side;
    double along_low_m, along_high_m, up_low_m, up_high_m;
  };
  /// Whether a path can be seen to touch nothing without looking for where. Most paths are.
  [[nodiscard]] bool plainly_clear(const Point& from, const Point& to) const {
    const double off_sides_m = std::min(to.y_m, house_.width_m - to.y_m);
    if (!(to.x_m > 0.0 && to.x_m < house_.length_m && off_sides_m > 0.0 && to.z_m > 0.0 &&
          to.z_m < open_.high_m(off_sides_m)))
      return false;
    if (to.z_m > open_.low_m && from.z_m > open_.low_m) return true;
    if (!house_.sheets.empty()) return false;
    for (const auto& block : benches_.blocks)
      if (from.z_m >= block.rect.height_m && to.z_m < block.rect.height_m) return false;
    for (const auto& box : house_.boxes)
      if (to.x_m > box.x0_m && to.x_m < box.x1_m && to.y_m > box.y0_m && to.y_m < box.y1_m &&
          to.z_m > box.z0_m && to.z_m < box.z1_m)
        return false;
    return true;
  }
  [[nodiscard]] std::optional<Contact> search(const Point& from, const Point& to) const;
  void walls(const Point& from, const Point& to, First& first) const;
  [[nodiscard]] bool leaves(flow::Side side, const Point& at) const;

  const flow::Enclosure& house_;
  const BenchGrid& benches_;
  std::vector<Exit> exits_;
  OpenAir open_;         ///< no bench, box, sheet, roof or roof opening reaches into it
  double roof_watch_m_;  ///< lower than this a roof opening draws nothing out
  double roof_reach_m_;  ///< a roof opening takes what comes this near
};

/// Share of a drop that stays on a level surface from above at one touch by settling, such that the
/// flux onto it is the fall speed times the concentration above it.
/// @param fall_speed_m_per_s  at least 0
/// @param sigma_m_per_s       rms turbulent speed at the surface, above 0
[[nodiscard]] double settled_fraction(double fall_speed_m_per_s, double sigma_m_per_s);

/// Share that stays by inertia.
/// @param approach_m_per_s    the drop's speed into the surface
/// @param relaxation_s        the drop's relaxation time at that speed
[[nodiscard]] double impacted_fraction(double approach_m_per_s, double relaxation_s);

/// Depth of the slow air at a surface that a drop must cross by inertia (our assumption, 3 to 20
/// mm).
inline constexpr double slow_air_depth_m = 0.01;

}  // namespace mistwright::droplet
