#pragma once
// What do all parcels of one footprint share, and how does each of them leave the head?
#include <vector>

#include "models/droplet/footprint.h"
#include "models/droplet/launch_directions.h"
#include "models/droplet/parcel.h"
#include "models/random.h"

namespace mistwright::droplet {

/// What parcels of one footprint have in common.
struct Flying {
  /// Points, not patches, whose every step is looked at. Case and launch must outlive it.
  /// @param evaporation_constant_m2_per_s  K in still air, at least 0
  Flying(const FootprintCase& a_case, const Launch& launch, double evaporation_constant_m2_per_s);

  Sky sky;
  double K_m2_per_s;
  double ventilation_factor;  ///< times the root of the Reynolds number
  double length_m, width_m;   ///< of the house
  double widest_patch_m = 0.0;
  /// For each cell, how far a step may lead without touching anything; below nought where each step
  /// is to be looked at.
  std::vector<double> clearance_m;
  OpenAir open_air;  ///< of cells with a clearance
};

/// Where in the spray and when in the burst a drop leaves.
struct Turn {
  Placement placement;
  double moment_fraction = 0.0;  ///< of the burst, 0 to 1
};

/// Turn n of so many: a lattice of rank one (Roberts 2018), moved as a whole by lot.
[[nodiscard]] Turn turn_on_lattice(std::size_t n, std::size_t count, const Placement& shift);

/// A parcel of all of a class's water as it leaves the head.
/// @param at  the head, inside the walls
[[nodiscard]] Parcel launched(const Flying& flying, const Point& at, double diameter_m,
                              const Turn& turn, Random& random);

}  // namespace mistwright::droplet
