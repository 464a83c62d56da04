#include "sim/scenario/weather_gaps.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "models/units.h"
#include "sim/scenario/weather_columns.h"
#include "sim/scenario/weather_laying.h"
#include "sim/scenario/weather_layouts.h"

namespace mistwright::scenario {
namespace {

constexpr std::size_t longest_fill = 3;  // hours
constexpr std::array<Role, 6> fillable{Role::Temperature, Role::RelativeHumidity, Role::DewPoint,
                                       Role::Pressure,    Role::WindSpeed,        Role::WindFrom};

double on_the_line(Role role, double from, double to, double share) {
  if (role != Role::WindFrom) return from + share * (to - from);
  const double turned = from + share * std::remainder(to - from, 2.0 * pi);
  return turned < 0.0 ? turned + 2.0 * pi : turned >= 2.0 * pi ? turned - 2.0 * pi : turned;
}

/// Fills the rows after `before` up to `after`, if they are few and no hour is left out.
void fill(WeatherTable& table, Role role, std::size_t before, std::size_t after) {
  const std::size_t count = after - before - 1;
  const auto hour_of = [&](std::size_t row) {
    return file_instant(table, table.rows[row], {}) / 3600;
  };
  const auto hours = hour_of(after) - hour_of(before);
  if (count == 0 || count > longest_fill || hours != static_cast<std::int64_t>(count) + 1) return;
  const double from = *table.rows[before].at(role);
  const double to = *table.rows[after].at(role);
  for (std::size_t i = 1; i <= count; ++i) {
    TableRow& row = table.rows[before + i];
    row.at(role) =
        on_the_line(role, from, to, static_cast<double>(i) / static_cast<double>(count + 1));
    row.filled.set(index_of(role));
  }
}

class Teller {
 public:
  Teller(Reading& reading, const WeatherTable& table, const std::vector<Timed>& rows)
      : reading_(reading), table_(table), rows_(rows) {}

  void fills() {
    for (const Role role : fillable) {
      warn("W0722", role,
           rows_that([&](const TableRow& row) { return row.filled[index_of(role)]; }),
           "straight lines between the hours around fill it");
    }
  }

  /// Rows without a value that satisfies: an error.
  bool must_have(Role role, Role or_else) {
    const Tally told =
        rows_that([&](const TableRow& row) { return !row.at(role) && !row.at(or_else); });
    if (told.count == 0) return true;
    const bool radiation = role == Role::GlobalHorizontal;
    reading_.error("E0717", role_span(table_, told.line, role), missing(role, told),
                   radiation ? "radiation is never filled; run another span or mend the file"
                             : fmt::format("up to {} hours in a row are filled; run another span "
                                           "or mend the file",
                                           longest_fill));
    return false;
  }

  void may_lack(Role role, const char* instead) {
    warn("W0723", role, rows_that([&](const TableRow& row) { return !row.at(role); }), instead);
  }

 private:
  /// Rows of the run, counted.
  template <class Test>
  Tally rows_that(Test test) const {
    Tally told;
    for (const Timed& t : rows_) {
      if (test(*t.row)) told.add(t.row->line);
    }
    return told;
  }

  [[nodiscard]] std::string missing(Role role, const Tally& told) const {
    return fmt::format("`{}` is missing in {} of the run, first at line {}",
                       field_of(table_.layout, role).words, counted(told.count, "hour"), told.line);
  }

  void warn(const char* code, Role role, const Tally& told, const char* instead) {
    if (told.count == 0) return;
    reading_.warning(code, role_span(table_, told.line, role), missing(role, told), instead);
  }

  Reading& reading_;
  const WeatherTable& table_;
  const std::vector<Timed>& rows_;
};

}  // namespace

void fill_short_gaps(WeatherTable& table) {
  for (const Role role : fillable) {
    std::optional<std::size_t> before;
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
      if (!table.rows[i].at(role)) continue;
      if (before) fill(table, role, *before, i);
      before = i;
    }
  }
}

bool tell_missing(Reading& reading, const WeatherTable& table, const std::vector<Timed>& rows) {
  Teller teller(reading, table, rows);
  teller.fills();
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
