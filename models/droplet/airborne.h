#pragma once
// How much water hangs in the air during a burst and after it, seen from the side? Flights of
// single drops (track.h) are added up by where they are and how long, each with what is left of its
// share of the water.
#include <vector>

#include "models/droplet/track.h"
#include "models/flow/grid.h"

namespace mistwright::droplet {

/// A head's water between the start of its spray and the end of the time that is looked at.
struct Shower {
  double spray_s = 0.0;   ///< above zero; the water leaves evenly in it
  double window_s = 0.0;  ///< above zero, from the start of the spray
};

/// Water in the air of the upright section along the house: what lies behind one another across the
/// house is added up. Cells as the grid has them along x and z, x running fastest.
class Airborne {
 public:
  explicit Airborne(const flow::Grid& grid);

  /// @param water_kg  that the drop stands for at its start
  void add(const Track& track, double water_kg, const Shower& shower);
  void add(const Airborne& other);  ///< of the same grid

  /// Water in a cell times how long it is there [kg s].
  [[nodiscard]] const std::vector<double>& stay_kg_s() const { return stay_kg_s_; }
  /// Mean over the window of the water in the air [kg/m3], over the section's air across the house;
  /// not a number where there is none.
  [[nodiscard]] std::vector<double> concentration_kg_per_m3(double window_s) const;

 private:
  std::size_t nx_, nz_;
  double dx_m_, dz_m_;
  std::vector<double> air_m3_;  ///< of each cell of the section
  std::vector<double> stay_kg_s_;
};

}  // namespace mistwright::droplet
