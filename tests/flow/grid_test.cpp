#include "models/flow/grid.h"

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
  CHECK(grid.nx == 35);
  CHECK(grid.ny == 17);  // 3.35 / 0.2 = 16.75
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
  // Steps are a cell high, and over- and undershoot along the curve: half a per cent at 36 cells.
  CHECK_THAT(fluid_volume_m3(make_grid(house, 0.1)), rel(true_m3, 0.005));
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
