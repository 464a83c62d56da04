#pragma once
// Which valves the programmes open together, and what pressure that leaves at the heads: asked of
// the network's own solver before anything is run.
#include <cstdint>
#include <string>
#include <vector>

#include "sim/house/house.h"
#include "sim/scenario/problem.h"

namespace mistwright::app {

/// A set of valves that are open at the same time at some moment of the day.
struct Situation {
  std::vector<std::uint32_t> valves;  ///< rising
  std::int64_t first_us = 0;          ///< time of day at which it first happens
  double flow_m3_per_s = 0.0;         ///< that the supply then gives
  double wanted_m3_per_s = 0.0;       ///< that its heads would pass at their rated pressure
  double supply_pressure_Pa = 0.0;
  double lowest_head_Pa = 0.0;    ///< pressure at the worst-fed head
  std::uint32_t lowest_head = 0;  ///< index into House::heads
  bool starved = false;           ///< some head is below its lowest working pressure
};

/// Every set of valves open together in a day of the programmes, the single ones first.
[[nodiscard]] std::vector<Situation> situations(const House& house);

/// Zones that can each be fed alone but not together.
[[nodiscard]] std::vector<scenario::Problem> overlaps(const House& house,
                                                      const std::vector<Situation>& situations);

}  // namespace mistwright::app
