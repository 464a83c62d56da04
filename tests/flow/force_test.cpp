// Forces on the air and walls that do not hold it, against what must follow.
#include <algorithm>
#include <cmath>

#include "models/flow/house_case.h"
#include "models/flow/steady_flow.h"
#include "tests/flow/flow_rooms.h"
#include "tests/flow/houses.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::flow;

namespace {

double fastest_m_per_s(const FlowState& state) {
  double most = 0.0;
  for (const Values& speed : state.speed_m_per_s)
    for (const double v : speed) most = std::max(most, std::fabs(v));
  return most;
}

}  // namespace

TEST_CASE("flow: a uniform force in a closed room moves no air and its pressure takes it up",
          "[flow][exact]") {
  const Grid grid = test::unit_grid(8, 8);
  FlowCase problem(grid);
  problem.turbulent = false;
  problem.viscosity_m2_per_s = 0.05;  // so that what the first iterations stir up dies down
  const Lattice& g = problem.lattice;
  constexpr double force_m_per_s2 = 0.02;
  for (std::size_t c = g.first; c < g.last; ++c)
    problem.force_m4_per_s2[2][c] = force_m_per_s2 * g.cell_m3 * g.open[2][c];
  const auto [state, report] = test::settled(problem, {.rest_fraction = 1e-9});
  // Free, it would bring the air to 0.2 m/s over the room's height.
  CHECK(fastest_m_per_s(state) < 1e-5);
  const double rise =
      state.pressure_m2_per_s2[g.at(4, 4, 7)] - state.pressure_m2_per_s2[g.at(4, 4, 0)];
  CHECK_THAT(rise, test::rel(force_m_per_s2 * 7.0 / 8.0, 1e-3));
}

TEST_CASE("flow: half a room beside a slick wall moves as the half of a whole one",
          "[flow][exact]") {
  // A fan blows along the middle of a room; laminar, so that both obey the very same equations.
  const auto room = [](double width_m, bool half) {
    const Enclosure house = test::hall(2.0, width_m, 1.0);
    const Grid grid = make_grid(house, 0.125);
    FlowCase problem(grid);
    problem.turbulent = false;
    problem.viscosity_m2_per_s = 5e-3;
    problem.sharpness_fraction = 0.0;
    problem.slick = {false, half};
    const Lattice& g = problem.lattice;
    const std::size_t middle = half ? 0 : g.cells[1] / 2;
    for (const std::size_t j : {middle, half ? middle : middle - 1})
      problem.force_m4_per_s2[0][g.at(6, j, 4)] = 1e-4;
    return problem;
  };
  const FlowCase whole = room(2.0, false), half = room(1.0, true);
  const SteadyOptions options{.iteration_cap = 2000, .rest_fraction = 1e-8};
  const FlowState of_whole = test::settled(whole, options).state;
  const FlowState of_half = test::settled(half, options).state;
  const std::size_t middle = whole.lattice.cells[1] / 2;
  const double fastest = fastest_m_per_s(of_whole);
  REQUIRE(fastest > 1e-3);
  // The half's far wall is slick too, where the whole's holds the air: 4 % of the fastest.
  double most = 0.0;
  for (std::size_t k = 0; k < half.lattice.cells[2]; ++k)
    for (std::size_t j = 0; j < half.lattice.cells[1]; ++j)
      for (std::size_t i = 0; i < half.lattice.cells[0]; ++i)
        for (std::size_t axis = 0; axis < 3; ++axis)
          most = std::max(
              most, std::fabs(of_half.speed_m_per_s[axis][half.lattice.at(i, j, k)] -
                              of_whole.speed_m_per_s[axis][whole.lattice.at(i, middle + j, k)]));
  CAPTURE(most, fastest);
  CHECK(most < 0.05 * fastest);
}
