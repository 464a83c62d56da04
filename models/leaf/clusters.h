#pragma once
// A few hundred leaves that stand for all of them, so that the air feels how wet the whole crop is.
// Leaves are points in metres of water: what a typical interval takes by sun (f) and by dryness
// (g), and what a burst brings. The cluster with the most spread is cut at its mean across its
// widest axis, again and again (variance-based median cut: Heckbert 1982; Wan, Wong and
// Prusinkiewicz 1990); each cluster's centre, weighted by area, is its representative. Terms linear
// in the features are exact; the film law's kinks are not, and `relative_error` says by how much:
// every leaf and its representative are put through the film law under a range of weathers, and the
// clusters' mismatches are added without letting one cancel another. Left out: differences between
// leaves that the features do not name.
#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "models/leaf/film.h"

namespace mistwright::leaf {

/// What makes one leaf differ from another.
struct LeafFeature {
  double radiation_factor = 0.0;    ///< f: multiplies the cell's radiation integral
  double conductance_factor = 0.0;  ///< g: multiplies the cell's drying integral
  double deposit_m = 0.0;           ///< water a typical burst leaves on it, before run-off
  double area_m2 = 0.0;             ///< above 0
  std::uint32_t group = 0;  ///< leaves of different groups (air cells) never share a cluster
};

/// A typical interval between bursts, at the hour that matters most.
struct TypicalInterval {
  double demand_per_radiation_factor_m = 0.0;    ///< integral that multiplies f
  double demand_per_conductance_factor_m = 0.0;  ///< integral that multiplies g
  FilmLaw law;
};

/// Representatives, in order of their first leaf.
struct Clusters {
  std::vector<std::uint32_t> member;  ///< cluster of each leaf
  std::vector<LeafFeature> centre;    ///< area-weighted means; area_m2 is the sum of the members'
  double relative_error =
      0.0;  ///< bound estimate for a day's evaporation, sum of leaves less representatives
};

/// Chooses at most `most` clusters (at least one a group).
/// @param leaves  at least one
/// @param most    at least 1
/// @return the same for the same leaves in the same order, whatever the machine's threads
[[nodiscard]] Clusters cluster_leaves(std::span<const LeafFeature> leaves, std::size_t most,
                                      const TypicalInterval& typical);

}  // namespace mistwright::leaf
