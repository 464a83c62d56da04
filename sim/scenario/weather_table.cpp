#include "sim/scenario/weather_table.h"

#include <fmt/core.h>

#include <algorithm>

#include "sim/scenario/weather_columns.h"

namespace mistwright::scenario {
namespace {

constexpr std::size_t most_columns = 256;
constexpr std::size_t most_rows = 5'000'000;
constexpr std::size_t most_line_bytes = 64u << 10;

/// A column in use: its role, its place, and how its numbers become SI.
struct Column {
  Role role = Role::Time;
  std::size_t index = 0;
  std::string heading;
  std::string unit;
  double factor = 1.0, offset = 0.0;
  double low = -1e300, high = 1e300;
  // What was found in it.
  Tally not_numbers = {}, out_of_range = {};
  bool mark_999 = false;
  double largest = -1e300;
  std::size_t numbers = 0;
};

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
    out_.good = !reading_.errors_since(before);
    return std::move(out_);
  }

 private:
  /// A fault of some cells of a line, numbered from 0.
  Problem& problem_at(const char* code, int line, std::size_t first, std::size_t last,
                      std::string message, std::string help = {}) {
    return reading_.error(code, cells_span(out_, line, first, last), std::move(message),
                          std::move(help));
  }

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
      if (line.find(c) != std::string_view::npos) out_.delimiter = c;
    }
    const auto cells = cells_of(line, out_.delimiter);
    width_ = cells.size();
    if (width_ > most_columns) {
      problem("E0701", number,
              fmt::format("{} columns; at most {} are read", width_, most_columns));
      return false;
    }
    for (std::size_t r = 0; r < role_count; ++r)
      place_role(static_cast<Role>(r), cells, line, number);
    check_roles(number);
    return true;
  }

  /// Finds the column of a role, by the name the scenario gave it or by the headings it is known
  /// by.
  void place_role(Role role, const std::vector<std::string_view>& cells, std::string_view line,
                  int number) {
    const RoleInfo& info = role_info(role);
    const auto named = mapped(info);
    const Heading wanted = named ? part_heading(*named) : Heading{};
    for (std::size_t i = 0; i < cells.size(); ++i) {
      const std::string whole = trim(cells[i]);
      const Heading own = part_heading(whole);
      const bool fits = named ? whole == *named || whole == wanted.name || own.name == wanted.name
                              : names_role(own.name, info);
      if (!fits) continue;
      add_column(role, info, i, {whole, named && !wanted.unit.empty() ? wanted.unit : own.unit},
                 number);
      return;
    }
    if (named) {
      reading_.error("E0703", mapping_->key_span(info.key),
                     fmt::format("`{}` has no column `{}`", out_.source->name, wanted.name),
                     fmt::format("its columns: {}", trim(line).substr(0, 200)));
    }
  }

  void check_roles(int number) {
    const bool dated = has(Role::Time) || (has(Role::Month) && has(Role::Day) && has(Role::Hour));
    out_.typical = dated && !has(Role::Time) && !has(Role::Year);
    if (!dated)
      need(number, "time",
           "of each row: a column `time` such as 2025-06-03T13:00, or `month`, `day` and "
           "`hour_ending`");
    if (!has(Role::Temperature)) need(number, "temperature", "of the air");
    if (!has(Role::RelativeHumidity) && !has(Role::DewPoint))
      need(number, "dew_point", "or `relative_humidity`");
    if (!has(Role::GlobalHorizontal)) need(number, "global_horizontal", "radiation on the level");
  }

  [[nodiscard]] bool has(Role role) const { return out_.column_of(role).has_value(); }

  void need(int line, const char* what, const char* help) {
    problem("E0703", line, fmt::format("`{}` has no column for `{}`", out_.source->name, what),
            fmt::format("{}; name it in [weather.columns]", help));
  }

  void add_column(Role role, const RoleInfo& info, std::size_t index, const Heading& heading,
                  int line) {
    Column column{.role = role,
                  .index = index,
                  .heading = part_heading(heading.name).name,
                  .unit = heading.unit};
    out_.column_of(role) = index;
    if (info.kind) {
      const KindInfo& kind = kind_info(*info.kind);
      const UnitResult unit =
          read_unit(heading.unit.empty() ? "1" : std::string_view(heading.unit));
      if (heading.unit.empty() || !unit.good || !(unit.dimension == kind.dimension)) {
        const std::string what =
            heading.unit.empty() ? "has no unit" : fmt::format("cannot be in `{}`", heading.unit);
        problem_at("E0704", line, index, index,
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
    const auto cells = cells_of(line, out_.delimiter);
    if (cells.size() != width_) {
      problem_at(
          "E0705", number, std::min(width_, cells.size()), std::max(width_, cells.size()) - 1,
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
      reading_.error("E0706", when_span(out_, number),
                     fmt::format("line {} has no real date and time", number),
                     "write times as 2025-06-03T13:00, or month, day and hour_ending from 1 to 24");
    }
    out_.rows.push_back(row);
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
      column.not_numbers.add(row.line);
      return;
    }
    double value = *number * column.factor + column.offset;
    if (value < column.low || value > column.high) {
      column.out_of_range.add(row.line);
      return;
    }
    ++column.numbers;
    column.largest = std::max(column.largest, *number);
    const bool radiation = column.role >= Role::GlobalHorizontal;
    row.at(column.role) = radiation ? std::max(0.0, value) : value;
  }

  void report_columns() {
    for (const Column& c : columns_) {
      const auto typed = [&](int line) { return trim(cells_of(out_, line)[c.index]); };
      if (c.not_numbers.count > 0) {
        const int line = c.not_numbers.line;
        problem_at("E0707", line, c.index, c.index,
                   fmt::format("`{}` is not a number in {}, first at line {}", c.heading,
                               counted(c.not_numbers.count, "row"), line),
                   c.mark_999
                       ? fmt::format("{0} is often a missing mark: `missing = [{0}]`", typed(line))
                       : fmt::format(
                             "there it is \"{}\"; if that marks a missing value, leave the row out",
                             typed(line).substr(0, 40)));
      }
      if (c.out_of_range.count > 0) {
        const RoleInfo& role = role_info(c.role);
        const int line = c.out_of_range.line;
        problem_at("E0708", line, c.index, c.index,
                   fmt::format("`{}` is {} {} at line {}; {} to {} is possible", c.heading,
                               typed(line), c.unit, line, role.low, role.high),
                   fmt::format("{} {} so; is the column in another unit?",
                               counted(c.out_of_range.count, "row"),
                               c.out_of_range.count == 1 ? "is" : "are"));
      }
      if (c.role == Role::RelativeHumidity && c.factor < 0.5 && c.numbers > 1 && c.largest <= 1.0) {
        problem_at(
            "E0709", heading_line(), c.index, c.index,
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
  std::size_t width_ = 0;
  int ragged_ = 0;
  std::size_t bad_dates_ = 0;
};

}  // namespace

WeatherTable read_weather_table(Reading& reading, const std::shared_ptr<const SourceText>& source,
                                Table* columns, const std::vector<double>& missing) {
  return TableReader(reading, source, columns, missing).run();
}

}  // namespace mistwright::scenario
