#include "sim/scenario/weather_series.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/sky/radiation.h"
#include "models/sky/sun.h"
#include "models/units.h"
#include "sim/scenario/readers.h"
#include "sim/scenario/weather_columns.h"
#include "sim/scenario/weather_gaps.h"
#include "sim/scenario/weather_laying.h"

namespace mistwright::scenario {
namespace {

/// Whether the rows of the file rise in time.
bool rising(Reading& reading, const WeatherTable& table, const FileRules& rules) {
  for (std::size_t i = 1; i < table.rows.size(); ++i) {
    const TableRow& row = table.rows[i];
    const TableRow& before = table.rows[i - 1];
    const std::int64_t step_s =
        file_instant(table, row, rules) - file_instant(table, before, rules);
    if (step_s > 0) continue;
    const std::string back =
        rounded(static_cast<double>(-step_s), step_s % hour_s == 0 ? "h" : "min");
    Problem& p = reading.error(
        "E0710", when_span(table, row.line),
        step_s == 0 ? fmt::format("line {} has the same time as line {}", row.line, before.line)
                    : fmt::format("line {} is {} before line {}", row.line, back, before.line));
    if (table.layout != Layout::Plain) {
      p.help = step_s == 0 ? "each hour comes once: one of the two lines must go"
                           : "hours rise from 1 January to 31 December: were lines moved?";
    } else {
      p.help = step_s == 0 || step_s == -hour_s
                   ? "looks like a local clock set back; give `time_zone`, or use UTC"
                   : "rows must rise in time";
    }
    p.second = Second{when_span(table, before.line), "the row before"};
    return false;
  }
  return true;
}

std::string in_hours(std::int64_t s) {
  return rounded(static_cast<double>(s), s % hour_s == 0 || s > 10 * hour_s ? "h" : "min");
}

/// Drops rows that the run does not need, but for one on each side of it.
std::vector<Timed> needed_rows(const std::vector<Timed>& rows, const RunWindow& window) {
  std::size_t first = 0;
  while (first + 1 < rows.size() && rows[first + 1].utc_s <= window.from_s) ++first;
  std::size_t last = rows.size();
  while (last > first + 1 && rows[last - 2].utc_s >= window.to_s) --last;
  return {rows.begin() + static_cast<std::ptrdiff_t>(first),
          rows.begin() + static_cast<std::ptrdiff_t>(last)};
}

/// Drops rows of a plain table that lack a value every row must have; what that leaves out counts
/// as a gap.
void drop_lacking(Reading& reading, const WeatherTable& table, std::vector<Timed>& rows,
                  const RunWindow& window) {
  const auto lacks = [&](const Timed& t) {
    const TableRow& row = *t.row;
    return !row.at(Role::Temperature) || !row.at(Role::GlobalHorizontal) ||
           (!row.at(Role::RelativeHumidity) && !row.at(Role::DewPoint));
  };
  Tally lacking;
  const TableRow* first = nullptr;
  for (const Timed& t : rows) {
    if (t.utc_s <= window.from_s || t.utc_s >= window.to_s || !lacks(t)) continue;
    if (first == nullptr) first = t.row;
    lacking.add(t.row->line);
  }
  if (first != nullptr) {
    const Role role = !first->at(Role::Temperature)        ? Role::Temperature
                      : !first->at(Role::GlobalHorizontal) ? Role::GlobalHorizontal
                      : table.column_of(Role::DewPoint)    ? Role::DewPoint
                                                           : Role::RelativeHumidity;
    reading.warning(
        "W0725", role_span(table, first->line, role),
        fmt::format("{} of the run lack{} a value, first line {}", counted(lacking.count, "row"),
                    lacking.count == 1 ? "s" : "", lacking.line),
        "the rows around them are joined by straight lines, within `max_gap`");
  }
  rows.erase(std::remove_if(rows.begin(), rows.end(), lacks), rows.end());
}

/// Whether the rows reach over the whole run.
bool reaches(Reading& reading, const WeatherTable& table, const std::vector<Timed>& rows,
             const RunWindow& window) {
  const std::int64_t offset_s = reading.house.civil.utc_offset_s;
  const auto fault = [&](std::string message, std::string help) {
    reading.error("E0711", reading.places["span.length"], std::move(message), std::move(help));
    return false;
  };
  if (rows.size() < 2) {
    const WrittenTime& first = table.rows.front().time;
    const WrittenTime& last = table.rows.back().time;
    return fault(fmt::format("`{}` has fewer than two rows for this run", table.source->name),
                 table.typical
                     ? fmt::format("its first row is of {:02}-{:02}, its last of {:02}-{:02}: run "
                                   "another part of the year, or take a whole year's file",
                                   first.month, first.day, last.month, last.day)
                     : "");
  }
  if (rows.front().utc_s > window.from_s) {
    return fault(fmt::format("run begins {}, weather {}", stamp(window.from_s, offset_s),
                             stamp(rows.front().utc_s, offset_s)),
                 "begin `span` later or add rows");
  }
  if (rows.back().utc_s < window.to_s) {
    return fault(fmt::format("run ends {}, weather {}", stamp(window.to_s, offset_s),
                             stamp(rows.back().utc_s, offset_s)),
                 "shorten `span` or add rows");
  }
  return true;
}

/// Whether no stretch of the run is without rows for longer than the rules allow.
bool without_gaps(Reading& reading, const WeatherTable& table, const FileRules& rules,
                  const std::vector<Timed>& rows) {
  const std::int64_t offset_s = reading.house.civil.utc_offset_s;
  const bool hourly = table.layout != Layout::Plain;
  // Longer intervals than a day have no sun to follow.
  Got<double> most_s = rules.max_gap_s;
  if (rules.interpolate) {
    most_s = {.value = day_s, .typed = "1 d"};
  } else if (hourly && !most_s.given) {
    most_s = {.value = hour_s, .typed = "1 h"};
  }
  Tally bridged;
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const std::int64_t gap_s = rows[i].utc_s - rows[i - 1].utc_s;
    if (hourly && gap_s > hour_s) bridged.add(rows[i].row->line);
    if (static_cast<double>(gap_s) <= most_s.value) continue;
    const std::string to = stamp(rows[i].utc_s, offset_s);
    const std::string from = stamp(rows[i - 1].utc_s, offset_s);
    Problem& p = reading.error(
        "E0712", when_span(table, rows[i].row->line),
        fmt::format("weather has no rows from {} to {} ({}; allowed {})", from,
                    from.substr(0, 10) == to.substr(0, 10) ? to.substr(11) : to, in_hours(gap_s),
                    most_s.typed),
        gap_s > day_s ? "no more than a day can be bridged: add rows or run another span"
                      : fmt::format("`gaps = \"interpolate\"` or `max_gap = \"{} h\"` if you "
                                    "accept it",
                                    (gap_s + hour_s - 1) / hour_s));
    p.second = Second{when_span(table, rows[i - 1].row->line), "the last row before the gap"};
    return false;
  }
  if (bridged.count > 0) {
    reading.warning("W0726", when_span(table, bridged.line),
                    fmt::format("{} in the weather of the run, first before line {}",
                                counted(bridged.count, "gap"), bridged.line),
                    "bridged by straight lines; the next hour's radiation is spread over the gap");
  }
  return true;
}

bool has_parts(const TableRow& row) {
  return row.at(Role::DirectNormal) && row.at(Role::DiffuseHorizontal);
}

sky::Weather weather_of(const House& house, const TableRow& row, const FileRules& rules) {
  sky::Weather w;
  w.temperature_K = *row.at(Role::Temperature);
  const double saturated_Pa =
      air::saturation_pressure_Pa(std::clamp(w.temperature_K, 220.0, 400.0));
  w.vapour_pressure_Pa =
      row.at(Role::DewPoint)
          ? std::min(saturated_Pa,
                     air::saturation_pressure_Pa(std::max(*row.at(Role::DewPoint), 220.0)))
          : std::min(1.0, *row.at(Role::RelativeHumidity)) * saturated_Pa;
  w.pressure_Pa =
      row.at(Role::Pressure).value_or(air::pressure_at_altitude_Pa(house.site.altitude_m));
  w.wind_speed_m_per_s = row.at(Role::WindSpeed).value_or(rules.wind_speed_m_per_s);
  w.wind_from_rad = row.at(Role::WindFrom).value_or(rules.wind_from_rad);
  w.global_horizontal_W_per_m2 = *row.at(Role::GlobalHorizontal);
  if (has_parts(row)) {
    w.direct_normal_W_per_m2 = *row.at(Role::DirectNormal);
    w.diffuse_horizontal_W_per_m2 = *row.at(Role::DiffuseHorizontal);
  }
  return w;
}

/// The sun at the middle of the interval that ends at a row.
sky::SunPosition sun_of(const House& house, std::int64_t from_s, std::int64_t to_s) {
  return sky::sun_position({.utc_s = 0.5 * static_cast<double>(from_s + to_s),
                            .latitude_rad = house.site.latitude_rad,
                            .longitude_rad = house.site.longitude_rad,
                            .altitude_m = house.site.altitude_m});
}

/// Cloud from how far global radiation falls short of the clear sky's, by Kasten and Czeplak 1980
/// turned round; while the sun is low the last value holds.
void fill_cloud(const House& house, std::vector<sky::WeatherRow>& rows) {
  constexpr double lowest_sun_rad = 0.17;  // 10 degrees: below it the ratio says little
  double cloud = 0.3;
  bool known = false;
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const auto sun = sun_of(house, rows[i - 1].utc_s, rows[i].utc_s);
    if (sun.unrefracted_elevation_rad > lowest_sun_rad) {
      const double clear = sky::clear_sky_global_W_per_m2(sun.zenith_rad);
      const double ratio =
          std::clamp(rows[i].weather.global_horizontal_W_per_m2 / clear, 0.25, 1.0);
      cloud = std::min(1.0, std::pow((1.0 - ratio) / 0.75, 1.0 / 3.4));
      if (!known) {
        for (std::size_t j = 0; j < i; ++j) rows[j].weather.cloud_fraction = cloud;
      }
      known = true;
    }
    rows[i].weather.cloud_fraction = cloud;
  }
}

/// The rows that a run uses, told what is wrong with them; none after an error.
std::vector<Timed> rows_of_run(Reading& reading, WeatherTable& table, const FileRules& rules) {
  const RunWindow window = run_window(reading.house);
  const bool plain = table.layout == Layout::Plain;
  if (!rising(reading, table, rules)) return {};
  if (!plain) fill_short_gaps(table);
  auto all = timed_rows(reading, table, rules, window);
  if (plain) drop_lacking(reading, table, all, window);
  auto rows = needed_rows(all, window);
  if (!reaches(reading, table, rows, window) || !without_gaps(reading, table, rules, rows))
    return {};
  if (!plain && !tell_missing(reading, table, rows)) return {};
  return rows;
}

}  // namespace

RunWindow run_window(const House& house) {
  const auto length_s = (house.span.count() + 999'999) / 1'000'000;
  return {house.civil.start_utc_s, house.civil.start_utc_s + length_s};
}

std::optional<sky::WeatherSeries> weather_series(Reading& reading, WeatherTable table,
                                                 const FileRules& rules) {
  const auto rows = rows_of_run(reading, table, rules);
  if (rows.empty()) return std::nullopt;
  const House& house = reading.house;
  sky::WeatherSeries series;
  series.latitude_rad = house.site.latitude_rad;
  series.longitude_rad = house.site.longitude_rad;
  series.altitude_m = house.site.altitude_m;
  series.source = table.credit;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    sky::WeatherRow row{rows[i].utc_s, weather_of(house, *rows[i].row, rules)};
    if (!has_parts(*rows[i].row) && i > 0) {
      const auto sun = sun_of(house, rows[i - 1].utc_s, rows[i].utc_s);
      const auto parts = sky::split_global(
          {row.weather.global_horizontal_W_per_m2, 0.5 * pi - sun.unrefracted_elevation_rad,
           sky::extraterrestrial_normal_W_per_m2(sun.distance_AU)});
      row.weather.direct_normal_W_per_m2 = parts.direct_normal_W_per_m2;
      row.weather.diffuse_horizontal_W_per_m2 = parts.diffuse_horizontal_W_per_m2;
    }
    series.rows.push_back(row);
  }
  fill_cloud(house, series.rows);
  return series;
}

}  // namespace mistwright::scenario
