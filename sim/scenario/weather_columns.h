#pragma once
// The cells of a weather table: which headings mean what, and how numbers and times are written.
#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sim/scenario/weather_table.h"

namespace mistwright::scenario {

/// A role: its key in [weather.columns], other headings by which it is known, what it measures, and
/// values beyond which something else must have been meant.
struct RoleInfo {
  const char* key;
  const char* headings;  ///< parted by `|`, lower case, `_` for blanks
  std::optional<Kind> kind;
  const char* low;
  const char* high;
};

struct Heading {
  std::string name;  ///< without its unit
  std::string unit;
};

[[nodiscard]] const RoleInfo& role_info(Role role);

/// Without blanks, quotes and line ends around it.
[[nodiscard]] std::string trim(std::string_view text);

/// "T_out [degC]" or "dry_bulb_degC" in two parts.
[[nodiscard]] Heading part_heading(const std::string& heading);

/// Whether a heading without its unit is known for a role.
[[nodiscard]] bool names_role(const std::string& heading, const RoleInfo& role);

[[nodiscard]] std::vector<std::string_view> cells_of(std::string_view line, char delimiter);

/// The same of a line of a table's file.
[[nodiscard]] std::vector<std::string_view> cells_of(const WeatherTable& table, int line);

/// Where the cells `first` to `last` of a line stand, numbered from 0; past the last cell: its end.
[[nodiscard]] Span cells_span(const WeatherTable& table, int line, std::size_t first,
                              std::size_t last);

/// Where a line says what a column is; the whole line if no cell does.
[[nodiscard]] Span role_span(const WeatherTable& table, int line, Role role);

/// Where a line says when it is.
[[nodiscard]] Span when_span(const WeatherTable& table, int line);

[[nodiscard]] std::optional<double> number_of(std::string_view cell);

/// Reads 2025-06-03T13:00 into a row, with a blank for the T, seconds and a zone as wanted.
[[nodiscard]] bool read_time(std::string_view cell, TableRow& row);

/// "1 row", "2 rows".
[[nodiscard]] std::string counted(std::size_t count, const char* what);

/// A year that has every day a typical year may have.
inline constexpr int year_of_366_days = 2000;

/// Whether a month, a day and the rest exist; hours run to 24.
[[nodiscard]] bool real_date(const WrittenTime& time, bool typical);

}  // namespace mistwright::scenario
