#pragma once
// Rooms of the published flow experiments, as lattices.
#include <cmath>

#include "models/flow/flow_case.h"
#include "models/flow/steady_flow.h"

namespace mistwright::test {

/// A cube, or a slice one cell wide, of edge 1 m in n cells.
inline flow::Grid unit_grid(std::size_t n, std::size_t across) {
  flow::Grid grid;
  grid.nx = grid.nz = n;
  grid.ny = across;
  grid.dx_m = grid.dy_m = grid.dz_m = 1.0 / static_cast<double>(n);
  grid.fluid.assign(grid.cells(), 1);
  return grid;
}

/// A case of laminar flow in a slice.
inline flow::FlowCase laminar_slice(const flow::Grid& grid, double viscosity_m2_per_s) {
  flow::FlowCase problem(grid);
  problem.turbulent = false;
  problem.slick = {false, true};
  problem.viscosity_m2_per_s = viscosity_m2_per_s;
  return problem;
}

struct Settled {
  flow::FlowState state;
  flow::SteadyReport report;
};

inline Settled settled(const flow::FlowCase& problem, const flow::SteadyOptions& options) {
  Settled result{flow::FlowState(problem.lattice), {}};
  flow::cold_start(problem, result.state);
  result.report = flow::settle(problem, options, result.state);
  return result;
}

}  // namespace mistwright::test
