// The one room with published measurements of its whole airflow: a slot under the ceiling, an
// outlet at the foot of the far wall (IEA Annex 20, Nielsen 1990).
#include <cmath>

#include "models/flow/house_case.h"
#include "models/flow/regime_field.h"
#include "models/flow/steady_flow.h"
#include "models/flow/turbulence.h"
#include "tests/flow/houses.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using namespace mistwright::flow;

namespace {

constexpr double height_m = 3.0, slot_m = 0.168, outlet_m = 0.48, slot_speed_m_per_s = 0.455;

RegimeField annex20() {
  Enclosure room = test::hall(9.0, 3.0, height_m);
  room.ports = {{"slot", Side::Front, 1.5, height_m - slot_m / 2.0, 3.0, slot_m},
                {"outlet", Side::Back, 1.5, outlet_m / 2.0, 3.0, outlet_m}};
  const double flow_m3_per_s = slot_speed_m_per_s * slot_m * 3.0;
  return solve_field(room, {{0, flow_m3_per_s}, {1, -flow_m3_per_s}}, 0.0, {.cell_m = 0.1});
}

struct Agreement {
  int points = 0, near = 0;
};

/// How many points of a line lie within `tolerance` of the slot's speed.
Agreement along(const RegimeField& field, const std::string& line, double x_m,
                double from_ceiling_max, double tolerance) {
  Agreement result;
  for (const auto& row : test::table("annex20_2d_isothermal.csv")) {
    if (row.text("profile") != line) continue;
    const double depth = row.number("coordinate [-]");
    if (depth > from_ceiling_max) continue;
    const double u =
        field.sample(x_m, 1.5, height_m * (1.0 - depth)).u_m_per_s / slot_speed_m_per_s;
    ++result.points;
    if (std::fabs(u - row.number("u_mean/u0 [-]")) <= tolerance) ++result.near;
  }
  return result;
}

}  // namespace

TEST_CASE("flow: in the Annex 20 room four fifths of the measured speeds at x = H agree to 0.1 u0",
          "[flow][published]") {
  const Agreement agreement = along(annex20(), "x=H", 3.0, 1.0, 0.10);
  CAPTURE(agreement.points, agreement.near);
  REQUIRE(agreement.points > 20);
  CHECK(agreement.near * 5 >= agreement.points * 4);
}

TEST_CASE(
    "flow: in the Annex 20 room the ceiling jet at x = 2H agrees to 0.2 u0 and air returns below",
    "[flow][published]") {
  // The measured rig is three-dimensional at 2H (its net flow there is 0.6 of the slot's), so that
  // more is not asked of the jet; the measured return flow is up to four times ours
  // (regime_field.h).
  const RegimeField field = annex20();
  const Agreement agreement = along(field, "x=2H", 6.0, 0.3, 0.20);
  CAPTURE(agreement.points, agreement.near);
  REQUIRE(agreement.points > 5);
  CHECK(agreement.near * 5 >= agreement.points * 4);
  for (const double depth : {0.6, 0.8, 0.95})
    CHECK(field.sample(6.0, 1.5, height_m * (1.0 - depth)).u_m_per_s < 0.0);
}

TEST_CASE("flow: by momentum a slice of the Annex 20 room agrees at x = H and 2H and the floor",
          "[flow][published]") {
  Enclosure room = test::hall(9.0, 0.1, height_m);
  room.ports = {{"slot", Side::Front, 0.05, height_m - slot_m / 2.0, 0.1, slot_m},
                {"outlet", Side::Back, 0.05, outlet_m / 2.0, 0.1, outlet_m}};
  const double flow_m3_per_s = slot_speed_m_per_s * slot_m * 0.1;
  HouseTerms terms;
  terms.slick = {false, true};
  terms.mouth_intensity_fraction = 0.04;  // of the specification
  RegimeField field;
  field.grid = make_grid(room, 0.1);
  HouseFlow house = house_flow(room, field.grid, {{0, flow_m3_per_s}, {1, -flow_m3_per_s}}, terms);
  cold_start(house.problem, house.state);
  const SteadyReport report =
      settle(house.problem, {.iteration_cap = 2000, .rest_fraction = 1e-5}, house.state);
  REQUIRE(report.steady);
  const Lattice& g = house.problem.lattice;
  field.u_m_per_s = g.gather_faces(field.grid, house.state.speed_m_per_s[0], 0);
  field.v_m_per_s = g.gather_faces(field.grid, house.state.speed_m_per_s[1], 1);
  field.w_m_per_s = g.gather_faces(field.grid, house.state.speed_m_per_s[2], 2);
  field.sigma_m_per_s.assign(field.grid.cells(), 0.0);
  field.timescale_s = field.sigma_m_per_s;
  const Agreement at_h = along(field, "x=H", 3.0, 1.0, 0.10);
  const Agreement at_2h = along(field, "x=2H", 6.0, 1.0, 0.15);
  CAPTURE(at_h.points, at_h.near, at_2h.points, at_2h.near);
  REQUIRE(at_h.points > 20);
  CHECK(at_h.near * 5 >= at_h.points * 4);
  CHECK(at_2h.near * 5 >= at_2h.points * 4);
  double floor_fraction = 0.0;
  for (int i = 5; i < 85; ++i)
    floor_fraction =
        std::fmin(floor_fraction, field.sample(0.1 * i, 0.05, 0.05).u_m_per_s / slot_speed_m_per_s);
  CAPTURE(floor_fraction);
  CHECK(floor_fraction < -0.2);
  CHECK(floor_fraction > -0.45);
}

TEST_CASE("flow: the energy balance gives the fluctuation measured in the Annex 20 room",
          "[flow][published]") {
  // Mean of the measured rms below the jet (y/H above 0.3) at x = H and 2H.
  double sum = 0.0;
  int points = 0;
  for (const auto& row : test::table("annex20_2d_isothermal.csv")) {
    const std::string& line = row.text("profile");
    if ((line != "x=H" && line != "x=2H") || row.number("coordinate [-]") < 0.3) continue;
    sum += row.number("u_rms/u0 [-]");
    ++points;
  }
  REQUIRE(points > 10);
  const double u0 = slot_speed_m_per_s;
  const double sigma =
      room_turbulence_m_per_s({.power_m5_per_s3 = 0.5 * u0 * u0 * u0 * slot_m * 3.0,
                               .volume_m3 = 9.0 * 3.0 * height_m,
                               .height_m = height_m});
  // Rms values along the line differ by a quarter from one another.
  CHECK(std::fabs(sigma / u0 - sum / points) < 0.25 * sum / points);
}

TEST_CASE("flow: doubling the rms halves the Lagrangian time and doubling the length doubles it",
          "[flow][exact]") {
  const double once = lagrangian_timescale_s(0.2, 0.1);
  CHECK(std::fabs(lagrangian_timescale_s(0.2, 0.2) - once / 2.0) < 1e-12);
  CHECK(std::fabs(lagrangian_timescale_s(0.4, 0.1) - once * 2.0) < 1e-12);
  // Pope 2000, eq. 12.100 with C0 = 2.1: T_L = 0.482 k / eps, and k / eps = 4.971 l / sigma here.
  CHECK(std::fabs(once - 0.4819 * 4.971 * 2.0) < 0.005);
}
