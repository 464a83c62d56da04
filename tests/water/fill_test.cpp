#include "models/water/fill.h"

#include <cmath>

#include "models/units.h"
#include "models/water/pipe.h"
#include "models/water/supply.h"
#include "tests/support/catch.h"
#include "tests/water/networks.h"

using namespace mistwright;
using namespace mistwright::water;
using test::abs;
using test::rel;

namespace {

/// A tap, a valve at once behind it, and a line hung at a height with a head at each step.
struct Hung {
  Network network;
  HeadType type;
  std::vector<NetworkHead> heads;
};

Hung hung_line(const Supply& supply, double line_height_m, double head_height_m) {
  Hung out;
  out.network = test::line(supply, 10, 1.5, 0.021);
  for (std::size_t n = 1; n < out.network.nodes.size(); ++n) {
    out.network.nodes[n].elevation_m = line_height_m;
  }
  out.network.nodes[0].elevation_m = line_height_m;
  out.network.valves.push_back({.name = "v", .opening_delay_s = 0.4, .closing_delay_s = 1.5});
  out.network.pipes[0].valve = 0;
  out.type = test::plain_head();
  for (std::uint32_t n = 1; n <= 10; ++n) {
    out.heads.push_back({.node = n, .type = nullptr, .elevation_m = head_height_m});
  }
  return out;
}

void dress(Hung& hung) {
  for (NetworkHead& head : hung.heads) head.type = &hung.type;
}

double bore_m3(const Network& network) {
  double sum = 0.0;
  for (const Pipe& p : network.pipes) sum += 0.25 * pi * p.diameter_m * p.diameter_m * p.length_m;
  return sum;
}

}  // namespace

TEST_CASE("water: a hung line of 21 mm holds about 0.34 L a metre and refills in half a minute",
          "[water][worked]") {
  // Common practice: 15 m of 21 mm bore is about 5 L; at 10 L/min it takes about 30 s to refill.
  Hung hung = hung_line(test::hose_bib(3.0, 10.0), 2.0, 1.9);
  dress(hung);
  const ZoneFill fill = zone_fill(hung.network, hung.heads, 0);
  CHECK_THAT(fill.drained_m3, rel(15.0 * 0.34e-3, 0.03));
  CHECK_THAT(fill.full_after_s, rel(30.0, 0.05));
  // Exactly: the tap's own flow at no pressure, and the volume up to each node.
  CHECK_THAT(fill.fill_flow_m3_per_s, rel(10.0 * test::litre_per_min, 1e-9));
  for (std::uint32_t n = 1; n <= 10; ++n) {
    CHECK_THAT(fill.node_wet_after_s[n],
               rel(bore_m3(hung.network) * n / 10.0 / fill.fill_flow_m3_per_s, 1e-9));
  }
}

TEST_CASE("water: spray starts with the front and ends with the valve", "[water][exact]") {
  Hung hung = hung_line(test::hose_bib(3.0, 60.0), 2.0, 1.9);
  dress(hung);
  const Hydraulics state = solve(hung.network, hung.heads, {true}, 288.15);
  const ZoneFill fill = zone_fill(hung.network, hung.heads, 0);
  const auto windows = spray_windows(hung.network, hung.heads, 0, state, 4.0);
  for (std::size_t i = 0; i < 10; ++i) {
    CAPTURE(i);
    CHECK_THAT(windows[i].start_s, rel(0.4 + fill.node_wet_after_s[i + 1], 1e-12));
    CHECK_THAT(windows[i].stop_s, rel(5.5, 1e-12));
    CHECK_THAT(windows[i].spray_s(), abs(std::max(0.0, 5.1 - fill.node_wet_after_s[i + 1]), 1e-9));
  }
  CHECK(windows[0].spray_s() > 4.0);
  CHECK(windows[9].spray_s() < 0.1);  // 5.2 L at 1 L/s: the far head hardly sprays
  // Too short a burst refills only part of what then drains again.
  CHECK_THAT(wasted_m3(hung.network, hung.heads, 0, 1.0),
             rel(2.1 * fill.fill_flow_m3_per_s, 1e-12));
  CHECK_THAT(wasted_m3(hung.network, hung.heads, 0, 60.0), rel(bore_m3(hung.network), 1e-12));
}

TEST_CASE("water: check valves keep a hung line full", "[water][exact]") {
  Hung hung = hung_line(test::hose_bib(3.0, 20.0), 2.0, 1.9);
  hung.type = test::check_head(1.7, 0.9);
  dress(hung);
  const Hydraulics state = solve(hung.network, hung.heads, {true}, 288.15);
  const auto windows = spray_windows(hung.network, hung.heads, 0, state, 6.0);
  for (const SprayWindow& window : windows) {
    CHECK(window.start_s == 0.4);
    CHECK(window.stop_s == 7.5);
  }
  CHECK(wasted_m3(hung.network, hung.heads, 0, 6.0) == 0.0);
}

TEST_CASE("water: one head without a check valve empties the whole line through itself",
          "[water][exact]") {
  Hung hung = hung_line(test::hose_bib(3.0, 20.0), 2.0, 1.9);
  hung.type = test::check_head(1.7, 0.9);
  dress(hung);
  const HeadType plain = test::plain_head();
  hung.heads[4].type = &plain;
  CHECK_THAT(zone_fill(hung.network, hung.heads, 0).drained_m3, rel(bore_m3(hung.network), 1e-12));
}

TEST_CASE("water: upright heads above their line leave it full", "[water][exact]") {
  Hung hung = hung_line(test::hose_bib(3.0, 20.0), 0.9, 1.5);
  dress(hung);
  const ZoneFill fill = zone_fill(hung.network, hung.heads, 0);
  CHECK(fill.drained_m3 == 0.0);
  CHECK(fill.full_after_s == 0.0);
}

TEST_CASE("water: a sloping line drains what lies above its lowest head", "[water][exact]") {
  Hung hung = hung_line(test::hose_bib(3.0, 20.0), 0.0, 0.0);
  // Rising 0.1 m a step; the lowest head hangs at three tenths of the rise of the fifth pipe.
  for (std::size_t n = 0; n <= 10; ++n) {
    hung.network.nodes[n].elevation_m = 0.1 * static_cast<double>(n);
  }
  for (NetworkHead& head : hung.heads) head.elevation_m = 2.0;
  hung.heads[9].elevation_m = 0.43;
  dress(hung);
  CHECK_THAT(zone_fill(hung.network, hung.heads, 0).drained_m3,
             rel(bore_m3(hung.network) * 5.7 / 10.0, 1e-9));
}

TEST_CASE("water: two equal branches share the front's flow", "[water][exact]") {
  HeadType type = test::plain_head();
  Network network;
  network.supply = test::hose_bib(3.0, 12.0);
  for (const char* name : {"tap", "tee", "left", "right"}) {
    network.nodes.push_back({.name = name, .elevation_m = 2.0});
  }
  network.valves.push_back({.name = "v"});
  network.pipes = {test::tube(0, 1, 2.0, 0.02), test::tube(1, 2, 3.0, 0.02),
                   test::tube(3, 1, 5.0, 0.02)};
  network.pipes[0].valve = 0;
  std::vector<NetworkHead> heads = {{.node = 2, .type = &type, .elevation_m = 1.8},
                                    {.node = 3, .type = &type, .elevation_m = 1.8}};
  const ZoneFill fill = zone_fill(network, heads, 0);
  const double per_m_s = 0.25 * pi * 0.02 * 0.02 / (12.0 * test::litre_per_min);
  CHECK_THAT(fill.node_wet_after_s[1], rel(2.0 * per_m_s, 1e-9));
  CHECK_THAT(fill.node_wet_after_s[2], rel((2.0 + 6.0) * per_m_s, 1e-9));
  CHECK_THAT(fill.node_wet_after_s[3], rel((2.0 + 8.0) * per_m_s, 1e-9));
}

TEST_CASE("water: the line before the valve slows the filling and never drains", "[water][law]") {
  HeadType type = test::plain_head();
  Network network = test::line(test::hose_bib(3.0, 20.0), 3, 10.0, 0.012);
  for (Node& node : network.nodes) node.elevation_m = 2.0;
  network.valves.push_back({.name = "master"});
  network.valves.push_back({.name = "zone", .flow_coefficient_m3_per_s_per_sqrtPa = 1e-6});
  network.pipes[0].valve = 0;
  network.pipes[2].valve = 1;
  const std::vector<NetworkHead> heads = {{.node = 3, .type = &type, .elevation_m = 1.8}};
  const ZoneFill fill = zone_fill(network, heads, 1);
  CHECK(fill.node_in_zone == std::vector<bool>{false, false, false, true});
  CHECK_THAT(fill.drained_m3, rel(bore_m3(network) / 3.0, 1e-12));
  // Behind the master valve lies the line up to the zone's valve, and no head to drain it.
  const ZoneFill master = zone_fill(network, heads, 0);
  CHECK(master.node_in_zone == std::vector<bool>{false, true, true, false});
  CHECK(master.drained_m3 == 0.0);
  // At the fill flow nothing is left of the pressure behind tap and two pipes and valve.
  const double q = fill.fill_flow_m3_per_s;
  const Water water = liquid_water(network.supply.temperature_K);
  CHECK(q < 20.0 * test::litre_per_min);
  CHECK(std::abs(supply_pressure_Pa(network.supply, q) -
                 2.0 * pipe_drop_Pa(network.pipes[0], q, water) - q * q * 1e12) < 1e-3);
}

TEST_CASE("water: heads of another zone have no window", "[water][exact]") {
  Hung hung = hung_line(test::hose_bib(3.0, 20.0), 2.0, 1.9);
  dress(hung);
  hung.network.nodes.push_back({.name = "other", .elevation_m = 2.0});
  hung.network.pipes.push_back(test::tube(0, 11, 4.0, 0.016));
  hung.network.valves.push_back({.name = "w"});
  hung.network.pipes.back().valve = 1;
  hung.heads.push_back({.node = 11, .type = &hung.type, .elevation_m = 1.9});
  const Hydraulics state = solve(hung.network, hung.heads, {true, true}, 288.15);
  const auto windows = spray_windows(hung.network, hung.heads, 0, state, 60.0);
  CHECK(windows[10].spray_s() == 0.0);
  CHECK(windows[0].spray_s() > 0.0);
  CHECK(spray_windows(hung.network, hung.heads, 1, state, 60.0)[10].spray_s() > 0.0);
}
