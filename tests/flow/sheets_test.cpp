// Sheets about a bench: which faces they shut, and what the air does about them.
#include "models/flow/sheets.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "models/flow/air_cells.h"
#include "models/flow/regime_field.h"
#include "tests/flow/houses.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::flow;

namespace {

/// Four sheets about a box, from a height up.
void add_skirt(const Box& box, double z0_m, double height_m, Enclosure& house) {
  const double z1_m = z0_m + height_m;
  house.sheets.push_back({0, box.x0_m, box.y0_m, box.y1_m, z0_m, z1_m, 1.0});
  house.sheets.push_back({0, box.x1_m, box.y0_m, box.y1_m, z0_m, z1_m, -1.0});
  house.sheets.push_back({1, box.y0_m, box.x0_m, box.x1_m, z0_m, z1_m, 1.0});
  house.sheets.push_back({1, box.y1_m, box.x0_m, box.x1_m, z0_m, z1_m, -1.0});
}

/// A fan house of our own: two benches on the faces of 0.25 m cells, a louvre low in the right
/// wall.
Enclosure fan_house(double skirt_m) {
  Enclosure house = test::hall(8.0, 4.0, 2.5);
  house.eave_height_m = 1.5;
  house.boxes = {{1.0, 7.0, 0.5, 1.5, 0.5, 0.75}, {1.0, 7.0, 2.5, 3.5, 0.5, 0.75}};
  house.ports = {{"slot", Side::Right, 3.0, 0.25, 4.0, 0.5},
                 {"fan", Side::Back, 2.0, 1.75, 0.5, 0.5}};
  if (skirt_m > 0.0)
    for (const Box& box : house.boxes) add_skirt(box, box.z1_m, skirt_m, house);
  return house;
}

RegimeField fan_field(const Enclosure& house) {
  FieldOptions options;
  options.model = AirflowModel::Momentum;
  options.cell_m = 0.25;
  return solve_field(house, {{0, 1.0}, {1, -1.0}}, 0.05, options);
}

double speed_through(const RegimeField& field, const SheetFace& face) {
  const auto [i, j, k] = field.grid.place(face.cell);
  return face.axis == 0 ? field.u_m_per_s[field.grid.u_face(i, j, k)]
                        : field.v_m_per_s[field.grid.v_face(i, j, k)];
}

}  // namespace

TEST_CASE("flow: a sheet shuts the faces nearest to it and at least one layer of them",
          "[flow][exact]") {
  Enclosure house = fan_house(0.0);
  const Grid grid = make_grid(house, 0.25);
  const auto count = [&](double z0_m, double height_m) {
    house.sheets.clear();
    add_skirt(house.boxes[0], z0_m, height_m, house);
    return sheet_faces(house, grid).size();
  };
  // The bench is 24 by 4 cells: 56 faces about it in each layer.
  CHECK(count(0.75, 0.10) == 0);
  CHECK(count(0.75, 0.14) == 56);
  CHECK(count(0.86, 0.15) == 56);
  CHECK(count(0.75, 0.36) == 56);
  CHECK(count(0.75, 0.40) == 112);
  // Air beside the roof goes on over a sheet that would reach it, so that none is closed in.
  CHECK(count(0.75, 1.75) < 7 * 56);
  for (const SheetFace& face : sheet_faces(house, grid))
    CHECK(grid.fluid[face.cell + grid.stride(2)] == 1);
}

TEST_CASE("flow: a sheet half-way between two faces meets the side of a box of the same edge",
          "[flow][exact]") {
  // 3.6 m in 18 cells: edges at 0.3 and 2.1 m fall on centres of cells, up to round-off.
  Enclosure house = test::hall(7.2, 3.6, 2.4);
  for (const double y_m : {0.3, 0.7, 1.1, 1.5, 2.1}) {
    const Box box{1.7, 5.3, y_m, y_m + 1.2, 0.6, 0.8};
    house.boxes = {box};
    house.sheets.clear();
    add_skirt(box, 0.8, 0.4, house);
    const Grid grid = make_grid(house, 0.2);
    for (const SheetFace& face : sheet_faces(house, grid)) {
      // Two layers below the sheet's second one the bench is solid on just one side of the face.
      const auto [i, j, k] = grid.place(face.cell);
      const std::size_t beside = grid.cell(i, j, 3);
      CHECK(grid.fluid[beside] + grid.fluid[beside - grid.stride(face.axis)] == 1);
    }
    CHECK(sheet_faces(house, grid).size() >= 2 * 2 * (18 + 5));
  }
}

TEST_CASE("flow: nothing passes a skirt and every cell's air balances to 1e-9", "[flow][exact]") {
  const Enclosure house = fan_house(0.5);
  const RegimeField field = fan_field(house);
  const std::vector<SheetFace> faces = sheet_faces(house, field.grid);
  REQUIRE(faces.size() == 2 * 112);
  for (const SheetFace& face : faces) CHECK(speed_through(field, face) == 0.0);
  CHECK(field.converged);
  const double fastest = *std::max_element(field.v_m_per_s.begin(), field.v_m_per_s.end());
  CHECK(fastest > 0.3);
  CHECK(field.worst_divergence_per_s() < 1e-9 * fastest / 0.25);
}

TEST_CASE("flow: a mirrored house with skirts has the mirrored bits", "[flow][exact]") {
  const Enclosure house = fan_house(0.5);
  const RegimeField one = fan_field(house), other = fan_field(test::mirrored_across(house));
  const Grid& grid = one.grid;
  double worst = 0.0;
  for (std::size_t k = 0; k < grid.nz; ++k)
    for (std::size_t j = 0; j <= grid.ny; ++j)
      for (std::size_t i = 0; i < grid.nx; ++i)
        worst = std::max(worst, std::fabs(one.v_m_per_s[grid.v_face(i, j, k)] +
                                          other.v_m_per_s[grid.v_face(i, grid.ny - j, k)]));
  CHECK(worst == 0.0);
}

TEST_CASE("flow: the higher a skirt the slower the air just over the bench", "[flow][law]") {
  // Found: 0.104, 0.085, 0.084 and 0.071 m/s, an eighth of a metre over the benches.
  double before = 1.0;
  for (const double skirt_m : {0.0, 0.25, 1.0}) {
    const Enclosure house = fan_house(skirt_m);
    const double speed = test::speed_over_boxes_m_per_s(house, fan_field(house), 0.125);
    CAPTURE(skirt_m, speed);
    CHECK(speed < 0.9 * before);
    before = speed;
  }
}

TEST_CASE("flow: turbulence mixes no air through a sheet", "[flow][exact]") {
  Enclosure house = test::hall(4.0, 2.0, 2.0);
  FieldOptions options;
  options.model = AirflowModel::Momentum;
  options.cell_m = 0.25;
  const RegimeField field = solve_field(house, {}, 0.05, options);
  const AirCells cells = make_air_cells(house, field.grid, 2, 1);
  const double whole = exchanges(field, cells).mixing.at(0).flow_m3_per_s;
  house.sheets = {{0, 2.0, 0.0, 2.0, 0.0, 1.0, 1.0}};
  const auto mixing = [&](const RegimeField& air) {
    double sum = 0.0, shut = 0.0;
    const std::vector<SheetFace> faces = sheet_faces(house, air.grid);
    for (std::size_t k = 0; k < air.grid.nz; ++k)
      for (std::size_t j = 0; j < air.grid.ny; ++j) {
        const std::size_t cell = air.grid.cell(8, j, k);
        const auto diffusivity = [&](std::size_t c) {
          return air.sigma_m_per_s[c] * air.sigma_m_per_s[c] * air.timescale_s[c];
        };
        const double share = 0.5 * (diffusivity(cell) + diffusivity(cell - 1));
        sum += share;
        if (std::binary_search(faces.begin(), faces.end(), SheetFace{0, cell})) shut += share;
      }
    return 1.0 - shut / sum;
  };
  const double left =
      exchanges(field, cells, sheet_faces(house, field.grid)).mixing.at(0).flow_m3_per_s;
  CHECK(left < 0.9 * whole);
  CHECK(left / whole == Approx(mixing(field)).epsilon(1e-12));
}
