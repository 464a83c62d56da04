#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "models/sky/weather.h"
#include "models/units.h"
#include "sim/scenario/readers.h"
#include "sim/scenario/source.h"
#include "sim/scenario/weather_header.h"
#include "sim/scenario/weather_series.h"
#include "sim/scenario/weather_typical.h"

namespace mistwright::scenario {
namespace {

constexpr std::size_t most_bytes = 200u << 20;
constexpr int most_design_days = 31;

/// Where a typical year was measured against where the house stands.
void compare_places(Reading& reading, const Station& station) {
  const Site& site = reading.house.site;
  constexpr double far_rad = 0.5 * pi / 180.0;  // 56 km, or two minutes of the sun: our choice
  constexpr double far_up_m = 100.0;            // 12 hPa of pressure: our choice
  const auto apart = [](double a, double b) { return std::abs(std::remainder(a - b, 2.0 * pi)); };
  if (apart(station.latitude_rad, site.latitude_rad) > far_rad ||
      apart(station.longitude_rad, site.longitude_rad) > far_rad) {
    reading.warning("W0720", station.place_at,
                    fmt::format("the weather is of {:.2f}, {:.2f} degree; [site] is {:.2f}, {:.2f}",
                                degrees(station.latitude_rad), degrees(station.longitude_rad),
                                degrees(site.latitude_rad), degrees(site.longitude_rad)),
                    "latitude (north) and longitude (east); the sun is computed for [site]");
  }
  if (std::abs(station.elevation_m - site.altitude_m) > far_up_m) {
    reading.warning(
        "W0721", station.elevation_at,
        fmt::format("the weather is of {:g} m above the sea, [site] of {:g} m", station.elevation_m,
                    site.altitude_m),
        "temperature and pressure are taken as they are, not moved to the other height");
  }
}

/// The file's own zone, which the scenario may repeat but not change.
bool settle_zone(Reading& reading, Table& table, const Station& station, FileRules& rules) {
  if (table.has("time_zone")) {
    const auto zone = table.zone("time_zone");
    if (zone.good && zone.value != station.utc_offset_s) {
      Problem& p =
          reading.error("E0718", zone.at,
                        fmt::format("`time_zone` is {:g} h from UTC, the weather file says {:g} h",
                                    static_cast<double>(zone.value) / 3600.0,
                                    static_cast<double>(station.utc_offset_s) / 3600.0),
                        "leave `time_zone` of [weather] out: the file has its own");
      p.second = Second{station.zone_at, "standard time of its station"};
      return false;
    }
  }
  rules.utc_offset_s = station.utc_offset_s;
  return true;
}

/// Reads a weather file in whichever layout it has, told from its first lines.
WeatherTable read_weather_file(Reading& reading, std::shared_ptr<const SourceText> source,
                               Table* columns, const std::vector<double>& missing) {
  auto broken = screen_encoding(source);
  if (!broken.empty()) {
    reading.problems.insert(reading.problems.end(), broken.begin(), broken.end());
    return {};
  }
  source = without_mark(std::move(source));
  const Layout layout = layout_of(*source);
  if (layout == Layout::Plain) return read_weather_table(reading, source, columns, missing);
  return read_typical_year(reading, source, layout, missing);
}

void read_file_weather(Reading& reading, Table& table, const Got<std::string>& path,
                       FileRules rules) {
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
  WeatherTable file = read_weather_file(reading, source, columns ? &*columns : nullptr, missing);
  if (!file.good || !reading.span_good || !reading.site_good) return;
  if (file.station) {
    if (!settle_zone(reading, table, *file.station, rules)) return;
    compare_places(reading, *file.station);
  } else if (!table.has("time_zone")) {
    const Key* key = find_key("weather", "time_zone");
    reading.assume({"weather.time_zone", key->fallback, "", "", key->evidence, key->help});
  }
  if (auto series = weather_series(reading, std::move(file), rules)) {
    if (series->source.empty()) series->source = path.value;
    reading.house.weather = std::move(*series);
  }
}

void read_design_day(Reading& reading, Table& table, const FileRules& rules, bool wind_good) {
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
  if (!reading.span_good || !reading.site_good || !wind_good || !kind.good || !lowest.given ||
      !lowest.good || !highest.good || !highest.given || !dew.good || !dew.given)
    return;
  House& house = reading.house;
  const RunWindow window = run_window(house);
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
  if (day == file) {
    reading.error("E0201", day ? table.key_span("file") : table.at(),
                  day ? "[weather] has both `kind` and `file`" : "[weather] needs `kind` or `file`",
                  "`kind` is a built-in design day, `file` an hourly series");
  } else if (day) {
    read_design_day(reading, table, rules, wind_speed.good && wind_from.good);
  } else {
    rules.utc_offset_s =
        table.has("time_zone") ? table.zone("time_zone").value : reading.house.civil.utc_offset_s;
    const auto gaps = table.choice("gaps");
    rules.interpolate = gaps.value == 1;
    rules.max_gap_s = table.quantity("max_gap");
    read_file_weather(reading, table, table.text("file"), rules);
  }
  table.finish();
}

}  // namespace mistwright::scenario
