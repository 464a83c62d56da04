#pragma once
// The wave itself: a pipe from where pressure holds (a tank, a wide main) to a valve that shuts.
// Mass and momentum of slightly compressible water in an elastic pipe, dp/dt + rho a^2 dV/dx = 0
// and rho dV/dt + dp/dx + rho f V|V|/(2 D) = 0, solved along the characteristics dx/dt = +a, -a at
// Courant number 1, where they run from node to node and nothing is smeared.
// The pipe is level, or pressure is counted at one height. Left out: branches, gas in the water,
// friction beyond Darcy's of steady flow (so that later swings die too slowly; the first peak is
// hardly touched), and the parting of the column: pressure is let fall below the vapour's, the
// moment is told, and what comes after it does not hold.
// Source: Wylie and Streeter, Fluid Transients (from memory). Checked in
// tests/water/surge_test.cpp.
#include <cstddef>
#include <optional>
#include <vector>

#include "models/units.h"
#include "models/water/hammer.h"

namespace mistwright::water {

/// A line from a constant pressure to a valve and what the valve feeds.
struct SurgeLine {
  double length_m = 0.0;
  double diameter_m = 0.0;  ///< bore
  double wave_speed_m_per_s = 0.0;
  double density_kg_per_m3 = water_density_kg_per_m3;
  double friction_factor = 0.0;        ///< Darcy, that of the steady flow; not negative
  double reservoir_pressure_Pa = 0.0;  ///< gauge; above that of the outlet
  double outlet_pressure_Pa = 0.0;     ///< gauge, behind the valve and the heads
  double valve_flow_coefficient_m3_per_s_per_sqrtPa = 0.0;  ///< fully open: q = C tau sqrt(dp)
  /// The same of all heads behind the valve, in series with it; none: the valve feeds the outlet.
  std::optional<double> heads_flow_coefficient_m3_per_s_per_sqrtPa = {};
  double vapour_pressure_Pa = water_vapour_pressure_Pa;  ///< absolute
};

/// tau = (1 - t/closing)^n: how far a valve is still open. With n = 1 its opening falls evenly.
struct ClosingLaw {
  double closing_s = 0.0;         ///< 0: shut at once
  double closing_exponent = 1.0;  ///< n, 0.25 to 4
};

/// @param time_s  since the valve began to move; fully open before
[[nodiscard]] double open_fraction(const ClosingLaw& law, double time_s);

/// Velocity before the valve moves [m/s].
[[nodiscard]] double steady_velocity_m_per_s(const SurgeLine& line);

/// The open valve's coefficient [m3/(s sqrt(Pa))] that gives a steady velocity.
/// @param velocity_m_per_s  above 0
/// @throws RangeError if the pipe and the heads alone do not let so much through
[[nodiscard]] double valve_coefficient_m3_per_s_per_sqrtPa(const SurgeLine& line,
                                                           double velocity_m_per_s);

struct SurgeGrid {
  std::size_t reaches_number = 50;  ///< 1 to 10000; a step is length/(wave speed x reaches)
  double duration_s = 0.0;          ///< at most ten million steps
};

struct SurgeMoment {
  double time_s = 0.0;
  double pressure_Pa = 0.0;       ///< gauge, before the valve
  double velocity_m_per_s = 0.0;  ///< towards the valve, at it
  double wave_energy_J = 0.0;  ///< of the whole pipe: of motion, and of pressure that differs from
                               ///< the reservoir's
};

struct Surge {
  double step_s = 0.0;
  std::vector<SurgeMoment> valve;            ///< one a step, from the steady state on
  std::vector<double> greatest_pressure_Pa;  ///< gauge, by node from reservoir to valve
  std::vector<double> least_pressure_Pa;     ///< gauge, likewise
  std::optional<double> vapour_after_s;      ///< first time somewhere below vapour pressure
};

/// Shuts the valve of a line in steady flow at time 0 and follows the wave.
/// Friction is taken at the new node of each step: the steady state is then kept to rounding, and
/// once the valve is shut energy never grows, whatever the step. Its error falls with the step.
[[nodiscard]] Surge shut_valve(const SurgeLine& line, const ClosingLaw& law, const SurgeGrid& grid);

}  // namespace mistwright::water
