#pragma once
// Typical-year files that are wrong in one way each: what was done to a good file, line and cell
// numbers as an editor counts them.
#include <functional>
#include <string>
#include <vector>

#include "tests/scenario/typical_files.h"

namespace mistwright::test {

struct WeatherFault {
  std::string name;  ///< of the weather file; its answer is NAME.expected
  std::string content;
  std::vector<std::string> settings = {};
  bool refused = true;  ///< false: the run goes on, warned
};

/// Without the lines `from` to `to`, numbered from 1.
inline Lines without_lines(Lines lines, std::size_t from, std::size_t to) {
  lines.erase(lines.begin() + static_cast<std::ptrdiff_t>(from - 1),
              lines.begin() + static_cast<std::ptrdiff_t>(to));
  return lines;
}

inline Lines swapped(Lines lines, std::size_t a, std::size_t b) {
  std::swap(lines[a - 1], lines[b - 1]);
  return lines;
}

inline Lines twice(Lines lines, std::size_t n) {
  const std::string line = lines[n - 1];
  lines.insert(lines.begin() + static_cast<std::ptrdiff_t>(n), line);
  return lines;
}

/// The first lines, the last of them cut after some bytes.
inline std::string cut_within(Lines lines, std::size_t n, std::size_t bytes) {
  const std::string last = lines[n - 1].substr(0, bytes);
  lines.resize(n - 1);
  return joined(lines) + last;
}

/// As another program would save it: two bytes a character.
inline std::string utf16(const std::string& text) {
  std::string out = "\xFF\xFE";
  for (const char c : text) {
    out += c;
    out += '\0';
  }
  return out;
}

inline std::string replaced(std::string text, const std::string& what, const std::string& with) {
  return text.replace(text.find(what), what.size(), with);
}

/// TMY3: line 3 is 8 July 01:00, line 51 10 July 01:00. Cells: 4 GHI, 31 dry bulb, 37 humidity, 40
/// pressure.
inline std::vector<WeatherFault> tmy3_faults() {
  const Lines good = tmy3_july();
  return {
      {"tmy3_no_station.csv", joined(without_lines(good, 1, 1))},
      {"tmy3_no_headings.csv", joined(without_lines(good, 2, 2))},
      {"tmy3_no_header.csv", joined(without_lines(good, 1, 2))},
      {"tmy3_header_only.csv", joined(without_lines(good, 3, good.size()))},
      {"tmy3_station_swapped.csv", joined(with_cells(good, 1, 1, 4, "-97.3"))},
      {"tmy3_no_column.csv", replaced(joined(good), "GHI (W/m^2)", "Global (W/m^2)")},
      {"tmy3_cut_in_line.csv", cut_within(good, 60, 130)},
      {"tmy3_cut_at_line.csv", joined(without_lines(good, 61, good.size()))},
      {"tmy3_other_month.csv", joined(good), {"span.start=2025-12-30"}},
      {"tmy3_comma_missing.csv", joined(with_cells(good, 55, 55, 31, "22.8 A"))},
      {"tmy3_comma_too_many.csv", joined(with_cells(good, 55, 56, 31, "22,8"))},
      {"tmy3_gap.csv", joined(without_lines(good, 60, 63))},
      {"tmy3_gap_accepted.csv",
       joined(without_lines(good, 60, 63)),
       {"weather.max_gap=5 h"},
       false},
      {"tmy3_reordered.csv", joined(swapped(good, 60, 75))},
      {"tmy3_twice.csv", joined(twice(good, 60))},
      {"tmy3_mixed_years.csv", joined(with_cells(good, 60, 60, 0, "07/10/1982"))},
      {"tmy3_date.csv", joined(with_cells(good, 60, 62, 0, "10.07.1981"))},
      {"tmy3_hour_25.csv", joined(with_cells(good, 60, 60, 1, "25:00"))},
      {"tmy3_text.csv", joined(with_cells(good, 60, 61, 31, "n/a"))},
      {"tmy3_humidity_150.csv", joined(with_cells(good, 60, 60, 37, "150"))},
      {"tmy3_negative_sun.csv", joined(with_cells(good, 60, 63, 4, "-12"))},
      {"tmy3_pressure_in_pa.csv", joined(with_cells(good, 3, good.size(), 40, "99100"))},
      {"tmy3_fahrenheit.csv", joined(with_cells(good, 60, 60, 31, "91"))},
      {"tmy3_sun_missing.csv", joined(with_cells(good, 62, 63, 4, "-9900"))},
      {"tmy3_two_hours_missing.csv", joined(with_cells(good, 62, 63, 31, "-9900")), {}, false},
      {"tmy3_five_hours_missing.csv", joined(with_cells(good, 62, 66, 31, "-9900"))},
      {"tmy3_nul.csv", joined(good).replace(12000, 1, std::string(1, '\0'))},
      {"tmy3_utf16.csv", utf16(joined(good))},
      {"tmy3_latin.csv", replaced(joined(good), "PIEDMONT", "PI\xC9MONT")},
      {"tmy3_other_zone.csv", joined(good), {"weather.time_zone=-06:00"}},
      {"tmy3_elsewhere.csv", joined(good), {"site.latitude=43 degree"}, false},
      {"tmy3_higher.csv", joined(good), {"site.altitude=900 m"}, false},
  };
}

/// EPW: line 9 is 8 July 01:00, line 57 10 July 01:00. Cells: 6 dry bulb, 7 dew point, 8 humidity,
/// 9 pressure, 13 global radiation.
inline std::vector<WeatherFault> epw_faults() {
  const Lines good = epw_july();
  return {
      {"epw_no_location.epw", joined(without_lines(good, 1, 1))},
      {"epw_no_periods.epw", joined(without_lines(good, 8, 8))},
      {"epw_no_header.epw", joined(without_lines(good, 1, 8))},
      {"epw_header_only.epw", joined(without_lines(good, 9, good.size()))},
      {"epw_no_longitude.epw", joined(with_cells(good, 1, 1, 7, ""))},
      {"epw_four_an_hour.epw", joined(with_cells(good, 8, 8, 2, "4"))},
      {"epw_cut_in_line.epw", cut_within(good, 70, 90)},
      {"epw_cut_at_line.epw", joined(without_lines(good, 71, good.size()))},
      {"epw_comma_missing.epw", joined(with_cells(good, 65, 65, 6, "22.8;21.1"))},
      {"epw_gap.epw", joined(without_lines(good, 66, 66))},
      {"epw_reordered.epw", joined(swapped(good, 66, 67))},
      {"epw_twice.epw", joined(twice(good, 66))},
      {"epw_hour_0.epw", joined(with_cells(good, 57, 57, 3, "0"))},
      {"epw_30_february.epw",
       joined(with_cells(with_cells(good, 57, 57, 1, "2"), 57, 57, 2, "30"))},
      {"epw_text.epw", joined(with_cells(good, 66, 66, 13, "sunny"))},
      {"epw_pressure_in_hpa.epw", joined(with_cells(good, 9, good.size(), 9, "991"))},
      {"epw_negative_sun.epw", joined(with_cells(good, 66, 66, 13, "-1"))},
      {"epw_humidity_150.epw", joined(with_cells(good, 66, 66, 8, "150"))},
      {"epw_kelvin.epw", joined(with_cells(good, 9, 60, 7, "-273.15"))},
      {"epw_sun_missing.epw", joined(with_cells(good, 68, 69, 13, "9999"))},
      {"epw_air_missing.epw",
       joined(with_cells(with_cells(good, 60, 70, 7, "99.9"), 60, 70, 8, "999"))},
      {"epw_one_hour_missing.epw", joined(with_cells(good, 68, 68, 6, "99.9")), {}, false},
      {"epw_latin.epw", replaced(joined(good), "Greensboro",
                                 "Gr\xE9"
                                 "ensboro")},
      {"epw_utf16.epw", utf16(joined(good))},
  };
}

}  // namespace mistwright::test
