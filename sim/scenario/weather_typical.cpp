#include "sim/scenario/weather_typical.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "sim/scenario/weather_columns.h"
#include "sim/scenario/weather_header.h"
#include "sim/scenario/weather_layouts.h"

namespace mistwright::scenario {
namespace {

constexpr std::size_t most_hours = std::size_t{24} * 366;

/// What was found in one column, so that each kind of fault is told once.
struct Found {
  Tally not_numbers = {}, out_of_range = {};
};

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
      read_rows(header.first_row);
      report();
    }
    out_.good = header.first_row > 0 && !reading_.errors_since(before);
    return std::move(out_);
  }

 private:
  Problem& fault(const char* code, const Span& at, std::string message, std::string help) {
    return reading_.error(code, at, std::move(message), std::move(help));
  }

  void read_rows(int first) {
    const auto lines = static_cast<int>(out_.source->line_starts.size());
    for (int line = first; line <= lines; ++line) {
      const std::string_view text = out_.source->line(line);
      if (text.find_first_not_of(" \t,") == std::string_view::npos) continue;
      if (out_.rows.size() == most_hours) {
        fault("E0701", cells_span(out_, line, 0, 0), "more hours than a year has",
              fmt::format("{} is a typical year; longer series go into a plain table",
                          name_of(out_.layout)));
        return;
      }
      read_row(cells_of(out_, line), line);
    }
    if (out_.rows.empty() && ragged_.count == 0) {
      fault("E0702", Span{out_.source, 0, 0, 1},
            fmt::format("`{}` ends after its header: it has no hours", out_.source->name),
            "was the file cut short?");
    }
  }

  void read_row(const std::vector<std::string_view>& parts, int line) {
    if (parts.size() != width_) return ragged_.add(line);
    TableRow row;
    row.line = line;
    if (!(out_.layout == Layout::Epw ? epw_time(parts, row.time) : tmy3_time(parts, row.time)) ||
        !real_date(row.time, true))
      return bad_times_.add(line);
    if (!out_.rows.empty() && out_.rows.back().time.month == row.time.month &&
        out_.rows.back().time.year != row.time.year)
      years_.add(line);
    for (std::size_t f = 0; f < field_count; ++f)
      read_cell(fields_[f], parts[*out_.column_of(fields_[f].role)], row, found_[f]);
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

  void read_cell(const Field& field, std::string_view cell, TableRow& row, Found& found) const {
    const auto number = number_of(cell);
    if (!number) return found.not_numbers.add(row.line);
    if (marks_missing(field, *number) ||
        std::find(missing_.begin(), missing_.end(), *number) != missing_.end())
      return;
    if (*number < field.low || *number > field.high) return found.out_of_range.add(row.line);
    row.at(field.role) = *number * field.factor + field.offset;
  }

  /// " (3 rows so)" where it is not one alone.
  static std::string how_many(const Tally& tally) {
    return tally.count > 1 ? fmt::format(" ({} so)", counted(tally.count, "row")) : "";
  }

  void report() {
    if (ragged_.count > 0) report_ragged();
    if (bad_times_.count > 0) {
      fault(
          "E0706", when_span(out_, bad_times_.line),
          fmt::format("line {} has no real date and hour{}", bad_times_.line, how_many(bad_times_)),
          out_.layout == Layout::Tmy3 ? "TMY3 writes 07/09/1981,13:00 and ends a day with 24:00"
                                      : "EPW writes year,month,day,hour with hours from 1 to 24");
    }
    if (years_.count > 0) {
      Problem& p = fault("E0710", when_span(out_, years_.line),
                         fmt::format("the year changes within a month at line {}", years_.line),
                         "each month of a typical year is from one year: are two files mixed?");
      p.second = Second{when_span(out_, years_.line - 1), "the row before"};
    }
    for (std::size_t f = 0; f < field_count; ++f) report_column(fields_[f], found_[f]);
  }

  void report_ragged() {
    const int line = ragged_.line;
    const std::size_t own = cells_of(out_, line).size();
    const bool few = own < width_;
    const bool last = line >= static_cast<int>(out_.source->line_starts.size()) - 1;
    fault("E0705", cells_span(out_, line, few ? own : width_, few ? own : own - 1),
          fmt::format("line {} has {} cells; {} has {}{}", line, own, name_of(out_.layout), width_,
                      how_many(ragged_)),
          few && last ? "it is the last line: was the file cut short?"
                      : "is a comma missing, or one too many?");
  }

  void report_column(const Field& field, const Found& found) {
    const std::size_t cell = *out_.column_of(field.role);
    const auto typed = [&](int line) { return trim(cells_of(out_, line)[cell]).substr(0, 20); };
    const std::string mark = fmt::format("{} marks a missing value with {:g}", name_of(out_.layout),
                                         field.missing_number);
    if (found.not_numbers.count > 0) {
      const int line = found.not_numbers.line;
      fault("E0707", cells_span(out_, line, cell, cell),
            fmt::format("`{}` is not a number in {}, first at line {}", field.words,
                        counted(found.not_numbers.count, "row"), line),
            fmt::format("there it is \"{}\"; {}", typed(line), mark));
    }
    if (found.out_of_range.count > 0) {
      const int line = found.out_of_range.line;
      const std::string text = typed(line);
      const std::string unit = other_unit(field, number_of(text).value_or(0.0));
      fault("E0708", cells_span(out_, line, cell, cell),
            fmt::format("`{}` is {} {} at line {}; {} has {:g} to {:g} {}", field.words, text,
                        field.unit, line, name_of(out_.layout), field.low, field.high, field.unit),
            fmt::format("{} {} so; {}", counted(found.out_of_range.count, "row"),
                        found.out_of_range.count == 1 ? "is" : "are", unit.empty() ? mark : unit));
    }
  }

  Reading& reading_;
  const std::vector<double>& missing_;
  const std::array<Field, field_count>& fields_;
  WeatherTable out_;
  std::array<Found, field_count> found_{};
  std::size_t width_ = 0;
  Tally ragged_, bad_times_, years_;
};

}  // namespace

WeatherTable read_typical_year(Reading& reading, const std::shared_ptr<const SourceText>& source,
                               Layout layout, const std::vector<double>& missing) {
  return TypicalReader(reading, source, layout, missing).run();
}

}  // namespace mistwright::scenario
