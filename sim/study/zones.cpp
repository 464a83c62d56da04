#include "sim/study/zones.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "models/contracts.h"
#include "models/units.h"
#include "models/water/fill.h"
#include "models/water/pipe.h"
#include "models/water/zone_search.h"

namespace mistwright::study {

namespace {

/// What a zone comes to with its valve open alone.
struct Served {
  water::Hydraulics state;
  double flow_spread_fraction = 0.0;
  double least_margin_Pa = 0.0;  ///< over a head's working pressure; below zero: too little
  std::size_t worst = 0;         ///< the head that has it
  double fastest_m_per_s = 0.0;
};

Served serve(const ZoneLines& lines) {
  Served out;
  out.state = water::solve(lines.network, lines.heads, {true}, lines.network.supply.temperature_K);
  out.least_margin_Pa = std::numeric_limits<double>::infinity();
  double low = std::numeric_limits<double>::infinity(), high = 0.0;
  for (std::size_t h = 0; h < lines.heads.size(); ++h) {
    const water::HeadType& type = *lines.heads[h].type;
    const double ratio = out.state.head_flow_m3_per_s[h] / type.rated_flow_m3_per_s;
    low = std::min(low, ratio);
    high = std::max(high, ratio);
    const double pressure_Pa = ratio > 0.0 ? out.state.head_pressure_Pa[h] : 0.0;
    const double margin_Pa = pressure_Pa - type.working_pressure_low_Pa;
    if (margin_Pa < out.least_margin_Pa) out.least_margin_Pa = margin_Pa, out.worst = h;
  }
  out.flow_spread_fraction = high > 0.0 ? (high - low) / high : 1.0;
  for (const auto* list : {&lines.feeds, &lines.laterals})
    for (const std::uint32_t p : *list) {
      const double bore_m = lines.network.pipes[p].diameter_m;
      const double speed =
          std::abs(out.state.pipe_flow_m3_per_s[p]) / (0.25 * pi * bore_m * bore_m);
      out.fastest_m_per_s = std::max(out.fastest_m_per_s, speed);
    }
  return out;
}

/// The house's zones as they are looked for.
class Splitting {
 public:
  Splitting(const House& house, const SplitOptions& options)
      : house_(house),
        options_(options),
        trunk_(trunk_of(house)),
        heads_(rising_heads(house, trunk_)) {
    for (const water::SoldPipe& pipe : water::sold_pipes(options.series)) {
      if (pipe.outside_m <= options.widest_lateral_m) laterals_.push_back(pipe);
      if (pipe.outside_m <= options.widest_feed_m) feeds_.push_back(pipe);
    }
    EXPECT(!laterals_.empty() && !feeds_.empty());
  }

  Split run() {
    Split out;
    out.house_name = house_.name;
    out.heads = heads_.size();
    programmes(out);
    bound(out);
    const water::Zoning whole = by_rows();
    out.whole_row_zones = whole.zones.size();
    const water::Zoning found = options_.whole_rows ? whole : by_heads();
    out.every_way = found.every_way;
    for (const std::uint32_t h : found.alone_too_much) out.alone_too_much.push_back(heads_[h].head);
    for (const auto& zone : found.zones) {
      out.zones.push_back(plan(zone, out));
      out.too_high_Pa = std::max(out.too_high_Pa, out.zones.back().too_high_Pa);
    }
    out.rows_cut = cuts_rows(found.zones);
    in_order(out);
    return out;
  }

 private:
  [[nodiscard]] bool can_serve(const std::vector<std::uint32_t>& some) const {
    return good(serve(lay(some, {feeds_.back(), laterals_.back()})));
  }

  [[nodiscard]] water::Zoning by_heads() const {
    std::vector<water::ZoneHead> asked;
    asked.reserve(heads_.size());
    for (const RisingHead& rising : heads_)
      asked.push_back({rising.row, type_of(rising).rated_flow_m3_per_s});
    return water::fewest_zones(
        asked, [&](const std::vector<std::uint32_t>& some) { return can_serve(some); });
  }

  /// Whole rows in place of heads.
  [[nodiscard]] water::Zoning by_rows() const {
    std::vector<water::ZoneHead> asked;
    std::vector<std::vector<std::uint32_t>> rows;
    for (std::uint32_t h = 0; h < heads_.size(); ++h) {
      if (heads_[h].row == rows.size()) {
        rows.emplace_back();
        asked.push_back({heads_[h].row, 0.0});
      }
      rows.back().push_back(h);
      asked.back().flow_m3_per_s += type_of(heads_[h]).rated_flow_m3_per_s;
    }
    const auto heads_of = [&](const std::vector<std::uint32_t>& some) {
      std::vector<std::uint32_t> heads;
      for (const std::uint32_t r : some) heads.insert(heads.end(), rows[r].begin(), rows[r].end());
      return heads;
    };
    water::Zoning found = water::fewest_zones(
        asked, [&](const std::vector<std::uint32_t>& some) { return can_serve(heads_of(some)); });
    found.alone_too_much = heads_of(found.alone_too_much);
    for (auto& zone : found.zones) zone = heads_of(zone);
    return found;
  }

  [[nodiscard]] bool cuts_rows(const std::vector<std::vector<std::uint32_t>>& zones) const {
    std::vector<std::size_t> zone_of(heads_.size(), 0);
    for (std::size_t z = 0; z < zones.size(); ++z)
      for (const std::uint32_t h : zones[z]) zone_of[h] = z;
    for (std::size_t h = 1; h < heads_.size(); ++h)
      if (heads_[h].row == heads_[h - 1].row && zone_of[h] != zone_of[h - 1]) return true;
    return false;
  }

  [[nodiscard]] const water::HeadType& type_of(const RisingHead& rising) const {
    return house_.head_types[house_.heads[rising.head].type];
  }
  [[nodiscard]] bool good(const Served& served) const {
    return served.state.converged && served.least_margin_Pa >= 0.0 &&
           served.flow_spread_fraction <= options_.flow_spread_fraction &&
           served.fastest_m_per_s <= options_.fastest_m_per_s;
  }
  [[nodiscard]] ZoneLines lay(const std::vector<std::uint32_t>& zone,
                              const LinePipes& pipes) const {
    std::vector<RisingHead> some;
    some.reserve(zone.size());
    for (const std::uint32_t h : zone) some.push_back(heads_[h]);
    return lay_zone(house_, trunk_, some, pipes);
  }

  void programmes(Split& out) const {
    std::int64_t burst = 0, interval = std::numeric_limits<std::int64_t>::max();
    for (const Clock& clock : house_.clocks)
      for (const auto& programme : clock.programmes)
        for (const auto& band : programme.bands) {
          if (band.burst_us == 0) continue;
          burst = std::max(burst, band.burst_us);
          interval = std::min(interval, band.interval_us);
        }
    out.burst_s = static_cast<double>(burst) * 1e-6;
    if (burst > 0) out.shortest_interval_s = static_cast<double>(interval) * 1e-6;
    out.pause_s = options_.pause_s;
  }

  /// No zone passes more than the supply gives at the pressure that its easiest head needs.
  void bound(Split& out) const {
    std::vector<double> least;
    double easiest_Pa = std::numeric_limits<double>::infinity();
    const double manifold_m = trunk_.network.nodes[trunk_.manifold].elevation_m;
    const double weight =
        water::liquid_density_kg_per_m3(trunk_.network.supply.temperature_K) * gravity_m_per_s2;
    for (const RisingHead& rising : heads_) {
      const water::HeadType& type = type_of(rising);
      least.push_back(water::head_flow_m3_per_s(type, type.working_pressure_low_Pa));
      out.together_flow_m3_per_s += type.rated_flow_m3_per_s;
      const double rise_m = house_.heads[rising.head].z_m - manifold_m;
      easiest_Pa = std::min(easiest_Pa, type.working_pressure_low_Pa + weight * rise_m);
    }
    if (manifold_pressure_Pa(trunk_, 0.0) < easiest_Pa || heads_.empty()) return;
    double low = 0.0, high = 1e-5;
    while (high < 10.0 && manifold_pressure_Pa(trunk_, high) >= easiest_Pa) low = high, high *= 2.0;
    for (int i = 0; i < 60; ++i) {
      const double middle = 0.5 * (low + high);
      (manifold_pressure_Pa(trunk_, middle) >= easiest_Pa ? low : high) = middle;
    }
    out.most_flow_m3_per_s = high;
    out.least_zones = water::least_zones(least, out.most_flow_m3_per_s);
  }

  /// The zone with the pipes that do, least in length times bore.
  PlannedZone plan(const std::vector<std::uint32_t>& zone, const Split& out) const {
    PlannedZone best;
    double least_m2 = std::numeric_limits<double>::infinity();
    for (const water::SoldPipe& feed : feeds_)
      for (const water::SoldPipe& lateral : laterals_) {
        if (lateral.bore_m > feed.bore_m) break;
        const LinePipes pipes{feed, lateral};
        const ZoneLines lines = lay(zone, pipes);
        const double size_m2 = lines.feed_m * feed.bore_m + lines.lateral_m * lateral.bore_m;
        if (size_m2 >= least_m2) continue;
        const Served served = serve(lines);
        if (!good(served)) continue;
        least_m2 = size_m2;
        best = told(zone, pipes, lines, served, out);
      }
    return best;
  }

  PlannedZone told(const std::vector<std::uint32_t>& zone, const LinePipes& pipes,
                   const ZoneLines& lines, const Served& served, const Split& out) const {
    PlannedZone one;
    for (const std::uint32_t h : zone) one.heads.push_back(heads_[h].head);
    one.pipes = pipes;
    one.feed_m = lines.feed_m;
    one.lateral_m = lines.lateral_m;
    one.flow_m3_per_s = served.state.supply_flow_m3_per_s;
    one.worst_head = one.heads[served.worst];
    one.lowest_pressure_Pa = served.state.head_pressure_Pa[served.worst];
    one.flow_spread_fraction = served.flow_spread_fraction;
    one.fastest_m_per_s = served.fastest_m_per_s;
    for (std::size_t h = 0; h < lines.heads.size(); ++h) {
      const double pressure_Pa = served.state.head_pressure_Pa[h];
      one.highest_pressure_Pa = std::max(one.highest_pressure_Pa, pressure_Pa);
      one.too_high_Pa =
          std::max(one.too_high_Pa, pressure_Pa - lines.heads[h].type->working_pressure_high_Pa);
    }
    seconds(lines, served, out, one);
    return one;
  }

  /// Told so many seconds, in whole steps of the clock, that the heads spray the burst on average.
  void seconds(const ZoneLines& lines, const Served& served, const Split& out,
               PlannedZone& one) const {
    const auto windows = water::spray_windows(lines.network, lines.heads, 0, served.state, 0.0);
    double sum = 0.0;
    one.first_full_s = std::numeric_limits<double>::infinity();
    for (const water::SprayWindow& window : windows) {
      sum += window.start_s;
      one.first_full_s = std::min(one.first_full_s, window.start_s);
      one.last_full_s = std::max(one.last_full_s, window.start_s);
    }
    const double late_s = sum / static_cast<double>(windows.size());
    const double step_s =
        house_.clocks.empty() ? 1.0 : std::max(1e-3, house_.clocks[0].limits.resolution_s);
    const double wished_s = out.burst_s + late_s - trunk_.valve.closing_delay_s;
    one.told_s = std::max(1.0, std::ceil(wished_s / step_s - 1e-9)) * step_s;
  }

  /// One after another, the next as soon as the last one's valve has shut.
  void in_order(Split& out) const {
    double at_s = 0.0;
    const double shut_s =
        std::max(0.0, trunk_.valve.closing_delay_s - trunk_.valve.opening_delay_s);
    for (PlannedZone& zone : out.zones) {
      zone.opens_at_s = at_s;
      at_s += zone.told_s + std::max(out.pause_s, shut_s);
    }
    out.round_s = at_s;
  }

  const House& house_;
  const SplitOptions& options_;
  Trunk trunk_;
  std::vector<RisingHead> heads_;
  std::vector<water::SoldPipe> feeds_, laterals_;
};

}  // namespace

Split split(const House& house, const SplitOptions& options) {
  EXPECT(options.flow_spread_fraction > 0.0 && options.pause_s >= 0.0);
  return Splitting(house, options).run();
}

}  // namespace mistwright::study
