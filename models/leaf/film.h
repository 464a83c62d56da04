#pragma once
// How a film of water on a leaf thins, breaks, dries and grows again.
// Depth h is a mean over the leaf's one-side area. Above the break depth h_b the leaf is wholly
// wet; below it the wetted fraction is (h/h_b)^(2/3) (Deardorff 1978). Under a demand integral X =
// integral of E dt, in metres of water, h falls by X while h > h_b; then dh/dX = -(h/h_b)^(2/3), so
// the cube root of h falls on a straight line in X: every moment is a closed form in X, and how X
// grew with time does not matter. A negative X is dew, which falls on a leaf as if wholly wetted.
// Left out: where on the leaf the dry patches lie, salts, and water that creeps between leaves.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>

#include "models/contracts.h"

namespace mistwright::leaf {

/// What a leaf's surface does with water.
struct FilmLaw {
  double break_depth_m = 10e-6;  ///< above it the leaf is wholly wet; 2e-6 to 20e-6 (derived)
  double capacity_m = 70e-6;     ///< most water the leaf holds; 20e-6 to 300e-6 (from memory)
};

/// Share of the leaf that is wet, 0 to 1.
/// @param depth_m        mean film depth, at least 0
/// @param break_depth_m  above 0
/// Source: Deardorff 1978, the wetted-leaf fraction, with the break depth in the place of capacity.
[[nodiscard]] inline double wetted_fraction(double depth_m, double break_depth_m) {
  if (depth_m >= break_depth_m) return 1.0;
  const double u = std::cbrt(depth_m / break_depth_m);
  return u * u;
}

/// Depth [m] left after a demand integral; zero once the last water is gone.
/// @param depth_m        film depth before, at least 0
/// @param demand_m       potential evaporation in metres of water; negative for dew, which adds
///                       (film_gain() knows what the leaf can hold)
/// @param break_depth_m  above 0
/// Source: the closed form at the head of this file. Checked in tests/leaf/film_cvode_test.cpp.
[[nodiscard]] inline double film_after(double depth_m, double demand_m, double break_depth_m) {
  const double excess = depth_m - break_depth_m;
  if (demand_m <= std::max(excess, 0.0)) return depth_m - demand_m;
  const double rest = demand_m - std::max(excess, 0.0);
  const double u0 = excess >= 0.0 ? 1.0 : std::cbrt(depth_m / break_depth_m);
  const double u = std::max(u0 - rest / (3.0 * break_depth_m), 0.0);
  return break_depth_m * (u * u * u);
}

/// Demand integral [m] at which the last water is gone: h + 2 h_b from above the break depth,
/// 3 (h h_b^2)^(1/3) from below it.
[[nodiscard]] double demand_to_dry_m(double depth_m, double break_depth_m);

/// Demand integral [m] beyond which more than `bare_fraction` of the leaf is bare; 0 if it is so
/// already.
/// @param bare_fraction  0 to 1 (at 1: the moment of drying)
[[nodiscard]] double demand_to_bare_m(double depth_m, double bare_fraction, double break_depth_m);

/// Water that a leaf keeps of what it gets, and what runs off.
struct FilmGain {
  double depth_m = 0.0;
  double runoff_m = 0.0;
};

/// Adds a deposit at once; what the leaf cannot hold runs off.
/// @param deposit_m  at least 0, per one-side area of the leaf
[[nodiscard]] inline FilmGain film_gain(double depth_m, double deposit_m, const FilmLaw& law) {
  const double sum = depth_m + deposit_m;
  return sum <= law.capacity_m ? FilmGain{sum, 0.0}
                               : FilmGain{law.capacity_m, sum - law.capacity_m};
}

/// Moment [s, on the clock of `node_time_s`] at which a rising integral first passes `demand_m`.
/// The integral is a straight line between nodes and never falls: whoever keeps it splits it where
/// its demand changes sign, since only time in which the air asks for water counts.
/// @param node_time_s  rising times of the nodes, at least one
/// @param demand_at_m  demand_at_m(n) is the integral at node n; asked for some log2(n) nodes only
/// @return the last node's time when it is not passed before
template <class DemandAt>
[[nodiscard]] double moment_of_demand_s(std::span<const double> node_time_s,
                                        const DemandAt& demand_at_m, double demand_m) {
  std::size_t low = 0;
  std::size_t high = node_time_s.size() - 1;
  if (demand_at_m(low) >= demand_m) return node_time_s[low];
  if (demand_at_m(high) <= demand_m) return node_time_s[high];
  while (high - low > 1) {  // the integral is below demand_m at low, above it at high
    const std::size_t middle = low + (high - low) / 2;
    (demand_at_m(middle) <= demand_m ? low : high) = middle;
  }
  const double before_m = demand_at_m(low);
  const double slope_m = demand_at_m(high) - before_m;
  return node_time_s[low] +
         (node_time_s[high] - node_time_s[low]) * ((demand_m - before_m) / slope_m);
}

/// Time [s] that is left in the nodes' span after a rising integral has passed `demand_m`: with
/// demand_to_bare_m(), the dry time of one interval.
template <class DemandAt>
[[nodiscard]] double time_after_s(std::span<const double> node_time_s, const DemandAt& demand_at_m,
                                  double demand_m) {
  return node_time_s.back() - moment_of_demand_s(node_time_s, demand_at_m, demand_m);
}

/// What a film went through in a span of time.
struct FilmPassage {
  double depth_m = 0.0;       ///< at the end
  double evaporated_m = 0.0;  ///< water that left it
  double dew_m = 0.0;         ///< water that condensed on it
  double runoff_m = 0.0;      ///< dew that the leaf could not hold
  double bare_time_s = 0.0;   ///< with more than bare_fraction bare and a positive demand
};

/// Walks a film over nodes of the integral of any sign, step by step: the general case, to which
/// time_after_s() is the short cut when the demand is positive all along.
/// @param node_demand_m  integral at each node; the demand is constant between two
[[nodiscard]] FilmPassage film_over(double depth_m, std::span<const double> node_time_s,
                                    std::span<const double> node_demand_m, const FilmLaw& law,
                                    double bare_fraction);

}  // namespace mistwright::leaf
