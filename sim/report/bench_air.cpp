#include "sim/report/bench_air.h"

#include <fmt/core.h>

#include <algorithm>
#include <iterator>

#include "sim/report/html.h"
#include "sim/report/map_words.h"
#include "sim/report/svg.h"

namespace mistwright::report {
namespace {

using Values = std::vector<double>;

struct Quantity {
  const char *variable, *id, *name, *unit, *low, *high;
  Ramp ramp;
  double factor, offset;  ///< from the record's unit to the one shown
  double least_width;     ///< of the colours' range
  int decimals;
};
constexpr Quantity quantities[] = {
    {"air_vapour_pressure_deficit", "air-deficit", "Dryness of the air over the benches", "kPa",
     "damp", "dry", Ramp::Drying, 1e-3, 0.0, 0.2, 2},
    {"air_temperature", "air-warmth", "Air temperature over the benches", "\u00b0C", "cooler",
     "warmer", Ramp::Drying, 1.0, -273.15, 2.0, 1},
    {"air_speed", "air-speed", "Air speed over the benches", "m/s", "still", "fastest", Ramp::Wet,
     1.0, 0.0, 0.05, 2}};

Values frame_of(const LiveMap& map, std::size_t frame, std::size_t cells) {
  const auto first = map.values.begin() + static_cast<std::ptrdiff_t>(frame * cells);
  return {first, first + static_cast<std::ptrdiff_t>(cells)};
}

std::string words_of(const Subject& s, const Quantity& what, const Values& values) {
  const Spread spread = spread_of(values);
  const auto place = [&](std::size_t cell) {
    return s.plan.places().words(s.plan.x_m()[cell], s.plan.y_m()[cell]);
  };
  return fmt::format("{:.{}f} {} in the mean. Most: {:.{}f} {}, {}; least: {:.{}f} {}, {}.",
                     mean_number(values), what.decimals, what.unit, spread.high, what.decimals,
                     what.unit, place(spread.high_place), spread.low, what.decimals, what.unit,
                     place(spread.low_place));
}

/// Colours between round numbers about the values.
MapScale scale_of(const Quantity& what, const Values& values) {
  const Spread spread = spread_of(values);
  const double slack = std::max(0.0, 0.5 * (what.least_width - (spread.high - spread.low)));
  const double low = what.offset == 0.0 ? std::max(0.0, spread.low - slack) : spread.low - slack;
  const auto ticks = round_ticks(low, spread.high + slack, 5);
  return {what.ramp, ticks.front(), ticks.back(), fmt::format("{}, {}", what.name, what.unit),
          what.low,  what.high};
}

LiveMap live_map(const Subject& s, const Quantity& what, const Values& all, std::size_t every) {
  const std::size_t cells = s.plan.x_m().size();
  LiveMap map{what.id, what.name, {}, {}, what.decimals, {}, {}};
  for (std::size_t k = 0; (k + 1) * cells <= all.size(); k += every) {
    Values values;
    for (std::size_t c = 0; c < cells; ++c)
      values.push_back(what.factor * all[k * cells + c] + what.offset);
    map.words.push_back(typeset(words_of(s, what, values)));
    map.shorts.push_back(typeset(spread_words(spread_of(values), what.decimals, what.unit)));
    map.values.insert(map.values.end(), values.begin(), values.end());
  }
  map.scale = scale_of(what, map.values);
  return map;
}

}  // namespace

std::vector<LiveMap> bench_air_maps(const Subject& s, std::size_t every) {
  const record::Group& bench = s.record.group("bench");
  const std::size_t wanted = bench.variable("map_time").values.size() * s.plan.x_m().size();
  std::vector<LiveMap> maps;
  for (const Quantity& what : quantities)
    if (const record::Variable* found = bench.find(what.variable);
        found != nullptr && wanted > 0 && found->values.size() == wanted)
      maps.push_back(live_map(s, what, found->values, every));
  return maps;
}

std::string driest_air(const Subject& s, const std::vector<LiveMap>& maps, const Frames& frames) {
  if (maps.empty() || maps.front().id != quantities[0].id) return {};
  const std::size_t cells = s.plan.x_m().size();
  std::size_t driest = 0;
  double most = -1.0;
  for (std::size_t k = 0; k < frames.clock.size(); ++k)
    if (const double mean = mean_number(frame_of(maps.front(), k, cells)); mean > most) {
      most = mean;
      driest = k;
    }
  std::string html;
  for (const LiveMap& map : maps) {
    const Values values = frame_of(map, driest, cells);
    // Colours of this hour alone, so that places can be told apart.
    const auto what = std::find_if(std::begin(quantities), std::end(quantities),
                                   [&](const Quantity& q) { return map.id == q.id; });
    const MapScale scale = scale_of(*what, values);
    DataTable table{map.name + " when the air is driest: means of the thirds", {"Third"}, {}};
    table.headings.push_back(map.scale.words);
    const std::vector<Third> thirds = thirds_of(s.plan);
    const std::vector<MapLabel> labels = third_labels(thirds, values, map.decimals);
    for (std::size_t i = 0; i < thirds.size(); ++i)
      table.rows.push_back({thirds[i].words, labels[i].words});
    table.in_short = map.shorts[driest];
    html += figure(s.plan.small(fmt::format("{} at {}", map.name, frames.clock[driest]), values,
                                scale, "", labels) +
                       s.plan.colour_bar(scale),
                   frames.clock[driest] + ": " + map.words[driest], table);
  }
  return fmt::format(
             "<h3>When the air over the benches is driest, {}</h3>\n<div class=\"pair three\">",
             escaped(frames.clock[driest])) +
         html + "</div>\n";
}

}  // namespace mistwright::report
