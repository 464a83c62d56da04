#pragma once
// Line fill and drain: how many seconds of a burst each head truly sprays, and what drips away
// between bursts.
// When a valve shuts, all pipe behind it that lies higher than its lowest head without a check
// valve runs empty through that head (time between bursts is taken as long enough). When it opens
// again the water front moves on at the flow which the supply gives against its own loss, friction
// and height up to the valve's outlet at no pressure there; fronts in branches share that flow
// evenly. A head starts when the front reaches its node: behind a moving front there is hardly any
// pressure, so what heads pass before then is left out, and so is the rise to full pressure.
#include <cstdint>
#include <vector>

#include "models/water/hydraulics.h"
#include "models/water/network.h"

namespace mistwright::water {

/// When a head sprays, from the clock's command to open [s]. A head of another zone has 0 and 0.
struct SprayWindow {
  double start_s = 0.0, stop_s = 0.0;
  /// Seconds of spray; none if the front comes too late.
  [[nodiscard]] double spray_s() const { return stop_s > start_s ? stop_s - start_s : 0.0; }
};

/// What a zone loses between bursts and how it fills.
struct ZoneFill {
  double drained_m3 = 0.0;               ///< runs out between bursts
  double fill_flow_m3_per_s = 0.0;       ///< while the front moves
  double full_after_s = 0.0;             ///< from water passing the valve to the whole zone full
  std::vector<double> node_wet_after_s;  ///< by node of the network: from water passing the valve;
                                         ///< 0 outside the zone
  std::vector<bool> node_in_zone;        ///< by node: behind this valve
};

/// @param valve  index into network.valves
/// @throws RangeError if the supply's temperature is out of range
[[nodiscard]] ZoneFill zone_fill(const Network& network, const std::vector<NetworkHead>& heads,
                                 std::uint32_t valve);

/// @param burst_s  seconds that the clock commands, not negative
/// @param hydraulics  the steady state while the valve is open: a head without flow never sprays
/// @return by head
[[nodiscard]] std::vector<SprayWindow> spray_windows(const Network& network,
                                                     const std::vector<NetworkHead>& heads,
                                                     std::uint32_t valve,
                                                     const Hydraulics& hydraulics, double burst_s);

/// Water [m3] that drains away after one burst: the drained volume, or what the burst could refill
/// of it if that is less.
[[nodiscard]] double wasted_m3(const Network& network, const std::vector<NetworkHead>& heads,
                               std::uint32_t valve, double burst_s);

}  // namespace mistwright::water
