#include "models/droplet/contact.h"

#include <algorithm>
#include <cmath>

#include "models/droplet/walk.h"
#include "models/random.h"
#include "models/units.h"
#include "tests/droplet/fields.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::droplet;
using test::abs;
using test::rel;

namespace {

/// Share of drops still in the air of a room of a height after a time, started evenly.
double airborne_fraction(double fall_m_per_s, double sigma_m_per_s, double height_m, double age_s) {
  const double T = 1.0, dt = 0.1;
  const double kept = settled_fraction(fall_m_per_s, sigma_m_per_s);
  double airborne = 0.0;
  const int drops = 4000;
  for (int n = 0; n < drops; ++n) {
    test::Shaker shaker(21, static_cast<std::uint64_t>(n));
    Random random(22, static_cast<std::uint64_t>(n));
    double z = height_m * (n + 0.5) / drops, omega = random.normal(), mass = 1.0;
    const auto steps = std::lround(age_s / dt);
    for (long i = 0; i < steps && mass > 1e-9; ++i) {
      z += (sigma_m_per_s * omega - fall_m_per_s) * dt;
      omega = walk_step_ratio(omega, {dt / T, 0.0, shaker.draw()[0]});
      if (z < 0.0) {
        mass *= 1.0 - kept;
        z = -z;
        omega = std::abs(omega);
      } else if (z > height_m) {
        z = 2.0 * height_m - z;
        omega = -std::abs(omega);
      }
    }
    airborne += mass / drops;
  }
  return airborne;
}

}  // namespace

TEST_CASE("droplet: drops in stirred air settle as exp of minus fall speed times time over height",
          "[droplet][exact]") {
  // Hinds, Aerosol Technology, stirred settling (from memory). Sampling of 4,000 drops 0.008; fall
  // speed times height over diffusivity is at most a tenth, so that the room is stirred.
  for (const double fall : {0.002, 0.005, 0.01}) {
    CAPTURE(fall);
    CHECK_THAT(airborne_fraction(fall, 0.3, 1.0, 0.7 / fall), abs(std::exp(-0.7), 0.025));
  }
}

TEST_CASE("droplet: drops in still air settle on a straight line", "[droplet][exact]") {
  CHECK_THAT(airborne_fraction(0.05, 1e-5, 1.0, 8.0), abs(1.0 - 0.05 * 8.0, 5e-3));
  CHECK(airborne_fraction(0.05, 1e-5, 1.0, 21.0) < 1e-9);
}

TEST_CASE("droplet: settling takes nothing of a tracer and all of a heavy drop", "[droplet][law]") {
  CHECK(settled_fraction(0.0, 0.1) == 0.0);
  CHECK_THAT(settled_fraction(1.0, 1e-3), abs(1.0, 1e-12));
  // Boughton, Delaurentis and Dunn 1987 for slow fall: P = sqrt(2 pi) v/sigma.
  CHECK_THAT(settled_fraction(1e-5, 0.1), rel(std::sqrt(2.0 * pi) * 1e-4, 1e-3));
  double before = 0.0;
  for (double v = 1e-4; v < 3.0; v *= 1.3) {
    CHECK(settled_fraction(v, 0.1) > before);
    before = settled_fraction(v, 0.1) * (1.0 - 1e-15);
  }
  CHECK_THAT(impacted_fraction(1.0, 0.008), rel(0.25, 1e-9));  // St = 0.8
  CHECK(impacted_fraction(-1.0, 0.008) == 0.0);
}

TEST_CASE("droplet: a path meets walls floor roof benches and boxes where they stand",
          "[droplet][exact]") {
  flow::Enclosure house = test::box_house(4.0, 3.0, 2.0);
  house.ridge_height_m = 3.0;
  house.boxes.push_back({1.0, 3.0, 1.0, 2.0, 0.5, 0.8});
  const auto setting = test::plain_setting(house, {}, {{1.0, 1.0, 3.0, 2.0, 0.8}}, 0.5);
  const Surroundings room(setting.house, setting.benches, setting.field);
  const auto meets = [&](const Point& from, const Point& to) {
    return room.first_contact(from, to);
  };

  const auto bench = meets({2.0, 1.5, 1.0}, {2.0, 1.5, 0.6});
  REQUIRE(bench);
  CHECK(bench->surface == Surface::BenchTop);
  CHECK_THAT(bench->share_fraction, rel(0.5, 1e-12));
  const auto below = meets({2.0, 1.5, 0.4}, {2.0, 1.5, 0.6});
  REQUIRE(below);
  CHECK(below->surface == Surface::BoxSide);
  CHECK(below->normal.z_m == -1.0);
  const auto side = meets({0.9, 1.5, 0.7}, {1.1, 1.5, 0.7});
  REQUIRE(side);
  CHECK(side->surface == Surface::BoxSide);
  CHECK(side->normal.x_m == -1.0);
  const auto floor = meets({0.5, 0.5, 0.1}, {0.5, 0.5, -0.3});
  REQUIRE(floor);
  CHECK(floor->surface == Surface::Floor);
  CHECK_THAT(floor->share_fraction, rel(0.25, 1e-12));
  const auto wall = meets({3.9, 0.5, 1.0}, {4.1, 0.5, 1.0});
  REQUIRE(wall);
  CHECK(wall->surface == Surface::Wall);
  CHECK(wall->normal.x_m == -1.0);
  const auto roof = meets({2.0, 1.5, 2.9}, {2.0, 1.5, 3.1});
  REQUIRE(roof);
  CHECK(roof->surface == Surface::Cover);
  CHECK_THAT(roof->share_fraction, abs(0.5, 1e-4));
  CHECK_THAT(roof->normal.z_m, abs(-1.0, 1e-6));
  CHECK_FALSE(meets({2.0, 0.5, 1.0}, {2.1, 0.6, 0.9}));
  CHECK_FALSE(meets({2.0, 1.5, 2.5}, {2.0, 1.5, 0.81}));
}

TEST_CASE("droplet: air that flows out of a port takes drops along and air that flows in does not",
          "[droplet][exact]") {
  flow::Enclosure house = test::box_house(4.0, 3.0, 2.0);
  house.ports.push_back({"inlet", flow::Side::Front, 1.5, 1.0, 1.0, 1.0});
  house.ports.push_back({"fan", flow::Side::Back, 1.5, 1.0, 1.0, 1.0});
  const auto setting = test::plain_setting(house, {.u_m_per_s = 0.3}, {}, 0.5);
  const Surroundings room(setting.house, setting.benches, setting.field);
  const auto through = room.first_contact({3.9, 1.5, 1.2}, {4.1, 1.5, 1.2});
  REQUIRE(through);
  CHECK(through->surface == Surface::Opening);
  const auto beside = room.first_contact({3.9, 2.5, 1.2}, {4.1, 2.5, 1.2});
  REQUIRE(beside);
  CHECK(beside->surface == Surface::Wall);
  const auto against = room.first_contact({0.1, 1.5, 1.2}, {-0.1, 1.5, 1.2});
  REQUIRE(against);
  CHECK(against->surface == Surface::Wall);
}

TEST_CASE("droplet: open air ends above all that stands and below the roof and its openings",
          "[droplet][law]") {
  flow::Enclosure house = test::box_house(4.0, 3.0, 2.0);
  house.ridge_height_m = 3.0;
  house.boxes.push_back({1.0, 3.0, 1.0, 2.0, 0.5, 0.8});
  house.sheets.push_back({0, 2.0, 1.0, 2.0, 0.8, 1.2, 1.0});
  for (const double draws_m_per_s : {0.0, 0.2}) {
    if (draws_m_per_s > 0.0) house.ports.push_back({"vent", flow::Side::Roof, 2.0, 0.0, 1.0, 0.5});
    const auto setting =
        test::plain_setting(house, {.w_m_per_s = draws_m_per_s}, {{1.0, 1.0, 3.0, 2.0, 0.8}}, 0.25);
    const OpenAir open = Surroundings(setting.house, setting.benches, setting.field).open_air();
    CHECK(open.low_m == 1.2);
    bool to_the_ridge = true;
    for (double y = 0.0; y <= 3.0; y += 0.01) {
      const double top = open.high_m(std::min(y, 3.0 - y));
      CHECK(top <= house.roof_height_m(y) + 1e-12);
      // A roof opening takes drops from a layer of cells below the eaves on.
      if (draws_m_per_s > 0.0) CHECK(top < house.eave_height_m - 0.2);
      to_the_ridge = to_the_ridge && top >= 2.0;
    }
    CHECK(to_the_ridge == (draws_m_per_s == 0.0));
  }
}

namespace {

/// A hall with a sheet across x at 2 m: 1 to 2 m along y, 0.8 to 1.2 m high; it encloses what lies
/// at greater x.
test::Setting hall_with_sheet() {
  flow::Enclosure house = test::box_house(4.0, 3.0, 2.0);
  house.sheets.push_back({0, 2.0, 1.0, 2.0, 0.8, 1.2, 1.0});
  return test::plain_setting(house, {}, {}, 0.5);
}

}  // namespace

TEST_CASE("droplet: a path that crosses a sheet touches it from the side on which it came",
          "[droplet][exact]") {
  const auto setting = hall_with_sheet();
  const Surroundings room(setting.house, setting.benches, setting.field);
  const auto level = room.first_contact({1.9, 1.5, 1.0}, {2.3, 1.5, 1.0});
  REQUIRE(level);
  CHECK(level->surface == Surface::BoxSide);
  CHECK_THAT(level->share_fraction, rel(0.25, 1e-12));
  CHECK(level->normal.x_m == -1.0);
  const auto back = room.first_contact({2.1, 1.5, 1.0}, {1.7, 1.5, 1.0});
  REQUIRE(back);
  CHECK(back->normal.x_m == 1.0);
  // Over it, under it, past its end and short of it.
  CHECK_FALSE(room.first_contact({1.9, 1.5, 1.3}, {2.3, 1.5, 1.3}));
  CHECK_FALSE(room.first_contact({1.9, 1.5, 0.7}, {2.3, 1.5, 0.7}));
  CHECK_FALSE(room.first_contact({1.9, 2.1, 1.0}, {2.3, 2.1, 1.0}));
  CHECK_FALSE(room.first_contact({1.7, 1.5, 1.0}, {1.9, 1.5, 1.0}));
  // Down across its upper edge: what counts is the height at which it crosses the plane.
  CHECK(room.first_contact({1.9, 1.5, 1.25}, {2.1, 1.5, 1.1}));
  CHECK_FALSE(room.first_contact({1.9, 1.5, 1.35}, {2.1, 1.5, 1.1}));
}

TEST_CASE("droplet: a drop on a sheet's plane leaves it on the enclosed side alone",
          "[droplet][exact]") {
  const auto setting = hall_with_sheet();
  const Surroundings room(setting.house, setting.benches, setting.field);
  const Point on{2.0, 1.5, 1.0};
  CHECK_FALSE(room.first_contact(on, {2.1, 1.5, 1.0}));
  const auto out = room.first_contact(on, {1.9, 1.5, 1.0});
  REQUIRE(out);
  CHECK(out->share_fraction == 0.0);
  CHECK(out->normal.x_m == 1.0);
  // One that ends there has met it from outside and has not from inside, where it stays.
  CHECK(room.first_contact({1.9, 1.5, 1.0}, on));
  CHECK_FALSE(room.first_contact({2.1, 1.5, 1.0}, on));
}

TEST_CASE("droplet: a skirt keeps on its bench what a light wind would carry off",
          "[droplet][law]") {
  flow::Enclosure house = test::box_house(8.0, 3.0, 2.0);
  const std::vector<BenchRect> bench{{2.0, 1.0, 6.0, 2.0, 0.8}};
  const test::PlainAir wind{.u_m_per_s = 0.1, .sigma_m_per_s = 0.02};
  const auto shares = [&](double skirt_m) {
    house.sheets.clear();
    if (skirt_m > 0.0)
      house.sheets = {{0, 2.0, 1.0, 2.0, 0.8, 0.8 + skirt_m, 1.0},
                      {0, 6.0, 1.0, 2.0, 0.8, 0.8 + skirt_m, -1.0},
                      {1, 1.0, 2.0, 6.0, 0.8, 0.8 + skirt_m, 1.0},
                      {1, 2.0, 2.0, 6.0, 0.8, 0.8 + skirt_m, -1.0}};
    const auto setting = test::plain_setting(house, wind, bench, 0.5);
    return footprint(setting.with(400), test::let_go(5.8, 1.5, 1.2), 50e-6, 0.0, 3);
  };
  const Outcome open = shares(0.0), kept = shares(0.6);  // found: 0 and 0.81
  CAPTURE(open.bench_fraction(), kept.bench_fraction());
  CHECK_THAT(kept.total_fraction(), abs(1.0, 1e-9));
  CHECK(open.bench_fraction() < 0.05);
  CHECK(kept.bench_fraction() > 0.5);
}
