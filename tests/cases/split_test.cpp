// Zones and their lines, against what can be reckoned by hand and by other ways round.
#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>

#include "models/units.h"
#include "models/water/zone_search.h"
#include "sim/scenario/read.h"
#include "sim/study/zone_words.h"
#include "tests/cases/small_house.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::study;
using test::abs;
using test::rel;

namespace {

House house_of(const std::string& name, const std::vector<std::string>& settings = {}) {
  auto read = scenario::read_file(MISTWRIGHT_SOURCE_DIR "/scenarios/" + name + ".toml", settings);
  if (!read.house) throw std::runtime_error("the house does not read");
  return *std::move(read.house);
}

const LinePipes wide{{"63 mm", 0.0514, 0.063}, {"40 mm", 0.0326, 0.040}};

}  // namespace

TEST_CASE("study: lines go square to the walls from the valve to each row's nearer end",
          "[study][worked]") {
  // Demonstration: the valve stands at the hose end, whose place is not written; its heads 2.5, 3.6
  // and 4.7 m along, 0.9 and 2.7 m across. The rows' laterals are 2.2 m each.
  const House house = house_of("demo");
  const Trunk trunk = trunk_of(house);
  CHECK(trunk.network.pipes.size() == 1);
  CHECK(trunk.network.nodes[trunk.manifold].name == "hose end");
  CHECK_THAT(trunk.valve_bore_m, abs(0.020, 1e-12));
  const auto heads = rising_heads(house, trunk);
  REQUIRE(heads.size() == 6);
  const ZoneLines lines = lay_zone(house, trunk, heads, wide);
  CHECK_THAT(lines.lateral_m, abs(4.4, 1e-9));
  const water::Node& valve = trunk.network.nodes[trunk.manifold];
  // To the nearer row, then from there straight across to the other.
  const double first = std::abs(valve.x_m - 2.5) +
                       std::min(std::abs(valve.y_m - 0.9), std::abs(valve.y_m - 2.7)) +
                       std::abs(valve.elevation_m - 0.8);
  CHECK_THAT(lines.feed_m, abs(first + 1.8, 1e-9));
  CHECK(lines.heads.size() == 6);
  for (const water::NetworkHead& head : lines.heads)
    CHECK_THAT(lines.network.nodes[head.node].elevation_m, abs(1.4, 1e-9));
  // One valve, as wide as the feed.
  REQUIRE(lines.network.valves.size() == 1);
  CHECK_THAT(lines.network.valves[0].flow_coefficient_m3_per_s_per_sqrtPa,
             rel(house.network.valves[0].flow_coefficient_m3_per_s_per_sqrtPa *
                     std::pow(0.0514 / 0.020, 2),
                 1e-9));
}

TEST_CASE("study: what the valves' place has at a flow is what one head there that takes it meets",
          "[study][law]") {
  for (const char* name : {"demo", "well_nursery", "large_house"}) {
    const House house = house_of(name);
    const Trunk trunk = trunk_of(house);
    water::HeadType tap;
    tap.rated_flow_m3_per_s = 3e-4;
    tap.rated_pressure_Pa = 2e5;
    const double z_m = trunk.network.nodes[trunk.manifold].elevation_m;
    const auto state = water::solve(trunk.network, {{trunk.manifold, &tap, z_m}}, {},
                                    house.network.supply.temperature_K);
    CAPTURE(name, state.supply_flow_m3_per_s);
    CHECK_THAT(manifold_pressure_Pa(trunk, state.supply_flow_m3_per_s),
               rel(state.head_pressure_Pa[0], 1e-8));
  }
}

TEST_CASE("study: every planned zone serves its heads when it is laid and solved again",
          "[study][law]") {
  for (const char* name : {"demo", "well_nursery", "large_house"}) {
    const House house = house_of(name);
    const Split found = split(house);
    const Trunk trunk = trunk_of(house);
    const auto all = rising_heads(house, trunk);
    std::multiset<std::uint32_t> seen;
    for (const PlannedZone& zone : found.zones) {
      seen.insert(zone.heads.begin(), zone.heads.end());
      std::vector<RisingHead> some;
      for (const RisingHead& head : all)
        if (std::find(zone.heads.begin(), zone.heads.end(), head.head) != zone.heads.end())
          some.push_back(head);
      const ZoneLines lines = lay_zone(house, trunk, some, zone.pipes);
      const auto state =
          water::solve(lines.network, lines.heads, {true}, house.network.supply.temperature_K);
      double least = 1e30, most = 0.0, sum = 0.0;
      for (std::size_t h = 0; h < lines.heads.size(); ++h) {
        const water::HeadType& type = *lines.heads[h].type;
        // Flow by the head's own law at its pressure, not the solver's.
        const double flow = type.rated_flow_m3_per_s *
                            std::sqrt(state.head_pressure_Pa[h] / type.rated_pressure_Pa);
        CHECK(state.head_pressure_Pa[h] >= type.working_pressure_low_Pa);
        least = std::min(least, flow);
        most = std::max(most, flow);
        sum += flow;
      }
      CAPTURE(name, sum);
      CHECK_THAT(zone.flow_m3_per_s, rel(sum, 1e-6));
      CHECK_THAT(zone.flow_spread_fraction, abs((most - least) / most, 1e-6));
      CHECK(zone.flow_spread_fraction <= 0.1);
    }
    CHECK(seen.size() == house.heads.size());
    CHECK(std::set<std::uint32_t>(seen.begin(), seen.end()).size() == house.heads.size());
    CHECK(found.zones.size() >= found.least_zones);
  }
}

TEST_CASE("study: the next zone opens when the last has shut and a round is their sum",
          "[study][exact]") {
  const House house = house_of("large_house");
  const Split found = split(house);
  double at_s = 0.0;
  for (const PlannedZone& zone : found.zones) {
    CHECK_THAT(zone.opens_at_s, abs(at_s, 1e-9));
    // Full lines: 0.5 s to open and 1.5 s to shut make 9 s told 10 s of spray.
    CHECK_THAT(zone.told_s, abs(9.0, 1e-9));
    at_s += zone.told_s + 2.0;
  }
  CHECK_THAT(found.round_s, abs(at_s, 1e-9));
  CHECK_THAT(found.shortest_interval_s, abs(300.0, 1e-9));
}

TEST_CASE("study: a thousand heads are split within a zone of what flow alone allows",
          "[study][law]") {
  House house = house_of("large_house");
  // Forty rows of 25 along a longer house's worth of line, on as many times the supply.
  const std::vector<PlacedHead> few = house.heads;
  const Trunk trunk = trunk_of(house);
  const auto rising = rising_heads(house, trunk);
  house.heads.clear();
  for (int row = 0; row < 40; ++row)
    for (int i = 0; i < 25; ++i) {
      PlacedHead head = few[static_cast<std::size_t>(i % 24)];
      head.name = "r" + std::to_string(row) + " " + std::to_string(i + 1);
      head.x_m = 8.0 + 1.1 * i;
      head.y_m = 0.5 + 0.48 * row;
      house.heads.push_back(head);
    }
  for (auto& [flow, pressure] : house.network.supply.curve) flow *= 2.0;
  for (water::Pipe& pipe : house.network.pipes) pipe.diameter_m = std::max(pipe.diameter_m, 0.06);
  const Split found = split(house);
  CAPTURE(found.zones.size(), found.least_zones);
  REQUIRE(found.heads == 1000);
  REQUIRE(found.alone_too_much.empty());
  CHECK_FALSE(found.every_way);
  CHECK(found.zones.size() >= found.least_zones);
  CHECK(found.zones.size() <= found.least_zones + 1);
}

TEST_CASE("study: heads that follow one another are told together", "[study][exact]") {
  const House house = house_of("demo");
  CHECK(heads_words(house, {0, 1, 2, 3, 5}) == "east 1 to 3, west 1, west 3");
  CHECK(heads_words(house, {4}) == "west 2");
  CHECK(heads_words(house, {}).empty());
}
