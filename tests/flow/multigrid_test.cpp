// Pressure by multigrid, against a chosen solution.
#include "models/flow/multigrid.h"

#include <cmath>

#include "models/units.h"
#include "tests/flow/houses.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::flow;

namespace {

/// Right side less A x, and the largest of it.
double measure(const Lattice& g, const FaceValues& coupling, const Values& rhs, const Values& x,
               Singles& left) {
  double worst = 0.0;
  for (std::size_t c = g.first; c < g.last; ++c) {
    double here = rhs[c];
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const std::size_t s = g.stride[axis];
      here -= coupling[axis][c] * (x[c] - x[c - s]) + coupling[axis][c + s] * (x[c] - x[c + s]);
    }
    left[c] = static_cast<float>(here);
    worst = std::fmax(worst, std::fabs(here));
  }
  return worst;
}

}  // namespace

TEST_CASE("flow: multigrid finds a chosen pressure in a hoop house to five digits in twelve cycles",
          "[flow][exact]") {
  const Grid grid = make_grid(test::hoop_house(), 0.1);
  const Lattice g(grid);
  FaceValues coupling = g.face_zeros();
  for (std::size_t axis = 0; axis < 3; ++axis)
    for (std::size_t c = g.first; c < g.last; ++c)
      coupling[axis][c] = g.open[axis][c] * g.face_m2[axis] / g.step_m[axis];
  Values chosen = g.zeros(), rhs = g.zeros();
  for (std::size_t cell = 0; cell < grid.cells(); ++cell) {
    const auto [i, j, k] = grid.place(cell);
    if (grid.fluid[cell] != 0)
      chosen[g.of(grid, cell)] = std::cos(pi * grid.x_centre_m(i) / 7.2) +
                                 std::sin(3.0 * grid.y_centre_m(j)) * grid.z_centre_m(k);
  }
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const std::size_t s = g.stride[axis];
    for (std::size_t c = g.first; c < g.last; ++c) {
      const double flux = coupling[axis][c] * (chosen[c] - chosen[c - s]);
      rhs[c] += flux;
      rhs[c - s] -= flux;
    }
  }
  Multigrid pressure(g);
  pressure.set(coupling);
  Values x = g.zeros();
  Singles left(g.size, 0.0F);
  const auto solve = [&](int cycles) {
    for (int cycle = 0; cycle < cycles; ++cycle) {
      measure(g, coupling, rhs, x, left);
      const Singles& correction = pressure.cycle(left);
      for (std::size_t c = g.first; c < g.last; ++c) x[c] += static_cast<double>(correction[c]);
    }
    return measure(g, coupling, rhs, x, left);
  };
  const double start = solve(0);
  CHECK(solve(12) < 1e-5 * start);
  solve(40);
  // Up to a constant the solution is the chosen one.
  double low = 1e9, high = -1e9;
  for (std::size_t c = g.first; c < g.last; ++c)
    if (g.air[c] > 0.0) {
      low = std::fmin(low, x[c] - chosen[c]);
      high = std::fmax(high, x[c] - chosen[c]);
    }
  CHECK(high - low < 1e-8);
}
