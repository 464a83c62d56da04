#pragma once
// The heads of TMY3 and EPW files: which layout a file has by its first lines, where its weather
// was measured, and where each quantity stands in a row. Leaves out the rows.
#include "sim/scenario/weather_table.h"

namespace mistwright::scenario {

/// The layout of a weather file by its first lines, also where its own header is cut off.
[[nodiscard]] Layout layout_of(const SourceText& text);

struct Header {
  int first_row = 0;      ///< the line of the first hour; 0 if the header cannot be used
  std::size_t width = 0;  ///< cells of a row
};

/// Reads the header of a typical-year file into its table: station, credit, which cell is what.
[[nodiscard]] Header read_header(Reading& reading, WeatherTable& table);

}  // namespace mistwright::scenario
