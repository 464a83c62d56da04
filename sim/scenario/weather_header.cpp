#include "sim/scenario/weather_header.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "models/units.h"
#include "sim/scenario/weather_columns.h"
#include "sim/scenario/weather_layouts.h"

namespace mistwright::scenario {
namespace {

constexpr int header_lines = 8;  // EPW's, from LOCATION to DATA PERIODS

/// A number of the station's line: what it is called, its limits and which cell it is.
struct StationCell {
  const char* what;
  double low, high;
  std::size_t index;
};

class HeaderReader {
 public:
  HeaderReader(Reading& reading, WeatherTable& table) : reading_(reading), out_(table) {}

  Header run() { return out_.layout == Layout::Tmy3 ? tmy3() : epw(); }

 private:
  [[nodiscard]] bool begins(int line, std::string_view with) const {
    return out_.source->line(line).starts_with(with);
  }

  Header unusable(const char* code, const Span& at, std::string message, std::string help) {
    reading_.error(code, at, std::move(message), std::move(help));
    return {};
  }

  double number(const StationCell& cell) {
    const auto parts = cells_of(out_, 1);
    const auto value = cell.index < parts.size() ? number_of(parts[cell.index]) : std::nullopt;
    if (value && *value >= cell.low && *value <= cell.high) return *value;
    reading_.error("E0719", cells_span(out_, 1, cell.index, cell.index),
                   fmt::format("the station's {} is not a number from {:g} to {:g}", cell.what,
                               cell.low, cell.high),
                   fmt::format("cell {} of line 1 gives it", cell.index + 1));
    return 0.0;
  }

  /// Time zone, latitude, longitude and elevation, from the first line; limits are EPW's.
  void read_station(std::size_t zone, std::size_t latitude) {
    Station s;
    s.utc_offset_s = std::llround(number({"time zone in hours", -12.0, 14.0, zone}) * 3600.0);
    s.latitude_rad = radians(number({"latitude in degrees", -90.0, 90.0, latitude}));
    s.longitude_rad = radians(number({"longitude in degrees", -180.0, 180.0, latitude + 1}));
    const std::size_t elevation = std::max(zone, latitude + 1) + 1;
    s.elevation_m = number({"elevation in metres", -1000.0, 9999.9, elevation});
    s.zone_at = cells_span(out_, 1, zone, zone);
    s.place_at = cells_span(out_, 1, latitude, latitude + 1);
    s.elevation_at = cells_span(out_, 1, elevation, elevation);
    out_.station = s;
  }

  Header tmy3() {
    if (begins(1, "Date (") || cells_of(out_, 1).size() != 7) {
      return unusable("E0702", cells_span(out_, 1, 0, 0),
                      fmt::format("`{}` has no line about the station", out_.source->name),
                      "TMY3 begins with seven cells: station number, name, state, time zone, "
                      "latitude, longitude, elevation");
    }
    if (!begins(2, "Date (")) {
      return unusable("E0702", cells_span(out_, 2, 0, 0),
                      fmt::format("`{}` has no line of headings", out_.source->name),
                      "TMY3's second line names the columns: Date (MM/DD/YYYY),Time (HH:MM),...");
    }
    read_station(3, 4);
    const auto about = cells_of(out_, 1);
    out_.credit =
        fmt::format("TMY3, station {} {}, {}", trim(about[0]), trim(about[1]), trim(about[2]));
    const auto headings = cells_of(out_, 2);
    out_.column_of(Role::Month) = 0;
    out_.column_of(Role::Hour) = 1;
    bool all = true;
    for (const Field& field : tmy3_fields) {
      const auto found =
          std::find_if(headings.begin(), headings.end(),
                       [&](std::string_view heading) { return trim(heading) == field.heading; });
      if (found != headings.end()) {
        out_.column_of(field.role) = static_cast<std::size_t>(found - headings.begin());
        continue;
      }
      reading_.error("E0703", cells_span(out_, 2, 0, headings.size() - 1),
                     fmt::format("`{}` has no column `{}`", out_.source->name, field.heading),
                     "TMY3's second line names it so; the order of the columns does not matter");
      all = false;
    }
    return {all ? 3 : 0, headings.size()};
  }

  Header epw() {
    if (!begins(1, "LOCATION,")) {
      return unusable("E0702", cells_span(out_, 1, 0, 0),
                      fmt::format("`{}` does not begin with the place", out_.source->name),
                      "EPW's first line is LOCATION,city,state,country,source,station,latitude,"
                      "longitude,time zone,elevation");
    }
    int periods = 2;
    while (periods <= header_lines && !begins(periods, "DATA PERIODS,")) ++periods;
    if (periods > header_lines) {
      int first = 2;
      while (first < header_lines && !number_of(cells_of(out_, first)[0])) ++first;
      return unusable(
          "E0702", cells_span(out_, first, 0, 0),
          fmt::format("`{}` has no line DATA PERIODS before its hours", out_.source->name),
          "it ends EPW's header of eight lines, such as DATA PERIODS,1,1,Data,Sunday,1/1,12/31");
    }
    read_station(8, 6);
    const auto about = cells_of(out_, 1);
    out_.credit = fmt::format("EPW, station {} {}, {}", about.size() > 5 ? trim(about[5]) : "",
                              trim(about[1]), about.size() > 2 ? trim(about[2]) : "");
    const auto data = cells_of(out_, periods);
    for (const auto& [cell, what] :
         {std::pair(std::size_t{1}, "period"), std::pair(std::size_t{2}, "record an hour")}) {
      if (cell < data.size() && number_of(data[cell]) == 1.0) continue;
      return unusable(
          "E0716", cells_span(out_, periods, cell, cell),
          fmt::format("only EPW with one {} is read", what),
          "a plain table (time, temperature, humidity, global_horizontal) may have any step");
    }
    out_.column_of(Role::Year) = 0;
    out_.column_of(Role::Month) = 1;
    out_.column_of(Role::Day) = 2;
    out_.column_of(Role::Hour) = 3;
    for (const Field& field : epw_fields) out_.column_of(field.role) = field.cell;
    return {periods + 1, epw_width(periods + 1)};
  }

  /// Older files leave out the last cells, of rain and snow: all rows have as many as the first.
  [[nodiscard]] std::size_t epw_width(int line) const {
    const std::size_t own = cells_of(out_, line).size();
    return own >= fewest_epw_cells && own < epw_cells ? own : epw_cells;
  }

  Reading& reading_;
  WeatherTable& out_;
};

bool number_at(const std::vector<std::string_view>& cells, std::size_t index) {
  return index < cells.size() && number_of(cells[index]).has_value();
}

/// 07/09/1981 as a cell.
bool tmy3_date(std::string_view cell) {
  return cell.size() == 10 && cell[2] == '/' && cell[5] == '/';
}

}  // namespace

Layout layout_of(const SourceText& text) {
  for (int line = 1; line <= header_lines; ++line) {
    const std::string_view words = text.line(line);
    if (words.starts_with("LOCATION,") || words.starts_with("DESIGN CONDITIONS,") ||
        words.starts_with("DATA PERIODS,"))
      return Layout::Epw;
    if (words.starts_with("Date (MM/DD/YYYY),")) return Layout::Tmy3;
  }
  const auto first = cells_of(text.line(1), ',');
  if (tmy3_date(first[0]) && first.size() > epw_cells) return Layout::Tmy3;
  const bool station =
      first.size() == 7 && number_at(first, 0) && number_at(first, 4) && number_at(first, 5);
  if (station) return Layout::Tmy3;
  const bool record = first.size() >= fewest_epw_cells && first.size() <= epw_cells &&
                      number_at(first, 0) && number_at(first, 3) && number_at(first, 6);
  return record ? Layout::Epw : Layout::Plain;
}

Header read_header(Reading& reading, WeatherTable& table) {
  return HeaderReader(reading, table).run();
}

}  // namespace mistwright::scenario
