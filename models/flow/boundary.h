#pragma once
// Which faces of the grid belong to a port, and which cells touch the cover?
// A port's flow is shared over the faces of its wall by the area that they have in common with it;
// a port too small or too high for any face takes the nearest. Cover: walls and roof, not floor or
// box.
#include <cmath>
#include <cstddef>
#include <vector>

#include "models/flow/enclosure.h"
#include "models/flow/grid.h"

namespace mistwright::flow {

/// The nearest multiple of 2^-30 m2. Such areas add up exactly in whatever order, and do not tell
/// from which end of the house a place was measured.
[[nodiscard]] inline double round_area_m2(double area_m2) {
  constexpr double steps_per_m2 = 1073741824.0;
  return std::round(area_m2 * steps_per_m2) / steps_per_m2;
}

/// A face between a fluid cell and the outside.
struct BoundaryFace {
  std::size_t axis = 0;         ///< 0, 1, 2: the face belongs to u, v, w
  std::size_t face = 0;         ///< index into that component
  std::size_t cell = 0;         ///< its fluid cell
  double inward_factor = 1.0;   ///< +1 when a positive speed leads into the house, else -1
  double share_fraction = 0.0;  ///< of the port
};

/// Shares add up to 1. @throws ContractError when the wall has no fluid cell at all
std::vector<BoundaryFace> port_faces(const Enclosure& enclosure, const Grid& grid,
                                     const Port& port);

/// Area of wall and roof that each cell touches [m2], steps of the roof included.
std::vector<double> cover_area_m2(const Enclosure& enclosure, const Grid& grid);

}  // namespace mistwright::flow
