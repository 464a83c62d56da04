#include "models/water/hydraulics.h"

#include <cmath>

#include "models/units.h"
#include "models/water/pipe.h"
#include "models/water/supply.h"
#include "tests/support/catch.h"
#include "tests/water/networks.h"

using namespace mistwright;
using namespace mistwright::water;
using test::abs;
using test::bar_Pa;
using test::rel;

namespace {

constexpr double temperature_K = 288.15;

void check_continuity(const Hydraulics& state) {
  CHECK(state.converged);
  CHECK(state.residual_m3_per_s <= 1e-9 * state.supply_flow_m3_per_s);
}

}  // namespace

TEST_CASE("water: heads on a hose bib settle where two squares meet", "[water][exact]") {
  // N heads of q = k sqrt(p) at the bib itself: p = p_static / (1 + loss N^2 k^2).
  const HeadType type = test::plain_head(180.0);
  Network network;
  network.supply = test::hose_bib(3.4, 18.0);
  network.nodes.push_back({.name = "tap", .elevation_m = 0.7});
  for (const int n : {1, 4, 12, 200}) {
    const std::vector<std::uint32_t> places(static_cast<std::size_t>(n), 0U);
    const Hydraulics state =
        solve(network, test::heads_on(network, places, type), {}, temperature_K);
    const double k = n * type.rated_flow_m3_per_s / std::sqrt(type.rated_pressure_Pa);
    const double exact_Pa = 3.4 * bar_Pa / (1.0 + supply_loss_Pa_s2_per_m6(network.supply) * k * k);
    CAPTURE(n);
    check_continuity(state);
    CHECK_THAT(state.supply_pressure_Pa, rel(exact_Pa, 1e-10));
    CHECK_THAT(state.supply_flow_m3_per_s, rel(k * std::sqrt(exact_Pa), 1e-10));
  }
}

TEST_CASE("water: one head at the end of a hose meets its own flow in every law", "[water][law]") {
  Network network = test::line(test::hose_bib(3.5, 18.0), 1, 25.0, 0.0125);
  network.nodes[1].elevation_m = 0.9;
  network.pipes[0].minor_loss_coefficient = 3.0;
  network.valves.push_back({.name = "v", .flow_coefficient_m3_per_s_per_sqrtPa = 1.1e-6});
  network.pipes[0].valve = 0;
  HeadType type = test::plain_head();
  type.flow_exponent = 0.55;
  const std::vector<NetworkHead> heads = {{.node = 1, .type = &type, .elevation_m = 1.5}};
  const Hydraulics state = solve(network, heads, {true}, temperature_K);
  check_continuity(state);
  const Water water = liquid_water(temperature_K);
  const double q = state.head_flow_m3_per_s[0];
  const double lift_Pa = water.density_kg_per_m3 * gravity_m_per_s2;
  CHECK_THAT(state.supply_pressure_Pa, rel(supply_pressure_Pa(network.supply, q), 1e-9));
  CHECK_THAT(state.node_pressure_Pa[1],
             rel(state.supply_pressure_Pa - 0.9 * lift_Pa -
                     pipe_drop_Pa(network.pipes[0], q, water) - q * q / (1.1e-6 * 1.1e-6),
                 1e-9));
  CHECK_THAT(state.head_pressure_Pa[0], rel(state.node_pressure_Pa[1] - 0.6 * lift_Pa, 1e-9));
  CHECK_THAT(q, rel(head_flow_m3_per_s(type, state.head_pressure_Pa[0]), 1e-12));
}

TEST_CASE(
    "water: Crane TP-410 example 7.2 finds a valve of Kv 500 to lose as much as K 3.6 in 154 mm",
    "[water][worked]") {
  // Kv: m3/h at 1 bar. Result read in a public copy, to two digits.
  HeadType wide = test::plain_head(2e5);
  Network network = test::line(test::hose_bib(3.0, 0.0), 1, 0.01, 0.154);
  network.pipes[0].valve = 0;
  network.valves.push_back(
      {.name = "globe", .flow_coefficient_m3_per_s_per_sqrtPa = 500.0 / 3600.0 / std::sqrt(1e5)});
  const auto heads = test::heads_on(network, {1}, wide);
  const Hydraulics by_valve = solve(network, heads, {true}, temperature_K);
  network.valves[0].flow_coefficient_m3_per_s_per_sqrtPa = 0.0;
  network.pipes[0].minor_loss_coefficient = 3.6;
  const Hydraulics by_K = solve(network, heads, {true}, temperature_K);
  const double lost_Pa = 3.0 * bar_Pa - by_valve.node_pressure_Pa[1];
  REQUIRE(lost_Pa > 100.0);
  CHECK_THAT(3.0 * bar_Pa - by_K.node_pressure_Pa[1], rel(lost_Pa, 0.05 / 3.6));
}

TEST_CASE("water: pressure falls along a level line and the last head has least", "[water][law]") {
  const HeadType type = test::plain_head();
  const Network network = test::line(test::hose_bib(3.5, 18.0), 8, 1.1, 0.013);
  const auto heads = test::heads_on(network, {1, 2, 3, 4, 5, 6, 7, 8}, type);
  const Hydraulics state = solve(network, heads, {}, temperature_K);
  check_continuity(state);
  for (std::size_t n = 1; n < network.nodes.size(); ++n) {
    CHECK(state.node_pressure_Pa[n] < state.node_pressure_Pa[n - 1]);
  }
  double sum = 0.0;
  for (const double q : state.head_flow_m3_per_s) sum += q;
  CHECK_THAT(state.supply_flow_m3_per_s, rel(sum, 1e-9));
}

TEST_CASE("water: a zone behind a shut valve has no pressure and passes nothing",
          "[water][exact]") {
  const HeadType type = test::plain_head();
  Network network = test::line(test::hose_bib(3.5, 18.0), 4, 2.0, 0.016);
  network.valves.push_back({.name = "far"});
  network.nodes[3].elevation_m = 1.5;
  network.pipes[2].valve = 0;
  const auto heads = test::heads_on(network, {2, 3, 4}, type);
  const Hydraulics shut = solve(network, heads, {false}, temperature_K);
  check_continuity(shut);
  CHECK(shut.node_reached == std::vector<bool>{true, true, true, false, false});
  CHECK(shut.node_pressure_Pa[3] == 0.0);
  CHECK(shut.head_pressure_Pa[2] == 0.0);
  CHECK(shut.head_flow_m3_per_s[1] == 0.0);
  CHECK(shut.pipe_flow_m3_per_s[2] == 0.0);
  CHECK(shut.head_flow_m3_per_s[0] > 0.0);
  const Hydraulics open = solve(network, heads, {true}, temperature_K);
  CHECK(open.head_flow_m3_per_s[2] > 0.0);
  CHECK(open.head_pressure_Pa[0] < shut.head_pressure_Pa[0]);
}

TEST_CASE("water: a shut valve in a ring passes nothing though both its ends are wet",
          "[water][exact]") {
  const HeadType type = test::plain_head();
  Network network = test::line(test::hose_bib(3.5, 18.0), 3, 5.0, 0.012);
  const auto heads = test::heads_on(network, {3}, type);
  const Hydraulics plain = solve(network, heads, {}, temperature_K);
  network.pipes.push_back(test::tube(0, 3, 5.0, 0.012));
  network.pipes.back().valve = 0;
  network.valves.push_back({.name = "ring"});
  const Hydraulics shut = solve(network, heads, {false}, temperature_K);
  const Hydraulics open = solve(network, heads, {true}, temperature_K);
  check_continuity(shut);
  CHECK(shut.pipe_flow_m3_per_s[3] == 0.0);
  CHECK_THAT(shut.head_flow_m3_per_s[0], rel(plain.head_flow_m3_per_s[0], 1e-10));
  CHECK(open.pipe_flow_m3_per_s[3] > open.pipe_flow_m3_per_s[0]);
  CHECK(open.head_flow_m3_per_s[0] > shut.head_flow_m3_per_s[0]);
}

TEST_CASE("water: without heads the water stands and heights alone make the pressure",
          "[water][exact]") {
  Network network = test::line(test::hose_bib(2.0, 18.0), 2, 5.0, 0.016);
  network.nodes[2].elevation_m = 3.0;
  const Hydraulics state = solve(network, {}, {}, temperature_K);
  CHECK(state.converged);
  CHECK(state.supply_flow_m3_per_s == 0.0);
  CHECK(state.node_pressure_Pa[1] == 2.0 * bar_Pa);
  const double column_Pa = liquid_density_kg_per_m3(temperature_K) * gravity_m_per_s2 * 3.0;
  CHECK_THAT(state.node_pressure_Pa[2], rel(2.0 * bar_Pa - column_Pa, 1e-12));
}

TEST_CASE("water: a head above the water's reach passes nothing and draws no air",
          "[water][exact]") {
  const HeadType type = test::plain_head();
  Network network = test::line(test::hose_bib(0.3, 18.0), 2, 2.0, 0.016);
  const std::vector<NetworkHead> heads = {{.node = 1, .type = &type, .elevation_m = 0.5},
                                          {.node = 2, .type = &type, .elevation_m = 3.5}};
  const Hydraulics state = solve(network, heads, {}, temperature_K);
  check_continuity(state);
  CHECK(state.head_flow_m3_per_s[0] > 0.0);
  CHECK(state.head_flow_m3_per_s[1] == 0.0);
  CHECK(state.head_pressure_Pa[1] < 0.0);
  // The dry head changes nothing for the other.
  const Hydraulics alone = solve(network, {heads[0]}, {}, temperature_K);
  CHECK_THAT(state.head_flow_m3_per_s[0], rel(alone.head_flow_m3_per_s[0], 1e-10));
}

TEST_CASE("water: a check valve passes nothing below its opening pressure", "[water][exact]") {
  const HeadType type = test::check_head(1.8, 0.9);
  Network network = test::line(test::hose_bib(1.7, 18.0), 1, 5.0, 0.016);
  const auto heads = test::heads_on(network, {1}, type);
  CHECK(solve(network, heads, {}, temperature_K).head_flow_m3_per_s[0] == 0.0);
  network.supply = test::hose_bib(1.81, 4.0);
  const Hydraulics open = solve(network, heads, {}, temperature_K);
  // Once open it stays open down to its closing pressure.
  CHECK(open.head_flow_m3_per_s[0] > 0.0);
  CHECK(open.head_pressure_Pa[0] < 1.8 * bar_Pa);
  CHECK(open.head_pressure_Pa[0] > 0.9 * bar_Pa);
}

TEST_CASE("water: check valves starved below their closing pressure shut and spare the rest",
          "[water][law]") {
  // Twelve heads on a tap for a few: all open at 3 bar at rest, then the far ones starve.
  const HeadType type = test::check_head(1.8, 1.2);
  const Network network = test::line(test::hose_bib(3.0, 7.0), 12, 3.0, 0.010);
  std::vector<std::uint32_t> places;
  for (std::uint32_t n = 1; n <= 12; ++n) places.push_back(n);
  const auto heads = test::heads_on(network, places, type);
  const Hydraulics state = solve(network, heads, {}, temperature_K);
  check_continuity(state);
  int spraying = 0;
  for (std::size_t i = 0; i < heads.size(); ++i) {
    if (state.head_flow_m3_per_s[i] > 0.0) {
      ++spraying;
      CHECK(state.head_pressure_Pa[i] >= 1.2 * bar_Pa);
      CHECK(i == static_cast<std::size_t>(spraying - 1));  // the near ones go on
    } else {
      CHECK(state.head_chatters[i] == (state.head_pressure_Pa[i] >= 1.8 * bar_Pa));
    }
  }
  CHECK(spraying > 0);
  CHECK(spraying < 12);
}

TEST_CASE("water: a pump of straight pieces is met on its curve", "[water][exact]") {
  const HeadType type = test::plain_head();
  for (const double far_pressure_bar : {3.5, 2.0, 0.5}) {
    Network network = test::line({}, 10, 1.0, 0.016);
    network.supply.curve = {{0.0, 4e5}, {5e-5, 3.6e5}, {1.2e-4, 2.2e5}, {2e-4, far_pressure_bar}};
    std::vector<std::uint32_t> places;
    for (std::uint32_t n = 1; n <= 10; ++n) places.push_back(n);
    const Hydraulics state =
        solve(network, test::heads_on(network, places, type), {}, temperature_K);
    check_continuity(state);
    CHECK_THAT(state.supply_pressure_Pa,
               rel(supply_pressure_Pa(network.supply, state.supply_flow_m3_per_s), 1e-9));
  }
}

TEST_CASE("water: fittings without length and parallel pipes are solved too", "[water][law]") {
  const HeadType type = test::plain_head();
  Network network = test::line(test::hose_bib(3.0, 18.0), 3, 2.0, 0.016);
  network.pipes[1].length_m = 0.0;
  network.pipes.push_back(network.pipes[2]);
  const Hydraulics state = solve(network, test::heads_on(network, {3}, type), {}, temperature_K);
  check_continuity(state);
  CHECK_THAT(state.node_pressure_Pa[1], rel(state.node_pressure_Pa[2], 1e-9));
  CHECK_THAT(state.pipe_flow_m3_per_s[2], rel(state.pipe_flow_m3_per_s[3], 1e-9));
}

TEST_CASE("water: a thousand heads on one line are solved to 1e-9", "[water][law]") {
  const HeadType type = test::plain_head(20.0);
  Network network = test::line(test::hose_bib(6.0, 600.0), 1000, 0.5, 0.09);
  std::vector<std::uint32_t> places;
  for (std::uint32_t n = 1; n <= 1000; ++n) places.push_back(n);
  const Hydraulics state = solve(network, test::heads_on(network, places, type), {}, temperature_K);
  check_continuity(state);
  CHECK(state.iterations <= 30);
}
