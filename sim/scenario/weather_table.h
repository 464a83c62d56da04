#pragma once
// A plain weather table: comment lines, one heading line, rows of numbers. Finds which column is
// what and in which unit, turns rows into SI with their times, and reports every kind of fault
// once, with a count and the first line. Leaves out which rows a run needs.
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sim/scenario/reading.h"

namespace mistwright::scenario {

/// What a column can be, in the order of the role table.
enum class Role {
  Time,
  Year,
  Month,
  Day,
  Hour,
  Temperature,
  RelativeHumidity,
  DewPoint,
  Pressure,
  WindSpeed,
  WindFrom,
  GlobalHorizontal,
  DirectNormal,
  DiffuseHorizontal
};
inline constexpr std::size_t role_count = 14;

/// One row in SI; absent values were marked missing or have no column.
struct TableRow {
  int line = 0;
  WrittenTime time;        ///< year 0 in a typical year
  bool zoned_utc = false;  ///< the time names its own zone
  std::optional<double> value[role_count];
  [[nodiscard]] const std::optional<double>& at(Role role) const {
    return value[static_cast<std::size_t>(role)];
  }
};

struct WeatherTable {
  std::shared_ptr<const SourceText> source;
  std::string credit;    ///< the first comment line
  bool typical = false;  ///< rows have no year
  bool has[role_count] = {};
  std::vector<TableRow> rows;
  bool good = false;
};

/// Reads a table. `columns` maps roles to headings where those do not speak for themselves.
[[nodiscard]] WeatherTable read_weather_table(Reading& reading,
                                              const std::shared_ptr<const SourceText>& source,
                                              Table* columns, const std::vector<double>& missing);

}  // namespace mistwright::scenario
