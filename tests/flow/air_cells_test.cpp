#include "models/flow/air_cells.h"

#include <cmath>
#include <numeric>

#include "models/units.h"
#include "tests/flow/houses.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::flow;
using test::rel;

namespace {

double sum(const std::vector<double>& values) {
  return std::accumulate(values.begin(), values.end(), 0.0);
}

RegimeField busy_field() {
  Enclosure house = test::hoop_house(test::FanWall::Left);
  house.stirrers = {{1.5, 1.0, 1.4, 0.4, 0.3, 0.2}};
  return solve_field(house, {{0, 0.35}, {1, -0.4}}, 0.02);
}

}  // namespace

TEST_CASE("flow: air cells share out the volume and the areas of the house exactly",
          "[flow][exact]") {
  Enclosure house = test::hoop_house();
  house.width_m = 3.6;
  house.eave_height_m = 1.0;
  house.ridge_height_m = 2.8;  // rise equals half the width: the roof is half a circle
  const Grid grid = make_grid(house, 0.2);
  const AirCells cells = make_air_cells(house, grid, 8, 2);
  const double radius_m = 1.8;
  const double section_m2 = 3.6 * 1.0 + pi * radius_m * radius_m / 2.0;
  const double boxes_m3 = 2.0 * 3.6 * 1.2 * 0.2;
  CHECK_THAT(sum(cells.volume_m3), rel(7.2 * section_m2 - boxes_m3, 1e-12));
  CHECK_THAT(sum(cells.floor_area_m2), rel(7.2 * 3.6, 1e-12));
  // 400 chords an air cell leave 3e-6 of an arc.
  CHECK_THAT(sum(cells.roof_area_m2), rel(7.2 * pi * radius_m, 1e-5));
  CHECK_THAT(sum(cells.wall_area_m2), rel(2.0 * (section_m2 + 7.2 * 1.0), 1e-12));
  CHECK_THAT(sum(cells.cover_area_m2),
             rel(sum(cells.roof_area_m2) + sum(cells.wall_area_m2), 1e-12));
}

TEST_CASE("flow: only the air cells at the ends and the sides have walls", "[flow][exact]") {
  const Enclosure house = test::hall(8.0, 4.0, 3.0);
  const AirCells cells = make_air_cells(house, make_grid(house, 0.5), 4, 2);
  // Cells of 2 m by 2 m: 6 m2 of side wall each and 6 m2 of end wall at both ends.
  for (std::size_t j = 0; j < 2; ++j)
    for (std::size_t i = 0; i < 4; ++i) {
      const double expected_m2 = i == 0 || i == 3 ? 12.0 : 6.0;
      CHECK_THAT(cells.wall_area_m2[j * 4 + i], rel(expected_m2, 1e-12));
    }
}

TEST_CASE("flow: boundaries of air cells lie on faces of the grid", "[flow][exact]") {
  const Enclosure house = test::hoop_house();
  const Grid grid = make_grid(house, 0.2);
  for (const std::size_t nx : {1U, 5U, 7U, 36U}) {
    const AirCells cells = make_air_cells(house, grid, nx, 3);
    for (const double edge_m : cells.x_edge_m)
      CHECK(std::fabs(std::remainder(edge_m, grid.dx_m)) < 1e-12);
    for (std::size_t c = 0; c < grid.cells(); ++c)
      REQUIRE(cells.cell_of_grid[c] ==
              cells.cell_at(grid.x_centre_m(c % grid.nx), grid.y_centre_m(c / grid.nx % grid.ny)));
    for (std::size_t n = 0; n < cells.count(); ++n)
      CHECK(cells.cell_at(cells.x_m[n], cells.y_m[n]) == n);
  }
}

TEST_CASE("flow: what enters an air cell leaves it to 1e-9", "[flow][law]") {
  const RegimeField field = busy_field();
  const Enclosure house = test::hoop_house(test::FanWall::Left);
  for (const std::size_t nx : {6U, 8U, 11U}) {
    const AirCells cells = make_air_cells(house, field.grid, nx, 2);
    const Exchanges air = exchanges(field, cells);
    for (std::size_t n = 0; n < cells.count(); ++n) {
      double in = air.inflow_m3_per_s[n], out = air.outflow_m3_per_s[n];
      for (const Exchange& e : air.between) {
        if (e.to == n) in += e.flow_m3_per_s;
        if (e.from == n) out += e.flow_m3_per_s;
      }
      CAPTURE(nx, n, in, out);
      CHECK(in > 0.0);
      CHECK(std::fabs(in - out) <= 1e-9 * in);
    }
  }
}

TEST_CASE("flow: exchanges between air cells equal the summed face fluxes to 1e-9", "[flow][law]") {
  const RegimeField field = busy_field();
  const Enclosure house = test::hoop_house(test::FanWall::Left);
  const AirCells cells = make_air_cells(house, field.grid, 8, 2);
  const Exchanges air = exchanges(field, cells);
  const Grid& grid = field.grid;
  std::size_t compared = 0;
  for (std::size_t n = 0; n + 1 < 8; ++n) {
    const auto plane = static_cast<std::size_t>(std::lround(cells.x_edge_m[n + 1] / grid.dx_m));
    double forward[2] = {0.0, 0.0}, backward[2] = {0.0, 0.0};
    for (std::size_t k = 0; k < grid.nz; ++k)
      for (std::size_t j = 0; j < grid.ny; ++j) {
        const double flow = field.u_m_per_s[grid.u_face(plane, j, k)] * grid.face_area_m2(0);
        const std::size_t side = grid.y_centre_m(j) < 1.8 ? 0 : 1;
        (flow > 0.0 ? forward : backward)[side] += std::fabs(flow);
      }
    for (const Exchange& e : air.between) {
      for (const std::size_t side : {0U, 1U}) {
        const std::size_t a = side * 8 + n, b = a + 1;
        if (e.from == a && e.to == b) {
          CHECK_THAT(e.flow_m3_per_s, rel(forward[side], 1e-9));
          ++compared;
        }
        if (e.from == b && e.to == a) {
          CHECK_THAT(e.flow_m3_per_s, rel(backward[side], 1e-9));
          ++compared;
        }
      }
    }
  }
  CHECK(compared >= 20);
}

TEST_CASE("flow: all that enters the air cells is the regime's inflow", "[flow][law]") {
  const RegimeField field = busy_field();
  const AirCells cells = make_air_cells(test::hoop_house(test::FanWall::Left), field.grid, 8, 2);
  const Exchanges air = exchanges(field, cells);
  CHECK_THAT(sum(air.inflow_m3_per_s), rel(sum(air.outflow_m3_per_s), 1e-9));
  // Leaks in and out of one cell are one number, so that a little of the leakage may cancel there.
  CHECK(sum(air.inflow_m3_per_s) <= field.inflow_m3_per_s * (1.0 + 1e-9));
  CHECK(sum(air.inflow_m3_per_s) >= (0.35 + 0.05) * (1.0 - 1e-9));
}

TEST_CASE("flow: one air cell exchanges nothing within and all with outside", "[flow][exact]") {
  const Enclosure house = test::hoop_house();
  const RegimeField field = solve_field(house, {{0, 0.4}, {1, -0.4}}, 0.0);
  const Exchanges air = exchanges(field, make_air_cells(house, field.grid, 1, 1));
  CHECK(air.between.empty());
  CHECK(air.mixing.empty());
  CHECK_THAT(air.inflow_m3_per_s.at(0), rel(0.4, 1e-9));
  CHECK_THAT(air.outflow_m3_per_s.at(0), rel(0.4, 1e-9));
}

TEST_CASE("flow: mixing in even turbulence is D A over the distance of the cells",
          "[flow][exact]") {
  // Taylor 1921: D = sigma^2 T_L.
  const Enclosure house = test::hall(8.0, 2.0, 2.0);
  RegimeField field = solve_field(house, {}, 0.0);
  field.sigma_m_per_s.assign(field.grid.cells(), 0.1);
  field.timescale_s.assign(field.grid.cells(), 2.0);
  const Exchanges air = exchanges(field, make_air_cells(house, field.grid, 4, 1));
  REQUIRE(air.mixing.size() == 3);
  for (const Exchange& e : air.mixing) CHECK_THAT(e.flow_m3_per_s, rel(0.02 * 4.0 / 2.0, 1e-12));
}
