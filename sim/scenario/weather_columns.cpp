#include "sim/scenario/weather_columns.h"

#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <chrono>
#include <cmath>

#include "sim/scenario/source.h"

namespace mistwright::scenario {
namespace {

constexpr std::size_t most_cells = 1000;

constexpr std::array<RoleInfo, role_count> roles{{
    {"time", "time|datetime|date_time|timestamp", {}, "", ""},
    {"", "year", {}, "", ""},
    {"", "month", {}, "", ""},
    {"", "day", {}, "", ""},
    {"", "hour_ending", {}, "", ""},
    {"temperature", "temperature|air_temperature|dry_bulb|dry_bulb_temperature", Kind::Temperature,
     "-90 degC", "60 degC"},
    {"relative_humidity", "relative_humidity|humidity|rh", Kind::Fraction, "0 %", "105 %"},
    {"dew_point", "dew_point|dew_point_temperature", Kind::Temperature, "-90 degC", "40 degC"},
    {"pressure", "pressure|air_pressure", Kind::AbsolutePressure, "40 kPa", "110 kPa"},
    {"wind_speed", "wind_speed", Kind::Speed, "0 m/s", "80 m/s"},
    {"wind_from", "wind_from|wind_direction|wind_from_direction", Kind::Angle, "0 degree",
     "360 degree"},
    {"global_horizontal", "global_horizontal|global_radiation|ghi", Kind::Irradiance, "-10 W/m2",
     "1700 W/m2"},
    {"direct_normal", "direct_normal|dni", Kind::Irradiance, "-10 W/m2", "1400 W/m2"},
    {"diffuse_horizontal", "diffuse_horizontal|dhi", Kind::Irradiance, "-10 W/m2", "1200 W/m2"},
}};

/// Unit endings of headings such as dry_bulb_degC.
constexpr std::array<std::pair<const char*, const char*>, 14> endings{{{"_degC", "degC"},
                                                                       {"_degF", "degF"},
                                                                       {"_K", "K"},
                                                                       {"_percent", "%"},
                                                                       {"_fraction", "1"},
                                                                       {"_hPa", "hPa"},
                                                                       {"_kPa", "kPa"},
                                                                       {"_Pa", "Pa"},
                                                                       {"_deg", "degree"},
                                                                       {"_m_s", "m/s"},
                                                                       {"_km_h", "km/h"},
                                                                       {"_mph", "mph"},
                                                                       {"_W_m2", "W/m2"},
                                                                       {"_kJ_m2_h", "kJ/m2/h"}}};

std::string plain(std::string text) {
  for (char& c : text)
    c = c == ' ' || c == '-' ? '_' : c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  return text;
}

bool is_one_of(const std::string& word, std::string_view list) {
  while (!list.empty()) {
    const std::size_t bar = std::min(list.find('|'), list.size());
    if (list.substr(0, bar) == word) return true;
    list.remove_prefix(std::min(bar + 1, list.size()));
  }
  return false;
}

/// Walks over digits and the marks between them.
struct Cursor {
  std::string_view text;
  std::size_t at = 0;

  [[nodiscard]] char next() const { return at < text.size() ? text[at] : '\0'; }
  [[nodiscard]] bool done() const { return at == text.size(); }
  bool number(std::size_t digits, int& value) {
    if (at + digits > text.size()) return false;
    const auto [end, error] = std::from_chars(text.data() + at, text.data() + at + digits, value);
    at += digits;
    return error == std::errc() && end == text.data() + at && value >= 0;
  }
  /// Two digits after a mark.
  bool after(char mark, int& value) {
    if (next() != mark) return false;
    ++at;
    return number(2, value);
  }
};

/// Z, or an offset such as +01:00, to the end of the text.
bool read_zone(Cursor& cursor, TableRow& row) {
  row.zoned_utc = true;
  const char mark = cursor.next();
  if (mark == 'Z') {
    ++cursor.at;
    return cursor.done();
  }
  int hours = 0;
  int minutes = 0;
  if ((mark != '+' && mark != '-') || !cursor.after(mark, hours) || !cursor.after(':', minutes))
    return false;
  row.time.zone_minutes = (mark == '-' ? -1 : 1) * (hours * 60 + minutes);
  return cursor.done();
}

}  // namespace

std::string trim(std::string_view text) {
  const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '"' || c == '\r'; };
  while (!text.empty() && blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && blank(text.back())) text.remove_suffix(1);
  return std::string(text);
}

Heading part_heading(const std::string& heading) {
  for (const auto& [open, close] : {std::pair('[', ']'), std::pair('(', ')')}) {
    const std::size_t at = heading.find(open);
    if (at != std::string::npos && heading.back() == close) {
      return {trim(heading.substr(0, at)),
              trim(std::string_view(heading).substr(at + 1, heading.size() - at - 2))};
    }
  }
  for (const auto& [ending, unit] : endings) {
    const std::string_view end = ending;
    if (heading.size() > end.size() &&
        heading.compare(heading.size() - end.size(), end.size(), end) == 0) {
      return {heading.substr(0, heading.size() - end.size()), unit};
    }
  }
  return {heading, ""};
}

std::vector<std::string_view> cells_of(std::string_view line, char delimiter) {
  std::vector<std::string_view> cells;
  bool quoted = false;
  std::size_t start = 0;
  for (std::size_t i = 0; i <= line.size(); ++i) {
    if (i < line.size() && line[i] == '"') quoted = !quoted;
    if (i == line.size() || (line[i] == delimiter && !quoted)) {
      cells.push_back(line.substr(start, i - start));
      start = i + 1;
    }
  }
  return cells;
}

std::vector<std::string_view> cells_of(const WeatherTable& table, int line) {
  return cells_of(table.source->line(line), table.delimiter);
}

Span cells_span(const WeatherTable& table, int line, std::size_t first, std::size_t last) {
  const auto cells = cells_of(table, line);
  const auto offset = [&](const char* at) {
    return static_cast<std::size_t>(at - table.source->text.data());
  };
  const auto end_of = [](std::string_view cell) { return cell.data() + cell.size(); };
  if (first >= cells.size()) return span_at(table.source, offset(end_of(cells.back())), 1);
  const char* end = end_of(cells[std::min(last, cells.size() - 1)]);
  std::string_view stretch(cells[first].data(),
                           static_cast<std::size_t>(end - cells[first].data()));
  const auto blank = [](char c) { return c == ' ' || c == '\t'; };
  while (!stretch.empty() && blank(stretch.front())) stretch.remove_prefix(1);
  while (!stretch.empty() && blank(stretch.back())) stretch.remove_suffix(1);
  return span_at(table.source, offset(stretch.data()), stretch.size());
}

Span role_span(const WeatherTable& table, int line, Role role) {
  const auto column = table.column_of(role);
  return cells_span(table, line, column.value_or(0), column.value_or(most_cells));
}

Span when_span(const WeatherTable& table, int line) {
  std::size_t first = most_cells;
  std::size_t last = 0;
  for (const Role role : {Role::Time, Role::Year, Role::Month, Role::Day, Role::Hour}) {
    if (const auto column = table.column_of(role)) {
      first = std::min(first, *column);
      last = std::max(last, *column);
    }
  }
  return cells_span(table, line, std::min(first, last), last);
}

std::optional<double> number_of(std::string_view cell) {
  const std::string text = trim(cell);
  double value = 0.0;
  const char* begin = text.data() + (!text.empty() && text[0] == '+' ? 1 : 0);
  const auto [end, error] = std::from_chars(begin, text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size() || !std::isfinite(value))
    return std::nullopt;
  return value;
}

bool read_time(std::string_view cell, TableRow& row) {
  const std::string text = trim(cell);
  WrittenTime& t = row.time;
  Cursor cursor{text};
  if (!cursor.number(4, t.year) || !cursor.after('-', t.month) || !cursor.after('-', t.day))
    return false;
  const bool timed = cursor.next() == 'T' || cursor.next() == ' ';
  if (timed && (!cursor.after(cursor.next(), t.hour) || !cursor.after(':', t.minute))) return false;
  if (cursor.next() == ':' && !cursor.after(':', t.second)) return false;
  return cursor.done() || read_zone(cursor, row);
}

std::string counted(std::size_t count, const char* what) {
  return fmt::format("{} {}{}", count, what, count == 1 ? "" : "s");
}

bool real_date(const WrittenTime& t, bool typical) {
  if (t.month < 1 || t.month > 12 || t.day < 1 || t.day > 31 || t.hour < 0 || t.hour > 24 ||
      t.minute > 59 || t.second > 59)
    return false;
  if (!typical && (t.year < 1800 || t.year > 2300)) return false;
  const std::chrono::year_month_day date{std::chrono::year{typical ? year_of_366_days : t.year},
                                         std::chrono::month{static_cast<unsigned>(t.month)},
                                         std::chrono::day{static_cast<unsigned>(t.day)}};
  return date.ok();
}

const RoleInfo& role_info(Role role) {
  return roles[static_cast<std::size_t>(role)];
}

bool names_role(const std::string& heading, const RoleInfo& role) {
  return is_one_of(plain(heading), role.headings);
}

}  // namespace mistwright::scenario
