#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "sim/report/html.h"
#include "sim/report/map_words.h"
#include "sim/report/sections.h"
#include "sim/report/words.h"

namespace mistwright::report {
namespace {

using record::Group;
using Values = std::vector<double>;

/// What the air of each cell was at one instant.
struct Moment {
  std::size_t instant = 0;
  double hour_h = 0.0;  // since the midnight before the run
  Values x_m, y_m;
};

Values at_instant(const Group& air, const char* name, const Moment& moment) {
  const Values& all = air.variable(name).values;
  const std::size_t cells = moment.x_m.size() * moment.y_m.size();
  const auto first = all.begin() + static_cast<std::ptrdiff_t>(moment.instant * cells);
  return {first, first + static_cast<std::ptrdiff_t>(cells)};
}

/// The instant at which the mean over the cells is highest.
Moment hottest_moment(const Subject& s, const Group& air) {
  Moment moment{0, 0.0, air.variable("air_x").values, air.variable("air_y").values};
  const std::size_t cells = moment.x_m.size() * moment.y_m.size();
  const Values& all = air.variable("air_temperature").values;
  double hottest = -1.0;
  for (std::size_t k = 0; cells > 0 && (k + 1) * cells <= all.size(); ++k) {
    double sum = 0.0;
    for (std::size_t c = 0; c < cells; ++c) sum += all[k * cells + c];
    if (sum > hottest) {
      hottest = sum;
      moment.instant = k;
    }
  }
  moment.hour_h = hours_since_midnight(s.record, air.variable("time"))[moment.instant];
  return moment;
}

/// "the fan end", "the middle" or "the door end", and the metres.
std::string along_words(const Subject& s, const Moment& moment, std::size_t cell) {
  const double x = moment.x_m[cell % moment.x_m.size()], share = x / s.plan.length_m();
  const std::string part = share < 1.0 / 3.0   ? s.plan.places().end_words(false)
                           : share > 2.0 / 3.0 ? s.plan.places().end_words(true)
                                               : std::string("middle");
  return fmt::format("the {}, {:.1f} m along and {:.1f} m across", part, x,
                     moment.y_m[cell / moment.x_m.size()]);
}

DataTable cell_table(const Moment& moment, const Values& values, const std::string& what,
                     int decimals) {
  DataTable table{what + " by air cells", {"Across, m"}, {}};
  for (const double x : moment.x_m) table.headings.push_back(fmt::format("{:.1f} m along", x));
  for (std::size_t j = 0; j < moment.y_m.size(); ++j) {
    std::vector<std::string> row{fmt::format("{:.1f}", moment.y_m[j])};
    for (std::size_t i = 0; i < moment.x_m.size(); ++i)
      row.push_back(fmt::format("{:.{}f}", values[j * moment.x_m.size() + i], decimals));
    table.rows.push_back(std::move(row));
  }
  return table;
}

/// The ramp between round numbers about the values; wide enough that noise is not painted as a
/// pattern.
MapScale scale_about(const Values& values, double least_width, std::string words) {
  const Spread spread = spread_of(values);
  const double slack = std::max(0.0, 0.5 * (least_width - (spread.high - spread.low)));
  const std::vector<double> ticks = round_ticks(spread.low - slack, spread.high + slack, 4);
  return {Ramp::Drying, ticks.front(), ticks.back(), std::move(words), "least", "most"};
}

std::string temperature_figure(const Subject& s, const Group& air, const Moment& moment) {
  Values celsius = at_instant(air, "air_temperature", moment);
  for (double& value : celsius) value -= 273.15;
  const Spread spread = spread_of(celsius);
  DataTable table = cell_table(moment, celsius, "air temperature, \u00b0C,", 1);
  table.in_short = spread_words(spread, 1, "\u00b0C");
  MapScale scale = scale_about(celsius, 2.0, "air temperature, \u00b0C");
  scale.low_words = "cooler";
  scale.high_words = "hotter";
  const std::string caption = fmt::format(
      "{}, when the house is hottest, its air differs by {:.1f} K from place to place: {:.1f} "
      "\u00b0C at {}; {:.1f} \u00b0C at {}.",
      capital(at_words(moment.hour_h, s.summary.by_days)), spread.high - spread.low, spread.high,
      along_words(s, moment, spread.high_place), spread.low,
      along_words(s, moment, spread.low_place));
  return figure(
      s.plan.gridded("Air temperature from above", {moment.x_m, moment.y_m, celsius, 1}, scale),
      caption, table);
}

std::string dryness_figure(const Subject& s, const Group& air, const Moment& moment) {
  const Values kPa = scaled(at_instant(air, "vapour_pressure_deficit", moment), 1e-3);
  const Spread spread = spread_of(kPa);
  DataTable table = cell_table(moment, kPa, "vapour pressure deficit, kPa,", 2);
  table.in_short = spread_words(spread, 2, "kPa");
  MapScale scale = scale_about(kPa, 0.2, "vapour pressure deficit, kPa");
  scale.low_words = "damper";
  scale.high_words = "drier";
  const std::string caption = fmt::format(
      "How strongly the air dries at that time: {:.2f} kPa at {}; {:.2f} kPa at {}{}.", spread.high,
      along_words(s, moment, spread.high_place), spread.low,
      along_words(s, moment, spread.low_place),
      spread.low > 0.0 ? fmt::format(". The driest place asks {:.1f} times as much as the dampest",
                                     spread.high / spread.low)
                       : std::string());
  return figure(
      s.plan.gridded("Vapour pressure deficit from above", {moment.x_m, moment.y_m, kPa, 2}, scale),
      caption, table);
}

}  // namespace

std::string warmth_section(const Subject& s) {
  const Group* air = s.record.find("air");
  if (air == nullptr || air->variable("air_temperature").values.empty()) return {};
  const Moment moment = hottest_moment(s, *air);
  return section(
      "warmth", "Where the air is hottest and driest",
      "<div class=\"pair\">" + temperature_figure(s, *air, moment) +
          dryness_figure(s, *air, moment) + "</div>\n" +
          paragraph("Seen from above, with the benches outlined; each rectangle is one body of air "
                    "of the computation, its figure written into it."));
}

}  // namespace mistwright::report
