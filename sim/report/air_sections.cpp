#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>

#include "sim/report/flow_map.h"
#include "sim/report/html.h"
#include "sim/report/map_words.h"
#include "sim/report/sections.h"
#include "sim/report/svg.h"
#include "sim/report/words.h"

namespace mistwright::report {
namespace {

using record::Group;

constexpr std::size_t most_regimes = 3;

using NumberWords = std::function<std::string(double)>;

/// Means of blocks of the layer: six along the house, four across or upwards.
DataTable block_means(const FlowLayer& layer, const std::vector<double>& values,
                      const std::string& caption, const char* up_words, const NumberWords& number) {
  constexpr std::size_t most_columns = 6, most_rows = 4;
  const std::size_t columns = std::min(most_columns, layer.across_m.size()),
                    rows = std::min(most_rows, layer.up_m.size());
  const auto from = [](std::size_t part, std::size_t parts, std::size_t all) {
    return part * all / parts;
  };
  const auto words = [&](const std::vector<double>& centres, std::size_t part, std::size_t parts) {
    return fmt::format("{:.1f} to {:.1f} m", centres[from(part, parts, centres.size())],
                       centres[from(part + 1, parts, centres.size()) - 1]);
  };
  DataTable table{caption, {up_words}, {}};
  for (std::size_t c = 0; c < columns; ++c)
    table.headings.push_back(words(layer.across_m, c, columns));
  for (std::size_t r = rows; r-- > 0;) {
    std::vector<std::string> row{words(layer.up_m, r, rows)};
    for (std::size_t c = 0; c < columns; ++c) {
      std::vector<double> known;
      for (std::size_t j = from(r, rows, layer.up_m.size());
           j < from(r + 1, rows, layer.up_m.size()); ++j)
        for (std::size_t i = from(c, columns, layer.across_m.size());
             i < from(c + 1, columns, layer.across_m.size()); ++i)
          if (const double value = values[layer.at(j, i)]; std::isfinite(value))
            known.push_back(value);
      row.push_back(known.empty() ? std::string("outside") : number(mean_number(known)));
    }
    table.rows.push_back(std::move(row));
  }
  return table;
}

DataTable block_table(const FlowLayer& layer, const std::string& caption, const char* up_words) {
  DataTable table = block_means(layer, layer.speed_m_per_s, caption, up_words, speed_words);
  const Spread spread = spread_of(layer.speed_m_per_s);
  const bool slow = spread.high < slow_m_per_s;
  const double factor = slow ? 1e3 : 1.0;
  table.in_short =
      spread_words({factor * spread.low, factor * spread.median_number, factor * spread.high},
                   slow ? 3 : 2, slow ? "mm/s" : "m/s");
  return table;
}

/// Mean of the speeds that are known, and the part of them below a quarter of it.
struct Stillness {
  double mean_m_per_s = 0.0, still_fraction = 0.0;
};
Stillness stillness_of(const FlowLayer& layer) {
  std::vector<double> speeds;
  std::copy_if(layer.speed_m_per_s.begin(), layer.speed_m_per_s.end(), std::back_inserter(speeds),
               [](double speed) { return std::isfinite(speed); });
  const double mean = mean_number(speeds);
  const auto still = std::count_if(speeds.begin(), speeds.end(),
                                   [&](double speed) { return speed < 0.25 * mean; });
  return {mean,
          speeds.empty() ? 0.0 : static_cast<double>(still) / static_cast<double>(speeds.size())};
}

std::string still_words(const Stillness& still) {
  if (still.still_fraction < 0.005)
    return "Nowhere at this height does it move at less than a quarter of that.";
  return fmt::format("In {:.0f} % of this section it moves at less than a quarter of that.",
                     100.0 * still.still_fraction);
}

/// Fastest and slowest air over the benches, with their places.
std::string bench_extremes_words(const Subject& s, const FlowLayer& layer) {
  std::vector<double> over(layer.speed_m_per_s.size(), std::nan(""));
  for (std::size_t i = 0; i < over.size(); ++i) {
    const double x = layer.across_m[i % layer.across_m.size()],
                 y = layer.up_m[i / layer.across_m.size()];
    for (const Places::Table& b : s.plan.places().benches())
      if (x >= b.x_m && x <= b.x_m + b.length_m && y >= b.y_m && y <= b.y_m + b.width_m)
        over[i] = layer.speed_m_per_s[i];
  }
  if (std::none_of(over.begin(), over.end(), [](double v) { return std::isfinite(v); })) return {};
  const Spread spread = spread_of(over);
  const auto place = [&](std::size_t i) {
    return s.plan.places().words(layer.across_m[i % layer.across_m.size()],
                                 layer.up_m[i / layer.across_m.size()]);
  };
  return fmt::format("Fastest over a bench: {}, {}; slowest: {}, {}.", speed_words(spread.high),
                     place(spread.high_place), speed_words(spread.low), place(spread.low_place));
}

FlowLayer bench_layer(const Subject& s, const Group& flow) {
  const auto& benches = s.plan.places().benches();
  return layer_from_above(flow, benches.empty() ? 1.0 : benches.front().height_m + 0.1);
}

/// Where to cut along the house, and through what: the first fan in an end wall, or the middle.
struct SideCut {
  double y_m;
  std::string words;
};
SideCut side_cut(const Subject& s) {
  const Group* house = s.record.find("house");
  if (house == nullptr) return {s.summary.worst.y_m, "the place that dries most"};
  for (std::size_t i = 0; i < house->variable("fan").values.size(); ++i)
    if (const std::string wall = flag_word(house->variable("fan_wall"), i);
        wall == "front" || wall == "back")
      return {house->variable("fan_y").values[i], "the " + flag_word(house->variable("fan"), i)};
  return {0.5 * attribute_number(*house, "width_m", 2.0 * s.summary.worst.y_m), "the middle"};
}

std::string above_figure(const Subject& s, const Group& flow, const std::string& regime) {
  const FlowLayer layer = bench_layer(s, flow);
  const std::string caption = fmt::format(
      "From above, {:.1f} m over the floor: {} in the mean. {} {} {} {} air changes an hour.",
      layer.at_m, speed_words(stillness_of(layer).mean_m_per_s), bench_extremes_words(s, layer),
      ways_words(flow, s.record.find("house")), still_words(stillness_of(layer)),
      number_words(attribute_number(flow, "air_changes", 0.0)));
  return figure(draw(layer, s.plan, marks_from_above(s.plan.places(), s.record.find("house")),
                     "Air flow from above: " + regime),
                caption, block_table(layer, "speed from above, " + regime, "Across"));
}

std::string side_figure(const Subject& s, const Group& flow, const std::string& regime) {
  const SideCut cut = side_cut(s);
  const FlowLayer layer = layer_from_side(flow, cut.y_m);
  double bench_top_m = 0.0;
  bool skirts = false;
  for (const Places::Table& b : s.plan.places().benches()) {
    bench_top_m = std::max(bench_top_m, b.height_m);
    skirts = skirts || b.skirt_m > 0.0;
  }
  std::vector<double> low, high;
  for (std::size_t r = 0; r < layer.up_m.size(); ++r)
    for (std::size_t c = 0; c < layer.across_m.size(); ++c)
      if (const double speed = layer.speed_m_per_s[layer.at(r, c)]; std::isfinite(speed))
        (layer.up_m[r] < bench_top_m ? low : high).push_back(speed);
  const std::string caption = fmt::format(
      "From the side, cut {:.1f} m from the right-hand wall, through {}. Bars are the benches, {}"
      "dashed frames what is in the side walls. The air moves at {} in the mean above bench height "
      "and at {} below.",
      layer.at_m, cut.words, skirts ? "upright lines their skirts, " : "",
      speed_words(mean_number(high)), speed_words(mean_number(low)));
  return figure(draw(layer, s.plan, marks_from_side(s.plan.places(), s.record.find("house")),
                     "Air flow from the side: " + regime),
                caption, block_table(layer, "speed from the side, " + regime, "Height"));
}

/// How far the regime's field can be trusted, where the record tells.
std::string trust_words(const Group& flow) {
  std::string words;
  if (attribute_number(flow, "steady", 1.0) == 0.0)
    words += "This flow does not come to rest; the pictures show its mean. ";
  const double index = attribute_number(flow, "grid_convergence_index", std::nan(""));
  if (std::isfinite(index))
    words += fmt::format(
        "By its change from grid to grid, speeds are uncertain by about {} % (grid convergence "
        "index).",
        number_words(100.0 * index));
  return words.empty() ? words : paragraph(words);
}

/// A quantity of the air besides its speed, and how it is told.
struct Quantity {
  const record::Variable* variable;
  std::string name, unit, least, most;
  Ramp ramp;
  double factor, offset;  ///< from the record's unit to the one shown
  double least_width;     ///< of the colours' range, so that noise is not painted as a pattern
  int decimals;
};

/// Temperature or vapour in one section.
std::string state_figure(const Subject& s, const FlowLayer& layer, const Quantity& what,
                         const std::string& regime, bool above) {
  std::vector<double> values = layer_values(layer, *what.variable);
  for (double& value : values) value = what.factor * value + what.offset;
  const Spread spread = spread_of(values);
  const std::vector<double> ticks =
      round_ticks(spread.low, std::max(spread.high, spread.low + what.least_width), 5);
  const MapScale scale{what.ramp,  ticks.front(), ticks.back(), what.name + ", " + what.unit,
                       what.least, what.most};
  const auto place = [&](std::size_t i) {
    const double across = layer.across_m[i % layer.across_m.size()],
                 up = layer.up_m[i / layer.across_m.size()];
    return fmt::format("{:.1f} m along and {:.1f} m {}", across, up, above ? "across" : "up");
  };
  const std::string view =
      above ? fmt::format("From above, {:.1f} m over the floor", layer.at_m)
            : fmt::format("From the side, {:.1f} m from the right-hand wall", layer.at_m);
  DataTable table = block_means(
      layer, values,
      what.name + ", " + what.unit + (above ? ", from above, " : ", from the side, ") + regime,
      above ? "Across" : "Height",
      [&](double value) { return fmt::format("{:.{}f}", value, what.decimals); });
  table.in_short = spread_words(spread, what.decimals, what.unit);
  const auto marks = above ? marks_from_above(s.plan.places(), s.record.find("house"))
                           : marks_from_side(s.plan.places(), s.record.find("house"));
  return figure(
      draw(layer, s.plan, marks,
           capital(what.name) + (above ? " from above: " : " from the side: ") + regime, values,
           scale),
      fmt::format("{}: {} is {:.{}f} {} at the most, {}, and {:.{}f} {} at the least, {}.", view,
                  what.name, spread.high, what.decimals, what.unit, place(spread.high_place),
                  spread.low, what.decimals, what.unit, place(spread.low_place)),
      table);
}

/// Temperature and vapour from above and from the side; nothing where the record holds none.
std::string state_figures(const Subject& s, const Group& flow, const std::string& regime) {
  std::string html;
  for (const Quantity& what :
       {Quantity{flow.find("air_temperature"), "air temperature", "\u00b0C", "cooler", "warmer",
                 Ramp::Drying, 1.0, -273.15, 1.0, 1},
        Quantity{flow.find("humidity_ratio"), "water vapour", "g per kg of dry air", "least",
                 "most", Ramp::Wet, 1e3, 0.0, 0.5, 1}}) {
    if (what.variable == nullptr ||
        what.variable->values.size() != flow.variable("u").values.size())
      continue;
    html += state_figure(s, bench_layer(s, flow), what, regime, true) +
            state_figure(s, layer_from_side(flow, side_cut(s).y_m), what, regime, false);
  }
  return html;
}

std::string one_regime(const Subject& s, const Group& flow) {
  const std::string regime =
      flow.attributes.contains("regime") ? flow.attributes.at("regime") : flow.name;
  const std::string states = state_figures(s, flow, regime);
  // On paper six pictures stand in rows of three, two side by side.
  return "<h3>" + escaped(regime) + "</h3>\n<div class=\"pair" + (states.empty() ? "" : " three") +
         "\">" + above_figure(s, flow, regime) + side_figure(s, flow, regime) + states +
         "</div>\n" + trust_words(flow);
}

}  // namespace

std::string air_section(const Subject& s) {
  std::vector<const Group*> flows;
  for (const Group& group : s.record.groups)
    if (group.name.starts_with("flow_") && group.find("u") != nullptr) flows.push_back(&group);
  if (flows.empty()) return {};
  const auto flow_of = [](const Group* g) {
    return attribute_number(*g, "total_flow_m3_per_s", 0.0);
  };
  std::stable_sort(flows.begin(), flows.end(),
                   [&](const Group* a, const Group* b) { return flow_of(a) > flow_of(b); });
  std::string html;
  if (flows.size() > most_regimes) {
    // The strongest, the stillest, and the one half-way between.
    html +=
        paragraph(fmt::format("The house had {} states of fans and vents; the strongest, a middle "
                              "one and the stillest are shown. All are in the results.",
                              flows.size()));
    flows = {flows.front(), flows[flows.size() / 2], flows.back()};
  }
  for (const Group* flow : flows) html += one_regime(s, *flow);
  return section(
      "air", "How the air moves",
      html + paragraph("The lines follow the air, arrowheads point with it. Temperature and vapour "
                       "are means over the hours in which the house was so, sunny ones most"));
}

}  // namespace mistwright::report
