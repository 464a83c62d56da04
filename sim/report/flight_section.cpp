// How the drops fly: ways of single drops, the water in the air, where one head's water lands.
#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "sim/report/flow_map.h"
#include "sim/report/html.h"
#include "sim/report/map_words.h"
#include "sim/report/sections.h"
#include "sim/report/words.h"

namespace mistwright::report {
namespace {

using record::Group;
using Values = std::vector<double>;

constexpr std::size_t fates = 6, kinds = 4;

Values row(const Values& all, std::size_t number, std::size_t size) {
  const auto first = all.begin() + static_cast<std::ptrdiff_t>(number * size);
  return {first, first + static_cast<std::ptrdiff_t>(size)};
}

std::string size_words(double diameter_m) {
  return fmt::format("{} \u00b5m", number_words(std::round(1e6 * diameter_m)));
}

/// "while no fan runs", of one entry of the group.
std::string air_words(const Group& drops, std::size_t air) {
  return drops.variable("fans").values[air] == 0.0 ? "with the fans off" : "with a fan on";
}

/// Where most of one size's water ends: "drops of 31 um: 65 % dry in the air, 13 % leave".
std::string fate_words(const Group& drops, std::size_t air, std::size_t size) {
  static const std::array<const char*, fates> ends{"land on the benches", "fall on the floor",
                                                   "meet the walls",      "meet the cover",
                                                   "dry in the air",      "leave with the air"};
  const std::size_t sizes = drops.variable("diameter").values.size();
  const Values share = row(drops.variable("fate_share").values, air * sizes + size, fates);
  std::array<std::size_t, fates> order{0, 1, 2, 3, 4, 5};
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return share[a] > share[b]; });
  std::vector<std::string> words;
  for (const std::size_t fate : order)
    if (words.size() < 3 && share[fate] >= 0.05)
      words.push_back(fmt::format("{:.0f} % {}", 100.0 * share[fate], ends[fate]));
  std::string text = "of drops of " + size_words(drops.variable("diameter").values[size]) + " " +
                     list_words(words);
  const double away_m = drops.variable("landing_distance").values[air * sizes + size];
  if (std::isfinite(away_m) && share[0] >= 0.05)
    text += fmt::format(", half of those on the benches within {:.1f} m", away_m);
  return text;
}

std::string flight_words(const Group& drops, std::size_t air) {
  return capital(air_words(drops, air)) + ", " + fate_words(drops, air, 0) + "; " +
         fate_words(drops, air, drops.variable("diameter").values.size() - 1) + ".";
}

DataTable fate_table(const Group& drops, std::size_t air) {
  DataTable table{"where drops end, " + air_words(drops, air) + ", in %",
                  {"Drops", "Benches", "Floor", "Walls", "Cover", "Air", "Out"},
                  {}};
  const Values& diameter = drops.variable("diameter").values;
  for (std::size_t s = 0; s < diameter.size(); ++s) {
    std::vector<std::string> cells{size_words(diameter[s])};
    for (const double share :
         row(drops.variable("fate_share").values, air * diameter.size() + s, fates))
      cells.push_back(fmt::format("{:.0f}", 100.0 * share));
    table.rows.push_back(std::move(cells));
  }
  return table;
}

/// The section of the house as a layer without flow.
FlowLayer side_layer(const Group& drops, std::size_t air) {
  const Values &x = drops.variable("x").values, &z = drops.variable("z").values;
  FlowLayer layer{x, z, {}, {}, {}, 0.0};
  layer.speed_m_per_s = row(drops.variable("airborne_water").values, air, x.size() * z.size());
  return layer;
}

std::string line_key(const Values& diameters_m) {
  Svg svg(picture_width_px, 22.0);
  for (std::size_t s = 0; s < std::min(kinds, diameters_m.size()); ++s) {
    const double x = 24.0 + 108.0 * static_cast<double>(s);
    svg.line({x, 11.0}, {x + 34.0, 11.0}, fmt::format("curve c{}", s + 1));
    svg.text({x + 40.0, 15.0}, size_words(diameters_m[s]), Anchor::Start);
  }
  return svg.finish("Lines of the droplet sizes", "bar");
}

std::string track_figure(const Subject& s, const Group& drops, std::size_t air) {
  const Values &diameter = drops.variable("diameter").values,
               &fans = drops.variable("track_fans").values,
               &size = drops.variable("track_size").values,
               &count = drops.variable("point_count").values, &x = drops.variable("point_x").values,
               &z = drops.variable("point_z").values;
  std::vector<std::vector<Flights>> by_kind(std::min(kinds, diameter.size()));
  std::size_t first = 0, drawn = 0;
  for (std::size_t t = 0; t < count.size(); ++t) {
    const auto points = static_cast<std::size_t>(count[t]);
    const auto kind = static_cast<std::size_t>(size[t]);
    if (fans[t] == drops.variable("fans").values[air] && kind < by_kind.size()) {
      Flights flight;
      for (std::size_t i = first; i < first + points; ++i) {
        flight.across_m.push_back(x[i]);
        flight.up_m.push_back(z[i]);
      }
      by_kind[kind].push_back(std::move(flight));
      ++drawn;
    }
    first += points;
  }
  return figure(
      draw(side_layer(drops, air), marks_from_side(s.plan.places(), s.record.find("house")),
           "Ways of drops from one head seen from the side, " + air_words(drops, air), by_kind) +
          line_key(diameter),
      fmt::format("{}, {} drops from the side.", capital(air_words(drops, air)), drawn),
      fate_table(drops, air));
}

std::string airborne_figure(const Subject& s, const Group& drops, std::size_t air,
                            double high_g_per_m3) {
  const FlowLayer layer = side_layer(drops, air);
  Values grams = layer.speed_m_per_s;
  for (double& value : grams) value *= 1e3;
  const Spread spread = spread_of(grams);
  const std::size_t columns = layer.across_m.size();
  const MapScale scale{Ramp::Wet, 0.0,   high_g_per_m3, "water in the air, g/m\u00b3",
                       "none",    "most"};
  DataTable table{"", {}, {}, spread_words(spread, 2, "g/m\u00b3")};
  return figure(
      draw(layer, s.plan, marks_from_side(s.plan.places(), s.record.find("house")),
           "Water in the air from the side, " + air_words(drops, air), grams, scale),
      fmt::format("{}, the air holds most water {:.1f} m along and {:.1f} m up.",
                  capital(air_words(drops, air)), layer.across_m[spread.high_place % columns],
                  layer.up_m[spread.high_place / columns]),
      table);
}

std::string head_figure(const Subject& s, const Group& drops, std::size_t air, double high_pct) {
  Values percent =
      row(drops.variable("head_share").values, air,
          drops.variable("head_share").values.size() / drops.variable("fans").values.size());
  double landed = 0.0;
  for (double& value : percent) landed += value *= 100.0;
  const MapScale scale{Ramp::Wet, 0.0,   high_pct, "% of the head's water on each cell",
                       "none",    "most"};
  return figure(
      s.plan.small("Where one head's water lands, " + air_words(drops, air), percent, scale, "") +
          s.plan.colour_bar(scale),
      fmt::format("{}, {:.0f} % of the water of the head {:.1f} m along and {:.1f} m across lands "
                  "on benches.",
                  capital(air_words(drops, air)), landed, attribute_number(drops, "head_x_m", 0.0),
                  attribute_number(drops, "head_y_m", 0.0)),
      {});
}

}  // namespace

std::string flight_section(const Subject& s) {
  const Group* drops = s.record.find("drops");
  if (drops == nullptr) return {};
  const auto highest = [&](const char* name, double factor) {
    double most = 0.0;
    for (const double value : drops->variable(name).values)
      if (std::isfinite(value)) most = std::max(most, factor * value);
    return round_ticks(0.0, std::max(most, 1e-6), 5).back();
  };
  const double grams = highest("airborne_water", 1e3), percent = highest("head_share", 100.0);
  std::string words, pictures[3];
  for (std::size_t air = 0; air < drops->variable("fans").values.size(); ++air) {
    words += paragraph(flight_words(*drops, air));
    pictures[0] += track_figure(s, *drops, air);
    pictures[1] += airborne_figure(s, *drops, air, grams);
    pictures[2] += head_figure(s, *drops, air, percent);
  }
  return section(
      "flight", "How the drops fly",
      words + "<div class=\"pair three\">" + pictures[0] + pictures[1] + pictures[2] + "</div>\n" +
          paragraph(fmt::format(
              "Lines are a dozen drops of each size from the head nearest the middle of the "
              "benches. Water in the air is the mean across the house and over the {:.0f} s from "
              "the start of a burst of every zone.",
              attribute_number(*drops, "airborne_window_s", 60.0))));
}

}  // namespace mistwright::report
