#pragma once
// A plain weather table: comment lines, one heading line, rows of numbers. Finds which column is
// what and in which unit, turns rows into SI with their times, and reports every kind of fault
// once, with a count and the first line. Leaves out which rows a run needs.
#include <bitset>
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

[[nodiscard]] constexpr std::size_t index_of(Role role) {
  return static_cast<std::size_t>(role);
}

/// How often something was met, and the line where it was met first.
struct Tally {
  std::size_t count = 0;
  int line = 0;

  void add(int at_line) {
    if (count++ == 0) line = at_line;
  }
};

/// One row in SI; absent values were marked missing or have no column.
struct TableRow {
  int line = 0;
  WrittenTime time;        ///< the year plays no part in a typical year
  bool zoned_utc = false;  ///< the time names its own zone
  std::optional<double> value[role_count];
  std::bitset<role_count> filled;  ///< whether a straight line gave the value
  [[nodiscard]] const std::optional<double>& at(Role role) const { return value[index_of(role)]; }
  [[nodiscard]] std::optional<double>& at(Role role) { return value[index_of(role)]; }
};

/// How a file is laid out: a plain table, or one of the interchange formats of typical years.
enum class Layout { Plain, Tmy3, Epw };

/// What a typical-year file says about the place where its weather was measured.
struct Station {
  double latitude_rad = 0.0, longitude_rad = 0.0, elevation_m = 0.0;
  std::int64_t utc_offset_s = 0;  ///< of its times: standard time, no daylight saving
  Span place_at = {}, elevation_at = {}, zone_at = {};
};

struct WeatherTable {
  std::shared_ptr<const SourceText> source;
  Layout layout = Layout::Plain;
  std::string credit;    ///< the first comment line, or the station's name
  bool typical = false;  ///< rows stand for their month, day and hour of any year
  std::optional<Station> station = {};
  char delimiter = ',';
  std::optional<std::size_t> column[role_count] = {};  ///< which cell of a line, if any
  std::vector<TableRow> rows = {};
  bool good = false;

  [[nodiscard]] const std::optional<std::size_t>& column_of(Role role) const {
    return column[index_of(role)];
  }
  [[nodiscard]] std::optional<std::size_t>& column_of(Role role) { return column[index_of(role)]; }
};

/// Reads a plain table. `columns` maps roles to headings where those do not speak for themselves.
[[nodiscard]] WeatherTable read_weather_table(Reading& reading,
                                              const std::shared_ptr<const SourceText>& source,
                                              Table* columns, const std::vector<double>& missing);

}  // namespace mistwright::scenario
