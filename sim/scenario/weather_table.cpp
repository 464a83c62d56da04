#include "sim/scenario/weather_table.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "sim/scenario/source.h"

namespace mistwright::scenario {
namespace {

constexpr std::size_t most_columns = 256;
constexpr std::size_t most_rows = 5'000'000;
constexpr std::size_t most_line_bytes = 64u << 10;

/// A role: its key in [weather.columns], other headings by which it is known, what it measures, and
/// values beyond which something else must have been meant.
struct RoleInfo {
  const char* key;
  const char* headings;  ///< parted by `|`, lower case, `_` for blanks
  std::optional<Kind> kind;
  const char* low;
  const char* high;
};

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

struct Heading {
  std::string name;  ///< without its unit
  std::string unit;
};

std::string trim(std::string_view text) {
  const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '"' || c == '\r'; };
  while (!text.empty() && blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && blank(text.back())) text.remove_suffix(1);
  return std::string(text);
}

Heading part(const std::string& heading) {
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

/// A column in use: its role, its place, and how its numbers become SI.
struct Column {
  Role role = Role::Time;
  std::size_t index = 0;
  std::string heading;
  std::string unit;
  double factor = 1.0, offset = 0.0;
  double low = -1e300, high = 1e300;
  // What was found in it.
  std::size_t not_numbers = 0, out_of_range = 0;
  int first_bad_line = 0, first_out_line = 0;
  std::string first_bad = {}, first_out = {};
  bool mark_999 = false;
  double largest = -1e300;
  std::size_t numbers = 0;
};

std::optional<double> number_of(std::string_view cell) {
  const std::string text = trim(cell);
  double value = 0.0;
  const char* begin = text.data() + (!text.empty() && text[0] == '+' ? 1 : 0);
  const auto [end, error] = std::from_chars(begin, text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size() || !std::isfinite(value))
    return std::nullopt;
  return value;
}

/// 2025-06-03T13:00, with a blank for the T, seconds and a zone as wanted.
bool read_time(std::string_view cell, TableRow& row) {
  const std::string text = trim(cell);
  std::size_t at = 0;
  const auto number = [&](std::size_t digits, int& value, char before) {
    if (before != '\0') {
      if (at >= text.size() || (text[at] != before && !(before == 'T' && text[at] == ' ')))
        return false;
      ++at;
    }
    if (at + digits > text.size()) return false;
    const auto [end, error] = std::from_chars(text.data() + at, text.data() + at + digits, value);
    at += digits;
    return error == std::errc() && end == text.data() + at && value >= 0;
  };
  WrittenTime& t = row.time;
  if (!number(4, t.year, '\0') || !number(2, t.month, '-') || !number(2, t.day, '-')) return false;
  if (at < text.size() && (!number(2, t.hour, 'T') || !number(2, t.minute, ':'))) return false;
  if (at < text.size() && text[at] == ':' && !number(2, t.second, ':')) return false;
  if (at < text.size() && text[at] == 'Z' && at + 1 == text.size()) {
    row.zoned_utc = true;
    ++at;
  } else if (at < text.size() && (text[at] == '+' || text[at] == '-')) {
    const int sign = text[at] == '-' ? -1 : 1;
    int hours = 0;
    int minutes = 0;
    if (!number(2, hours, text[at]) || !number(2, minutes, ':')) return false;
    row.zoned_utc = true;
    t.zone_minutes = sign * (hours * 60 + minutes);
  }
  return at == text.size();
}

bool real_date(const WrittenTime& t, bool typical) {
  static constexpr std::array<int, 12> days{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  if (t.month < 1 || t.month > 12 || t.day < 1 || t.hour < 0 || t.hour > 24 || t.minute > 59 ||
      t.second > 59)
    return false;
  const bool leap = typical || (t.year % 4 == 0 && (t.year % 100 != 0 || t.year % 400 == 0));
  const int last = days[static_cast<std::size_t>(t.month - 1)] + (t.month == 2 && leap ? 1 : 0);
  return t.day <= last && (typical || (t.year >= 1800 && t.year <= 2300));
}

class TableReader {
 public:
  TableReader(Reading& reading, std::shared_ptr<const SourceText> source, Table* columns,
              const std::vector<double>& missing)
      : reading_(reading), mapping_(columns), missing_(missing) {
    out_.source = std::move(source);
  }

  WeatherTable run() {
    const std::size_t before = reading_.problems.size();
    const SourceText& text = *out_.source;
    const auto lines = static_cast<int>(text.line_starts.size());
    bool headed = false;
    for (int number = 1; number <= lines; ++number) {
      const std::string_view line = text.line(number);
      if (line.size() > most_line_bytes) {
        problem("E0701", number,
                fmt::format("line {} is longer than {} KiB", number, most_line_bytes >> 10));
        return out_;
      }
      if (line.find_first_not_of(" \t") == std::string_view::npos) continue;
      if (line[0] == '#') {
        if (out_.credit.empty()) out_.credit = trim(line.substr(1));
        continue;
      }
      if (!headed) {
        if (!read_headings(line, number)) return out_;
        headed = true;
      } else if (!read_row(line, number)) {
        return out_;
      }
    }
    if (!headed) problem("E0702", 0, fmt::format("`{}` has no heading line", text.name));
    if (headed && out_.rows.empty())
      problem("E0702", 0, fmt::format("`{}` has no rows", text.name));
    report_columns();
    out_.good = !any_error(
        {reading_.problems.begin() + static_cast<std::ptrdiff_t>(before), reading_.problems.end()});
    return std::move(out_);
  }

 private:
  Problem& problem(const char* code, int line, std::string message, std::string help = {}) {
    const auto length = static_cast<int>(out_.source->line(line).size());
    return reading_.error(code, Span{out_.source, line, 1, std::max(length, 1)}, std::move(message),
                          std::move(help));
  }

  std::optional<std::string> mapped(const RoleInfo& role) const {
    if (!mapping_ || *role.key == '\0' || !mapping_->has(role.key)) return std::nullopt;
    const auto text = mapping_->text(role.key);
    return text.good ? std::optional(text.value) : std::nullopt;
  }

  bool read_headings(std::string_view line, int number) {
    for (const char c : {'\t', ';'}) {
      if (line.find(c) != std::string_view::npos) delimiter_ = c;
    }
    const auto cells = cells_of(line, delimiter_);
    width_ = cells.size();
    if (width_ > most_columns) {
      problem("E0701", number,
              fmt::format("{} columns; at most {} are read", width_, most_columns));
      return false;
    }
    for (std::size_t r = 0; r < roles.size(); ++r) {
      const RoleInfo& role = roles[r];
      const auto named = mapped(role);
      std::optional<std::size_t> place;
      Heading heading;
      const Heading wanted = named ? part(*named) : Heading{};
      for (std::size_t i = 0; i < cells.size() && !place; ++i) {
        const std::string whole = trim(cells[i]);
        const Heading own = part(whole);
        if (named ? whole == *named || whole == wanted.name || own.name == wanted.name
                  : is_one_of(plain(own.name), role.headings)) {
          place = i;
          heading = {whole, named && !wanted.unit.empty() ? wanted.unit : own.unit};
        }
      }
      if (named && !place) {
        reading_.error("E0703", mapping_->key_span(role.key),
                       fmt::format("`{}` has no column `{}`", out_.source->name, wanted.name),
                       fmt::format("its columns: {}", trim(line).substr(0, 200)));
      }
      if (place) add_column(static_cast<Role>(r), role, *place, heading, number);
    }
    const bool dated = out_.has[0] || (has(Role::Month) && has(Role::Day) && has(Role::Hour));
    out_.typical = dated && !out_.has[0] && !has(Role::Year);
    if (!dated)
      need(number, "time",
           "of each row: a column `time` such as 2025-06-03T13:00, or `month`, `day` and "
           "`hour_ending`");
    if (!has(Role::Temperature)) need(number, "temperature", "of the air");
    if (!has(Role::RelativeHumidity) && !has(Role::DewPoint))
      need(number, "dew_point", "or `relative_humidity`");
    if (!has(Role::GlobalHorizontal)) need(number, "global_horizontal", "radiation on the level");
    return true;
  }

  [[nodiscard]] bool has(Role role) const { return out_.has[static_cast<std::size_t>(role)]; }

  void need(int line, const char* what, const char* help) {
    problem("E0703", line, fmt::format("`{}` has no column for `{}`", out_.source->name, what),
            fmt::format("{}; name it in [weather.columns]", help));
  }

  void add_column(Role role, const RoleInfo& info, std::size_t index, const Heading& heading,
                  int line) {
    Column column{
        .role = role, .index = index, .heading = part(heading.name).name, .unit = heading.unit};
    out_.has[static_cast<std::size_t>(role)] = true;
    if (info.kind) {
      const KindInfo& kind = kind_info(*info.kind);
      const UnitResult unit =
          read_unit(heading.unit.empty() ? "1" : std::string_view(heading.unit));
      if (heading.unit.empty() || !unit.good || !(unit.dimension == kind.dimension)) {
        const std::string what =
            heading.unit.empty() ? "has no unit" : fmt::format("cannot be in `{}`", heading.unit);
        problem("E0704", line,
                fmt::format("column `{}` {}; it must be {}", column.heading, what, kind.name),
                fmt::format("write it in [weather.columns], as in {} = \"{} [{}]\"", info.key,
                            column.heading, kind.readings[0]));
      }
      column.factor = unit.factor;
      column.offset = *info.kind == Kind::Temperature ? unit.offset : 0.0;
      column.low = read_quantity(info.low, *info.kind, "").value;
      column.high = read_quantity(info.high, *info.kind, "").value;
    }
    columns_.push_back(std::move(column));
  }

  bool read_row(std::string_view line, int number) {
    if (out_.rows.size() == most_rows) {
      problem("E0701", number, fmt::format("more than {} rows", most_rows));
      return false;
    }
    const auto cells = cells_of(line, delimiter_);
    if (cells.size() != width_) {
      problem("E0705", number,
              fmt::format("line {} has {} columns, the heading {}", number, cells.size(), width_));
      return ++ragged_ < 20;
    }
    TableRow row;
    row.line = number;
    for (Column& column : columns_) read_cell(column, cells[column.index], row);
    if (!has(Role::Time)) {
      const auto whole = [&](Role role) { return static_cast<int>(row.at(role).value_or(0.0)); };
      row.time = {.year = whole(Role::Year),
                  .month = whole(Role::Month),
                  .day = whole(Role::Day),
                  .hour = whole(Role::Hour)};
    }
    if (!real_date(row.time, out_.typical) && bad_dates_++ == 0) {
      problem("E0706", number, fmt::format("line {} has no real date and time", number),
              "write times as 2025-06-03T13:00, or month, day and hour_ending from 1 to 24");
    }
    out_.rows.push_back(std::move(row));
    return true;
  }

  void read_cell(Column& column, std::string_view cell, TableRow& row) {
    if (column.role == Role::Time) {
      if (!read_time(cell, row)) row.time = {};
      return;
    }
    const auto number = number_of(cell);
    const bool mark =
        number && std::find(missing_.begin(), missing_.end(), *number) != missing_.end();
    if (mark) return;
    const bool looks_missing = number && (*number == -999.0 || *number == -9999.0);
    if (!number || looks_missing) {
      column.mark_999 = column.mark_999 || looks_missing;
      if (column.not_numbers++ == 0) {
        column.first_bad_line = row.line;
        column.first_bad = trim(cell);
      }
      return;
    }
    double value = *number * column.factor + column.offset;
    if (value < column.low || value > column.high) {
      if (column.out_of_range++ == 0) {
        column.first_out_line = row.line;
        column.first_out = trim(cell);
      }
      return;
    }
    ++column.numbers;
    column.largest = std::max(column.largest, *number);
    const bool radiation = column.role >= Role::GlobalHorizontal;
    row.value[static_cast<std::size_t>(column.role)] = radiation ? std::max(0.0, value) : value;
  }

  void report_columns() {
    for (const Column& c : columns_) {
      if (c.not_numbers > 0) {
        problem("E0707", c.first_bad_line,
                fmt::format("`{}` is not a number in {} row{}, first at line {}", c.heading,
                            c.not_numbers, c.not_numbers == 1 ? "" : "s", c.first_bad_line),
                c.mark_999
                    ? fmt::format("{0} is often a missing mark: `missing = [{0}]`", c.first_bad)
                    : fmt::format(
                          "there it is \"{}\"; if that marks a missing value, leave the row out",
                          c.first_bad.substr(0, 40)));
      }
      if (c.out_of_range > 0) {
        const RoleInfo& role = roles[static_cast<std::size_t>(c.role)];
        problem("E0708", c.first_out_line,
                fmt::format("`{}` is {} {} at line {}; {} to {} is possible", c.heading,
                            c.first_out, c.unit, c.first_out_line, role.low, role.high),
                fmt::format("{} row{} so; is the column in another unit?", c.out_of_range,
                            c.out_of_range == 1 ? " is" : "s are"));
      }
      if (c.role == Role::RelativeHumidity && c.factor < 0.5 && c.numbers > 1 && c.largest <= 1.0) {
        problem(
            "E0709", c.first_out_line > 0 ? c.first_out_line : heading_line(),
            fmt::format("`{}` never exceeds {}, but the column is in %", c.heading, "1.0"),
            fmt::format(
                "if these are fractions write relative_humidity = \"{} [1]\" in [weather.columns]",
                c.heading));
      }
    }
  }

  [[nodiscard]] int heading_line() const {
    for (int number = 1; number <= static_cast<int>(out_.source->line_starts.size()); ++number) {
      const auto line = out_.source->line(number);
      if (!line.empty() && line[0] != '#') return number;
    }
    return 0;
  }

  Reading& reading_;
  Table* mapping_;
  const std::vector<double>& missing_;
  WeatherTable out_;
  std::vector<Column> columns_;
  char delimiter_ = ',';
  std::size_t width_ = 0;
  int ragged_ = 0;
  std::size_t bad_dates_ = 0;
};

}  // namespace

WeatherTable read_weather_table(Reading& reading, const std::shared_ptr<const SourceText>& source,
                                Table* columns, const std::vector<double>& missing) {
  auto broken = screen_encoding(source);
  if (!broken.empty()) {
    reading.problems.insert(reading.problems.end(), broken.begin(), broken.end());
    return {.source = source, .credit = {}, .rows = {}};
  }
  return TableReader(reading, source, columns, missing).run();
}

}  // namespace mistwright::scenario
