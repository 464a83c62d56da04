#pragma once
// Footprints are computed at a few diameters and evaporation constants and interpolated between
// them, never binned, so that nothing jumps.
// Between diameters: linear in log d. Between evaporation constants: linear in what a single drop
// loses of itself while it falls a given height, 1 - (1 - K/K0)^1.5 with K0 = d^2 v_t/height: fine
// drops change their fate at small K, coarse ones at large K, and this follows both.
// Left out: error control; the nodes are fixed.
#include <array>
#include <cstddef>
#include <vector>

#include "models/droplet/footprint.h"

namespace mistwright::droplet {

/// The nodes of K [m2/s], rising from 0; beyond the last the outcome stays that of the last.
struct EvaporationNodes {
  std::array<double, 5> K_m2_per_s = {0.0, 100e-12, 200e-12, 400e-12, 1600e-12};
  /// A typical fall from head to leaf; sets where between nodes the change lies, not how large it
  /// is.
  double fall_m = 0.6;
};

/// The two nodes about a value and the share of the upper one.
struct Bracket {
  std::size_t low = 0, high = 0;
  double share_fraction = 0.0;
};

/// Where K lies between nodes for drops of a diameter. Continuous and rising in K; exact at nodes.
[[nodiscard]] Bracket between_nodes(const EvaporationNodes& nodes, double diameter_m,
                                    double K_m2_per_s);

/// Where a diameter lies between rising diameters, linear in log d; outside, the nearest.
[[nodiscard]] Bracket between_diameters(const std::vector<double>& diameters_m, double diameter_m);

/// (1 - share) a + share b, entry by entry.
[[nodiscard]] Outcome blend(const Outcome& a, const Outcome& b, double share_fraction);

/// The outcome at any K from those at the nodes, for one diameter.
/// @param by_node  one for each node, of one head, regime and diameter
[[nodiscard]] Outcome interpolate(const EvaporationNodes& nodes,
                                  const std::vector<Outcome>& by_node, double diameter_m,
                                  double K_m2_per_s);

/// The outcome at any diameter and K.
/// @param by_diameter  for each diameter, one outcome for each node of K
[[nodiscard]] Outcome interpolate(const EvaporationNodes& nodes,
                                  const std::vector<double>& diameters_m,
                                  const std::vector<std::vector<Outcome>>& by_diameter,
                                  double diameter_m, double K_m2_per_s);

}  // namespace mistwright::droplet
