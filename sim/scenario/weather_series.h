#pragma once
// From the rows of a weather file to the series that a run needs: the rows' instants, their order,
// the stretch around the run, gaps and missing values. Rules:
//   a typical year is laid over every year that the run touches, by month, day and hour, so that it
//   wraps over new year; where that year has a 29 February and the file none, the 28th is repeated;
//   where the file has one and the year none, it is left out;
//   in TMY3 and EPW up to three hours without temperature, humidity, pressure or wind are filled by
//   straight lines, and a warning says so; hours without radiation are refused;
//   in a plain table gaps up to `max_gap` are bridged by straight lines.
// Leaves out: reading cells; how the weather goes between rows (models/sky/weather.h).
#include <cstdint>
#include <optional>

#include "models/sky/weather.h"
#include "sim/scenario/weather_table.h"

namespace mistwright::scenario {

/// How a weather file is to be taken.
struct FileRules {
  std::int64_t utc_offset_s = 0;
  bool interpolate = false;
  Got<double> max_gap_s = {};
  double wind_speed_m_per_s = 0.0, wind_from_rad = 0.0;  ///< where the file has no wind
};

struct RunWindow {
  std::int64_t from_s = 0, to_s = 0;
};

/// The run in seconds since 1970-01-01T00:00Z.
[[nodiscard]] RunWindow run_window(const House& house);

/// The series of a run, its site, source and clouds filled in; none after an error.
[[nodiscard]] std::optional<sky::WeatherSeries> weather_series(Reading& reading, WeatherTable table,
                                                               const FileRules& rules);

}  // namespace mistwright::scenario
