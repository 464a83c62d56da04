#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/sky/fao56.h"
#include "models/sky/sun.h"
#include "models/sky/weather.h"
#include "models/units.h"
#include "tests/support/catch.h"

using namespace mistwright;
using test::abs;
using test::rel;

namespace {

// 2025-06-01 at 43 N and 79 W by UTC-5.
constexpr sky::DesignDay warm_day{.local_midnight_utc_s = 1748736000 + 5 * 3600,
                                  .days = 1,
                                  .latitude_rad = radians(43.0),
                                  .longitude_rad = radians(-79.0),
                                  .altitude_m = 180.0,
                                  .lowest_temperature_K = kelvin(15.0),
                                  .highest_temperature_K = kelvin(31.0),
                                  .dew_point_K = kelvin(12.0),
                                  .wind_speed_m_per_s = 3.0,
                                  .wind_from_rad = radians(250.0)};

double at_hour(const sky::DesignDay& day, double hour) {
  return static_cast<double>(day.local_midnight_utc_s) + 3600.0 * hour;
}

struct Course {
  double least_K = 1e9, most_K = 0.0, least_hour = 0.0, most_hour = 0.0;
  double light_MJ_per_m2 = 0.0, direct_MJ_per_m2 = 0.0;
  double day_wind_m_per_s = 0.0, night_wind_m_per_s = 0.0;
  double largest_step_K = 0.0;
};

// Minute by minute over the first day; daylight from 04:40 to 19:50, the sun's rise and set there.
Course course_of(const sky::DesignDay& day) {
  const sky::WeatherSeries series = sky::design_day(day);
  Course c;
  double day_minutes = 0.0, night_minutes = 0.0, before_K = 0.0;
  for (int minute = 0; minute < 1440; ++minute) {
    const double hour = (minute + 0.5) / 60.0;
    const sky::Weather w = sky::weather_at(series, at_hour(day, hour));
    if (w.temperature_K < c.least_K) {
      c.least_K = w.temperature_K;
      c.least_hour = hour;
    }
    if (w.temperature_K > c.most_K) {
      c.most_K = w.temperature_K;
      c.most_hour = hour;
    }
    c.light_MJ_per_m2 += 60e-6 * w.global_horizontal_W_per_m2;
    c.direct_MJ_per_m2 += 60e-6 * w.direct_normal_W_per_m2;
    if (hour > 4.67 && hour < 19.83) {
      c.day_wind_m_per_s += w.wind_speed_m_per_s;
      ++day_minutes;
    } else {
      c.night_wind_m_per_s += w.wind_speed_m_per_s;
      ++night_minutes;
    }
    if (minute > 0)
      c.largest_step_K = std::fmax(c.largest_step_K, std::fabs(w.temperature_K - before_K));
    before_K = w.temperature_K;
  }
  c.day_wind_m_per_s /= day_minutes;
  c.night_wind_m_per_s /= night_minutes;
  return c;
}

}  // namespace

TEST_CASE("sky: a design day is coldest at sunrise and warmest two hours after the sun's noon",
          "[sky][published]") {
  const Course c = course_of(warm_day);
  CHECK_THAT(celsius(c.least_K), abs(15.0, 0.1));
  CHECK_THAT(celsius(c.most_K), abs(31.0, 0.01));
  // Parton and Logan 1981: lowest 0.17 h before sunrise (04:42 here), highest 1.86 h less 0.09 h
  // after noon (12:14 here); rows are ten minutes apart.
  CHECK_THAT(c.least_hour, abs(4.70 - 0.17, 0.17));
  CHECK_THAT(c.most_hour, abs(12.23 + 1.86 - 0.17, 0.17));
  // Nothing jumps: 16 K in nine hours is at most 0.05 K a minute.
  CHECK(c.largest_step_K < 0.06);
}

TEST_CASE("sky: a clear design day brings the light of FAO-56's clear sky within 5 %",
          "[sky][published]") {
  const Course c = course_of(warm_day);
  const double Ra = sky::fao56::extraterrestrial_MJ_per_m2_d(warm_day.latitude_rad, 152);
  CHECK_THAT(c.light_MJ_per_m2, rel(sky::fao56::clear_sky_MJ_per_m2(Ra, 180.0), 0.05));
}

TEST_CASE("sky: an overcast design day has a quarter of the light and no direct light",
          "[sky][published]") {
  sky::DesignDay dull = warm_day;
  dull.cloudy = true;
  const Course clear = course_of(warm_day);
  const Course c = course_of(dull);
  CHECK(c.direct_MJ_per_m2 == 0.0);
  CHECK_THAT(c.light_MJ_per_m2, rel(0.25 * clear.light_MJ_per_m2, 1e-6));
  CHECK(sky::weather_at(sky::design_day(dull), at_hour(dull, 12.0)).cloud_fraction == 1.0);
}

TEST_CASE("sky: a design day's wind has the stated mean by daylight and a third of it by night",
          "[sky][law]") {
  const Course c = course_of(warm_day);
  CHECK_THAT(c.day_wind_m_per_s, rel(3.0, 0.01));
  CHECK_THAT(c.night_wind_m_per_s, rel(1.0, 0.02));
}

TEST_CASE("sky: a design day holds its dew point and never passes saturation", "[sky][law]") {
  sky::DesignDay damp = warm_day;
  damp.dew_point_K = kelvin(17.0);
  for (const auto& day : {warm_day, damp}) {
    const auto series = sky::design_day(day);
    for (const auto& row : series.rows) {
      const double saturated = air::saturation_pressure_Pa(row.weather.temperature_K);
      const double stated = air::saturation_pressure_Pa(day.dew_point_K);
      CHECK(row.weather.vapour_pressure_Pa == std::fmin(stated, saturated));
    }
  }
}

TEST_CASE("sky: design days follow one another alike with two hours to spare at both ends",
          "[sky][law]") {
  sky::DesignDay three = warm_day;
  three.days = 3;
  const auto series = sky::design_day(three);
  CHECK(series.rows.front().utc_s == three.local_midnight_utc_s - 7200);
  CHECK(series.rows.back().utc_s == three.local_midnight_utc_s + 3 * 86400 + 7200);
  for (double hour = 0.0; hour < 24.0; hour += 0.7) {
    const auto first = sky::weather_at(series, at_hour(three, hour));
    const auto third = sky::weather_at(series, at_hour(three, hour + 48.0));
    CAPTURE(hour);
    CHECK_THAT(third.temperature_K, abs(first.temperature_K, 1e-9));
    CHECK_THAT(third.wind_speed_m_per_s, abs(first.wind_speed_m_per_s, 1e-9));
    // Two days later in early June the sun stands 0.3 degrees higher and rises 1 min sooner.
    CHECK_THAT(third.global_horizontal_W_per_m2, abs(first.global_horizontal_W_per_m2, 8.0));
  }
}

TEST_CASE("sky: design days can be made within the polar circles and in the southern summer",
          "[sky][law]") {
  for (const double latitude_deg : {-68.0, -35.0, 0.0, 68.0}) {
    sky::DesignDay day = warm_day;
    day.latitude_rad = radians(latitude_deg);
    const Course c = course_of(day);
    CAPTURE(latitude_deg);
    CHECK(celsius(c.least_K) > 14.99);
    CHECK(celsius(c.most_K) < 31.01);
    CHECK(celsius(c.most_K) > 30.9);
    CHECK(c.light_MJ_per_m2 >= 0.0);
  }
}
