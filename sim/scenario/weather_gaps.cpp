#include "sim/scenario/weather_gaps.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include "models/units.h"
#include "sim/scenario/readers.h"
#include "sim/scenario/weather_columns.h"
#include "sim/scenario/weather_layouts.h"

namespace mistwright::scenario {
namespace {

constexpr std::size_t longest_fill = 3;  // hours
constexpr std::array<Role, 6> fillable{Role::Temperature, Role::RelativeHumidity, Role::DewPoint,
                                       Role::Pressure,    Role::WindSpeed,        Role::WindFrom};

std::optional<double>& value_of(TableRow& row, Role role) {
  return row.value[static_cast<std::size_t>(role)];
}

/// The instant of a row in a year of 366 days, in hours.
std::int64_t hour_of(const TableRow& row) {
  WrittenTime t = row.time;
  t.year = 2000;
  return utc_of(t, 0) / 3600;
}

double on_the_line(Role role, double from, double to, double share) {
  if (role != Role::WindFrom) return from + share * (to - from);
  const double turned = from + share * std::remainder(to - from, 2.0 * pi);
  return turned < 0.0 ? turned + 2.0 * pi : turned >= 2.0 * pi ? turned - 2.0 * pi : turned;
}

/// Fills the rows after `before` up to `after`, if they are few and no hour is left out.
void fill(WeatherTable& table, Role role, std::size_t before, std::size_t after,
          std::vector<Filled>& filled) {
  const std::size_t count = after - before - 1;
  const auto hours = hour_of(table.rows[after]) - hour_of(table.rows[before]);
  if (count == 0 || count > longest_fill || hours != static_cast<std::int64_t>(count) + 1) return;
  const double from = *value_of(table.rows[before], role);
  const double to = *value_of(table.rows[after], role);
  for (std::size_t i = 1; i <= count; ++i) {
    TableRow& row = table.rows[before + i];
    value_of(row, role) =
        on_the_line(role, from, to, static_cast<double>(i) / static_cast<double>(count + 1));
    filled.push_back({&row, role});
  }
}

/// The rows of a run that one thing is said about.
struct Told {
  std::size_t hours = 0;
  const TableRow* first = nullptr;

  void add(const TableRow& row) {
    if (hours++ == 0) first = &row;
  }
  [[nodiscard]] std::string words() const {
    return fmt::format("{} hour{} of the run, first at line {}", hours, hours == 1 ? "" : "s",
                       first->line);
  }
};

class Teller {
 public:
  Teller(Reading& reading, const WeatherTable& table, const std::vector<Timed>& rows)
      : reading_(reading), table_(table), rows_(rows) {}

  void fills(const std::vector<Filled>& filled) {
    for (const Role role : fillable) {
      std::set<const TableRow*> by_line;
      for (const Filled& f : filled) {
        if (f.role == role) by_line.insert(f.row);
      }
      Told told;
      for (const Timed& t : rows_) {
        if (by_line.count(t.row) > 0) told.add(*t.row);
      }
      if (told.hours > 0)
        warn("W0722", role, told, "straight lines between the hours around fill it");
    }
  }

  /// Rows without a value that satisfies: an error.
  bool must_have(Role role, Role or_else) {
    const Told told =
        absent([&](const TableRow& row) { return !row.at(role) && !row.at(or_else); });
    if (told.hours == 0) return true;
    const bool radiation = role == Role::GlobalHorizontal;
    reading_.error("E0717", role_span(table_, told.first->line, role),
                   fmt::format("`{}` is missing in {}", name(role), told.words()),
                   radiation ? "radiation is never filled; run another span or mend the file"
                             : fmt::format("up to {} hours in a row are filled; run another span "
                                           "or mend the file",
                                           longest_fill));
    return false;
  }

  void may_lack(Role role, const char* instead) {
    const Told told = absent([&](const TableRow& row) { return !row.at(role); });
    if (told.hours > 0) warn("W0723", role, told, instead);
  }

 private:
  template <class Lacks>
  Told absent(Lacks lacks) const {
    Told told;
    for (const Timed& t : rows_) {
      if (lacks(*t.row)) told.add(*t.row);
    }
    return told;
  }

  [[nodiscard]] const char* name(Role role) const { return field_of(table_.layout, role).words; }

  void warn(const char* code, Role role, const Told& told, const char* instead) {
    reading_.warning(code, role_span(table_, told.first->line, role),
                     fmt::format("`{}` is missing in {}", name(role), told.words()), instead);
  }

  Reading& reading_;
  const WeatherTable& table_;
  const std::vector<Timed>& rows_;
};

}  // namespace

std::vector<Filled> fill_short_gaps(WeatherTable& table) {
  std::vector<Filled> filled;
  for (const Role role : fillable) {
    std::optional<std::size_t> before;
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
      if (!value_of(table.rows[i], role)) continue;
      if (before) fill(table, role, *before, i, filled);
      before = i;
    }
  }
  return filled;
}

bool tell_missing(Reading& reading, const WeatherTable& table, const std::vector<Timed>& rows,
                  const std::vector<Filled>& filled) {
  Teller teller(reading, table, rows);
  teller.fills(filled);
  const bool warm = teller.must_have(Role::Temperature, Role::Temperature);
  const bool moist = teller.must_have(Role::DewPoint, Role::RelativeHumidity);
  const bool lit = teller.must_have(Role::GlobalHorizontal, Role::GlobalHorizontal);
  if (!warm || !moist || !lit) return false;
  teller.may_lack(Role::DewPoint, "relative humidity stands in");
  teller.may_lack(Role::Pressure, "the standard atmosphere's at the altitude of [site] stands in");
  teller.may_lack(Role::WindSpeed, "`wind_speed` of [weather] stands in");
  teller.may_lack(Role::WindFrom, "`wind_from` of [weather] stands in");
  teller.may_lack(Role::DirectNormal, "parted from the global radiation by the sun's height");
  teller.may_lack(Role::DiffuseHorizontal, "parted from the global radiation by the sun's height");
  return true;
}

}  // namespace mistwright::scenario
