#include "sim/report/day_panels.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "sim/report/html.h"
#include "sim/report/words.h"

namespace mistwright::report {
namespace {

using Quantities = std::vector<Shown>;

/// Relative humidity at which air is full.
constexpr double full_percent = 100.0;

std::string temperatures(const Day& day, const Quantities& c) {
  const Extreme leaf = day.largest(c[3]), air = day.largest(c[1]), outside = day.largest(c[0]);
  return fmt::format(
      "The hottest leaf reaches {} {}. The air in the house reaches {} {}, {:.1f} K {} than "
      "outside at its hottest, {}.",
      temperature_words(leaf.value + 273.15), day.at_words(leaf.elapsed_h),
      temperature_words(air.value + 273.15), day.at_words(air.elapsed_h),
      std::abs(air.value - outside.value), air.value >= outside.value ? "more" : "less",
      temperature_words(outside.value + 273.15));
}

std::string dryness(const Day& day, const Quantities& c) {
  const Extreme in = day.largest(c[1]);
  return fmt::format(
      "How strongly the air dries: in the house at most {:.2f} kPa, {}; outside at most {:.2f} "
      "kPa.",
      in.value, day.at_words(in.elapsed_h), day.largest(c[0]).value);
}

std::string dampness(const Day& day, const Quantities& c) {
  const Extreme dry = day.least(c[0]), damp = day.largest(c[0]);
  std::string words = fmt::format("The air in the house is driest {}, with {:.0f} %, and ",
                                  day.at_words(dry.elapsed_h), dry.value);
  const double over = day.largest({c[0].variable, c[0].label, c[0].factor}).value - full_percent;
  if (over < 0.05)
    return words +
           fmt::format("dampest {}, with {:.0f} %.", day.at_words(damp.elapsed_h), damp.value);
  return words + fmt::format(
                     "fullest {}: 100 % (fog). It then holds {:.1f} % more vapour than air can "
                     "keep; the rest goes as dew or with the air.",
                     day.at_words(damp.elapsed_h), over);
}

std::string wetness(const Day& day, const Quantities& c) {
  const std::vector<double> all = day.live(c[0]);
  const double mean =
      std::accumulate(all.begin(), all.end(), 0.0) / static_cast<double>(all.size());
  const Extreme most = day.largest(c[0]);
  return fmt::format("Mean over all leaves: {:.3f} mm over the run, at most {:.3f} mm, {}.", mean,
                     most.value, day.at_words(most.elapsed_h));
}

std::string bareness(const Day& day, const Quantities& c) {
  const Extreme most = day.largest(c[0]);
  if (!(most.value > 0.0)) return "At 0 % throughout: no leaf is ever more than half bare.";
  return fmt::format(
      "At most {:.0f} % of the leaves are more than half bare, {}. Each burst pulls the share "
      "down.",
      most.value, day.at_words(most.elapsed_h));
}

std::string radiation(const Day& day, const Quantities& c) {
  const double outside = day.largest(c[0]).value, leaves = day.largest(c[1]).value;
  return fmt::format(
      "The sun gives at most {:.0f} W/m\u00b2 outside and {:.0f} W/m\u00b2 above the leaves: "
      "{:.0f} "
      "% comes through at the peak.",
      outside, leaves, outside > 0.0 ? 100.0 * leaves / outside : 0.0);
}

std::string demand(const Day& day, const Quantities& c) {
  const Extreme most = day.largest(c[0]);
  return fmt::format("A wet leaf would lose at most {:.2f} mm an hour, {}. Below zero, dew forms.",
                     most.value, day.at_words(most.elapsed_h));
}

/// Panels of what the leaves carry and how warm they are.
std::vector<Panel> leaf_panels() {
  return {{"bare",
           "Bare leaves",
           "leaves more than half bare, %",
           "%",
           {{"bare_share", "share of the leaves", 100.0}},
           1,
           true,
           false,
           true,
           0,
           bareness},
          {"film",
           "Water on the leaves",
           "water on the leaves, mm",
           "mm",
           {{"film_depth", "mean over the leaves", 1e3}},
           3,
           true,
           false,
           true,
           0,
           wetness},
          {"temperature",
           "Temperatures",
           "temperature, \u00b0C (\u00b0F)",
           "\u00b0C",
           {{"outside_temperature", "outside", 1.0, -273.15},
            {"air_temperature", "air in the house", 1.0, -273.15},
            {"leaf_temperature", "leaves, mean", 1.0, -273.15},
            {"hottest_leaf_temperature", "hottest leaf", 1.0, -273.15}},
           1,
           false,
           true,
           false,
           1,
           temperatures}};
}

/// Panels of what the air and the sun ask of them.
std::vector<Panel> air_panels() {
  return {{"deficit",
           "Vapour pressure deficit",
           "vapour pressure deficit, kPa",
           "kPa",
           {{"outside_vapour_pressure_deficit", "outside", 1e-3, 0.0, 0.0},
            {"vapour_pressure_deficit", "in the house", 1e-3, 0.0, 0.0}},
           2,
           true,
           false,
           false,
           1,
           dryness},
          {"humidity",
           "Relative humidity",
           "relative humidity, %",
           "%",
           {{"relative_humidity", "air in the house", 100.0, 0.0, 0.0, full_percent}},
           0,
           true,
           false,
           false,
           -1,
           dampness,
           " (fog)"},
          {"sun",
           "Sun",
           "shortwave radiation, W/m\u00b2",
           "W/m\u00b2",
           {{"global_radiation", "outside"}, {"light_at_leaves", "above the leaves"}},
           0,
           true,
           false,
           false,
           -1,
           radiation},
          {"demand",
           "What the air asks of a wet leaf",
           "wet leaves lose, mm an hour of leaf area",
           "mm an hour",
           {{"evaporation_demand", "mean over the leaves", 3600.0}},
           3,
           true,
           false,
           false,
           -1,
           demand}};
}

}  // namespace

std::vector<Panel> panels(const Day& day) {
  std::vector<Panel> all = leaf_panels();
  for (Panel& panel : air_panels()) all.push_back(std::move(panel));
  std::erase_if(all, [&](const Panel& panel) {
    return std::any_of(panel.shown.begin(), panel.shown.end(),
                       [&](const Shown& shown) { return !day.has(shown); });
  });
  return all;
}

std::string marked_panel(const std::string& id, const std::string& content) {
  return fmt::format("<div class=\"panel\" data-panel=\"{}\">{}</div>\n", id, content);
}

std::string panel_figure(const Day& day, const Panel& panel) {
  std::vector<Curve> curves;
  DataTable table{panel.name + ": means", {"From"}, {}};
  for (const Shown& shown : panel.shown) {
    curves.push_back(day.curve(shown));
    table.headings.emplace_back(shown.label);
  }
  for (std::size_t k = 0; k < day.centres_h().size(); ++k) {
    std::vector<std::string> row{day.when_words(day.stretch_h(k))};
    for (const Curve& curve : curves)
      row.push_back(fmt::format("{:.{}f}", curve.values[k], panel.decimals));
    table.rows.push_back(std::move(row));
  }
  LinePlot plot{panel.name,         panel.value_words,
                day.centres_h(),    day.end_h(),
                day.first_hour_h(), curves,
                panel.from_zero,    {}};
  if (panel.fahrenheit_too)
    plot.second_unit = [](double tick) { return fmt::format(" ({:.0f})", 1.8 * tick + 32.0); };
  return marked_panel(panel.id, figure(draw(plot), panel.sentence(day, panel.shown), table));
}

std::string balance_figure(const Day& day, const record::Group& bench, const Summary& summary) {
  const std::vector<double>&hour = bench.variable("hour_of_day").values,
        &mist = bench.variable("mist_rate_on_bench").values,
        &loss = bench.variable("leaf_loss").values;
  if (hour.empty()) return {};
  std::vector<double> elapsed;
  DataTable table{"mist and loss by the hour, mm of bench area",
                  {"Hour from", "Mist lands on the bench", "Wet leaves would lose"},
                  {}};
  Curve lands{"mist lands", {}}, asked{"wet leaves would lose", {}};
  for (std::size_t i = 0; i < hour.size(); ++i) {
    // Steps: what is known is the sum of the hour.
    for (const double end : {0.0, 1.0}) {
      elapsed.push_back(static_cast<double>(i) + end);
      lands.values.push_back(mist[i]);
      asked.values.push_back(loss[i]);
    }
    table.rows.push_back({day.when_words(static_cast<double>(i)), fmt::format("{:.3f}", mist[i]),
                          fmt::format("{:.3f}", loss[i])});
  }
  const LinePlot plot{
      "Mist against loss", balance_words,  elapsed, static_cast<double>(hour.size()),
      hour.front(),        {lands, asked}, true,    {}};
  return marked_panel(
      "balance",
      figure(draw(plot),
             fmt::format("In the thirstiest hour, from {}, the bench gets {} of mist and wet "
                         "leaves would lose {}.",
                         when_words(summary.peak_loss_hour_h, summary.by_days),
                         depth_words(summary.mist_then_kg_per_m2),
                         depth_words(summary.peak_loss_kg_per_m2)),
             table));
}

}  // namespace mistwright::report
