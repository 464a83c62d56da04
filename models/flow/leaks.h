#pragma once
// Where does air leak into a house and out of it?
// What crosses the cover comes in through its lower half and leaves through its upper, each spread
// by area; what the ports leave unbalanced leaks everywhere.
#include <vector>

#include "models/flow/grid.h"
#include "models/flow/regime_field.h"

namespace mistwright::flow {

struct Leaks {
  double through_m3_per_s = 0.0;  ///< in below and out above; at least 0
  double balance_m3_per_s = 0.0;  ///< in everywhere, or out when negative
};

/// The leaks that close the balance of the ports.
Leaks balancing_leaks(const std::vector<PortFlow>& ports, double through_m3_per_s);

/// All air that comes in, through ports and cracks.
double total_inflow_m3_per_s(const std::vector<PortFlow>& ports, const Leaks& leaks);

/// Air that leaks into each cell of the grid; out is negative.
std::vector<double> leak_sources_m3_per_s(const Grid& grid, const std::vector<double>& cover_m2,
                                          const Leaks& leaks);

}  // namespace mistwright::flow
