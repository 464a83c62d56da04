#pragma once
// The instants of a weather file's rows. A typical year's rows are laid over every year that a run
// touches, each at its month, day and hour, so that they wrap over new year; 29 February by the
// rule of weather_series.h. Leaves out whether the rows rise or leave gaps.
#include <cstdint>
#include <vector>

#include "sim/scenario/weather_gaps.h"
#include "sim/scenario/weather_series.h"

namespace mistwright::scenario {

inline constexpr std::int64_t hour_s = 3600;
inline constexpr std::int64_t day_s = 86400;

/// The instant of a row as it stands in the file; a typical year's in a year of 366 days.
[[nodiscard]] std::int64_t file_instant(const WeatherTable& table, const TableRow& row,
                                        const FileRules& rules);

/// Rows in time around the run; warns where 28 February stands for the 29th.
[[nodiscard]] std::vector<Timed> timed_rows(Reading& reading, const WeatherTable& table,
                                            const FileRules& rules, const RunWindow& window);

}  // namespace mistwright::scenario
