#include "models/flow/regime_field.h"

#include <cmath>
#include <numeric>

#include "models/flow/boundary.h"
#include "models/units.h"
#include "tests/flow/houses.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::flow;
using test::FanWall;
using test::hoop_house;
using test::rel;

namespace {

double through_port_m3_per_s(const Enclosure& house, const RegimeField& field, std::size_t port) {
  double inflow = 0.0;
  for (const BoundaryFace& face : port_faces(house, field.grid, house.ports.at(port))) {
    const auto& speeds = face.axis == 0   ? field.u_m_per_s
                         : face.axis == 1 ? field.v_m_per_s
                                          : field.w_m_per_s;
    inflow += face.inward_factor * speeds[face.face] * field.grid.face_area_m2(face.axis);
  }
  return inflow;
}

double mean_difference_m_per_s(const RegimeField& a, const RegimeField& b) {
  double sum = 0.0;
  int points = 0;
  for (double x = 0.3; x < 7.2; x += 0.3)
    for (double y = 0.3; y < 3.6; y += 0.3) {
      const AirSample p = a.sample(x, y, 1.0), q = b.sample(x, y, 1.0);
      sum += std::hypot(p.u_m_per_s - q.u_m_per_s, p.v_m_per_s - q.v_m_per_s,
                        p.w_m_per_s - q.w_m_per_s);
      ++points;
    }
  return sum / points;
}

}  // namespace

TEST_CASE("flow: no cell makes or loses air to 1e-10 of the flow", "[flow][law]") {
  for (const FanWall wall : {FanWall::Back, FanWall::Left}) {
    Enclosure house = hoop_house(wall);
    house.stirrers = {{1.5, 1.0, 1.4, 0.3, 0.3, 0.2}};
    for (const bool uniform : {false, true}) {
      const RegimeField field =
          solve_field(house, {{0, 0.35}, {1, -0.4}}, 0.01, {.cell_m = 0.2, .uniform = uniform});
      CHECK(field.converged);
      CHECK(field.worst_divergence_per_s() * field.grid.cell_volume_m3() <= 1e-10 * 0.41);
      CHECK_THAT(field.inflow_m3_per_s, rel(0.41, 1e-12));
    }
  }
}

TEST_CASE("flow: every port passes its own flow and leakage the rest to 1e-9", "[flow][law]") {
  const Enclosure house = hoop_house(FanWall::Left);
  const RegimeField field = solve_field(house, {{0, 0.35}, {1, -0.4}}, 0.2);
  CHECK_THAT(through_port_m3_per_s(house, field, 0), rel(0.35, 1e-9));
  CHECK_THAT(through_port_m3_per_s(house, field, 1), rel(-0.4, 1e-9));
  double leak_in = 0.0, leak_out = 0.0;
  for (const double leak : field.leak_in_m3_per_s) (leak > 0.0 ? leak_in : leak_out) += leak;
  CHECK_THAT(leak_in + leak_out, rel(0.05, 1e-9));
  CHECK(leak_out < 0.0);
}

TEST_CASE("flow: a port on each wall and the roof lets its air in", "[flow][law]") {
  for (const Side side : {Side::Front, Side::Back, Side::Right, Side::Left, Side::Roof}) {
    Enclosure house = hoop_house();
    house.ports[0] = {"inlet", side, 1.7, 0.9, 0.5, 0.3};
    const RegimeField field = solve_field(house, {{0, 0.2}, {1, -0.2}}, 0.0);
    CAPTURE(static_cast<int>(side));
    CHECK_THAT(through_port_m3_per_s(house, field, 0), rel(0.2, 1e-9));
    CHECK(field.worst_divergence_per_s() < 1e-9);
  }
}

TEST_CASE("flow: a shut house breathes in low and out high through its leaks", "[flow][law]") {
  const RegimeField field = solve_field(hoop_house(), {}, 0.01);
  const Grid& grid = field.grid;
  double low = 0.0, high = 0.0;
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    const std::size_t k = c / (grid.nx * grid.ny);
    (k == 0 ? low : high) += k == 0 || k + 1 == grid.nz ? field.leak_in_m3_per_s[c] : 0.0;
  }
  CHECK(low > 0.0);
  CHECK(high < 0.0);
  CHECK_THAT(field.inflow_m3_per_s, rel(0.01, 1e-12));
  CHECK(field.sample(3.6, 1.8, 1.2).w_m_per_s > 0.0);
}

TEST_CASE("flow: a symmetric house with symmetric ports has a symmetric field", "[flow][law]") {
  const RegimeField field = solve_field(hoop_house(), {{0, 0.35}, {1, -0.4}}, 0.01);
  for (double x = 0.1; x < 7.2; x += 0.37)
    for (double y = 0.05; y < 1.8; y += 0.21)
      for (double z = 0.1; z < 2.0; z += 0.33) {
        const AirSample right = field.sample(x, y, z), left = field.sample(x, 3.6 - y, z);
        CHECK(std::fabs(right.u_m_per_s - left.u_m_per_s) < 1e-9);
        CHECK(std::fabs(right.v_m_per_s + left.v_m_per_s) < 1e-9);
        CHECK(std::fabs(right.w_m_per_s - left.w_m_per_s) < 1e-9);
      }
}

TEST_CASE("flow: all flows twice as large make the whole field twice as fast", "[flow][law]") {
  Enclosure house = hoop_house();
  house.stirrers = {{1.5, 1.0, 1.4, 0.3, 0.3, 0.2}};
  const RegimeField once =
      solve_field(house, {{0, 0.3}, {1, -0.32}}, 0.01, {.background_turbulence_m_per_s = 1e-6});
  house.stirrers[0].flow_m3_per_s *= 2.0;
  const RegimeField twice =
      solve_field(house, {{0, 0.6}, {1, -0.64}}, 0.02, {.background_turbulence_m_per_s = 1e-6});
  for (double x = 0.2; x < 7.2; x += 0.51) {
    const AirSample a = once.sample(x, 1.1, 1.3), b = twice.sample(x, 1.1, 1.3);
    CHECK_THAT(b.u_m_per_s, rel(2.0 * a.u_m_per_s, 1e-8));
    CHECK_THAT(b.sigma_m_per_s, rel(2.0 * a.sigma_m_per_s, 1e-8));
    CHECK_THAT(b.timescale_s, rel(a.timescale_s / 2.0, 1e-8));
  }
}

TEST_CASE("flow: moving the fan to the side wall changes the field", "[flow][law]") {
  const RegimeField back = solve_field(hoop_house(FanWall::Back), {{0, 0.4}, {1, -0.4}}, 0.0);
  const RegimeField side = solve_field(hoop_house(FanWall::Left), {{0, 0.4}, {1, -0.4}}, 0.0);
  CHECK(mean_difference_m_per_s(back, side) > 0.02);
  // Air turns towards the fan's wall only when the fan is there.
  CHECK(side.sample(6.0, 3.0, 0.8).v_m_per_s > 0.1);
  CHECK(std::fabs(back.sample(6.0, 3.0, 0.8).v_m_per_s) < 0.1);
}

TEST_CASE("flow: a plug flow of the same total is even and differs from the computed field",
          "[flow][law]") {
  Enclosure house = hoop_house();
  const std::vector<PortFlow> ports{{0, 0.4}, {1, -0.4}};
  const RegimeField computed = solve_field(house, ports, 0.0);
  const RegimeField plug = solve_field(house, ports, 0.0, {.uniform = true});
  CHECK(mean_difference_m_per_s(computed, plug) > 0.05);
  house.boxes.clear();
  const RegimeField empty = solve_field(house, ports, 0.0, {.uniform = true});
  double section_m2 = 0.0;
  for (std::size_t k = 0; k < empty.grid.nz; ++k)
    for (std::size_t j = 0; j < empty.grid.ny; ++j)
      section_m2 += empty.grid.fluid[empty.grid.cell(0, j, k)] * empty.grid.face_area_m2(0);
  CHECK_THAT(empty.sample(3.6, 1.8, 1.0).u_m_per_s, rel(0.4 / section_m2, 1e-9));
  CHECK(std::fabs(empty.sample(3.6, 1.8, 1.0).v_m_per_s) < 1e-12);
}

TEST_CASE("flow: a plug flow turns round when the fan stands in front", "[flow][law]") {
  const RegimeField plug = solve_field(hoop_house(), {{0, -0.4}, {1, 0.4}}, 0.0, {.uniform = true});
  CHECK(plug.sample(3.6, 1.8, 1.3).u_m_per_s < -0.03);
}

TEST_CASE("flow: a sampled linear field is exact between face centres", "[flow][exact]") {
  RegimeField field;
  field.grid = make_grid(test::hall(3.0, 2.0, 1.6), 0.2);
  const Grid& g = field.grid;
  field.u_m_per_s.resize(g.u_faces());
  field.v_m_per_s.resize(g.v_faces());
  field.w_m_per_s.resize(g.w_faces());
  field.sigma_m_per_s.assign(g.cells(), 0.1);
  field.timescale_s.assign(g.cells(), 1.0);
  const auto u = [](double x, double y, double z) { return 0.3 + 0.5 * x - 0.2 * y + 0.7 * z; };
  const auto v = [](double x, double y, double z) { return -0.1 + 0.4 * x + 0.9 * y - 0.3 * z; };
  const auto w = [](double x, double y, double z) { return 0.2 - 0.6 * x + 0.1 * y + 0.8 * z; };
  const auto face = [](std::size_t n, double step_m) { return static_cast<double>(n) * step_m; };
  for (std::size_t k = 0; k <= g.nz; ++k)
    for (std::size_t j = 0; j <= g.ny; ++j)
      for (std::size_t i = 0; i <= g.nx; ++i) {
        const double xc = g.x_centre_m(i), yc = g.y_centre_m(j), zc = g.z_centre_m(k);
        if (j < g.ny && k < g.nz) field.u_m_per_s[g.u_face(i, j, k)] = u(face(i, g.dx_m), yc, zc);
        if (i < g.nx && k < g.nz) field.v_m_per_s[g.v_face(i, j, k)] = v(xc, face(j, g.dy_m), zc);
        if (i < g.nx && j < g.ny) field.w_m_per_s[g.w_face(i, j, k)] = w(xc, yc, face(k, g.dz_m));
      }
  for (double x = 0.11; x < 2.9; x += 0.173)
    for (double y = 0.11; y < 1.9; y += 0.131)
      for (double z = 0.11; z < 1.5; z += 0.117) {
        const AirSample s = field.sample(x, y, z);
        REQUIRE(std::fabs(s.u_m_per_s - u(x, y, z)) < 1e-13);
        REQUIRE(std::fabs(s.v_m_per_s - v(x, y, z)) < 1e-13);
        REQUIRE(std::fabs(s.w_m_per_s - w(x, y, z)) < 1e-13);
      }
}

TEST_CASE("flow: air beside a wall does not pass through it", "[flow][exact]") {
  const RegimeField field = solve_field(hoop_house(), {{0, 0.4}, {1, -0.4}}, 0.0);
  CHECK(field.sample(3.0, 0.0, 0.6).v_m_per_s == 0.0);
  CHECK(field.sample(3.0, 1.8, 0.0).w_m_per_s == 0.0);
  CHECK(field.sample(0.0, 0.3, 0.6).u_m_per_s == 0.0);
}

TEST_CASE("flow: a stirring fan keeps its speed at the blades and its decay after projection",
          "[flow][published]") {
  // Hall of 9 m by 9 m: the jet stays free for 1.3 times that. Published decay 5.8 to 6.3; the
  // return flow that mass conservation adds takes up to a tenth of the speed at 20 diameters.
  Enclosure room = test::hall(16.0, 9.0, 9.0);
  constexpr double across_m = 4.59375;  // in the middle of a row of cells
  room.stirrers = {{3.0, across_m, 4.5, 0.0, 0.5, 1.0}};
  const RegimeField field = solve_field(room, {}, 0.0, {.cell_m = 0.2});
  REQUIRE(field.converged);
  const double mouth_speed = 1.0 / (pi * 0.25 / 4.0);
  const auto axis = [&](double along_m) {
    return field.sample(3.0 + along_m, across_m, 4.5).u_m_per_s;
  };
  CHECK_THAT(axis(0.0), rel(mouth_speed, 0.1));
  for (const double x_over_d : {10.0, 15.0, 20.0}) {
    CAPTURE(x_over_d);
    CHECK(axis(x_over_d * 0.5) / mouth_speed * x_over_d > 0.9 * 5.8);
    CHECK(axis(x_over_d * 0.5) / mouth_speed * x_over_d < 6.3);
  }
  CHECK(axis(-1.0) > 0.0);  // it draws from behind
}

TEST_CASE("flow: solving twice gives the same bits", "[flow][same]") {
  const RegimeField a = solve_field(hoop_house(), {{0, 0.35}, {1, -0.4}}, 0.01);
  const RegimeField b = solve_field(hoop_house(), {{0, 0.35}, {1, -0.4}}, 0.01);
  CHECK(a.u_m_per_s == b.u_m_per_s);
  CHECK(a.v_m_per_s == b.v_m_per_s);
  CHECK(a.w_m_per_s == b.w_m_per_s);
  CHECK(a.sigma_m_per_s == b.sigma_m_per_s);
}
