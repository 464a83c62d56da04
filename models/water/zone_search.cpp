#include "models/water/zone_search.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>
#include <numeric>
#include <tuple>

#include "models/contracts.h"

namespace mistwright::water {
namespace {

/// What zones cost: fewest first, then fewest stretches of rows, then the most even flows.
struct ZoneCost {
  std::size_t zones = 0, pieces = 0;
  double squares_m6_per_s2 = 0.0;

  friend ZoneCost operator+(const ZoneCost& a, const ZoneCost& b) {
    return {a.zones + b.zones, a.pieces + b.pieces, a.squares_m6_per_s2 + b.squares_m6_per_s2};
  }
  friend bool operator<(const ZoneCost& a, const ZoneCost& b) {
    return std::tie(a.zones, a.pieces, a.squares_m6_per_s2) <
           std::tie(b.zones, b.pieces, b.squares_m6_per_s2);
  }
};

constexpr ZoneCost no_way{std::numeric_limits<std::size_t>::max() / 2, 0, 0.0};

ZoneCost cost_of(const std::vector<ZoneHead>& heads, const std::vector<std::uint32_t>& zone) {
  ZoneCost cost{1, 0, 0.0};
  double flow = 0.0;
  for (std::size_t i = 0; i < zone.size(); ++i) {
    const bool joins =
        i > 0 && zone[i] == zone[i - 1] + 1 && heads[zone[i]].row == heads[zone[i - 1]].row;
    if (!joins) ++cost.pieces;
    flow += heads[zone[i]].flow_m3_per_s;
  }
  cost.squares_m6_per_s2 = flow * flow;
  return cost;
}

std::vector<std::uint32_t> members(std::uint32_t mask) {
  std::vector<std::uint32_t> heads;
  for (; mask != 0; mask &= mask - 1)
    heads.push_back(static_cast<std::uint32_t>(std::countr_zero(mask)));
  return heads;
}

/// Every way: the best for each set of heads from the best for what one zone of its first head
/// leaves.
std::vector<std::vector<std::uint32_t>> best_of_all(const std::vector<ZoneHead>& heads,
                                                    const ZoneFits& fits) {
  const std::uint32_t sets = 1U << heads.size();
  std::vector<ZoneCost> own(sets, no_way), best(sets, no_way);
  std::vector<std::uint32_t> first(sets, 0);
  for (std::uint32_t set = 1; set < sets; ++set) {
    const auto zone = members(set);
    if (fits(zone)) own[set] = cost_of(heads, zone);
  }
  best[0] = {};
  for (std::uint32_t set = 1; set < sets; ++set) {
    const std::uint32_t lowest = set & (~set + 1U), rest = set ^ lowest;
    for (std::uint32_t more = rest;; more = (more - 1U) & rest) {
      const std::uint32_t zone = more | lowest;
      const ZoneCost cost = own[zone] + best[set ^ zone];
      if (cost < best[set]) best[set] = cost, first[set] = zone;
      if (more == 0) break;
    }
  }
  std::vector<std::vector<std::uint32_t>> zones;
  if (!(best[sets - 1] < no_way)) return zones;
  for (std::uint32_t left = sets - 1; left != 0; left ^= first[left])
    zones.push_back(members(first[left]));
  return zones;
}

std::vector<std::uint32_t> stretch(std::size_t from, std::size_t to) {
  std::vector<std::uint32_t> zone(to - from);
  std::iota(zone.begin(), zone.end(), static_cast<std::uint32_t>(from));
  return zone;
}

/// Where the longest stretch ends that begins at each head and fits. One that begins later ends no
/// sooner, since a stretch of one that fits does too.
std::vector<std::size_t> ends_of_longest(std::size_t count, const ZoneFits& fits) {
  std::vector<std::size_t> ends(count, 0);
  std::size_t end = 0;
  for (std::size_t from = 0; from < count; ++from) {
    end = std::max(end, from);
    while (end < count && fits(stretch(from, end + 1))) ++end;
    ends[from] = end;
  }
  return ends;
}

/// The best cuts of the rows laid one behind the other, given how far each stretch may reach.
std::vector<std::vector<std::uint32_t>> best_cuts(const std::vector<ZoneHead>& heads,
                                                  const std::vector<std::size_t>& ends) {
  const std::size_t count = heads.size();
  std::vector<ZoneCost> best(count + 1, no_way);
  std::vector<std::size_t> cut(count + 1, 0);
  best[count] = {};
  for (std::size_t from = count; from-- > 0;) {
    ZoneCost zone{1, 1, 0.0};
    double flow = 0.0;
    for (std::size_t to = from; to < ends[from]; ++to) {
      if (to > from && heads[to].row != heads[to - 1].row) ++zone.pieces;
      flow += heads[to].flow_m3_per_s;
      zone.squares_m6_per_s2 = flow * flow;
      const ZoneCost cost = zone + best[to + 1];
      if (cost < best[from]) best[from] = cost, cut[from] = to + 1;
    }
  }
  std::vector<std::vector<std::uint32_t>> zones;
  if (!(best[0] < no_way)) return zones;
  for (std::size_t from = 0; from < count; from = cut[from])
    zones.push_back(stretch(from, cut[from]));
  return zones;
}

/// A stretch that was taken to fit and does not is cut short, and the cuts are looked for anew.
std::vector<std::vector<std::uint32_t>> best_stretches(const std::vector<ZoneHead>& heads,
                                                       const ZoneFits& fits) {
  std::vector<std::size_t> ends = ends_of_longest(heads.size(), fits);
  for (;;) {
    auto zones = best_cuts(heads, ends);
    const auto wrong =
        std::find_if(zones.begin(), zones.end(), [&](const auto& zone) { return !fits(zone); });
    if (wrong == zones.end()) return zones;
    ends[wrong->front()] = wrong->back();
  }
}

}  // namespace

Zoning fewest_zones(const std::vector<ZoneHead>& heads, const ZoneFits& fits) {
  Zoning found;
  for (std::uint32_t h = 0; h < heads.size(); ++h) {
    EXPECT(heads[h].flow_m3_per_s > 0.0);
    EXPECT(h == 0 || heads[h].row >= heads[h - 1].row);
    if (!fits({h})) found.alone_too_much.push_back(h);
  }
  if (heads.empty() || !found.alone_too_much.empty()) return found;
  found.every_way = heads.size() <= every_way_heads;
  found.zones = found.every_way ? best_of_all(heads, fits) : best_stretches(heads, fits);
  return found;
}

std::size_t least_zones(std::vector<double> least_flow_m3_per_s, double most_flow_m3_per_s) {
  if (least_flow_m3_per_s.empty()) return 0;
  EXPECT(most_flow_m3_per_s > 0.0);
  std::sort(least_flow_m3_per_s.begin(), least_flow_m3_per_s.end());
  const double hair = 1.0 + 1e-9;
  double held = 0.0;
  std::size_t together = 0;
  for (const double flow : least_flow_m3_per_s) {
    EXPECT(flow >= 0.0);
    held += flow;
    if (held <= most_flow_m3_per_s * hair) ++together;
  }
  const std::size_t count = least_flow_m3_per_s.size();
  const std::size_t by_count = together == 0 ? count : (count + together - 1) / together;
  const auto by_sum = static_cast<std::size_t>(std::ceil(held / (most_flow_m3_per_s * hair)));
  return std::max({std::size_t{1}, by_count, by_sum});
}

}  // namespace mistwright::water
