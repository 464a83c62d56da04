#pragma once
// What a regime's field may tell of its air besides the speeds.
#include <cmath>
#include <optional>
#include <vector>

#include "models/flow/grid.h"
#include "sim/record/record.h"

namespace mistwright::record {

/// Empty arrays, no number and no answer are not written.
struct RegimeAir {
  std::vector<double> air_temperature_K, humidity_ratio;  ///< per cell of the grid
  double grid_convergence_index_fraction = std::nan("");  ///< uncertainty of speed by the grid
  std::optional<bool> steady = {};                        ///< whether the field comes to rest
};

/// Adds `air_temperature`, `humidity_ratio` and the attributes `grid_convergence_index` and
/// `steady` to a group with the dimensions z, y, x; not a number outside the air.
/// @throws ContractError when an array is neither empty nor one value a cell
void add_regime_air(Group& group, const flow::Grid& grid, const RegimeAir& air);

}  // namespace mistwright::record
