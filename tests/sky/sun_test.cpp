#include "models/sky/sun.h"

#include <cmath>

#include "models/contracts.h"
#include "models/random.h"
#include "models/units.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using test::abs;
using test::rel;

namespace {

constexpr sky::SunQuery worked_example{.utc_s = 1066419030.0,  // 2003-10-17T19:30:30Z
                                       .latitude_rad = radians(39.742476),
                                       .longitude_rad = radians(-105.1786),
                                       .altitude_m = 1830.14,
                                       .pressure_Pa = 82000.0,
                                       .temperature_K = kelvin(11.0),
                                       .delta_t_s = 67.0};

}  // namespace

TEST_CASE("sky: the sun stands where Reda and Andreas 2004 print it to their last digit",
          "[sky][published]") {
  const sky::SunPosition sun = sky::sun_position(worked_example);
  int rows = 0;
  for (const auto& row : test::table("spa_reference.csv")) {
    const std::string& quantity = row.text("quantity");
    const auto expected = abs(row.number("value"), row.number("tolerance"));
    CAPTURE(quantity);
    if (quantity == "distance") CHECK_THAT(sun.distance_AU, expected);
    if (quantity == "declination") CHECK_THAT(degrees(sun.declination_rad), expected);
    if (quantity == "elevation_unrefracted") {
      CHECK_THAT(degrees(sun.unrefracted_elevation_rad), expected);
    }
    if (quantity == "zenith") CHECK_THAT(degrees(sun.zenith_rad), expected);
    if (quantity == "azimuth") CHECK_THAT(degrees(sun.azimuth_rad), expected);
    ++rows;
  }
  CHECK(rows == 5);
}

TEST_CASE("sky: sunrise and noon and sunset at 35 S agree with the authors' calculator to 2 s",
          "[sky][published]") {
  int rows = 0;
  for (const auto& row : test::table("sun_days.csv")) {
    sky::SunQuery query{.utc_s = row.number("date_utc_s") + row.number("second_of_day"),
                        .latitude_rad = radians(-35.0)};
    query.delta_t_s = row.number("date_utc_s") < 1e9 ? 62.0 : 64.6;  // 1996 and 2004, from memory
    CAPTURE(row.text("event"), row.text("date_utc_s"));
    // Two seconds of the sky's turn are 0.0083 degrees; parallax adds 0.0024 to an elevation.
    if (row.text("event") == "transit") {
      const sky::SunDirection sun = sky::sun_direction(query.utc_s, query.delta_t_s);
      CHECK_THAT(degrees(std::remainder(sun.greenwich_hour_angle_rad, 2.0 * pi)), abs(0.0, 0.0083));
    } else {
      const double elevation = sky::sun_position(query).unrefracted_elevation_rad;
      CHECK_THAT(degrees(elevation), abs(-0.8333, 0.0083 + 0.0024));
    }
    ++rows;
  }
  CHECK(rows == 6);
}

TEST_CASE("sky: the equinox and the solstices of 2025 bring the sun where almanacs say",
          "[sky][published]") {
  // Instants to the minute (UTC) from memory of the almanac: 20 March 09:01, 21 June 02:42, 21
  // December 15:03. The declination moves 0.0003 degrees in a minute at the equinox.
  const auto declination_deg = [](double utc_s) {
    return degrees(sky::sun_direction(utc_s).declination_rad);
  };
  CHECK_THAT(declination_deg(1742461260.0), abs(0.0, 6e-4));
  CHECK_THAT(declination_deg(1750473720.0), abs(23.438, 1.5e-3));
  CHECK_THAT(declination_deg(1766329380.0), abs(-23.438, 1.5e-3));
}

TEST_CASE("sky: the zenith is the angle between the sun and the plumb line wherever one stands",
          "[sky][law]") {
  // From direction and hour angle by the rule of cosines; parallax shifts it by at most 0.0025
  // degrees.
  Random random(4, stream_of("sky/zenith"));
  for (int i = 0; i < 300; ++i) {
    const sky::SunQuery query{.utc_s = 0.95e9 + 1.1e9 * random.uniform(),
                              .latitude_rad = pi * (random.uniform() - 0.5),
                              .longitude_rad = 2.0 * pi * (random.uniform() - 0.5)};
    const sky::SunDirection sun = sky::sun_direction(query.utc_s);
    const double hour_angle = sun.greenwich_hour_angle_rad + query.longitude_rad;
    const double sine =
        std::sin(query.latitude_rad) * std::sin(sun.declination_rad) +
        std::cos(query.latitude_rad) * std::cos(sun.declination_rad) * std::cos(hour_angle);
    const sky::SunPosition seen = sky::sun_position(query);
    CAPTURE(i, query.utc_s, query.latitude_rad, query.longitude_rad);
    CHECK_THAT(degrees(seen.unrefracted_elevation_rad), abs(degrees(std::asin(sine)), 2.5e-3));
    CHECK(seen.azimuth_rad >= 0.0);
    CHECK(seen.azimuth_rad <= 2.0 * pi);
    // West of the meridian in the afternoon, east of it in the morning.
    const double wrapped = std::remainder(hour_angle, 2.0 * pi);
    if (std::fabs(std::sin(wrapped)) > 0.01) CHECK((seen.azimuth_rad > pi) == (wrapped > 0.0));
    // Refraction lifts and never lowers.
    CHECK(0.5 * pi - seen.zenith_rad > seen.unrefracted_elevation_rad - 1e-12);
  }
}

TEST_CASE(
    "sky: sunlight outside the air is 1361 W/m2 at one astronomical unit of Kopp and Lean 2011",
    "[sky][published]") {
  CHECK_THAT(sky::extraterrestrial_normal_W_per_m2(1.0), rel(1360.8, 0.5 / 1360.8));
  CHECK_THAT(sky::extraterrestrial_normal_W_per_m2(1.01),
             rel(sky::extraterrestrial_normal_W_per_m2(1.0) / 1.0201, 1e-14));
}

TEST_CASE("sky: a latitude meant in degrees breaks the contract", "[sky][input]") {
  sky::SunQuery query = worked_example;
  query.latitude_rad = 39.74;
  CHECK_THROWS_AS(sky::sun_position(query), ContractError);
}
