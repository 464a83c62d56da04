#pragma once
// Lines laid anew for heads that one valve is to open: from where the house's valves stand, a feed
// to the nearest end of each row and a lateral along it. What stands before the valves stays as it
// is, and so do the heads and their risers. Lengths go square to the walls. Left out: pipes that
// are in the way of doors, and feeds shared by zones.
#include <cstdint>
#include <span>
#include <vector>

#include "models/water/hydraulics.h"
#include "models/water/pipe_sizes.h"
#include "sim/house/house.h"

namespace mistwright::study {

/// What is under pressure with every valve shut.
struct Trunk {
  water::Network network;      ///< the supply, and nodes and pipes up to the valves
  std::uint32_t manifold = 0;  ///< its node at which the valves stand
  water::Valve valve;          ///< as the house's first
  double valve_bore_m = 0.0;   ///< of the pipe that it shuts
};

/// With the heads' first valve's place; without a valve before any head, the supply itself.
[[nodiscard]] Trunk trunk_of(const House& house);

/// Gauge pressure at the manifold's height [Pa] when so much is drawn there. In a trunk with loops
/// the loss of its pipes is left out.
[[nodiscard]] double manifold_pressure_Pa(const Trunk& trunk, double flow_m3_per_s);

/// A head and the place on a line from which it rises.
struct RisingHead {
  std::uint32_t head = 0;  ///< index into House::heads
  std::uint32_t row = 0;   ///< rows nearest the manifold first
  double foot_m = 0.0;     ///< height of its line
  water::Pipe riser;       ///< length 0: it stands on the line
};

/// Heads row by row, as they stand in the house's file within a row. A row is of heads whose names
/// differ in a last number alone.
[[nodiscard]] std::vector<RisingHead> rising_heads(const House& house, const Trunk& trunk);

/// Two bores of one series.
struct LinePipes {
  water::SoldPipe feed, lateral;
};

/// A zone's own lines behind its valve, with what stands before it.
struct ZoneLines {
  water::Network network;                      ///< with the one valve
  std::vector<water::NetworkHead> heads;       ///< in the order asked
  double feed_m = 0.0, lateral_m = 0.0;        ///< lengths
  std::vector<std::uint32_t> feeds, laterals;  ///< pipes
};

/// @param zone  in rising order of row, and in a row in its order
[[nodiscard]] ZoneLines lay_zone(const House& house, const Trunk& trunk,
                                 std::span<const RisingHead> zone, const LinePipes& pipes);

}  // namespace mistwright::study
