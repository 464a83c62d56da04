#pragma once
// How does the air move through the house in one regime, jets, eddies and all?
// The house's case (house_case.h) brought to rest (steady_flow.h) on a grid of wider cells from
// still air, then on its own from there (from_coarser.h). Turbulence for the drops: the rms of the
// model's k, and the time scale that gives its eddy diffusivity; a floor of thermal convection
// besides, whose own diffusivity adds.
#include <vector>

#include "models/flow/regime_field.h"

namespace mistwright::flow {

/// As solve_field with the model of momentum.
RegimeField momentum_field(const Enclosure& enclosure, const std::vector<PortFlow>& ports,
                           double leakage_m3_per_s, const FieldOptions& options);

/// The box as a grid of such cells can hold it: at least one layer of cells thick, reaching down
/// from the layer whose upper side is nearest to its top, which stays where it is. A box lower than
/// half a cell stays out.
Box thick_enough(const Box& box, double ridge_height_m, double cell_m);

}  // namespace mistwright::flow
