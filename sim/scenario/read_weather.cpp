#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/sky/radiation.h"
#include "models/sky/sun.h"
#include "models/sky/weather.h"
#include "models/units.h"
#include "sim/scenario/readers.h"
#include "sim/scenario/weather_table.h"

namespace mistwright::scenario {
namespace {

constexpr std::size_t most_bytes = 200u << 20;
constexpr int most_design_days = 31;

/// How a weather file is to be taken.
struct FileRules {
  std::int64_t utc_offset_s = 0;
  bool interpolate = false;
  double max_gap_s = 0.0;
  std::string max_gap_typed;
  double wind_speed_m_per_s = 0.0, wind_from_rad = 0.0;
  bool wind_good = false;
};

/// A row with its instant.
struct Timed {
  std::int64_t utc_s = 0;
  const TableRow* row = nullptr;
};

struct Window {
  std::int64_t from_s = 0, to_s = 0;
};

Window run_window(const House& house) {
  const auto length_s = (house.span.count() + 999'999) / 1'000'000;
  return {house.civil.start_utc_s, house.civil.start_utc_s + length_s};
}

/// Rows in time around the run. A typical year has no year of its own and is laid over every year
/// that the run touches.
std::vector<Timed> timed_rows(const WeatherTable& table, const FileRules& rules,
                              const Window& window) {
  std::vector<Timed> out;
  const auto instant = [&](const TableRow& row, int year) {
    WrittenTime t = row.time;
    if (table.typical) t.year = year;
    return utc_of(t, row.zoned_utc ? std::int64_t{t.zone_minutes} * 60 : rules.utc_offset_s);
  };
  if (!table.typical) {
    for (const TableRow& row : table.rows) out.push_back({instant(row, 0), &row});
    return out;
  }
  const auto year_of = [](std::int64_t utc_s) { return std::stoi(stamp(utc_s, 0).substr(0, 4)); };
  constexpr std::int64_t margin_s = std::int64_t{2} * 86400;
  for (int year = year_of(window.from_s) - 1; year <= year_of(window.to_s) + 1; ++year) {
    const bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    for (const TableRow& row : table.rows) {
      if (row.time.month == 2 && row.time.day == 29 && !leap) continue;
      const std::int64_t utc_s = instant(row, year);
      if (utc_s >= window.from_s - margin_s && utc_s <= window.to_s + margin_s)
        out.push_back({utc_s, &row});
    }
  }
  return out;
}

bool rising(Reading& reading, const WeatherTable& table, const std::vector<Timed>& rows) {
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const std::int64_t step_s = rows[i].utc_s - rows[i - 1].utc_s;
    if (step_s > 0) continue;
    const int line = rows[i].row->line;
    const std::string back =
        rounded(static_cast<double>(-step_s), step_s % 3600 == 0 ? "h" : "min");
    Problem& p = reading.error(
        "E0710", Span{table.source, line, 1, static_cast<int>(table.source->line(line).size())},
        step_s == 0
            ? fmt::format("line {} has the same time as line {}", line, rows[i - 1].row->line)
            : fmt::format("line {} is {} before line {}", line, back, rows[i - 1].row->line));
    p.help = step_s == 0 || step_s == -3600
                 ? "looks like a local clock set back; give `time_zone`, or use UTC"
                 : "rows must rise in time";
    const int before = rows[i - 1].row->line;
    p.second =
        Second{Span{table.source, before, 1, static_cast<int>(table.source->line(before).size())},
               "the row before"};
    return false;
  }
  return true;
}

std::string in_hours(std::int64_t s) {
  return rounded(static_cast<double>(s), s % 3600 == 0 || s > 36000 ? "h" : "min");
}

/// Drops rows that lack a value every row must have, and rows that the run does not need.
std::vector<Timed> needed_rows(std::vector<Timed> rows, const Window& window) {
  const auto lacks = [&](const Timed& t) {
    const TableRow& row = *t.row;
    return !row.at(Role::Temperature) || !row.at(Role::GlobalHorizontal) ||
           (!row.at(Role::RelativeHumidity) && !row.at(Role::DewPoint));
  };
  rows.erase(std::remove_if(rows.begin(), rows.end(), lacks), rows.end());
  std::size_t first = 0;
  while (first + 1 < rows.size() && rows[first + 1].utc_s <= window.from_s) ++first;
  std::size_t last = rows.size();
  while (last > first + 1 && rows[last - 2].utc_s >= window.to_s) --last;
  return {rows.begin() + static_cast<std::ptrdiff_t>(first),
          rows.begin() + static_cast<std::ptrdiff_t>(last)};
}

bool covers(Reading& reading, const WeatherTable& table, const FileRules& rules,
            const std::vector<Timed>& rows, const Window& window) {
  const std::int64_t offset_s = reading.house.civil.utc_offset_s;
  const Span& at = reading.places["span.length"];
  if (rows.size() < 2) {
    reading.error("E0711", at,
                  fmt::format("`{}` has fewer than two rows for this run", table.source->name));
    return false;
  }
  if (rows.front().utc_s > window.from_s) {
    reading.error("E0711", at,
                  fmt::format("run begins {}, weather {}", stamp(window.from_s, offset_s),
                              stamp(rows.front().utc_s, offset_s)),
                  "begin `span` later or add rows");
    return false;
  }
  if (rows.back().utc_s < window.to_s) {
    reading.error("E0711", at,
                  fmt::format("run ends {}, weather {}", stamp(window.to_s, offset_s),
                              stamp(rows.back().utc_s, offset_s)),
                  "shorten `span` or add rows");
    return false;
  }
  if (rules.interpolate) return true;
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const std::int64_t gap_s = rows[i].utc_s - rows[i - 1].utc_s;
    if (static_cast<double>(gap_s) <= rules.max_gap_s) continue;
    const std::string to = stamp(rows[i].utc_s, offset_s);
    const std::string from = stamp(rows[i - 1].utc_s, offset_s);
    const int line = rows[i].row->line;
    Problem& p = reading.error(
        "E0712", Span{table.source, line, 1, static_cast<int>(table.source->line(line).size())},
        fmt::format("weather has no rows from {} to {} ({}; allowed {})", from,
                    from.substr(0, 10) == to.substr(0, 10) ? to.substr(11) : to, in_hours(gap_s),
                    rules.max_gap_typed),
        fmt::format("`gaps = \"interpolate\"` or `max_gap = \"{} h\"` if you accept it",
                    (gap_s + 3599) / 3600));
    const int before = rows[i - 1].row->line;
    p.second =
        Second{Span{table.source, before, 1, static_cast<int>(table.source->line(before).size())},
               "the last row before the gap"};
    return false;
  }
  return true;
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
  w.pressure_Pa = row.at(Role::Pressure).value_or(air::standard_pressure_Pa(house.site.altitude_m));
  w.wind_speed_m_per_s = row.at(Role::WindSpeed).value_or(rules.wind_speed_m_per_s);
  w.wind_from_rad = row.at(Role::WindFrom).value_or(rules.wind_from_rad);
  w.global_horizontal_W_per_m2 = *row.at(Role::GlobalHorizontal);
  if (row.at(Role::DirectNormal) && row.at(Role::DiffuseHorizontal)) {
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

void read_file_weather(Reading& reading, Table& table, const Got<std::string>& path,
                       const FileRules& rules) {
  std::vector<double> missing;
  if (table.has("missing")) {
    if (const Value* list = table.raw("missing")) {
      for (const Value& item : list->items)
        missing.push_back(table.item(item, Kind::Number, "missing").value);
    }
  }
  std::optional<Table> columns;
  if (table.has("columns")) {
    if (const Value* map = table.raw("columns"))
      columns.emplace(reading, map, "weather.columns", table.key_span("columns"));
  }
  if (columns) columns->finish();
  const auto source = open_beside(reading, path, most_bytes);
  if (!source) return;
  const WeatherTable file =
      read_weather_table(reading, source, columns ? &*columns : nullptr, missing);
  if (!file.good || !reading.span_good || !reading.site_good) return;
  House& house = reading.house;
  const Window window = run_window(house);
  const auto all = timed_rows(file, rules, window);
  if (!rising(reading, file, all)) return;
  const auto rows = needed_rows(all, window);
  if (!covers(reading, file, rules, rows, window)) return;
  sky::WeatherSeries& series = house.weather;
  series.latitude_rad = house.site.latitude_rad;
  series.longitude_rad = house.site.longitude_rad;
  series.altitude_m = house.site.altitude_m;
  series.source = file.credit.empty() ? path.value : file.credit;
  const bool split = !file.has[static_cast<std::size_t>(Role::DirectNormal)] ||
                     !file.has[static_cast<std::size_t>(Role::DiffuseHorizontal)];
  for (std::size_t i = 0; i < rows.size(); ++i) {
    sky::WeatherRow row{rows[i].utc_s, weather_of(house, *rows[i].row, rules)};
    if (split && i > 0) {
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
}

void read_design_day(Reading& reading, Table& table, const FileRules& rules) {
  const auto kind = table.choice("kind");
  for (const char* key : {"lowest", "highest", "dew_point"}) {
    if (!table.has(key)) table.missing(key);
  }
  const auto lowest = table.quantity("lowest");
  const auto highest = table.quantity("highest");
  const auto dew = table.quantity("dew_point");
  if (lowest.good && highest.good && lowest.value > highest.value) {
    Problem& p = reading.error("E0713", lowest.at,
                               fmt::format("the lowest temperature ({}) is above the highest ({})",
                                           lowest.typed, highest.typed),
                               "swapped?");
    p.second = Second{highest.at, "the highest"};
    return;
  }
  if (dew.good && highest.good && dew.value > highest.value) {
    reading.error("E0714", dew.at,
                  fmt::format("the dew point ({}) is above the highest temperature ({})", dew.typed,
                              highest.typed),
                  "air cannot hold that much: is this the wet bulb, or in another unit?");
    return;
  }
  if (!reading.span_good || !reading.site_good || !rules.wind_good || !kind.good || !lowest.given ||
      !lowest.good || !highest.good || !highest.given || !dew.good || !dew.given)
    return;
  House& house = reading.house;
  const Window window = run_window(house);
  const std::int64_t local_s = window.from_s + house.civil.utc_offset_s;
  const std::int64_t midnight_s = local_s - ((local_s % 86400) + 86400) % 86400;
  const std::int64_t days = (window.to_s + house.civil.utc_offset_s - midnight_s + 86399) / 86400;
  if (days > most_design_days) {
    reading.error("E0715", reading.places["span.length"],
                  fmt::format("a design day is repeated for at most {} days", most_design_days),
                  "shorten `span`, or give a weather `file`");
    return;
  }
  house.weather = sky::design_day({.local_midnight_utc_s = midnight_s - house.civil.utc_offset_s,
                                   .days = static_cast<int>(std::max<std::int64_t>(days, 1)),
                                   .latitude_rad = house.site.latitude_rad,
                                   .longitude_rad = house.site.longitude_rad,
                                   .altitude_m = house.site.altitude_m,
                                   .lowest_temperature_K = lowest.value,
                                   .highest_temperature_K = highest.value,
                                   .dew_point_K = dew.value,
                                   .wind_speed_m_per_s = rules.wind_speed_m_per_s,
                                   .wind_from_rad = rules.wind_from_rad,
                                   .cloudy = kind.value == 1});
}

}  // namespace

void read_weather(Reading& reading, const Value& root) {
  Table table = table_of(reading, root, "weather");
  const bool day = table.has("kind");
  const bool file = table.has("file");
  FileRules rules;
  const auto wind_speed = table.quantity("wind_speed");
  const auto wind_from = table.quantity("wind_from");
  rules.wind_speed_m_per_s = wind_speed.value;
  rules.wind_from_rad = wind_from.value;
  rules.wind_good = wind_speed.good && wind_from.good;
  if (day == file) {
    reading.error("E0201", day ? table.key_span("file") : table.at(),
                  day ? "[weather] has both `kind` and `file`" : "[weather] needs `kind` or `file`",
                  "`kind` is a built-in design day, `file` an hourly series");
  } else if (day) {
    read_design_day(reading, table, rules);
  } else {
    rules.utc_offset_s =
        table.has("time_zone") ? table.zone("time_zone").value : reading.house.civil.utc_offset_s;
    if (!table.has("time_zone")) {
      const Key* key = find_key("weather", "time_zone");
      reading.assume({"weather.time_zone", key->fallback, "", "", key->evidence, key->help});
    }
    const auto gaps = table.choice("gaps");
    const auto max_gap = table.quantity("max_gap");
    rules.interpolate = gaps.value == 1;
    rules.max_gap_s = max_gap.value;
    rules.max_gap_typed = max_gap.typed;
    read_file_weather(reading, table, table.text("file"), rules);
  }
  table.finish();
}

}  // namespace mistwright::scenario
