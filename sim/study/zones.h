#pragma once
// A house split into the fewest zones that its supply can carry one after another: which heads
// spray together, through which pipes, in which order, told how many seconds, and whether a round
// fits between two bursts.
#include <cstddef>
#include <string>
#include <vector>

#include "sim/house/house.h"
#include "sim/study/zone_lines.h"

namespace mistwright::study {

struct SplitOptions {
  double flow_spread_fraction = 0.1;  ///< of a zone's flows over rated ones, over the greatest
  double fastest_m_per_s = 1.5;       ///< in feeds and laterals; common practice against hammer
  double pause_s = 2.0;               ///< at least, from one zone's stop to the next one's start
  water::PipeSeries series = water::PipeSeries::PolyethyleneMetric;
  double widest_feed_m = 0.065;     ///< outside diameters: up to 63 mm or 2 in
  double widest_lateral_m = 0.043;  ///< up to 40 mm or 1 1/4 in
  bool whole_rows = false;          ///< no row is cut
};

/// One zone with its valve open alone.
struct PlannedZone {
  std::vector<std::uint32_t> heads;  ///< indices into House::heads
  LinePipes pipes;
  double feed_m = 0.0, lateral_m = 0.0;
  double flow_m3_per_s = 0.0;
  double lowest_pressure_Pa = 0.0;
  std::uint32_t worst_head = 0;  ///< the one with that pressure over what it needs
  double highest_pressure_Pa = 0.0;
  double too_high_Pa = 0.0;  ///< above a head's range by this much; 0 for none
  double flow_spread_fraction = 0.0;
  double fastest_m_per_s = 0.0;
  double told_s = 0.0;  ///< so that its heads spray the wished burst on average
  double first_full_s = 0.0, last_full_s = 0.0;  ///< from the command to a head's first spray
  double opens_at_s = 0.0;                       ///< in the round
};

struct Split {
  std::string house_name;
  std::vector<PlannedZone> zones;   ///< in the order in which they spray
  std::size_t least_zones = 0;      ///< no fewer can do, whatever the pipes
  bool every_way = false;           ///< whether every way to group heads, or whole rows, was tried
  std::size_t whole_row_zones = 0;  ///< with no row cut; 0 when some row is too much by itself
  bool rows_cut = false;
  std::vector<std::uint32_t> alone_too_much;  ///< heads that get too little even alone
  std::size_t heads = 0;
  double together_flow_m3_per_s = 0.0;  ///< of all heads at their rated pressures
  double most_flow_m3_per_s = 0.0;  ///< the supply's at the pressure that the easiest head needs
  double too_high_Pa = 0.0;  ///< above a head's range by this much with its zone open; 0 for none
  double burst_s = 0.0;      ///< wished
  double shortest_interval_s = 0.0;  ///< of the house's programmes; 0 for none
  double round_s = 0.0;              ///< all zones once, with pauses
  double pause_s = 0.0;

  [[nodiscard]] bool fits_interval() const {
    return shortest_interval_s <= 0.0 || round_s <= shortest_interval_s;
  }
};

/// The longest burst and the shortest interval are those of the house's programmes.
[[nodiscard]] Split split(const House& house, const SplitOptions& options = {});

}  // namespace mistwright::study
