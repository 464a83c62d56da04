#include "models/sky/weather.h"

#include <array>
#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/contracts.h"
#include "models/sky/sun.h"
#include "models/units.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using test::abs;
using test::rel;

namespace {

constexpr std::int64_t hour_s = 3600;

// The open typical year as hours of 2025, its stamps moved from UTC-5.
sky::WeatherSeries typical_year() {
  constexpr std::array<int, 12> days_before = {0,   31,  59,  90,  120, 151,
                                               181, 212, 243, 273, 304, 334};
  constexpr std::int64_t year_utc_s = 1735689600 + 5 * hour_s;
  sky::WeatherSeries series;
  series.latitude_rad = radians(36.100);
  series.longitude_rad = radians(-79.950);
  series.altitude_m = 273.0;
  for (const auto& row : test::table("../../scenarios/weather/greensboro_typical_year.csv")) {
    const auto month = static_cast<std::size_t>(row.number("month"));
    const auto day = days_before[month - 1] + static_cast<int>(row.number("day")) - 1;
    sky::WeatherRow next;
    next.utc_s = year_utc_s + (day * 24 + static_cast<int>(row.number("hour_ending"))) * hour_s;
    sky::Weather& w = next.weather;
    w.temperature_K = kelvin(row.number("dry_bulb_degC"));
    w.vapour_pressure_Pa = air::saturation_pressure_Pa(kelvin(row.number("dew_point_degC")));
    w.pressure_Pa = 100.0 * row.number("pressure_hPa");
    w.wind_speed_m_per_s = row.number("wind_speed_m_s");
    w.wind_from_rad = radians(row.number("wind_direction_deg"));
    w.global_horizontal_W_per_m2 = row.number("global_horizontal_W_m2");
    w.direct_normal_W_per_m2 = row.number("direct_normal_W_m2");
    w.diffuse_horizontal_W_per_m2 = row.number("diffuse_horizontal_W_m2");
    series.rows.push_back(next);
  }
  return series;
}

const sky::WeatherSeries& year() {
  static const sky::WeatherSeries series = typical_year();
  return series;
}

// Mean of a quantity of the weather over the interval that ends at row i, by midpoints.
template <class Quantity>
double mean_over(const sky::WeatherSeries& series, std::size_t i, int parts, Quantity quantity) {
  const auto from = static_cast<double>(series.rows[i - 1].utc_s);
  const auto to = static_cast<double>(series.rows[i].utc_s);
  double sum = 0.0;
  for (int k = 0; k < parts; ++k) {
    sum += quantity(sky::weather_at(series, from + (to - from) * (k + 0.5) / parts));
  }
  return sum / parts;
}

double global_of(const sky::Weather& w) {
  return w.global_horizontal_W_per_m2;
}
double diffuse_of(const sky::Weather& w) {
  return w.diffuse_horizontal_W_per_m2;
}
double direct_of(const sky::Weather& w) {
  return w.direct_normal_W_per_m2;
}

}  // namespace

TEST_CASE("sky: every hour of a typical week keeps its global and diffuse energy", "[sky][law]") {
  const auto& series = year();
  int sunny = 0;
  for (std::size_t i = 24 * 150; i < 24 * 157; ++i) {
    const sky::Weather& row = series.rows[i].weather;
    CAPTURE(i, row.global_horizontal_W_per_m2, row.diffuse_horizontal_W_per_m2);
    // Away from the kinks of sunrise and sunset midpoints converge fast; there they are good to
    // 1e-5.
    const double mean = mean_over(series, i, 3600, global_of);
    CHECK_THAT(mean, abs(row.global_horizontal_W_per_m2, 2e-6 * row.global_horizontal_W_per_m2));
    if (row.direct_normal_W_per_m2 > 20.0) {
      CHECK_THAT(mean_over(series, i, 3600, diffuse_of),
                 rel(row.diffuse_horizontal_W_per_m2, 1e-6));
      ++sunny;
    }
  }
  CHECK(sunny > 30);
}

TEST_CASE(
    "sky: direct light that closes the global comes near the direct light of the typical year",
    "[sky][published]") {
  // An outside check of sun, stamps and longitude together: an hour's error in the stamps gives a
  // spread of over 150 W/m2. The file's parts are whole numbers: half a watt in each of two, at the
  // least sine of the sun here of 0.2, is 5 W/m2.
  const auto& series = year();
  double squares = 0.0, sum = 0.0;
  int hours = 0;
  for (std::size_t i = 1; i < series.rows.size(); ++i) {
    const sky::Weather& row = series.rows[i].weather;
    if (row.global_horizontal_W_per_m2 < 250.0 || row.direct_normal_W_per_m2 < 200.0) continue;
    const double error = mean_over(series, i, 4, direct_of) - row.direct_normal_W_per_m2;
    sum += error;
    squares += error * error;
    ++hours;
  }
  CAPTURE(hours, sum / hours, std::sqrt(squares / hours));
  CHECK(hours > 1500);
  CHECK_THAT(sum / hours, abs(0.0, 5.0));
  CHECK(std::sqrt(squares / hours) < 5.0);
}

TEST_CASE("sky: direct and diffuse light make up the global at every moment", "[sky][law]") {
  const auto& series = year();
  const auto start = static_cast<double>(series.rows[24 * 170].utc_s);
  for (double t = start; t < start + 3 * 86400.0; t += 431.0) {
    const sky::Weather w = sky::weather_at(series, t);
    const sky::SunPosition sun = sky::sun_position({.utc_s = t,
                                                    .latitude_rad = series.latitude_rad,
                                                    .longitude_rad = series.longitude_rad,
                                                    .altitude_m = series.altitude_m});
    const double sine = std::fmax(0.0, std::sin(sun.unrefracted_elevation_rad));
    CAPTURE(t);
    // The sun's place is held for half an hour in the declination: 0.01 degrees or 2e-4 of a sine.
    CHECK_THAT(w.diffuse_horizontal_W_per_m2 + w.direct_normal_W_per_m2 * sine,
               abs(w.global_horizontal_W_per_m2, 2e-4 * w.direct_normal_W_per_m2));
    CHECK(w.direct_normal_W_per_m2 <= 1420.0);
    CHECK(w.diffuse_horizontal_W_per_m2 >= 0.0);
  }
}

TEST_CASE(
    "sky: light climbs within a morning hour and sinks within an evening hour as the sun does",
    "[sky][law]") {
  const auto& series = year();
  int mornings = 0, evenings = 0;
  for (std::size_t i = 24 * 150; i < 24 * 164; ++i) {
    const sky::Weather& row = series.rows[i].weather;
    if (row.diffuse_horizontal_W_per_m2 < 20.0) continue;
    const auto end = static_cast<double>(series.rows[i].utc_s);
    const auto sine = [&](double t) {
      const auto sun = sky::sun_position(
          {.utc_s = t, .latitude_rad = series.latitude_rad, .longitude_rad = series.longitude_rad});
      return std::sin(sun.unrefracted_elevation_rad);
    };
    const double early = end - 3000.0, late = end - 600.0;
    if (sine(early) < 0.05 || sine(late) < 0.05) continue;
    const sky::Weather before = sky::weather_at(series, early);
    const sky::Weather after = sky::weather_at(series, late);
    CAPTURE(i);
    // Direct light on the level goes exactly as the sine; diffuse as the sine above that of
    // twilight.
    const double twilight = std::sin(radians(-6.0));
    CHECK_THAT(after.diffuse_horizontal_W_per_m2 / before.diffuse_horizontal_W_per_m2,
               rel((sine(late) - twilight) / (sine(early) - twilight), 2e-3));
    CHECK(after.direct_normal_W_per_m2 == before.direct_normal_W_per_m2);
    (sine(late) > sine(early) ? mornings : evenings) += 1;
  }
  CHECK(mornings > 40);
  CHECK(evenings > 40);
}

TEST_CASE("sky: an hour with a minute of sun keeps its energy without a flash", "[sky][law]") {
  // 20 W/m2 over the hour in which the sun rises 60 s before its end at the equator.
  sky::WeatherSeries series;
  sky::WeatherRow row;
  row.weather.temperature_K = 290.0;
  row.weather.pressure_Pa = 1e5;
  double sunrise_s = 1742461260.0;
  const auto elevation = [](double t) {
    return sky::sun_position({.utc_s = t}).unrefracted_elevation_rad;
  };
  while (elevation(sunrise_s) > 0.0 || elevation(sunrise_s + 10.0) <= 0.0) sunrise_s += 10.0;
  row.utc_s = static_cast<std::int64_t>(sunrise_s) + 60 - hour_s;
  series.rows.push_back(row);
  row.utc_s += hour_s;
  row.weather.global_horizontal_W_per_m2 = 20.0;
  series.rows.push_back(row);
  CHECK_THAT(mean_over(series, 1, 3600, global_of), rel(20.0, 1e-4));
  for (double t = sunrise_s - 3000.0; t < sunrise_s + 60.0; t += 7.0) {
    CHECK(sky::weather_at(series, t).global_horizontal_W_per_m2 < 150.0);
  }
  // And an hour of deep night to which the record gives light anyway spreads it evenly.
  series.rows[0].utc_s -= 5 * hour_s;
  series.rows[1].utc_s -= 5 * hour_s;
  CHECK_THAT(mean_over(series, 1, 100, global_of), rel(20.0, 1e-12));
}

TEST_CASE("sky: states run straight from stamp to stamp and wind turns as a vector",
          "[sky][exact]") {
  sky::WeatherSeries series;
  sky::Weather w{.temperature_K = 280.0,
                 .vapour_pressure_Pa = 700.0,
                 .pressure_Pa = 1.00e5,
                 .wind_speed_m_per_s = 2.0,
                 .wind_from_rad = radians(350.0)};
  series.rows.push_back({.utc_s = 0, .weather = w});
  w.temperature_K = 290.0;
  w.vapour_pressure_Pa = 900.0;
  w.pressure_Pa = 0.98e5;
  w.cloud_fraction = 0.8;
  w.wind_from_rad = radians(10.0);
  series.rows.push_back({.utc_s = 3600, .weather = w});
  const sky::Weather middle = sky::weather_at(series, 1800.0);
  CHECK_THAT(middle.temperature_K, abs(285.0, 1e-12));
  CHECK_THAT(middle.vapour_pressure_Pa, abs(800.0, 1e-12));
  CHECK_THAT(middle.pressure_Pa, abs(0.99e5, 1e-9));
  CHECK_THAT(middle.cloud_fraction, abs(0.4, 1e-15));
  CHECK_THAT(middle.wind_speed_m_per_s, abs(2.0 * std::cos(radians(10.0)), 1e-12));
  CHECK_THAT(std::sin(middle.wind_from_rad), abs(0.0, 1e-12));
  CHECK(std::cos(middle.wind_from_rad) > 0.0);
  CHECK_THAT(sky::weather_at(series, 0.0).temperature_K, abs(280.0, 1e-12));
  CHECK_THAT(sky::weather_at(series, 3600.0).temperature_K, abs(290.0, 1e-12));
}

TEST_CASE("sky: air between two saturated rows stays at most saturated", "[sky][law]") {
  sky::WeatherSeries series;
  sky::Weather w;
  w.pressure_Pa = 1e5;
  w.temperature_K = 280.0;
  w.vapour_pressure_Pa = air::saturation_pressure_Pa(280.0);
  series.rows.push_back({.utc_s = 0, .weather = w});
  w.temperature_K = 300.0;
  w.vapour_pressure_Pa = air::saturation_pressure_Pa(300.0);
  series.rows.push_back({.utc_s = 3600, .weather = w});
  for (double t = 0.0; t <= 3600.0; t += 100.0) {
    const sky::Weather now = sky::weather_at(series, t);
    CHECK(now.vapour_pressure_Pa <= air::saturation_pressure_Pa(now.temperature_K));
  }
}

TEST_CASE("sky: a moment outside the series is refused", "[sky][input]") {
  const auto& series = year();
  const auto first = static_cast<double>(series.rows.front().utc_s);
  const auto last = static_cast<double>(series.rows.back().utc_s);
  CHECK_NOTHROW(sky::weather_at(series, first));
  CHECK_NOTHROW(sky::weather_at(series, last));
  CHECK_THROWS_AS(sky::weather_at(series, first - 1.0), RangeError);
  CHECK_THROWS_AS(sky::weather_at(series, last + 1.0), RangeError);
  CHECK_THROWS_AS(sky::weather_at(series, std::nan("")), RangeError);
  CHECK_THROWS_AS(sky::weather_at({}, 0.0), RangeError);
}
