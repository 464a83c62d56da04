#include <algorithm>
#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/contracts.h"
#include "models/sky/radiation.h"
#include "models/sky/sun.h"
#include "models/sky/weather.h"
#include "models/units.h"

namespace mistwright::sky {
namespace {

constexpr std::int64_t row_s = 600;
constexpr std::int64_t margin_s = 7200;

// Parton and Logan 1981: lag of the highest temperature after noon [h], rate of the night's
// cooling, and lag of the lowest temperature after sunrise [h], for air at 1.5 m.
constexpr double lag_h = 1.86, cooling_coefficient = 2.20, morning_h = -0.17;
// Ours: a night's wind as a share of the daytime mean.
constexpr double night_wind_fraction = 1.0 / 3.0;

// The sun's day, as hours from one local midnight; the day before and the day after are taken as
// alike.
struct Daylight {
  double rise_h = 0.0, set_h = 0.0;
  [[nodiscard]] double length_h() const { return set_h - rise_h; }
};

Daylight daylight(const DesignDay& day) {
  const double middle_s = static_cast<double>(day.local_midnight_utc_s) + 0.5 * day_s;
  const SunDirection sun = sun_direction(middle_s);
  const double angle = std::remainder(sun.greenwich_hour_angle_rad + day.longitude_rad, 2.0 * pi);
  const double noon_h = 12.0 - angle * 12.0 / pi;
  // Sunrise by the almanac's rule, centre of the sun 0.833 degrees below the horizon.
  const double cosine =
      (std::sin(radians(-0.833)) - std::sin(day.latitude_rad) * std::sin(sun.declination_rad)) /
      (std::cos(day.latitude_rad) * std::cos(sun.declination_rad));
  const double half_h = std::acos(std::clamp(cosine, -1.0, 1.0)) * 12.0 / pi;
  // The two branches of the temperature need some day and some night: beyond the polar circles
  // the shorter of them is taken as four hours.
  const double kept_h = std::clamp(half_h, 2.0, 10.0);
  return {noon_h - kept_h, noon_h + kept_h};
}

double hours_after(double hour_h, double start_h) {
  const double rest = std::fmod(hour_h - start_h, 24.0);
  return rest < 0.0 ? rest + 24.0 : rest;
}

// Parton and Logan's sine by day and exponential by night. Departure: their exponential ends a
// little above the lowest temperature; here it is stretched to meet it, so that the curve is
// continuous.
double temperature_K(const DesignDay& day, const Daylight& light, double hour_h) {
  const double range_K = day.highest_temperature_K - day.lowest_temperature_K;
  const double start_h = light.rise_h + morning_h;
  const double m = hours_after(hour_h, start_h);
  const double to_sunset_h = light.set_h - start_h;
  const auto by_day = [&](double after_h) {
    return range_K * std::sin(pi * after_h / (light.length_h() + 2.0 * lag_h));
  };
  if (m <= to_sunset_h) return day.lowest_temperature_K + by_day(m);
  const double night_share = (m - to_sunset_h) / (24.0 - to_sunset_h);
  const double end = std::exp(-cooling_coefficient);
  return day.lowest_temperature_K +
         by_day(to_sunset_h) * (std::exp(-cooling_coefficient * night_share) - end) / (1.0 - end);
}

// Calm by night, a half sine by day whose mean over the daylight is the stated one.
double wind_m_per_s(const DesignDay& day, const Daylight& light, double hour_h) {
  const double after_h = hours_after(hour_h, light.rise_h);
  double share = night_wind_fraction;
  if (after_h < light.length_h()) {
    share += (1.0 - night_wind_fraction) * 0.5 * pi * std::sin(pi * after_h / light.length_h());
  }
  return share * day.wind_speed_m_per_s;
}

// Mean radiation of the ten minutes that end at a stamp, from the middles of ten equal parts.
void set_radiation(const DesignDay& day, std::int64_t utc_s, Weather& weather) {
  constexpr int parts = 10;
  for (int i = 0; i < parts; ++i) {
    const double t_s = static_cast<double>(utc_s) - (i + 0.5) * static_cast<double>(row_s) / parts;
    const SunPosition sun = sun_position({.utc_s = t_s,
                                          .latitude_rad = day.latitude_rad,
                                          .longitude_rad = day.longitude_rad,
                                          .altitude_m = day.altitude_m,
                                          .pressure_Pa = weather.pressure_Pa,
                                          .temperature_K = weather.temperature_K});
    const double zenith_rad = 0.5 * pi - sun.unrefracted_elevation_rad;
    double global = clear_sky_global_W_per_m2(zenith_rad);
    SolarSplit split{0.0, 0.0};
    if (day.cloudy) {
      global *= cloud_transmission_fraction(1.0);
      split.diffuse_horizontal_W_per_m2 = global;
    } else {
      split = split_global(
          {.global_horizontal_W_per_m2 = global,
           .zenith_rad = zenith_rad,
           .extraterrestrial_normal_W_per_m2 = extraterrestrial_normal_W_per_m2(sun.distance_AU)});
    }
    weather.global_horizontal_W_per_m2 += global / parts;
    weather.diffuse_horizontal_W_per_m2 += split.diffuse_horizontal_W_per_m2 / parts;
    weather.direct_normal_W_per_m2 += split.direct_normal_W_per_m2 / parts;
  }
}

}  // namespace

WeatherSeries design_day(const DesignDay& day) {
  EXPECT(day.days >= 1);
  EXPECT(day.highest_temperature_K >= day.lowest_temperature_K);
  EXPECT(day.wind_speed_m_per_s >= 0.0);
  const Daylight light = daylight(day);
  WeatherSeries series;
  series.latitude_rad = day.latitude_rad;
  series.longitude_rad = day.longitude_rad;
  series.altitude_m = day.altitude_m;
  series.source = day.cloudy ? "built-in overcast day" : "built-in clear day";
  const double dew_Pa = air::saturation_pressure_Pa(day.dew_point_K);
  const std::int64_t first_s = -margin_s;
  const std::int64_t last_s = day.days * std::int64_t{86400} + margin_s;
  for (std::int64_t offset_s = first_s; offset_s <= last_s; offset_s += row_s) {
    const double hour_h = static_cast<double>(offset_s) / 3600.0;
    WeatherRow row;
    row.utc_s = day.local_midnight_utc_s + offset_s;
    Weather& w = row.weather;
    w.temperature_K = temperature_K(day, light, hour_h);
    w.vapour_pressure_Pa = std::min(dew_Pa, air::saturation_pressure_Pa(w.temperature_K));
    w.pressure_Pa = air::pressure_at_altitude_Pa(day.altitude_m);
    w.wind_speed_m_per_s = wind_m_per_s(day, light, hour_h);
    w.wind_from_rad = day.wind_from_rad;
    w.cloud_fraction = day.cloudy ? 1.0 : 0.0;
    set_radiation(day, row.utc_s, w);
    series.rows.push_back(row);
  }
  return series;
}

}  // namespace mistwright::sky
