#pragma once
// How air carries momentum, heat and vapour: viscosity, conductivity, diffusivities.
// Equations: Sutherland's law and the conductivity fit of the U.S. Standard Atmosphere 1976;
// Massman's power law for the diffusivity of water vapour.
// Left out: the few per cent by which vapour changes a mixture's viscosity and conductivity, and
// the slip of small drops (models/droplet).

namespace mistwright::air {

/// Dynamic viscosity of air.
/// @param temperature_K  air temperature, 200 to 400
/// @return viscosity [Pa s]
/// Source: U.S. Standard Atmosphere 1976 equation 51 (Sutherland). Checked in
/// tests/air/properties_test.cpp against a textbook table within 1 %.
[[nodiscard]] double dynamic_viscosity_Pa_s(double temperature_K);

/// Kinematic viscosity of dry air.
/// @return viscosity [m2/s]
[[nodiscard]] double kinematic_viscosity_m2_per_s(double temperature_K, double pressure_Pa);

/// Thermal conductivity of air.
/// @param temperature_K  air temperature, 200 to 400
/// @return conductivity [W/(m K)]
/// Source: U.S. Standard Atmosphere 1976 equation 53. Textbook tables differ from one another by up
/// to 3 %.
[[nodiscard]] double thermal_conductivity_W_per_m_K(double temperature_K);

/// Thermal diffusivity of dry air.
/// @return diffusivity [m2/s]
[[nodiscard]] double thermal_diffusivity_m2_per_s(double temperature_K, double pressure_Pa);

/// Diffusivity of water vapour in air.
/// @param temperature_K  air temperature, 250 to 400
/// @param pressure_Pa    total pressure
/// @return diffusivity [m2/s]
/// Source: Massman 1998 for water vapour, 0.2178 cm2/s (T/273.15)^1.81 at one atmosphere. Chosen
/// over the older fits (Montgomery 1947; Marrero and Mason 1972, up to 4 % lower at 0 degC, equal
/// at 45) because it reviews their data together and is fitted around the temperatures of a
/// greenhouse.
[[nodiscard]] double vapour_diffusivity_m2_per_s(double temperature_K, double pressure_Pa);

}  // namespace mistwright::air
