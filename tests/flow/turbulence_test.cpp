#include "models/flow/turbulence.h"

#include <cmath>

#include "models/flow/regime_field.h"
#include "tests/flow/houses.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::flow;
using test::rel;

TEST_CASE("flow: with every fan off only the convective floor fluctuates", "[flow][exact]") {
  const RegimeField field =
      solve_field(test::hoop_house(), {}, 0.005, {.background_turbulence_m_per_s = 0.05});
  for (const double sigma : field.sigma_m_per_s) REQUIRE(sigma == 0.05);
}

TEST_CASE("flow: on the axis of a jet the fluctuation is 0.24 of the speed", "[flow][published]") {
  // Hussein, Capp and George 1994: 0.28 along the axis and 0.22 across it, the root mean square of
  // the three 0.24 (from memory). The hall is so large that its own level stays below.
  Enclosure room = test::hall(20.0, 12.0, 12.0);
  room.stirrers = {{4.1, 6.1, 6.1, 0.0, 0.6, 1.0}};
  const Grid grid = make_grid(room, 0.4);
  const std::vector<PlacedJet> jets = placed_jets(room, {}, 0.0);
  const Turbulence air = turbulence(room, grid, jets, 1e-3, true);
  const Turbulence even = turbulence(room, grid, jets, 1e-3, false);
  const std::size_t cell = grid.cell_at(10.1, 6.1, 6.1);
  const double x_m = grid.x_centre_m(cell % grid.nx);
  const double speed = placed_jet_at(jets[0], {x_m, 6.2, 6.2}).speed_m_per_s;
  const double of_jet =
      std::sqrt(std::pow(air.sigma_m_per_s[cell], 2) - std::pow(even.sigma_m_per_s[cell], 2));
  // Half of the last digit of 0.24.
  CHECK_THAT(of_jet / speed, rel(std::sqrt((0.28 * 0.28 + 2.0 * 0.22 * 0.22) / 3.0), 0.02));
}

TEST_CASE("flow: twice the flow of a jet doubles the fluctuation of the room", "[flow][exact]") {
  const double once = room_turbulence_m_per_s({0.2, 50.0, 2.4});
  CHECK_THAT(room_turbulence_m_per_s({0.2 * 8.0, 50.0, 2.4}), rel(2.0 * once, 1e-12));
}

TEST_CASE("flow: memory shortens towards surfaces as 0.41 of the distance", "[flow][published]") {
  // Mixing length kappa z below the size of the room's own, 0.07 H (Pope 2000 ch. 7; from memory).
  const RegimeField field = solve_field(test::hall(6.0, 6.0, 6.0), {}, 0.0, {.cell_m = 0.2});
  const auto memory_s = [&](double z) { return field.sample(3.1, 3.1, z).timescale_s; };
  CHECK_THAT(memory_s(0.3) / memory_s(0.1), rel(3.0, 1e-9));
  CHECK_THAT(memory_s(3.0) / memory_s(0.1), rel(0.07 * 6.0 / (0.41 * 0.1), 1e-9));
  CHECK_THAT(memory_s(5.9), rel(memory_s(0.1), 1e-12));
}
