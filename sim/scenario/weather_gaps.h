#pragma once
// Missing values of typical-year files: short ones filled by straight lines, long ones and
// radiation refused, each told once a quantity with its count and first place. Leaves out hours
// that have no row at all (weather_series.h).
#include <cstdint>
#include <vector>

#include "sim/scenario/weather_table.h"

namespace mistwright::scenario {

/// A row with its instant.
struct Timed {
  std::int64_t utc_s = 0;
  const TableRow* row = nullptr;
};

/// Fills up to three hours in a row without a value, between rows an hour apart. Wind directions
/// turn the shorter way round.
void fill_short_gaps(WeatherTable& table);

/// Tells what was filled in the rows of a run and what is still missing; false if the run cannot do
/// without it.
[[nodiscard]] bool tell_missing(Reading& reading, const WeatherTable& table,
                                const std::vector<Timed>& rows);

}  // namespace mistwright::scenario
