#include <fmt/core.h>

#include <algorithm>
#include <cmath>
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

/// Mean speeds of blocks of the layer: six along the house, four across or upwards.
DataTable block_table(const FlowLayer& layer, const std::string& caption, const char* up_words) {
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
      std::vector<double> speeds;
      for (std::size_t j = from(r, rows, layer.up_m.size());
           j < from(r + 1, rows, layer.up_m.size()); ++j)
        for (std::size_t i = from(c, columns, layer.across_m.size());
             i < from(c + 1, columns, layer.across_m.size()); ++i)
          if (const double speed = layer.speed_m_per_s[layer.at(j, i)]; std::isfinite(speed))
            speeds.push_back(speed);
      row.push_back(speeds.empty() ? std::string("outside") : speed_words(mean_number(speeds)));
    }
    table.rows.push_back(std::move(row));
  }
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

std::string above_figure(const Subject& s, const Group& flow, const std::string& regime) {
  const auto& benches = s.plan.places().benches();
  const FlowLayer layer =
      layer_from_above(flow, benches.empty() ? 1.0 : benches.front().height_m + 0.1);
  std::vector<Box> outlines;
  outlines.reserve(benches.size());
  for (const Places::Table& b : benches) outlines.push_back({b.x_m, b.y_m, b.length_m, b.width_m});
  const Spread spread = spread_of(layer.speed_m_per_s);
  const Stillness still = stillness_of(layer);
  const std::string caption = fmt::format(
      "From above, {:.1f} m over the floor: {} in the mean; fastest {:.1f} m along and {:.1f} m "
      "across. {} {} air changes an hour.",
      layer.at_m, speed_words(still.mean_m_per_s),
      layer.across_m[spread.high_place % layer.across_m.size()],
      layer.up_m[spread.high_place / layer.across_m.size()], still_words(still),
      number_words(attribute_number(flow, "air_changes", 0.0)));
  return figure(draw(layer, s.plan, outlines, "Air flow from above: " + regime), caption,
                block_table(layer, "speed from above, " + regime, "Across"));
}

std::string side_figure(const Subject& s, const Group& flow, const std::string& regime) {
  const FlowLayer layer = layer_from_side(flow, s.summary.worst.y_m);
  std::vector<Box> outlines;
  double bench_top_m = 0.0;
  for (const Places::Table& b : s.plan.places().benches()) {
    outlines.push_back({b.x_m, b.height_m - 0.03, b.length_m, 0.03});
    bench_top_m = std::max(bench_top_m, b.height_m);
  }
  std::vector<double> low, high;
  for (std::size_t r = 0; r < layer.up_m.size(); ++r)
    for (std::size_t c = 0; c < layer.across_m.size(); ++c)
      if (const double speed = layer.speed_m_per_s[layer.at(r, c)]; std::isfinite(speed))
        (layer.up_m[r] < bench_top_m ? low : high).push_back(speed);
  const std::string caption = fmt::format(
      "From the side, {:.1f} m from the right-hand wall, through the place that dries most; the "
      "thin bar is the bench. The air moves at {} in the mean above bench height and at {} below.",
      layer.at_m, speed_words(mean_number(high)), speed_words(mean_number(low)));
  return figure(draw(layer, s.plan, outlines, "Air flow from the side: " + regime), caption,
                block_table(layer, "speed from the side, " + regime, "Height"));
}

std::string one_regime(const Subject& s, const Group& flow) {
  const std::string regime =
      flow.attributes.contains("regime") ? flow.attributes.at("regime") : flow.name;
  return "<h3>" + escaped(regime) + "</h3>\n<div class=\"pair\">" + above_figure(s, flow, regime) +
         side_figure(s, flow, regime) + "</div>\n";
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
  return section("air", "How the air moves",
                 html + paragraph("Arrows point with the air; the longer, the faster."));
}

}  // namespace mistwright::report
