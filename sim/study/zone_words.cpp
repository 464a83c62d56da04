#include "sim/study/zone_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "models/units.h"
#include "sim/report/words.h"

namespace mistwright::study {

namespace {

constexpr std::size_t split_indent = 10;

/// A name and the number at its end.
struct NumberedName {
  std::string_view name;
  std::optional<int> number;
};

NumberedName numbered(std::string_view name) {
  const std::size_t last = name.find_last_not_of("0123456789");
  if (last == std::string_view::npos || last + 1 == name.size() || name.size() - last > 7)
    return {name, std::nullopt};
  return {name.substr(0, last + 1), std::stoi(std::string(name.substr(last + 1)))};
}

/// "24 L/min (6.3 gal/min)"
std::string flow_words(double flow_m3_per_s) {
  const double L_per_min = flow_m3_per_s * 6e4;
  return fmt::format("{} L/min ({} gal/min)", report::number_words(L_per_min),
                     report::number_words(L_per_min / 3.785411784));
}

std::string zones_counted(std::size_t zones) {
  return zones == 1 ? "1 zone" : fmt::format("{} zones", zones);
}

std::string needs_words(const Split& split) {
  return fmt::format(
      "all {} heads together ask for {}; the supply gives at most {} at the least pressure that a "
      "head needs",
      split.heads, flow_words(split.together_flow_m3_per_s), flow_words(split.most_flow_m3_per_s));
}

std::string table_words(const House& house, const Split& split) {
  std::string out =
      fmt::format("{:>4} {:>9} {:>13} {:>6} {:>8} {:>8} {:>6} {:>7}  {}\n", "zone", "flow", "least",
                  "flows", "feed", "lateral", "tell", "opens", "heads");
  out += fmt::format("{:>4} {:>9} {:>13} {:>6} {:>8} {:>8} {:>6} {:>7}\n", "", "L/min", "pressure",
                     "differ", "pipe", "pipe", "", "after");
  for (std::size_t z = 0; z < split.zones.size(); ++z) {
    const PlannedZone& zone = split.zones[z];
    const std::string label =
        fmt::format("{:>4} {:>9.1f} {:>6.1f} bar {:>2.0f} psi {:>4.0f} % {:>8} {:>8} {:>6} {:>7} ",
                    z + 1, zone.flow_m3_per_s * 6e4, zone.lowest_pressure_Pa / 1e5,
                    zone.lowest_pressure_Pa / 6894.757293168361, 100.0 * zone.flow_spread_fraction,
                    zone.pipes.feed.name, zone.pipes.lateral.name, report::burst_words(zone.told_s),
                    fmt::format("{:.0f} s", zone.opens_at_s));
    out += report::wrapped(label, heads_words(house, zone.heads), label.size() + 1);
  }
  return out;
}

std::string round_words(const Split& split) {
  std::string words =
      split.zones.size() == 1
          ? fmt::format("the one zone takes {}, its pause included",
                        report::burst_words(split.round_s))
          : fmt::format("the zones open one after another, {} apart, and a round takes {}",
                        report::burst_words(split.pause_s), report::burst_words(split.round_s));
  if (split.shortest_interval_s <= 0.0) return words + ". No programme says how often.";
  words += fmt::format("; the programme's shortest interval is {}",
                       report::burst_words(split.shortest_interval_s));
  if (split.fits_interval()) return words + ", in which it fits.";
  return words +
         ", IN WHICH IT DOES NOT FIT: lengthen the interval, shorten bursts, or let more water in.";
}

std::string seconds_words(const Split& split) {
  double first_s = split.zones.front().first_full_s, last_s = 0.0;
  for (const PlannedZone& zone : split.zones) {
    first_s = std::min(first_s, zone.first_full_s);
    last_s = std::max(last_s, zone.last_full_s);
  }
  const std::string when = last_s - first_s < 0.05
                               ? fmt::format("{:.1f} s", first_s)
                               : fmt::format("{:.1f} to {:.1f} s", first_s, last_s);
  return fmt::format(
      "heads begin to spray {} after the command (the valve opens, drained lines fill); `tell` is "
      "what the clock must be told for {} of spray on average, with the valve's closing counted.",
      when, report::burst_words(split.burst_s));
}

std::string pipes_words(const Split& split) {
  double feed_m = 0.0, lateral_m = 0.0, fastest = 0.0;
  for (const PlannedZone& zone : split.zones) {
    feed_m += zone.feed_m;
    lateral_m += zone.lateral_m;
    fastest = std::max(fastest, zone.fastest_m_per_s);
  }
  return fmt::format(
      "{:.0f} m ({:.0f} ft) of feeds and {:.0f} m ({:.0f} ft) of laterals, a valve to each zone "
      "where the valve stands now, the narrowest sold pipes that do (least length times bore); "
      "water goes {:.1f} m/s ({:.1f} ft/s) at most in them. Ways go square to the walls.",
      feed_m, feed_m / 0.3048, lateral_m, lateral_m / 0.3048, fastest, fastest / 0.3048);
}

std::string too_high_words(const Split& split) {
  return fmt::format(
      "with a zone open some head stands {} above its range: a regulator before the valves.",
      report::pressure_words(split.too_high_Pa));
}

/// Whether fewer zones might do.
std::string fewer_words(const Split& split) {
  const std::size_t zones = split.zones.size();
  if (zones == split.least_zones) return zones == 1 ? "" : " No fewer can, whatever the pipes.";
  const std::string fewer = zones_counted(split.least_zones);
  if (split.every_way)
    return fmt::format(
        " By flow alone {} might do, but every way to group them was tried and none of fewer zones "
        "keeps pressures and flows.",
        fewer);
  return fmt::format(
      " By flow alone {} might do; rows cut elsewhere were tried, heads picked from here and there "
      "were not.",
      fewer);
}

/// What it costs to leave rows whole.
std::string whole_row_words(const Split& split) {
  if (!split.rows_cut) return "";
  if (split.whole_row_zones == 0) return " Some row is too much for one zone by itself.";
  return fmt::format(" With every row whole (--whole-rows): {}.",
                     zones_counted(split.whole_row_zones));
}

std::string split_cautions() {
  return report::wrapped(
      "Cautions",
      "keep tap water safe from backflow as your supplier asks; a hose-end vacuum breaker with a "
      "valve after it is not protection. Extra-low voltage at the valves, wiring by a licensed "
      "person. Shut the supply and let the pressure off before pipes are opened. Common practice; "
      "local codes and licensed practice go first.",
      split_indent);
}

}  // namespace

std::string heads_words(const House& house, const std::vector<std::uint32_t>& heads) {
  std::vector<std::string> items;
  for (std::size_t i = 0; i < heads.size();) {
    const std::string& first = house.heads[heads[i]].name;
    const NumberedName from = numbered(first);
    std::size_t last = i;
    while (from.number && last + 1 < heads.size()) {
      const NumberedName next = numbered(house.heads[heads[last + 1]].name);
      if (!next.number || next.name != from.name ||
          *next.number != *from.number + static_cast<int>(last + 1 - i))
        break;
      ++last;
    }
    items.push_back(
        last == i ? first
                  : fmt::format("{} to {}", first, *from.number + static_cast<int>(last - i)));
    i = last + 1;
  }
  return fmt::format("{}", fmt::join(items, ", "));
}

std::string split_findings(const House& house, const Split& split) {
  if (split.heads == 0) return "the house has no heads.";
  if (!split.alone_too_much.empty())
    return fmt::format(
        "no zones help: {} get too little water even alone, with pipes as wide as are looked at. "
        "More pressure, or heads that need less.",
        heads_words(house, split.alone_too_much));
  const std::size_t zones = split.zones.size();
  return fmt::format("{} {}: {}.{}{}", zones_counted(zones), zones == 1 ? "does" : "do",
                     needs_words(split), fewer_words(split), whole_row_words(split));
}

std::string split_words(const House& house, const Split& split) {
  std::string out = report::wrapped("Zones", split_findings(house, split), split_indent);
  if (split.zones.empty()) return out + split_cautions();
  out += '\n' + table_words(house, split) + '\n';
  out += report::wrapped("Round", round_words(split), split_indent);
  if (split.burst_s > 0.0) out += report::wrapped("Seconds", seconds_words(split), split_indent);
  out += report::wrapped("Pipes", pipes_words(split), split_indent);
  if (split.too_high_Pa > 0.0)
    out += report::wrapped("Pressure", too_high_words(split), split_indent);
  return out + split_cautions();
}

}  // namespace mistwright::study
