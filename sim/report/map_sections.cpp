#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "sim/report/html.h"
#include "sim/report/map_words.h"
#include "sim/report/sections.h"
#include "sim/report/words.h"

namespace mistwright::report {
namespace {

using record::Group;
using Values = std::vector<double>;

constexpr std::size_t most_cells = 400;  // of a table of cells

/// "mm a day", or of part of a day "mm in this run".
std::string each(const char* unit, const Summary& summary) {
  return fmt::format("{} {}", unit, each_day(summary.part_of_day_s));
}

DataTable cell_table(const Subject& s) {
  const Group& bench = s.record.group("bench");
  const Plan& plan = s.plan;
  const double days = s.summary.days_number;
  const Values& dry = bench.variable("dry_time").values;
  std::vector<std::size_t> order(dry.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return dry[a] > dry[b]; });
  const std::size_t rows = std::min(order.size(), most_cells);
  DataTable table{rows < order.size()
                      ? fmt::format("the {} driest of {} cells of the bench", rows, order.size())
                      : fmt::format("all {} cells of the bench, driest first", rows),
                  {"Place", "Along, m", "Across, m", each("Dry, min", s.summary),
                   each("Worst leaf, min", s.summary), "Longest dry spell, min",
                   each("Mist on leaves, mm", s.summary), each("Soggy, h", s.summary)},
                  {}};
  const auto at = [&](const char* name, std::size_t c) { return bench.variable(name).values[c]; };
  for (std::size_t i = 0; i < rows; ++i) {
    const std::size_t c = order[i];
    table.rows.push_back(
        {plan.places().words(plan.x_m()[c], plan.y_m()[c]), fmt::format("{:.2f}", plan.x_m()[c]),
         fmt::format("{:.2f}", plan.y_m()[c]), fmt::format("{:.0f}", dry[c] / 60.0 / days),
         fmt::format("{:.0f}", at("worst_dry_time", c) / 60.0 / days),
         fmt::format("{:.1f}", at("longest_dry_spell", c) / 60.0),
         fmt::format("{:.2f}", at("mist_on_leaves", c) / days),
         fmt::format("{:.1f}", at("soggy_time", c) / 3600.0 / days)});
  }
  return table;
}

DataTable third_table(const Subject& s) {
  const Group& bench = s.record.group("bench");
  const Plan& plan = s.plan;
  const double days = s.summary.days_number;
  DataTable table{
      "the thirds of each bench",
      {"Place", each("Dry, min", s.summary), "Worst place, min", "Longest spell of a leaf, min"},
      {}};
  const Values minutes = scaled(bench.variable("dry_time").values, 1.0 / 60.0 / days),
               spell = scaled(bench.variable("longest_dry_spell").values, 1.0 / 60.0);
  for (const Third& third : thirds_of(plan)) {
    double worst = 0.0, longest = 0.0;
    for (const std::size_t c : third.cells) {
      worst = std::max(worst, minutes[c]);
      longest = std::max(longest, spell[c]);
    }
    table.rows.push_back({third.words, fmt::format("{:.0f}", mean_number(minutes, third.cells)),
                          fmt::format("{:.0f}", worst), fmt::format("{:.0f}", longest)});
  }
  return table;
}

}  // namespace

std::string dry_section(const Subject& s) {
  const Group& bench = s.record.group("bench");
  const Values minutes =
      scaled(bench.variable("dry_time").values, 1.0 / 60.0 / s.summary.days_number);
  const MapScale scale{Ramp::Drying,
                       0.0,
                       round_high_number(minutes, 10.0),
                       each("minutes", s.summary) + " in which a leaf is more than half bare",
                       "never",
                       "longest"};
  const auto above_mean = std::count_if(minutes.begin(), minutes.end(), [&](double m) {
    return m > 60.0 && m > s.summary.mean_dry_s / 60.0;
  });
  const std::string caption = fmt::format(
      "The house from above; circles are heads. The worst place is dry for {} {} ({}), the best "
      "for {} ({}); over the benches the mean is {}. {:.0f} % of the places are dry for more than "
      "an hour and for longer than the mean.",
      duration_words(s.summary.worst.dry_s), each_day(s.summary.part_of_day_s),
      s.summary.worst.words, duration_words(s.summary.best.dry_s), s.summary.best.words,
      duration_words(s.summary.mean_dry_s),
      100.0 * static_cast<double>(above_mean) / static_cast<double>(minutes.size()));
  DataTable table = cell_table(s);
  table.in_short = spread_words(spread_of(minutes), 0, each("minutes", s.summary));
  return section(
      "dry", "Where leaves go dry",
      "<div class=\"beside\">" +
          figure(s.plan.full("Plan of the house with the dry minutes of each place of the benches",
                             minutes, scale, true, "min"),
                 caption, table, "wide") +
          html_table(third_table(s)) + "</div>\n");
}

std::string mist_section(const Subject& s) {
  const Group& bench = s.record.group("bench");
  const double per_day = 1.0 / s.summary.days_number;
  const std::vector<Third> thirds = thirds_of(s.plan);
  const auto one = [&](const char* variable, const char* where) {
    const Values values = scaled(bench.variable(variable).values, per_day);
    const MapScale scale{
        Ramp::Wet,
        0.0,
        round_high_number(values, 0.01),
        fmt::format("mist on the {}, {}", where, each("mm (L/m\u00b2)", s.summary)),
        "least",
        "most"};
    const Spread spread = spread_of(values);
    DataTable table{fmt::format("mist on the {} by thirds of each bench", where),
                    {"Place", each("Mist, mm", s.summary),
                     each("Leaves could lose, mm", s.summary) + " of leaf area"},
                    {},
                    spread_words(spread, 2, each("mm", s.summary))};
    for (const Third& third : thirds)
      table.rows.push_back(
          {third.words, fmt::format("{:.2f}", mean_number(values, third.cells)),
           fmt::format("{:.2f}",
                       per_day * mean_number(bench.variable("demand").values, third.cells))});
    const auto place = [&](std::size_t c) {
      return s.plan.places().words(s.plan.x_m()[c], s.plan.y_m()[c]);
    };
    const std::string caption = fmt::format(
        "On the {}: {:.2f} {} in the mean; the poorest quarter of the benches gets {:.0f} % "
        "of that. Least: {}; most: {}.",
        where, mean_number(values), each("mm", s.summary), 100.0 * low_quarter_ratio(values),
        place(spread.low_place), place(spread.high_place));
    return figure(s.plan.small(fmt::format("Mist that landed on the {}", where), values, scale, "",
                               third_labels(thirds, values, 2)) +
                      s.plan.colour_bar(scale),
                  caption, table);
  };
  return section("mist", "Where the mist lands",
                 "<div class=\"pair\">" + one("mist_on_leaves", "leaves") +
                     one("mist_on_medium", "medium") + "</div>\n" +
                     paragraph("Figures on the maps are means of each bench's thirds."));
}

}  // namespace mistwright::report
