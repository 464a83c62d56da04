#include "models/flow/openings.h"

#include <cmath>

#include "models/random.h"
#include "models/units.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::flow;
using test::rel;

namespace {

/// Printed values take 9.81 m/s2 where this program takes the standard 9.80665.
const double gravity_root_ratio = std::sqrt(gravity_m_per_s2 / 9.81);

/// Two equal openings in a row act as one of their area over root two.
double each_of_two(double path_area_m2) {
  return path_area_m2 * std::sqrt(2.0);
}

double density_kg_per_m3(double temperature_K) {
  return standard_pressure_Pa / (gas_constant_dry_air_J_per_kg_K * temperature_K);
}

Envelope some_house() {
  Envelope house;
  house.openings = {{0.36, 0.6, 0.5, 0.6}, {0.36, 0.6, 1.5, -0.3}};
  house.fans = {{{{0.0, 60.0}, {0.3, 35.0}, {0.5, 0.0}}, 1.6, -0.36}};
  house.leaks = {{0.5, 0.4, 0.4}, {0.5, 2.0, -0.4}};
  house.leakage_m3_per_s = 0.015;
  house.volume_m3 = 55.0;
  return house;
}

}  // namespace

TEST_CASE("flow: stack through two openings is Cd A sqrt(2 g H dT / T) = 0.4827 m3/s",
          "[flow][exact]") {
  // A path of 1 m2, Cd 0.6, 2 m apart, 5 K, inside 303.15 K: ASHRAE's stack form (from memory).
  Envelope house;
  house.openings = {{each_of_two(1.0), 0.6, 0.5, 0.0}, {each_of_two(1.0), 0.6, 2.5, 0.0}};
  const EnvelopeFlows flows = envelope_flows(house, {303.15, 298.15, 0.0, standard_pressure_Pa});
  CHECK_THAT(flows.opening_in_m3_per_s[0], rel(0.4827 * gravity_root_ratio, 0.5e-4 / 0.4827));
  CHECK_THAT(flows.opening_in_m3_per_s[1], rel(-flows.opening_in_m3_per_s[0], 1e-12));
  const double closed_form = 0.6 * std::sqrt(2.0 * gravity_m_per_s2 * 2.0 * 5.0 / 303.15);
  CHECK_THAT(flows.opening_in_m3_per_s[0], rel(closed_form, 1e-9));
}

TEST_CASE("flow: wind through two openings is Cd A u sqrt(dCp) = 0.9295 m3/s", "[flow][exact]") {
  Envelope house;
  house.openings = {{each_of_two(1.0), 0.6, 1.0, 0.4}, {each_of_two(1.0), 0.6, 1.0, -0.2}};
  const EnvelopeFlows flows = envelope_flows(house, {298.15, 298.15, 2.0, standard_pressure_Pa});
  CHECK_THAT(flows.opening_in_m3_per_s[0], rel(0.9295, 0.5e-4 / 0.9295));
  CHECK_THAT(flows.opening_in_m3_per_s[1], rel(-flows.opening_in_m3_per_s[0], 1e-12));
}

TEST_CASE("flow: one vent split in halves gives Boulard and Baille's 0.924 m3/s by warmth alone",
          "[flow][published]") {
  // Boulard and Baille 1995, Q = (A/2) Cd sqrt(2 g (dT/T) H / 4): 10 m2, Cd 0.644, 1 m tall, 5 K,
  // 298.15 K (form from memory).
  const auto parts = halves({10.0, 0.644, 2.0, 0.0}, 1.0);
  Envelope house;
  house.openings = {parts[0], parts[1]};
  const EnvelopeFlows flows = envelope_flows(house, {298.15, 293.15, 0.0, standard_pressure_Pa});
  CHECK_THAT(flows.inflow_m3_per_s, rel(0.924 * gravity_root_ratio, 0.5e-3 / 0.924));
  CHECK(flows.opening_in_m3_per_s[0] > 0.0);
}

TEST_CASE("flow: halves of a door exchange 6 % more than the integral over its height",
          "[flow][exact]") {
  // Brown and Solvason 1962: Q = Cd A / 3 sqrt(g H dT / T); two halves give sqrt(1/8) for 1/3.
  const auto parts = halves({1.6, 0.6, 1.0, 0.0}, 2.0);
  Envelope house;
  house.openings = {parts[0], parts[1]};
  const EnvelopeFlows flows = envelope_flows(house, {303.15, 293.15, 0.0, standard_pressure_Pa});
  const double integral = 0.6 * 1.6 / 3.0 * std::sqrt(gravity_m_per_s2 * 2.0 * 10.0 / 303.15);
  CHECK_THAT(flows.inflow_m3_per_s / integral, rel(3.0 / std::sqrt(8.0), 1e-9));
}

TEST_CASE("flow: a fan with a straight curve and one opening meet at the root of a quadratic",
          "[flow][exact]") {
  const double shut_Pa = 60.0, free_m3_per_s = 0.5;
  Envelope house;
  house.openings = {{0.1, 0.6, 1.0, 0.0}};
  house.fans = {{{{0.0, shut_Pa}, {free_m3_per_s, 0.0}}, 1.0, 0.0}};
  const EnvelopeFlows flows = envelope_flows(house, {293.15, 293.15, 0.0, standard_pressure_Pa});
  // dp = rho / 2 (Q / Cd A)^2 = shut (1 - Q / free)
  const double a = density_kg_per_m3(293.15) / 2.0 / (0.06 * 0.06), b = shut_Pa / free_m3_per_s;
  const double root = (-b + std::sqrt(b * b + 4.0 * a * shut_Pa)) / (2.0 * a);
  CHECK_THAT(flows.fan_out_m3_per_s[0], rel(root, 1e-10));
  CHECK_THAT(flows.opening_in_m3_per_s[0], rel(root, 1e-10));
  CHECK(flows.inside_pressure_Pa < 0.0);
}

TEST_CASE("flow: a supply fan blows in what leaves through the opening", "[flow][law]") {
  Envelope house;
  house.openings = {{0.1, 0.6, 1.0, 0.0}};
  house.fans = {{{{0.0, 60.0}, {0.5, 0.0}}, 1.0, 0.0, false}};
  const EnvelopeFlows flows = envelope_flows(house, {293.15, 293.15, 0.0, standard_pressure_Pa});
  CHECK(flows.fan_out_m3_per_s[0] < -0.1);
  // The same fan turned round works against the same pressure.
  house.fans[0].exhaust = true;
  const EnvelopeFlows turned = envelope_flows(house, {293.15, 293.15, 0.0, standard_pressure_Pa});
  CHECK_THAT(flows.fan_out_m3_per_s[0], rel(-turned.fan_out_m3_per_s[0], 1e-9));
  CHECK_THAT(flows.opening_in_m3_per_s[0], rel(flows.fan_out_m3_per_s[0], 1e-10));
  CHECK(flows.inside_pressure_Pa > 0.0);
}

TEST_CASE("flow: a fan moves the flow of its curve between and beyond its points",
          "[flow][exact]") {
  const EnvelopeFan fan{{{0.0, 60.0}, {0.3, 35.0}, {0.5, 0.0}}, 1.0, 0.0};
  CHECK(fan_flow_m3_per_s(fan, 35.0) == 0.3);
  CHECK_THAT(fan_flow_m3_per_s(fan, 17.5), rel(0.4, 1e-12));
  CHECK_THAT(fan_flow_m3_per_s(fan, 47.5), rel(0.15, 1e-12));
  CHECK(fan_flow_m3_per_s(fan, -5.0) == 0.5);
  CHECK(fan_flow_m3_per_s(fan, 80.0) == 0.0);
  const EnvelopeFan cut_short{{{0.2, 50.0}, {0.5, 0.0}}, 1.0, 0.0};
  CHECK_THAT(fan_flow_m3_per_s(cut_short, 50.0), rel(0.2, 1e-12));
  CHECK_THAT(fan_flow_m3_per_s(cut_short, 52.5), rel(0.1, 1e-12));
}

TEST_CASE("flow: a fan at rest passes nothing", "[flow][law]") {
  Envelope house = some_house();
  house.fans[0].running = false;
  const EnvelopeFlows flows = envelope_flows(house, {300.0, 295.0, 3.0, standard_pressure_Pa});
  CHECK(flows.fan_out_m3_per_s[0] == 0.0);
}

TEST_CASE("flow: the house gains what it loses for random openings wind and warmth",
          "[flow][law]") {
  Random random(11, stream_of("openings test"));
  for (int n = 0; n < 300; ++n) {
    Envelope house = some_house();
    for (auto& opening : house.openings) {
      opening.area_m2 = n % 7 == 0 ? 0.0 : 2.0 * random.uniform();
      opening.pressure_coefficient = random.uniform() - 0.5;
    }
    house.fans[0].running = n % 2 == 0;
    const EnvelopeState state{283.15 + 30.0 * random.uniform(), 273.15 + 35.0 * random.uniform(),
                              8.0 * random.uniform(), 95000.0};
    const EnvelopeFlows flows = envelope_flows(house, state);
    double net = flows.leakage_in_m3_per_s - flows.leakage_out_m3_per_s;
    for (const double in : flows.opening_in_m3_per_s) net += in;
    for (const double out : flows.fan_out_m3_per_s) net -= out;
    CAPTURE(n);
    CHECK(std::fabs(net) <= 1e-9 * flows.inflow_m3_per_s);
    CHECK_THAT(flows.air_changes_per_h, rel(flows.inflow_m3_per_s * 3600.0 / 55.0, 1e-12));
  }
}

TEST_CASE("flow: flows change without a jump with wind and with warmth", "[flow][law]") {
  const Envelope house = some_house();
  // The orifice law grows as a root near rest: halving the step must keep halving, at least by its
  // root, the largest change between neighbours.
  const auto largest_step = [&](int steps, bool wind) {
    double most = 0.0, last = 0.0;
    for (int n = 0; n <= steps; ++n) {
      const double share = static_cast<double>(n) / steps;
      const EnvelopeState state{295.0 + (wind ? 4.0 : 20.0 * share - 10.0), 295.0,
                                wind ? 8.0 * share : 1.0, standard_pressure_Pa};
      const double in = envelope_flows(house, state).opening_in_m3_per_s[0];
      if (n > 0) most = std::fmax(most, std::fabs(in - last));
      last = in;
    }
    return most;
  };
  for (const bool wind : {true, false}) {
    const double coarse = largest_step(500, wind), fine = largest_step(2000, wind);
    CAPTURE(wind, coarse, fine);
    CHECK(coarse < 0.05);
    CHECK(fine < 0.55 * coarse);
  }
}

TEST_CASE("flow: still air at one temperature in a house without fans stays", "[flow][exact]") {
  Envelope house = some_house();
  house.fans.clear();
  const EnvelopeFlows flows = envelope_flows(house, {295.0, 295.0, 0.0, standard_pressure_Pa});
  CHECK(flows.inflow_m3_per_s < 1e-9);
}
