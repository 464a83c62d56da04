#pragma once
// Pressures and flows for one set of open valves.
#include <cstdint>
#include <vector>

#include "models/water/head.h"
#include "models/water/network.h"

namespace mistwright::water {

/// A head on its node. It may stand above its node (a riser) or hang below.
struct NetworkHead {
  std::uint32_t node = 0;
  const HeadType* type = nullptr;  ///< not owned; must outlive the call
  double elevation_m = 0.0;        ///< of its orifice, above the floor
};

/// A steady state of the network.
struct Hydraulics {
  std::vector<double> node_pressure_Pa;    ///< gauge; 0 at a node that the supply does not reach
  std::vector<bool> node_reached;          ///< by node: joined to the supply through open valves
  std::vector<double> pipe_flow_m3_per_s;  ///< positive from `from` to `to`
  std::vector<double>
      head_pressure_Pa;  ///< gauge, at the orifice; 0 where the supply does not reach
  std::vector<double> head_flow_m3_per_s;
  std::vector<bool> head_chatters;  ///< a check valve that shuts at its flowing pressure and would
                                    ///< open again at its shut pressure: taken as shut
  double supply_flow_m3_per_s = 0.0;
  double supply_pressure_Pa = 0.0;
  int iterations = 0;              ///< Newton steps, all rounds together
  double residual_m3_per_s = 0.0;  ///< greatest imbalance of flow at a node
  bool converged = true;
};

/// Solves the network: at each node what flows in flows out, along each pipe the potential falls by
/// its loss, each head passes k p^x and nothing below zero.
/// A head with a check valve opens if the pressure at it, nothing flowing past open check valves,
/// reaches its opening pressure; it then passes k p^x until its pressure falls below its closing
/// pressure. A head that never sees its opening pressure passes nothing.
/// @param heads  on nodes of the network; flow exponent 0.1 to 2
/// @param valve_open  by valve
/// @param water_temperature_K  273.15 to 333.15
/// @return imbalance at most 1e-9 of the supply's flow if `converged`
/// @throws RangeError if the temperature is out of range
/// Source: global gradient method, Todini and Pilati 1987.
[[nodiscard]] Hydraulics solve(const Network& network, const std::vector<NetworkHead>& heads,
                               const std::vector<bool>& valve_open, double water_temperature_K);

}  // namespace mistwright::water
