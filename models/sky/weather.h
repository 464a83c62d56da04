#pragma once
// Weather as a series in memory, and the built-in design days.
#include <cstdint>
#include <string>
#include <vector>

namespace mistwright::sky {

/// The weather at one instant.
struct Weather {
  double temperature_K = 0.0;
  double vapour_pressure_Pa = 0.0;
  double pressure_Pa = 0.0;
  double wind_speed_m_per_s = 0.0;  ///< at the station's height
  double wind_from_rad = 0.0;       ///< bearing the wind blows from, clockwise from north
  double global_horizontal_W_per_m2 = 0.0;
  double direct_normal_W_per_m2 = 0.0;
  double diffuse_horizontal_W_per_m2 = 0.0;
  double cloud_fraction = 0.0;  ///< for the sky's long-wave
};

/// One row: state values hold at the end of the interval; radiation is the mean over the interval
/// that ends at utc_s (the open typical years' convention).
struct WeatherRow {
  std::int64_t utc_s = 0;
  Weather weather;
};

/// A series of rows, rising in time, with radiation redistributed inside each interval by the sun's
/// height so that each interval's energy is kept exactly.
struct WeatherSeries {
  std::vector<WeatherRow> rows;
  double latitude_rad = 0.0, longitude_rad = 0.0, altitude_m = 0.0;
  std::string source;  ///< words for the report
};

/// The weather at a moment: states interpolated linearly, wind as a vector, radiation following the
/// sun inside each interval.
/// @param utc_s seconds since 1970-01-01T00:00Z, within the series
/// @throws RangeError outside it
[[nodiscard]] Weather weather_at(const WeatherSeries& series, double utc_s);

/// What a built-in design day is made from.
struct DesignDay {
  std::int64_t local_midnight_utc_s = 0;  ///< 00:00 local standard time of the day, as UTC seconds
  int days = 1;
  double latitude_rad = 0.0, longitude_rad = 0.0, altitude_m = 0.0;
  double lowest_temperature_K = 0.0, highest_temperature_K = 0.0;
  double dew_point_K = 0.0;
  double wind_speed_m_per_s = 0.0;  ///< daytime mean; nights are calmer
  double wind_from_rad = 0.0;
  bool cloudy = false;  ///< overcast: diffuse light only, dimmed
};

/// A synthetic clear or cloudy day, rows every ten minutes, covering two hours before and after.
[[nodiscard]] WeatherSeries design_day(const DesignDay& day);

}  // namespace mistwright::sky
