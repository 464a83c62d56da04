#pragma once
// Which pressures do zones of air joined by openings, cracks and fans take, and what flows between
// them and outside?
// A graph: zones and the outside are its vertices, paths at one height its edges. The pressure of a
// zone is that at its floor, all floors being at one level; at a height z it is less by rho g z.
// Wind adds Cp rho u^2 / 2 at the outside end (ASHRAE Handbook-Fundamentals, Ventilation and
// Infiltration). Flows are volumes at the outdoor density, in laws and in balances alike
// (Boussinesq), so that mass is volume times that density. Left out: gusts, air that is stored
// while pressures change, zones whose temperature varies with height.
#include <cstddef>
#include <cstdint>
#include <limits>
#include <vector>

#include "models/flow/paths.h"

namespace mistwright::flow {

/// Stands for the outside where a zone's number is asked.
constexpr std::uint32_t outdoors = std::numeric_limits<std::uint32_t>::max();

struct AirZone {
  double temperature_K = 293.15;  ///< virtual temperature where moisture should count; above 0
  double volume_m3 = 0.0;         ///< for air changes only
};

struct AirPath {
  std::uint32_t from = outdoors, to = outdoors;  ///< numbers of zones, or `outdoors`
  double height_m = 0.0;                         ///< above the common floor
  double pressure_coefficient = 0.0;             ///< of the wind where the path meets the outside
  PathLaw law = Orifice{};
};

struct EnvelopeNetwork {
  std::vector<AirZone> zones;
  std::vector<AirPath> paths;
};

struct OutsideAir {
  double temperature_K = 293.15;
  double wind_speed_m_per_s = 0.0;
  double pressure_Pa = 101325.0;  ///< of the atmosphere
};

struct NetworkFlows {
  std::vector<double> zone_pressure_Pa;    ///< at the floor, above the undisturbed outside
  std::vector<double> path_flow_m3_per_s;  ///< from the path's `from` to its `to`
  std::vector<double> imbalance_m3_per_s;  ///< by zone: what comes in less what leaves
  std::vector<double> air_changes_per_h;   ///< by zone: all that comes in; 0 without a volume
  bool balanced = false;                   ///< every imbalance below 1e-9 of what passes its zone
  int newton_steps = 0;
  int sweeps = 0;  ///< rounds of zones taken one by one, when Newton's method did not get there
};

/// Newton's method with a line search from a linear start; where it does not balance the zones they
/// are balanced one by one between brackets. Every law rises with its fall of pressure, so that the
/// pressures minimise a convex sum and the search along a step is for the zero of a falling
/// function. Zones that nothing joins to the outside keep the pressure 0 in the first of them.
/// Without a linear branch near rest several zones may balance no nearer than one rounding of their
/// pressures moves the flows; `balanced` then says so.
NetworkFlows solve(const EnvelopeNetwork& network, const OutsideAir& outside);

/// Density of dry air at the virtual temperature [kg/m3].
double air_density_kg_per_m3(double pressure_Pa, double temperature_K);

}  // namespace mistwright::flow
