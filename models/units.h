#pragma once
// Inside the program every quantity is SI and every name ends in its unit, denominator after one
// "per": pressure_Pa, flow_m3_per_s, conductance_W_per_m2_K. Fractions run 0 to 1. Names of pure
// numbers end in fraction, ratio, number, index, factor, exponent, efficiency or coefficient.
#include <numbers>

namespace mistwright {

inline constexpr double pi = std::numbers::pi;
/// Standard gravity [m/s2], ISO 80000-3.
inline constexpr double gravity_m_per_s2 = 9.80665;
/// Stefan-Boltzmann constant [W/(m2 K4)], CODATA 2018.
inline constexpr double stefan_boltzmann_W_per_m2_K4 = 5.670374419e-8;
/// Gas constant of dry air [J/(kg K)], ASHRAE Handbook-Fundamentals 2017 ch. 1.
inline constexpr double gas_constant_dry_air_J_per_kg_K = 287.042;
/// Gas constant of water vapour [J/(kg K)], IAPWS R6-95.
inline constexpr double gas_constant_vapour_J_per_kg_K = 461.526;
/// Ratio of molar masses, water to dry air, ASHRAE Handbook-Fundamentals 2017 ch. 1.
inline constexpr double molar_mass_ratio = 0.621945;
/// Specific heat of dry air, of vapour and of liquid water [J/(kg K)], ASHRAE 2017 ch. 1.
inline constexpr double heat_capacity_dry_air_J_per_kg_K = 1006.0;
inline constexpr double heat_capacity_vapour_J_per_kg_K = 1860.0;
inline constexpr double heat_capacity_water_J_per_kg_K = 4186.0;
/// Latent heat of vaporisation at 0 degC [J/kg], ASHRAE 2017 ch. 1.
inline constexpr double latent_heat_0C_J_per_kg = 2.501e6;
/// Density of liquid water [kg/m3] near 20 degC, IAPWS R6-95 (998.2).
inline constexpr double water_density_kg_per_m3 = 998.2;
inline constexpr double zero_celsius_K = 273.15;
inline constexpr double standard_pressure_Pa = 101325.0;

constexpr double kelvin(double celsius) {
  return celsius + zero_celsius_K;
}
constexpr double celsius(double kelvin_value) {
  return kelvin_value - zero_celsius_K;
}
constexpr double radians(double degrees) {
  return degrees * pi / 180.0;
}
constexpr double degrees(double radians_value) {
  return radians_value * 180.0 / pi;
}

}  // namespace mistwright
