#pragma once
// What does a flow found on a coarse grid say where a finer grid of the same house begins?
#include "models/flow/grid.h"
#include "models/flow/house_case.h"

namespace mistwright::flow {

/// A house's flow with the grid that it stands on.
struct GriddedFlow {
  Grid grid;
  HouseFlow house;
};

/// Fills the inner speeds, pressure, eddies and warmth of a finer flow from a coarser one of the
/// same house, by nearness between the coarse values beside each place; boundary speeds are left.
/// Weights are ratios of whole numbers, so that a mirrored house is begun with mirrored bits.
/// @param fine  cold started, for the places that no coarse cell of air lies beside
void start_from_coarser(const GriddedFlow& coarse, GriddedFlow& fine);

}  // namespace mistwright::flow
