#include "sim/scenario/weather_laying.h"

#include <algorithm>
#include <chrono>

#include "sim/scenario/readers.h"
#include "sim/scenario/weather_columns.h"

namespace mistwright::scenario {
namespace {

/// The year of an instant in UTC.
int year_of(std::int64_t utc_s) {
  using namespace std::chrono;
  return static_cast<int>(
      year_month_day(floor<days>(sys_seconds(std::chrono::seconds(utc_s)))).year());
}

std::int64_t instant_of(const TableRow& row, const WrittenTime& time, const FileRules& rules) {
  return utc_of(time, row.zoned_utc ? std::int64_t{time.zone_minutes} * 60 : rules.utc_offset_s);
}

/// Adds a row of a typical year at its place in one year, its 28 February twice if that year asks.
class Laying {
 public:
  Laying(const FileRules& rules, const RunWindow& window, bool has_29_february)
      : rules_(rules), window_(window), has_29_february_(has_29_february) {}

  void lay(const std::vector<TableRow>& file_rows, int year) {
    const bool leap = std::chrono::year(year).is_leap();
    const bool repeat = leap && !has_29_february_;
    std::vector<const TableRow*> last_of_february;
    for (const TableRow& row : file_rows) {
      const bool february = row.time.month == 2;
      if (february && row.time.day == 29 && !leap) continue;
      if (!february || row.time.day > 28) lay_again(last_of_february, year);
      add(row, row.time, year);
      if (repeat && february && row.time.day == 28) last_of_february.push_back(&row);
    }
    lay_again(last_of_february, year);
  }

  std::vector<Timed> rows;
  const TableRow* repeated = nullptr;  ///< the first row that stands for 29 February in the run

 private:
  void lay_again(std::vector<const TableRow*>& from_28_february, int year) {
    for (const TableRow* row : from_28_february) {
      WrittenTime time = row->time;
      time.day = 29;
      add(*row, time, year);
      const bool in_run = !rows.empty() && rows.back().row == row &&
                          rows.back().utc_s > window_.from_s &&
                          rows.back().utc_s - hour_s < window_.to_s;
      if (in_run && repeated == nullptr) repeated = row;
    }
    from_28_february.clear();
  }

  void add(const TableRow& row, WrittenTime time, int year) {
    constexpr std::int64_t margin_s = 2 * day_s;
    time.year = year;
    const std::int64_t utc_s = instant_of(row, time, rules_);
    if (utc_s < window_.from_s - margin_s || utc_s > window_.to_s + margin_s) return;
    // Hour 24 of one year may be written again as hour 0 of the next.
    if (rows.empty() || utc_s > rows.back().utc_s) rows.push_back({utc_s, &row});
  }

  const FileRules& rules_;
  RunWindow window_;
  bool has_29_february_;
};

}  // namespace

std::int64_t file_instant(const WeatherTable& table, const TableRow& row, const FileRules& rules) {
  WrittenTime time = row.time;
  if (table.typical) time.year = year_of_366_days;
  return instant_of(row, time, rules);
}

std::vector<Timed> timed_rows(Reading& reading, const WeatherTable& table, const FileRules& rules,
                              const RunWindow& window) {
  if (!table.typical) {
    std::vector<Timed> out;
    for (const TableRow& row : table.rows) out.push_back({instant_of(row, row.time, rules), &row});
    return out;
  }
  const bool has_29_february =
      std::any_of(table.rows.begin(), table.rows.end(),
                  [](const TableRow& row) { return row.time.month == 2 && row.time.day == 29; });
  Laying laying(rules, window, has_29_february);
  for (int year = year_of(window.from_s) - 1; year <= year_of(window.to_s) + 1; ++year)
    laying.lay(table.rows, year);
  if (laying.repeated != nullptr) {
    reading.warning("W0724", when_span(table, laying.repeated->line),
                    "the run has a 29 February, the weather file has none",
                    "the weather of 28 February is repeated");
  }
  return std::move(laying.rows);
}

}  // namespace mistwright::scenario
