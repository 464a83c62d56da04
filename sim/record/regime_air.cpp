#include "sim/record/regime_air.h"

#include <fmt/format.h>

#include "models/contracts.h"
#include "sim/record/columns.h"

namespace mistwright::record {

void add_regime_air(Group& group, const flow::Grid& grid, const RegimeAir& air) {
  Columns columns(group);
  const auto add = [&](const char* name, const char* meaning, const char* units,
                       const std::vector<double>& values) {
    if (values.empty()) return;
    if (values.size() != grid.cells())
      throw ContractError(group.name + "/" + name + " has not one value a cell");
    columns.add(name, meaning, units, {"z", "y", "x"}, made(grid.cells(), [&](std::size_t c) {
                  return grid.fluid[c] == 0 ? std::nan("") : values[c];
                }));
  };
  add("air_temperature", "air temperature, mean weighed by light", "K", air.air_temperature_K);
  add("humidity_ratio", "water vapour per mass of dry air, mean weighed by light", "1",
      air.humidity_ratio);
  if (std::isfinite(air.grid_convergence_index_fraction))
    group.attributes["grid_convergence_index"] =
        fmt::format("{}", air.grid_convergence_index_fraction);
  if (air.steady) group.attributes["steady"] = *air.steady ? "1" : "0";
}

}  // namespace mistwright::record
