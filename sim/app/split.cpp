#include "sim/app/split.h"

#include <fmt/format.h>

#include "sim/app/work.h"
#include "sim/study/zone_words.h"

namespace mistwright::app {
namespace {

std::string names_json(const House& house, const std::vector<std::uint32_t>& heads) {
  std::vector<std::string> names;
  names.reserve(heads.size());
  for (const std::uint32_t head : heads) names.push_back(json_text(house.heads[head].name));
  return json_array(names);
}

std::string json(const House& house, const study::PlannedZone& zone) {
  JsonObject one;
  one.raw("heads", names_json(house, zone.heads));
  one.number("flow_m3_s", zone.flow_m3_per_s);
  one.number("lowest_pressure_pa", zone.lowest_pressure_Pa);
  one.text("worst_head", house.heads[zone.worst_head].name);
  one.number("highest_pressure_pa", zone.highest_pressure_Pa);
  one.number("flow_spread", zone.flow_spread_fraction);
  one.number("fastest_m_s", zone.fastest_m_per_s);
  one.text("feed", zone.pipes.feed.name);
  one.number("feed_m", zone.feed_m);
  one.text("lateral", zone.pipes.lateral.name);
  one.number("lateral_m", zone.lateral_m);
  one.number("tell_s", zone.told_s);
  one.number("opens_after_s", zone.opens_at_s);
  return one.str();
}

std::string json(const House& house, const study::Split& split) {
  std::vector<std::string> zones;
  for (const study::PlannedZone& zone : split.zones) zones.push_back(json(house, zone));
  JsonObject object;
  object.text("house", split.house_name);
  object.raw("zones", json_array(zones));
  object.whole("least_zones", static_cast<long long>(split.least_zones));
  object.flag("every_way", split.every_way);
  object.flag("rows_cut", split.rows_cut);
  object.whole("whole_row_zones", static_cast<long long>(split.whole_row_zones));
  object.raw("alone_too_much", names_json(house, split.alone_too_much));
  object.number("together_flow_m3_s", split.together_flow_m3_per_s);
  object.number("most_flow_m3_s", split.most_flow_m3_per_s);
  object.number("too_high_pa", split.too_high_Pa);
  object.number("burst_s", split.burst_s);
  object.number("round_s", split.round_s);
  object.number("shortest_interval_s", split.shortest_interval_s);
  object.flag("fits_interval", split.fits_interval());
  return object.str();
}

}  // namespace

int split(const Manners& manners, const SplitRequest& request) {
  ScenarioRequest input = request.input;
  input.allow_starved = true;  // what starves is what is to be split
  const Checked checked = read_checked(manners, input);
  if (!checked.house) return checked.status;
  Values values;
  study::SplitOptions options;
  options.pause_s = values.given_or(request.pause, {"--pause", scenario::Kind::Time, "0 s", "1 h"},
                                    options.pause_s);
  options.flow_spread_fraction = values.given_or(
      request.flow_spread, {"--flow-spread", scenario::Kind::Fraction, "0.1 %", "90 %"},
      options.flow_spread_fraction);
  if (!values.good()) return refuse(manners, input_error, values.problems());
  if (request.pipe == "pvc") options.series = water::PipeSeries::PvcSchedule40;
  options.whole_rows = request.whole_rows;
  return guarded(manners, [&] {
    const study::Split found = study::split(*checked.house, options);
    fmt::print("{}\n", manners.json ? json(*checked.house, found)
                                    : study::split_words(*checked.house, found));
  });
}

}  // namespace mistwright::app
