// Houses with fans by the equations of motion, against what any house must do.
#include "models/flow/momentum_field.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "models/flow/boundary.h"
#include "models/flow/from_coarser.h"
#include "models/flow/house_case.h"
#include "models/flow/steady_flow.h"
#include "models/flow/turbulence.h"
#include "models/units.h"
#include "tests/flow/houses.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::flow;

namespace {

enum class Air { Louvre, Slot, Wall };

/// A fan house of our own whose benches, openings and fan lie on the faces of 0.25 m cells.
Enclosure fan_house(Air air) {
  Enclosure house = test::hall(8.0, 4.0, 2.5);
  house.eave_height_m = 1.5;
  house.boxes = {{1.0, 7.0, 0.5, 1.5, 0.5, 0.75}, {1.0, 7.0, 2.5, 3.5, 0.5, 0.75}};
  const Port louvre{"louvre", Side::Front, 2.0, 1.25, 2.0, 0.5},
      slot{"slot", Side::Right, 4.0, 0.25, 6.0, 0.5},
      wall{"wall", Side::Front, 2.0, 1.25, 4.0, 2.5};
  house.ports = {air == Air::Louvre ? louvre
                 : air == Air::Slot ? slot
                                    : wall,
                 {"fan", Side::Back, 2.0, 1.75, 0.5, 0.5}};
  return house;
}

RegimeField fan_field(const Enclosure& house, double flow_m3_per_s, double cell_m,
                      double leakage_m3_per_s = 0.0) {
  FieldOptions options;
  options.model = AirflowModel::Momentum;
  options.cell_m = cell_m;
  return solve_field(house, {{0, flow_m3_per_s}, {1, -flow_m3_per_s}}, leakage_m3_per_s, options);
}

/// Mean speed a quarter of a metre above the benches.
double bench_speed_m_per_s(const Enclosure& house, const RegimeField& field) {
  return test::speed_over_boxes_m_per_s(house, field, 0.25);
}

}  // namespace

TEST_CASE("flow: by momentum every cell's air balances to 1e-9 and so does every opening",
          "[flow][exact]") {
  const Enclosure house = fan_house(Air::Slot);
  const double flow = 1.2;
  const RegimeField field = fan_field(house, flow, 0.25, 0.05);
  const double fastest = *std::max_element(field.v_m_per_s.begin(), field.v_m_per_s.end());
  CHECK(field.worst_divergence_per_s() < 1e-9 * fastest / 0.25);
  for (std::size_t p = 0; p < house.ports.size(); ++p) {
    double through = 0.0;
    for (const BoundaryFace& face : port_faces(house, field.grid, house.ports[p])) {
      const auto& speed = face.axis == 0 ? field.u_m_per_s : field.v_m_per_s;
      through += face.inward_factor * speed[face.face] * field.grid.face_area_m2(face.axis);
    }
    CHECK(std::fabs(through - (p == 0 ? flow : -flow)) < 1e-9 * flow);
  }
}

TEST_CASE("flow: by momentum the air over the benches moves in proportion to the fan",
          "[flow][exact]") {
  const Enclosure house = fan_house(Air::Louvre);
  const double half = bench_speed_m_per_s(house, fan_field(house, 0.5, 0.25));
  const double whole = bench_speed_m_per_s(house, fan_field(house, 1.0, 0.25));
  CAPTURE(half, whole);
  CHECK(half > 0.02);
  CHECK(std::fabs(whole / half / 2.0 - 1.0) < 0.10);
}

TEST_CASE("flow: by momentum half the cell changes the speed over the benches by less than 15 %",
          "[flow][law]") {
  const Air air = GENERATE(Air::Louvre, Air::Slot, Air::Wall);
  const Enclosure house = fan_house(air);
  const RegimeField coarse = fan_field(house, 1.0, 0.25), fine = fan_field(house, 1.0, 0.125);
  REQUIRE(coarse.steady);
  const double speed_of_coarse = bench_speed_m_per_s(house, coarse);
  const double speed_of_fine = bench_speed_m_per_s(house, fine);
  CAPTURE(static_cast<int>(air), fine.steady, speed_of_coarse, speed_of_fine);
  CHECK(std::fabs(speed_of_fine / speed_of_coarse - 1.0) <= 0.15);
}

TEST_CASE("flow: by momentum a mirrored house has the mirrored bits", "[flow][exact]") {
  // In the second house nothing lies on the grid's faces, mirrored places are rounded, air leaks
  // and warm surfaces keep it from coming to rest.
  const bool awkward = GENERATE(false, true);
  Enclosure house = fan_house(Air::Slot);
  house.ports[1].along_m = 3.0;
  if (awkward) {
    house.width_m = 3.85;
    house.eave_height_m = 1.37;
    house.ports[0].width_m = 3.3;
    house.ports[1].along_m = 2.713;
  }
  const auto field = [&](const Enclosure& of) {
    FieldOptions options;
    options.model = AirflowModel::Momentum;
    options.cell_m = 0.25;
    if (awkward) options.floor_heat_W_per_m2 = 60.0;
    return solve_field(of, {{0, 0.9}, {1, -1.0}}, awkward ? 0.05 : 0.0, options);
  };
  const RegimeField one = field(house), other = field(test::mirrored_across(house));
  const Grid& grid = one.grid;
  REQUIRE(one.grid.fluid.size() == other.grid.fluid.size());
  double worst = 0.0, fastest = 0.0;
  for (std::size_t k = 0; k < grid.nz; ++k)
    for (std::size_t j = 0; j <= grid.ny; ++j)
      for (std::size_t i = 0; i < grid.nx; ++i) {
        const double here = one.v_m_per_s[grid.v_face(i, j, k)];
        fastest = std::max(fastest, std::fabs(here));
        worst = std::max(worst, std::fabs(here + other.v_m_per_s[grid.v_face(i, grid.ny - j, k)]));
      }
  CAPTURE(awkward, one.steady);
  CHECK(fastest > 0.3);
  CHECK(worst == 0.0);
  double warmest = 0.0, apart = 0.0;
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    const auto [i, j, k] = grid.place(c);
    const double here = one.floor_response_K_m2_per_W[c];
    warmest = std::max(warmest, here);
    apart = std::max(
        apart, std::fabs(here - other.floor_response_K_m2_per_W[grid.cell(i, grid.ny - 1 - j, k)]));
  }
  CHECK(warmest > 0.0);
  CHECK(apart == 0.0);
}

TEST_CASE("flow: by momentum air returns below a jet as measured", "[flow][published]") {
  // A slot under the ceiling and an outlet at the far wall's foot: the jet's entrainment draws air
  // back along the floor (Nielsen 1990: -0.2 to -0.45 of the slot's speed).
  Enclosure room = test::hall(9.0, 3.0, 3.0);
  room.ports = {{"slot", Side::Front, 1.5, 2.9, 3.0, 0.2},
                {"outlet", Side::Back, 1.5, 0.2, 3.0, 0.4}};
  FieldOptions options;
  options.model = AirflowModel::Momentum;
  const double flow = 0.5 * 0.2 * 3.0;
  const RegimeField field = solve_field(room, {{0, flow}, {1, -flow}}, 0.0, options);
  double slowest = 0.0;
  for (int i = 0; i < 35; ++i)
    slowest = std::min(slowest, field.sample(1.0 + 0.2 * i, 1.5, 0.1).u_m_per_s / 0.5);
  CHECK(slowest < -0.15);
  CHECK(slowest > -0.45);
}

TEST_CASE("flow: a thin bench takes a layer of cells and one on the floor none", "[flow][exact]") {
  Enclosure house = test::hall(8.0, 4.0, 2.4);
  for (const double top_m : {0.55, 0.7, 0.75, 0.82, 0.9, 1.0}) {
    house.boxes = {thick_enough({1.0, 7.0, 0.4, 3.4, top_m - 0.05, top_m}, 2.4, 0.2)};
    const Grid grid = make_grid(house, 0.2);
    std::size_t solid = 0;
    for (const std::uint8_t fluid : grid.fluid) solid += fluid == 0 ? 1 : 0;
    CAPTURE(top_m);
    CHECK(solid == 450);
    CHECK(house.boxes[0].z1_m == top_m);
  }
  const Box low{1.0, 7.0, 0.5, 3.5, 0.0, 0.08};
  CHECK(thick_enough(low, 2.4, 0.2).z1_m == low.z1_m);
}

TEST_CASE("flow: a stirring fan's whole thrust and all leaves reach the air", "[flow][exact]") {
  Enclosure house = test::hall(8.0, 4.0, 2.4);
  house.stirrers = {{3.1, 1.7, 1.3, 0.6, 0.4, 0.5}};
  const Grid grid = make_grid(house, 0.2);
  house.foliage = {{{1.05, 2.0, 1.0, 2.07, 0.5, 0.75}, 4.0}};
  const HouseFlow flow = house_flow(house, grid, {}, {});
  const auto sum = [](const Values& values) {
    return std::accumulate(values.begin(), values.end(), 0.0);
  };
  // Momentum of a jet of speed Q / A: Q^2 / A, along its bearing.
  const double thrust = 0.5 * 0.5 / (pi / 4.0 * 0.4 * 0.4);
  CHECK(sum(flow.problem.force_m4_per_s2[0]) == Approx(thrust * std::cos(0.6)).epsilon(1e-12));
  CHECK(sum(flow.problem.force_m4_per_s2[1]) == Approx(thrust * std::sin(0.6)).epsilon(1e-12));
  // Drag coefficient 0.2 (Wilson and Shaw 1977) times the leaves' area.
  const double leaves_m2 = 4.0 * 0.95 * 1.07 * 0.25;
  CHECK(sum(flow.problem.drag_m2) == Approx(0.2 * leaves_m2).epsilon(1e-12));
}

TEST_CASE("flow: leaves lower than a cell hold the air as a rough floor does", "[flow][worked]") {
  Enclosure house = test::hall(8.0, 4.0, 2.4);
  house.boxes = {{1.0, 7.0, 0.5, 3.5, 0.6, 0.8}};
  house.foliage = {{{1.0, 7.0, 0.5, 3.5, 0.8, 0.85}, 60.0}};
  const Grid grid = make_grid(house, 0.2);
  const HouseFlow flow = house_flow(house, grid, {}, {});
  // Logarithmic law over a roughness of a tenth of 0.05 m, half a cell above: 0.41 / ln(1 + 20)
  // squared, by hand 0.0181; their whole drag would be 0.2 times a leaf area index of 3.
  const double all = std::accumulate(flow.problem.drag_m2.begin(), flow.problem.drag_m2.end(), 0.0);
  CHECK(all == Approx(0.01814 * 6.0 * 3.0).epsilon(1e-3));
  for (std::size_t cell = 0; cell < grid.cells(); ++cell)
    if (grid.place(cell)[2] != 4)
      CHECK(flow.problem.drag_m2[flow.problem.lattice.of(grid, cell)] == 0.0);
}

TEST_CASE("flow: all heat that floor or benches give to a shut house leaves through its cover",
          "[flow][exact]") {
  Enclosure house = test::hall(6.0, 4.0, 2.5);
  house.boxes = {{1.0, 5.0, 0.5, 1.5, 0.5, 0.75}};
  FieldOptions options;
  options.model = AirflowModel::Momentum;
  options.cell_m = 0.25;
  options.floor_heat_W_per_m2 = 40.0;
  options.bench_heat_W_per_m2 = 20.0;
  options.cover_W_per_m2_K = 5.0;
  const RegimeField field = solve_field(house, {}, 0.0, options);
  const std::vector<double> cover_m2 = cover_area_m2(house, field.grid);
  const auto leaves_W = [&](const std::vector<double>& response) {
    REQUIRE(response.size() == field.grid.cells());
    double sum = 0.0;
    for (std::size_t c = 0; c < response.size(); ++c)
      if (field.grid.fluid[c] != 0) sum += options.cover_W_per_m2_K * cover_m2[c] * response[c];
    return sum;
  };
  // One watt per square metre each of the floor, the bench's shadow too, and of the bench's top.
  CHECK(leaves_W(field.floor_response_K_m2_per_W) == Approx(6.0 * 4.0).epsilon(1e-4));
  CHECK(leaves_W(field.bench_response_K_m2_per_W) == Approx(4.0 * 1.0).epsilon(1e-4));
}

TEST_CASE("flow: smaller steps come to rest in the same flow", "[flow][law]") {
  const Enclosure house = fan_house(Air::Louvre);
  const Grid grid = make_grid(house, 0.25);
  HouseTerms terms;
  terms.sharpness_fraction = 0.5;
  const auto rest = [&](bool gently) {
    HouseFlow flow = house_flow(house, grid, {{0, 1.0}, {1, -1.0}}, terms);
    cold_start(flow.problem, flow.state);
    const SteadyReport report = settle(
        flow.problem, {.iteration_cap = 2000, .rest_fraction = 1e-5, .gently = gently}, flow.state);
    REQUIRE(report.steady);
    return flow.state.speed_m_per_s[0];
  };
  const Values usual = rest(false), gentle = rest(true);
  double apart = 0.0, fastest = 0.0;
  for (std::size_t c = 0; c < usual.size(); ++c) {
    apart = std::max(apart, std::fabs(usual[c] - gentle[c]));
    fastest = std::max(fastest, std::fabs(usual[c]));
  }
  CHECK(apart < 0.01 * fastest);
}

TEST_CASE("flow: a finer grid begins where the wider one came to", "[flow][exact]") {
  // A warmth that rises along, across and up is drawn straight between the wide cells' centres.
  const Enclosure house = test::hall(6.0, 4.0, 2.4);
  const auto gridded = [&](double cell_m) {
    const Grid grid = make_grid(house, cell_m);
    return GriddedFlow{grid, house_flow(house, grid, {}, {})};
  };
  GriddedFlow wide = gridded(0.3), fine = gridded(0.2);
  const auto warmth = [](const Grid& grid, std::size_t cell) {
    const auto [i, j, k] = grid.place(cell);
    return 1.0 + 0.5 * grid.x_centre_m(i) - 0.3 * grid.y_centre_m(j) + 2.0 * grid.z_centre_m(k);
  };
  const auto place = [](const GriddedFlow& flow, std::size_t cell) {
    return flow.house.problem.lattice.of(flow.grid, cell);
  };
  for (std::size_t cell = 0; cell < wide.grid.cells(); ++cell)
    wide.house.state.warmth_K[place(wide, cell)] = warmth(wide.grid, cell);
  start_from_coarser(wide, fine);
  const Grid& grid = fine.grid;
  for (std::size_t cell = 0; cell < grid.cells(); ++cell) {
    const auto [i, j, k] = grid.place(cell);
    const bool inner =
        i > 0 && j > 0 && k > 0 && i + 1 < grid.nx && j + 1 < grid.ny && k + 1 < grid.nz;
    if (inner) CHECK(fine.house.state.warmth_K[place(fine, cell)] == Approx(warmth(grid, cell)));
  }
}

TEST_CASE("flow: the grid's index is told by momentum alone", "[flow][law]") {
  const Enclosure house = fan_house(Air::Louvre);
  const RegimeField coarse = fan_field(house, 1.0, 0.25), fine = fan_field(house, 1.0, 0.125);
  CAPTURE(coarse.grid_convergence_index_fraction, fine.grid_convergence_index_fraction);
  CHECK(coarse.grid_convergence_index_fraction > 0.0);
  // What the index calls uncertain at least covers what half the cell changes.
  const double change =
      std::fabs(bench_speed_m_per_s(house, coarse) / bench_speed_m_per_s(house, fine) - 1.0);
  CHECK(coarse.grid_convergence_index_fraction > change);
  CHECK(std::isnan(solve_field(house, {{0, 1.0}, {1, -1.0}}, 0.0, {.cell_m = 0.25})
                       .grid_convergence_index_fraction));
}
