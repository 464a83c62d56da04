#include "models/flow/grid.h"

#include <cmath>
#include <numeric>

#include "models/contracts.h"
#include "models/units.h"
#include "tests/flow/houses.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::flow;
using test::rel;

namespace {

double fluid_volume_m3(const Grid& grid) {
  const auto cells = std::accumulate(grid.fluid.begin(), grid.fluid.end(), std::size_t{0});
  return static_cast<double>(cells) * grid.cell_volume_m3();
}

}  // namespace

TEST_CASE("flow: grid edges divide the lengths of the house exactly", "[flow][exact]") {
  const Enclosure house = test::hall(7.0, 3.35, 2.55);
  const Grid grid = make_grid(house, 0.2);
  CHECK(grid.nx == 32);  // 7 / 0.2 = 35, and the next of the row is 40
  CHECK(grid.ny == 16);  // 3.35 / 0.2 = 16.75
  CHECK(grid.nz == 13);  // 2.55 / 0.2 = 12.75
  CHECK_THAT(static_cast<double>(grid.ny) * grid.dy_m, rel(3.35, 1e-14));
  CHECK_THAT(fluid_volume_m3(grid), rel(7.0 * 3.35 * 2.55, 1e-12));
}

TEST_CASE("flow: a house of grid-sized boxes keeps exactly the air that they leave",
          "[flow][exact]") {
  Enclosure house = test::hall(4.0, 2.0, 2.0);
  house.boxes = {{1.0, 3.0, 0.4, 1.6, 0.6, 0.8}};
  CHECK_THAT(fluid_volume_m3(make_grid(house, 0.2)), rel(16.0 - 2.0 * 1.2 * 0.2, 1e-12));
}

TEST_CASE("flow: the air under a stepped roof tends to half an ellipse", "[flow][exact]") {
  Enclosure house = test::hoop_house();
  house.boxes.clear();
  const double true_m3 = 7.2 * (3.6 * 1.2 + pi / 4.0 * 3.6 * 1.2);
  // Steps are a cell high, and over- and undershoot along the curve.
  CHECK_THAT(fluid_volume_m3(make_grid(house, 0.09)), rel(true_m3, 0.005));
  CHECK_THAT(fluid_volume_m3(make_grid(house, 0.05)), rel(true_m3, 0.004));
}

TEST_CASE("flow: a closed pocket of air is filled in", "[flow][law]") {
  Enclosure house = test::hall(2.0, 2.0, 2.0);
  // A hollow cube of six plates around the middle.
  house.boxes = {{0.6, 0.8, 0.6, 1.4, 0.6, 1.4}, {1.2, 1.4, 0.6, 1.4, 0.6, 1.4},
                 {0.6, 1.4, 0.6, 0.8, 0.6, 1.4}, {0.6, 1.4, 1.2, 1.4, 0.6, 1.4},
                 {0.6, 1.4, 0.6, 1.4, 0.6, 0.8}, {0.6, 1.4, 0.6, 1.4, 1.2, 1.4}};
  const Grid grid = make_grid(house, 0.2);
  CHECK(grid.fluid[grid.cell_at(1.0, 1.0, 1.0)] == 0);
  CHECK_THAT(fluid_volume_m3(grid), rel(8.0 - 0.8 * 0.8 * 0.8, 1e-12));
}

TEST_CASE("flow: a house filled by a box is refused", "[flow][input]") {
  Enclosure house = test::hall(1.0, 1.0, 1.0);
  house.boxes = {{-1.0, 2.0, -1.0, 2.0, -1.0, 2.0}};
  CHECK_THROWS_AS(make_grid(house, 0.2), ContractError);
}

TEST_CASE("flow: cells along and across halve evenly and stay near their wished size",
          "[flow][exact]") {
  for (double length_m = 0.8; length_m < 40.0; length_m *= 1.01) {
    const std::size_t count = even_divisions(length_m, 0.2);
    std::size_t odd = count;
    while (odd % 2 == 0) odd /= 2;
    CAPTURE(length_m, count);
    CHECK((odd == 1 || odd == 3 || odd == 5));
    // The row's widest gap, from 3 to 4 times a power of two.
    const double ratio = length_m / 0.2 / static_cast<double>(count);
    CHECK(ratio < std::sqrt(4.0 / 3.0) + 1e-9);
    CHECK(ratio > std::sqrt(3.0 / 4.0) - 1e-9);
  }
}
