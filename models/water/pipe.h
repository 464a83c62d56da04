#pragma once
// Pressure lost in pipes: properties of liquid water, friction, fittings, and Hazen-Williams as a
// cross-check.
#include "models/water/network.h"

namespace mistwright::water {

/// Liquid water at one temperature and about one atmosphere.
struct Water {
  double density_kg_per_m3 = 0.0;
  double viscosity_Pa_s = 0.0;  ///< dynamic
};

/// Density [kg/m3] of air-free liquid water at one atmosphere.
/// @param temperature_K  273.15 to 333.15
/// @throws RangeError outside that range
/// Source: Tanaka et al. 2001, Metrologia 38:301, eq. 1 (0 to 40 degC; to 60 degC it stays within
/// 0.002 % of IAPWS-95). Checked in tests/water/pipe_test.cpp.
[[nodiscard]] double liquid_density_kg_per_m3(double temperature_K);

/// Dynamic viscosity [Pa s] of liquid water at 0.1 MPa.
/// @param temperature_K  273.15 to 333.15
/// @throws RangeError outside that range
/// Source: IAPWS SR6-08(2011), viscosity equation. Checked in tests/water/pipe_test.cpp.
[[nodiscard]] double liquid_viscosity_Pa_s(double temperature_K);

/// Both at one temperature.
/// @param temperature_K  273.15 to 333.15
/// @throws RangeError outside that range
[[nodiscard]] Water liquid_water(double temperature_K);

/// Pressure lost at a flow, and how fast it grows with flow.
struct Drop {
  double drop_Pa = 0.0;  ///< with the sign of the flow
  double slope_Pa_s_per_m3 = 0.0;
};

/// Reynolds number of a pipe's flow; not negative.
/// @param flow_m3_per_s  either sign
[[nodiscard]] double reynolds_number(double flow_m3_per_s, double diameter_m, const Water& water);

/// Reynolds numbers between which the friction factor is bridged.
inline constexpr double laminar_end_reynolds_number = 2000.0;
inline constexpr double turbulent_start_reynolds_number = 4000.0;

/// Greatest roughness over bore that is taken; Moody's chart ends at half of it (from memory).
inline constexpr double greatest_roughness_ratio = 0.1;

/// Darcy friction factor.
/// Below Re 2000: 64/Re (Hagen-Poiseuille). Above 4000: Colebrook 1939, 1/sqrt(f) =
/// -2 log10(e/(3.7 D) + 2.51/(Re sqrt(f))), solved to the last digits. Between: the cubic in Re
/// that meets both in value and slope. Nothing published holds there; the bridge is ours, and keeps
/// the pressure lost rising with flow.
/// @param Re_number  above 0
/// @param relative_roughness_ratio  roughness over bore, 0 to 0.1
[[nodiscard]] double friction_factor(double Re_number, double relative_roughness_ratio);

/// Pressure lost in a pipe and its fittings; without its valve.
/// @param flow_m3_per_s  positive from its first node to its second
/// Source: Darcy-Weisbach, f (L/D) rho v^2/2 + K rho v^2/2.
[[nodiscard]] Drop pipe_drop(const Pipe& pipe, double flow_m3_per_s, const Water& water);

/// The same, the pressure alone [Pa].
[[nodiscard]] double pipe_drop_Pa(const Pipe& pipe, double flow_m3_per_s, const Water& water);

/// Hazen-Williams coefficient of smooth plastic pipe (Illinois Administrative Code 77, 906, App.
/// A).
inline constexpr double plastic_hazen_williams_coefficient = 150.0;

/// Pressure lost by Hazen and Williams's formula for water near room temperature [Pa]: a
/// cross-check.
/// @param flow_m3_per_s  either sign
/// Source: h = 10.67 L q^1.852 / (C^1.852 d^4.8704) [m]; Williams and Hazen 1905 in SI (from
/// memory).
[[nodiscard]] double hazen_williams_drop_Pa(const Pipe& pipe, double flow_m3_per_s,
                                            double hazen_williams_coefficient);

/// One pipe asked alone.
struct PipeQuestion {
  double length_m = 0.0;
  double diameter_m = 0.0;
  double flow_m3_per_s = 0.0;   ///< above 0
  double roughness_m = 1.5e-6;  ///< drawn plastic tube, common practice (0 to 7e-6)
  double temperature_K = 288.15;
};

struct PipeAnswer {
  double velocity_m_per_s = 0.0;
  double reynolds_number = 0.0;
  double friction_factor = 0.0;
  double pressure_drop_Pa = 0.0;
  double hazen_williams_drop_Pa = 0.0;  ///< with the coefficient of smooth plastic
};

/// @throws RangeError if temperature or roughness is out of range
[[nodiscard]] PipeAnswer ask_pipe(const PipeQuestion& question);

}  // namespace mistwright::water
