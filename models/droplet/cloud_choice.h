#pragma once
// Parcels or a cloud: which is the cheaper way to a class's footprint that is right enough?
// A cloud diffuses: it is wrong where a drop remembers a gust for a good part of its way to the
// bench (an error that goes with the square of that share), and where its cells are wider than its
// landing. Costs are estimates of this machine's kind: steps counted, times a measured time each.
#include "models/droplet/concentration.h"

namespace mistwright::droplet {

enum class Method { Parcels, Cloud };

/// What is asked of a footprint.
struct Wish {
  double noise_ratio = 0.02;     ///< of the bench cells that hold most of the deposit, above 0
  double error_fraction = 0.05;  ///< of the deposit misplaced by a cloud
};

struct Choice {
  Method method = Method::Parcels;
  double error_fraction = 0.0;            ///< of the deposit that a cloud may misplace
  double cloud_s = 0.0, parcels_s = 0.0;  ///< estimated time of one core, a factor of 3 either way
};

/// Share of the deposit on benches that a cloud let go at a point misplaces: 2 % plus half the
/// square of how far a gust is remembered over the way down, plus 1.25 times what a puff starts
/// too wide by, over a bench cell's edge. Fitted to the table in DEVELOPERS.md.
[[nodiscard]] double cloud_error_fraction(const CloudAir& air, const CloudDrops& drops,
                                          const Point& head);

/// @param head  where drops slow down
[[nodiscard]] Choice choose_method(const CloudAir& air, const CloudDrops& drops, const Point& head,
                                   const Wish& wish);

}  // namespace mistwright::droplet
