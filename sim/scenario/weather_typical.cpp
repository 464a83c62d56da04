#include "sim/scenario/weather_typical.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "sim/scenario/source.h"
#include "sim/scenario/weather_columns.h"
#include "sim/scenario/weather_header.h"
#include "sim/scenario/weather_layouts.h"

namespace mistwright::scenario {
namespace {

constexpr std::size_t most_hours = std::size_t{24} * 366;

/// What was found in one column, so that each kind of fault is told once.
struct Found {
  std::size_t cell = 0;
  int not_numbers = 0, out_of_range = 0;
  int first_bad = 0, first_out = 0;
};

std::string rows_of(int count) {
  return count == 1 ? "1 row" : fmt::format("{} rows", count);
}

/// "0 to 110 %".
std::string limits_of(const Field& field) {
  return fmt::format("{:g} to {:g} {}", field.low, field.high, field.unit);
}

/// Which other unit would explain a number outside the limits; empty if none would.
std::string other_unit(const Field& field, double number) {
  const auto fits = [&](double value) { return value >= field.low && value <= field.high; };
  if (field.role == Role::Pressure) {
    const double to_Pa = field.factor;
    for (const auto& [unit, in_Pa] :
         {std::pair("hPa", 100.0), std::pair("kPa", 1000.0), std::pair("Pa", 1.0)}) {
      const double value = number * in_Pa / to_Pa;
      if (fits(value))
        return fmt::format("in {}? {:g} {} are {:g} {}", unit, number, unit, value, field.unit);
    }
  }
  if (field.role == Role::Temperature || field.role == Role::DewPoint) {
    const double celsius = (number - 32.0) / 1.8;
    if (number > 0.0 && fits(celsius))
      return fmt::format("in degF? {:g} degF are {:.1f} degC", number, celsius);
    if (fits(number - 273.15)) return "in K? the format wants degC";
  }
  return {};
}

class TypicalReader {
 public:
  TypicalReader(Reading& reading, std::shared_ptr<const SourceText> source, Layout layout,
                const std::vector<double>& missing)
      : reading_(reading), missing_(missing), fields_(fields_of(layout)) {
    out_.source = std::move(source);
    out_.layout = layout;
    out_.typical = true;
  }

  WeatherTable run() {
    const std::size_t before = reading_.problems.size();
    const Header header = read_header(reading_, out_);
    width_ = header.width;
    if (header.first_row > 0) {
      for (std::size_t f = 0; f < field_count; ++f)
        found_[f].cell = out_.cell[static_cast<std::size_t>(fields_[f].role)];
      read_rows(header.first_row);
      report();
    }
    out_.good = header.first_row > 0 &&
                !any_error({reading_.problems.begin() + static_cast<std::ptrdiff_t>(before),
                            reading_.problems.end()});
    return std::move(out_);
  }

 private:
  [[nodiscard]] Span cell_at(int line, std::size_t first, std::size_t last) const {
    return cells_span(out_.source, line, ',', first, last);
  }

  Problem& fault(const char* code, const Span& at, std::string message, std::string help) {
    return reading_.error(code, at, std::move(message), std::move(help));
  }

  [[nodiscard]] std::vector<std::string_view> cells(int line) const {
    return cells_of(out_.source->line(line), ',');
  }

  void read_rows(int first) {
    const auto lines = static_cast<int>(out_.source->line_starts.size());
    for (int line = first; line <= lines; ++line) {
      const std::string_view text = out_.source->line(line);
      if (text.find_first_not_of(" \t,") == std::string_view::npos) continue;
      if (out_.rows.size() == most_hours) {
        fault("E0701", cell_at(line, 0, 0), "more hours than a year has",
              fmt::format("{} is a typical year; longer series go into a plain table",
                          name_of(out_.layout)));
        return;
      }
      read_row(cells_of(text, ','), line);
    }
    if (out_.rows.empty() && ragged_ == 0) {
      fault("E0702", Span{out_.source, 0, 0, 1},
            fmt::format("`{}` ends after its header: it has no hours", out_.source->name),
            "was the file cut short?");
    }
  }

  void read_row(const std::vector<std::string_view>& parts, int line) {
    if (parts.size() != width_) {
      if (ragged_++ == 0) {
        first_ragged_ = line;
        ragged_cells_ = parts.size();
      }
      return;
    }
    TableRow row;
    row.line = line;
    if (!(out_.layout == Layout::Epw ? epw_time(parts, row.time) : tmy3_time(parts, row.time)) ||
        !real_date(row.time, true)) {
      if (bad_times_++ == 0) first_bad_time_ = line;
      return;
    }
    if (!out_.rows.empty() && years_ == 0 && out_.rows.back().time.month == row.time.month &&
        out_.rows.back().time.year != row.time.year)
      years_ = line;
    for (std::size_t f = 0; f < field_count; ++f) read_cell(f, parts[found_[f].cell], row);
    out_.rows.push_back(row);
  }

  static bool whole_number(std::string_view cell, int& value) {
    const auto number = number_of(cell);
    if (!number || *number != std::floor(*number) || std::fabs(*number) > 9999.0) return false;
    value = static_cast<int>(*number);
    return true;
  }

  /// 01/31/1988 and 24:00.
  static bool tmy3_time(const std::vector<std::string_view>& parts, WrittenTime& t) {
    const auto date = cells_of(parts[0], '/');
    const auto clock = cells_of(parts[1], ':');
    return date.size() == 3 && clock.size() == 2 && whole_number(date[0], t.month) &&
           whole_number(date[1], t.day) && whole_number(date[2], t.year) &&
           whole_number(clock[0], t.hour) && whole_number(clock[1], t.minute) && t.hour >= 0 &&
           t.hour * 60 + t.minute <= 24 * 60;
  }

  /// The minute of an hourly record is 0, 30 or 60 and says nothing.
  static bool epw_time(const std::vector<std::string_view>& parts, WrittenTime& t) {
    return whole_number(parts[0], t.year) && whole_number(parts[1], t.month) &&
           whole_number(parts[2], t.day) && whole_number(parts[3], t.hour) && t.hour >= 1;
  }

  void read_cell(std::size_t f, std::string_view cell, TableRow& row) {
    const Field& field = fields_[f];
    Found& found = found_[f];
    const auto number = number_of(cell);
    if (!number) {
      if (found.not_numbers++ == 0) found.first_bad = row.line;
      return;
    }
    const bool mark = out_.layout == Layout::Tmy3 ? *number <= field.missing_number
                                                  : *number >= field.missing_number;
    if (mark || std::find(missing_.begin(), missing_.end(), *number) != missing_.end()) return;
    if (*number < field.low || *number > field.high) {
      if (found.out_of_range++ == 0) found.first_out = row.line;
      return;
    }
    row.value[static_cast<std::size_t>(field.role)] = *number * field.factor + field.offset;
  }

  void report() {
    if (ragged_ > 0) {
      const bool few = ragged_cells_ < width_;
      const bool last = first_ragged_ >= static_cast<int>(out_.source->line_starts.size()) - 1;
      fault("E0705",
            cell_at(first_ragged_, few ? ragged_cells_ : width_,
                    few ? ragged_cells_ : ragged_cells_ - 1),
            fmt::format("line {} has {} cells; {} has {}{}", first_ragged_, ragged_cells_,
                        name_of(out_.layout), width_,
                        ragged_ > 1 ? fmt::format(" ({} so)", rows_of(ragged_)) : ""),
            few && last ? "it is the last line: was the file cut short?"
                        : "is a comma missing, or one too many?");
    }
    if (bad_times_ > 0) {
      fault("E0706", when_span(out_, first_bad_time_),
            fmt::format("line {} has no real date and hour{}", first_bad_time_,
                        bad_times_ > 1 ? fmt::format(" ({} so)", rows_of(bad_times_)) : ""),
            out_.layout == Layout::Tmy3 ? "TMY3 writes 07/09/1981,13:00 and ends a day with 24:00"
                                        : "EPW writes year,month,day,hour with hours from 1 to 24");
    }
    if (years_ > 0) {
      Problem& p = fault("E0710", when_span(out_, years_),
                         fmt::format("the year changes within a month at line {}", years_),
                         "each month of a typical year is from one year: are two files mixed?");
      p.second = Second{when_span(out_, years_ - 1), "the row before"};
    }
    for (std::size_t f = 0; f < field_count; ++f) report_column(fields_[f], found_[f]);
  }

  void report_column(const Field& field, const Found& found) {
    const auto typed = [&](int line) { return trim(cells(line)[found.cell]).substr(0, 20); };
    if (found.not_numbers > 0) {
      fault("E0707", cell_at(found.first_bad, found.cell, found.cell),
            fmt::format("`{}` is not a number in {}, first at line {}", field.words,
                        rows_of(found.not_numbers), found.first_bad),
            fmt::format("there it is \"{}\"; {} marks a missing value with {:g}",
                        typed(found.first_bad), name_of(out_.layout), field.missing_number));
    }
    if (found.out_of_range > 0) {
      const std::string text = typed(found.first_out);
      const std::string unit = other_unit(field, number_of(text).value_or(0.0));
      fault("E0708", cell_at(found.first_out, found.cell, found.cell),
            fmt::format("`{}` is {} {} at line {}; {} has {}", field.words, text, field.unit,
                        found.first_out, name_of(out_.layout), limits_of(field)),
            fmt::format("{} {} so; {}", rows_of(found.out_of_range),
                        found.out_of_range == 1 ? "is" : "are",
                        unit.empty() ? fmt::format("{} marks a missing value with {:g}",
                                                   name_of(out_.layout), field.missing_number)
                                     : unit));
    }
  }

  Reading& reading_;
  const std::vector<double>& missing_;
  const std::array<Field, field_count>& fields_;
  WeatherTable out_;
  std::array<Found, field_count> found_{};
  std::size_t width_ = 0;
  int ragged_ = 0, first_ragged_ = 0;
  std::size_t ragged_cells_ = 0;
  int bad_times_ = 0, first_bad_time_ = 0;
  int years_ = 0;
};

}  // namespace

WeatherTable read_typical_year(Reading& reading, const std::shared_ptr<const SourceText>& source,
                               Layout layout, const std::vector<double>& missing) {
  return TypicalReader(reading, source, layout, missing).run();
}

WeatherTable read_weather_file(Reading& reading, std::shared_ptr<const SourceText> source,
                               Table* columns, const std::vector<double>& missing) {
  auto broken = screen_encoding(source);
  if (!broken.empty()) {
    reading.problems.insert(reading.problems.end(), broken.begin(), broken.end());
    WeatherTable none;
    none.source = source;
    return none;
  }
  // The mark that some editors put before UTF-8 belongs to no cell.
  if (source->text.compare(0, 3, "\xEF\xBB\xBF") == 0)
    source = std::make_shared<const SourceText>(source->name, source->text.substr(3));
  const Layout layout = layout_of(*source);
  if (layout == Layout::Plain) return read_weather_table(reading, source, columns, missing);
  return read_typical_year(reading, source, layout, missing);
}

}  // namespace mistwright::scenario
