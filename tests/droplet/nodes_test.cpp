#include "models/droplet/nodes.h"

#include <cmath>

#include "tests/droplet/fields.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::droplet;
using test::abs;
using test::rel;

namespace {

Outcome outcome(double bench, double evaporated) {
  Outcome o;
  o.bench = {bench};
  o.floor_fraction = 1.0 - bench - evaporated;
  o.evaporated_fraction = evaporated;
  o.evaporated_by_air_cell = {evaporated};
  return o;
}

}  // namespace

TEST_CASE("droplet: between nodes of evaporation outcomes are met at the nodes and never jump",
          "[droplet][exact]") {
  const EvaporationNodes nodes;
  const std::vector<Outcome> by_node = {outcome(0.9, 0.0), outcome(0.6, 0.3), outcome(0.5, 0.45),
                                        outcome(0.2, 0.7), outcome(0.0, 1.0)};
  for (const double d : {6e-6, 30e-6, 150e-6, 800e-6}) {
    CAPTURE(d);
    for (std::size_t i = 0; i < by_node.size(); ++i)
      CHECK_THAT(interpolate(nodes, by_node, d, nodes.K_m2_per_s[i]).bench[0],
                 abs(by_node[i].bench[0], 1e-12));
    CHECK(interpolate(nodes, by_node, d, 9e-9).bench[0] == by_node.back().bench[0]);
    // Steps of K of 0.2 % of itself: no more moves than a drop can lose by them, and evaporation
    // only grows.
    double before = interpolate(nodes, by_node, d, 1e-15).evaporated_fraction;
    for (double K = 1e-15; K < 3e-9; K *= 1.002) {
      const Outcome o = interpolate(nodes, by_node, d, K);
      CHECK(o.evaporated_fraction >= before - 1e-12);
      CHECK(o.evaporated_fraction - before < 0.004);
      CHECK_THAT(o.total_fraction(), abs(1.0, 1e-12));
      before = o.evaporated_fraction;
    }
  }
}

TEST_CASE("droplet: between diameters outcomes run straight in the logarithm", "[droplet][exact]") {
  const EvaporationNodes nodes;
  const std::vector<double> d = {10e-6, 40e-6, 160e-6};
  const auto same = [&](const Outcome& o) {
    return std::vector<Outcome>(nodes.K_m2_per_s.size(), o);
  };
  const std::vector<std::vector<Outcome>> by_diameter = {
      same(outcome(0.0, 1.0)), same(outcome(0.4, 0.2)), same(outcome(1.0, 0.0))};
  CHECK_THAT(interpolate(nodes, d, by_diameter, 20e-6, 50e-12).bench[0], rel(0.2, 1e-12));
  CHECK_THAT(interpolate(nodes, d, by_diameter, 80e-6, 50e-12).bench[0], rel(0.7, 1e-12));
  CHECK_THAT(interpolate(nodes, d, by_diameter, 1e-6, 0.0).bench[0], abs(0.0, 1e-15));
  CHECK_THAT(interpolate(nodes, d, by_diameter, 1e-3, 0.0).bench[0], abs(1.0, 1e-15));
}

TEST_CASE("droplet: footprints between the nodes of K lie near those computed there",
          "[droplet][law]") {
  // The price of five nodes: up to a tenth of the water where a class is on the brink of drying in
  // flight.
  flow::Enclosure house = test::box_house(4.0, 4.0, 3.0);
  const auto setting = test::plain_setting(house, {.sigma_m_per_s = 0.05, .timescale_s = 2.0},
                                           {{0.5, 0.5, 3.5, 3.5, 0.75}}, 0.5);
  const EvaporationNodes nodes;
  for (const double d : {30e-6, 60e-6, 100e-6, 160e-6, 300e-6}) {
    std::vector<Outcome> by_node;
    for (const double K : nodes.K_m2_per_s)
      by_node.push_back(footprint(setting.with(300), test::let_go(2.0, 2.0, 1.35), d, K, 1));
    for (const double K : {30e-12, 140e-12, 280e-12, 800e-12}) {
      const Outcome direct = footprint(setting.with(300), test::let_go(2.0, 2.0, 1.35), d, K, 1);
      const Outcome between = interpolate(nodes, by_node, d, K);
      CAPTURE(d, K);
      CHECK_THAT(between.bench_fraction(), abs(direct.bench_fraction(), 0.1));
      CHECK_THAT(between.evaporated_fraction, abs(direct.evaporated_fraction, 0.1));
    }
  }
}
