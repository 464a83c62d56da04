#include "sim/study/rearranged.h"

#include <cmath>

#include "sim/house/water_part.h"
#include "tests/cases/small_house.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::study;
using test::abs;

namespace {

/// Pressures at the heads while the only zone is open.
std::vector<double> pressures_Pa(const House& house) {
  return Waterworks(house).alone(0, 6.0).hydraulics.head_pressure_Pa;
}

const water::Pipe& riser(const House& house, std::size_t head) {
  for (const water::Pipe& pipe : house.network.pipes)
    if (pipe.to == house.heads[head].node) return pipe;
  throw std::runtime_error("a head without a pipe");
}

}  // namespace

TEST_CASE("study: a head that moves hangs on a riser longer by its way", "[study][exact]") {
  const House house = test::small_house();
  const PlacedHead& before = house.heads[0];
  const House moved = with_head_at(house, 0, {before.x_m + 0.3, before.y_m + 0.4, before.z_m});
  CHECK_THAT(riser(moved, 0).length_m - riser(house, 0).length_m, abs(0.5, 1e-12));
  CHECK(moved.network.pipes.size() == house.network.pipes.size());
  for (std::size_t h = 1; h < house.heads.size(); ++h)
    CHECK(riser(moved, h).length_m == riser(house, h).length_m);
  CHECK(same_building(house, moved));
}

TEST_CASE("study: heads raised lose the pressure of the water that stands below them",
          "[study][exact]") {
  const House house = test::small_house();
  const House raised = with_heads_raised(house, {0, 1, 2, 3, 4, 5}, 0.15);
  for (std::size_t h = 0; h < house.heads.size(); ++h) {
    CHECK_THAT(raised.heads[h].z_m - house.heads[h].z_m, abs(0.15, 1e-12));
    CHECK_THAT(riser(raised, h).length_m - riser(house, h).length_m, abs(0.15, 1e-12));
  }
  // Hydrostatics: rho g 0.15 m is 1470 Pa; less flow then leaves pipes and supply to give back at
  // most that.
  const auto before = pressures_Pa(house), after = pressures_Pa(raised);
  for (std::size_t h = 0; h < before.size(); ++h) {
    CHECK(after[h] < before[h]);
    CHECK(before[h] - after[h] < 1000.0 * 9.81 * 0.15 + 200.0);
  }
}

TEST_CASE("study: one more head is fed by a tube and takes pressure from all others",
          "[study][law]") {
  const House house = test::small_house();
  const PlacedHead& like = house.heads[0];
  const House more = with_one_more_head(house, 0, {like.x_m - 0.6, like.y_m, like.z_m});
  REQUIRE(more.heads.size() == house.heads.size() + 1);
  const PlacedHead& added = more.heads.back();
  CHECK(added.name == "one more");
  CHECK(added.valve == like.valve);
  CHECK(added.type == like.type);
  // 0.6 m along and the riser's own height from its foot.
  CHECK_THAT(riser(more, more.heads.size() - 1).length_m,
             abs(0.6 + riser(house, 0).length_m, 1e-9));
  CHECK(riser(more, more.heads.size() - 1).diameter_m == riser(house, 0).diameter_m);
  const auto before = pressures_Pa(house), after = pressures_Pa(more);
  for (std::size_t h = 0; h < before.size(); ++h) CHECK(after[h] < before[h]);
  CHECK(after.back() > 0.0);
  // A name that is taken gets a number.
  const House two = with_one_more_head(more, 0, {like.x_m - 0.6, like.y_m, like.z_m});
  CHECK(two.heads.back().name == "one more 2");
}

TEST_CASE("study: a head that stands on the line itself moves on a tube of its own",
          "[study][law]") {
  House house = test::small_house();
  // The last head of a row hung on the line: its riser's foot takes its place.
  PlacedHead& head = house.heads[0];
  const water::Pipe tube = riser(house, 0);
  head.node = tube.from;
  head.z_m = house.network.nodes[tube.from].elevation_m;
  std::erase_if(house.network.pipes, [&](const water::Pipe& p) { return p.name == tube.name; });
  const House moved = with_head_at(house, 0, {head.x_m + 0.3, head.y_m, head.z_m + 0.2});
  CHECK(moved.network.pipes.size() == house.network.pipes.size() + 1);
  CHECK_THAT(moved.network.pipes.back().length_m, abs(0.5, 1e-12));
  CHECK(moved.heads[0].node == moved.network.nodes.size() - 1);
}

TEST_CASE("study: places where no head can stand are told with the reason", "[study][law]") {
  const House house = test::small_house();
  const Bench& bench = house.benches[0];
  const double over_m = bench.height_m + 0.6;
  CHECK(head_hindrance(house, {2.5, 0.9, over_m}).empty());
  CHECK(head_hindrance(house, {-0.1, 0.9, over_m}).find("outside") != std::string::npos);
  CHECK(head_hindrance(house, {2.5, 3.59, over_m}).find("outside") != std::string::npos);
  CHECK(head_hindrance(house, {2.5, 1.8, 2.39}).find("roof") != std::string::npos);
  CHECK(head_hindrance(house, {2.5, 0.9, bench.height_m}).find("leaves") != std::string::npos);
}

TEST_CASE("study: fans blow back or hang across and again as they were", "[study][exact]") {
  House house = test::small_house();
  CHECK(with_fan_other_way(house, 0).fans[0].wall == Wall::Front);
  CHECK(with_fan_other_way(with_fan_other_way(house, 0), 0).fans[0].wall == Wall::Back);
  Fan& fan = house.fans[0];
  fan.kind = FanKind::Circulation;
  fan.bearing_rad = 0.5;
  const double about = with_fan_other_way(house, 0).fans[0].bearing_rad;
  CHECK_THAT(std::cos(about - 0.5), abs(-1.0, 1e-12));
  CHECK(fan_hindrance(house, 0).empty());
}

TEST_CASE("study: a fan finds no room in a wall where a vent or a fan is", "[study][law]") {
  House house = test::small_house();
  CHECK(fan_hindrance(house, 0).empty());
  House vented = house;
  vented.openings[0].wall = Wall::Front;
  vented.openings[0].along_m = house.fans[0].along_m + 0.3;
  vented.openings[0].height_m = house.fans[0].height_m;
  CHECK(fan_hindrance(vented, 0).find("vent") != std::string::npos);
  House fans = house;
  fans.fans.push_back(house.fans[0]);
  fans.fans[1].wall = Wall::Front;
  CHECK(fan_hindrance(fans, 0).find("fan") != std::string::npos);
  house.fans[0].wall = Wall::Roof;
  CHECK_FALSE(fan_hindrance(house, 0).empty());
}

TEST_CASE("study: skirts need room under the roof and air that knows them", "[study][law]") {
  const House house = test::small_house({"numerics.airflow=momentum"});
  CHECK(skirt_hindrance(house, 0, 0.4).empty());
  CHECK(skirt_hindrance(house, 0, 1.5).find("roof") != std::string::npos);
  CHECK_FALSE(skirt_hindrance(test::small_house({"numerics.airflow=jets"}), 0, 0.4).empty());
  CHECK(with_skirt(house, 1, 0.4).benches[1].skirt_m == 0.4);
  CHECK(with_skirt(house, 1, 0.4).benches[0].skirt_m == 0.0);
}
