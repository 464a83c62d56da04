#pragma once
// What moist air holds and how it answers to water: saturation pressure, dew point, wet bulb,
// humidity ratio, enthalpy, density.
// Equations: IAPWS R7-97(2012) region 4 over liquid water; IAPWS R14-08(2011) sublimation
// pressure over ice; ASHRAE Handbook-Fundamentals 2017 chapter 1 for mixtures of perfect gases.
// Left out: supercooled water (below the triple point saturation is over ice); other gases than
// air's; and, but in saturated_humidity_ratio, the enhancement of real moist air.

namespace mistwright::air {

/// Moist air at one place; humidity ratio in kilograms of vapour per kilogram of dry air.
struct MoistAir {
  double temperature_K = 0.0;
  double humidity_ratio = 0.0;
  double pressure_Pa = 0.0;
};

/// Triple point of water, where the curves over ice and over water meet (IAPWS R14-08).
inline constexpr double triple_point_K = 273.16;
inline constexpr double triple_point_pressure_Pa = 611.657;
/// The range of the saturation functions.
inline constexpr double saturation_lowest_K = 123.15;
inline constexpr double saturation_highest_K = 400.0;

/// Saturation vapour pressure, over water above the triple point and over ice below it.
/// @param temperature_K  123.15 to 400
/// @return pressure [Pa]
/// @throws RangeError outside that range
/// Source: IAPWS R7-97(2012) equation 30; IAPWS R14-08(2011) equation 6. The switch is at the
/// triple point (273.16 K), not at 0 degC, because only there do the two curves meet. Checked in
/// tests/air/psychrometrics_test.cpp.
[[nodiscard]] double saturation_pressure_Pa(double temperature_K);

/// Slope of the saturation pressure, the analytic derivative of the same equations.
/// @param temperature_K  123.15 to 400
/// @return slope [Pa/K]
/// @throws RangeError outside that range
[[nodiscard]] double saturation_slope_Pa_per_K(double temperature_K);

/// Temperature at which a vapour pressure saturates, the inverse of saturation_pressure_Pa.
/// @param pressure_Pa  9e-10 (123.15 K) to 245,753 (400 K)
/// @return temperature [K]
/// @throws RangeError outside that range
/// Source: IAPWS R7-97(2012) equation 31; over ice, Newton's method on IAPWS R14-08 equation 6.
[[nodiscard]] double saturation_temperature_K(double pressure_Pa);

/// Vapour pressure of air of a humidity ratio (any value from 0) and a total pressure.
/// @return pressure [Pa]. Source: ASHRAE 2017 chapter 1 equation 20, solved for the vapour
/// pressure.
[[nodiscard]] double vapour_pressure_Pa(double humidity_ratio, double pressure_Pa);

/// Humidity ratio of air of a vapour pressure (0 to below the total pressure) and a total pressure.
/// @throws RangeError when the vapour alone reaches the total pressure
/// Source: ASHRAE 2017 chapter 1 equation 20.
[[nodiscard]] double humidity_ratio(double vapour_pressure_Pa, double pressure_Pa);

/// How much more vapour air holds at saturation than the same space without air: the real gas's
/// vapour pressure at saturation over saturation_pressure_Pa, about 1.004 at one atmosphere.
/// @param temperature_K  233 to 323
/// Source: Buck 1981, J. Applied Meteorology 20:1527-1532, table 3, fw5 and fi5.
[[nodiscard]] double enhancement_factor(double temperature_K, double pressure_Pa);

/// Humidity ratio of saturated real air, as ASHRAE's tables print it. The rest of the program holds
/// to perfect gases, as ASHRAE's equations do, and so stays 0.4 to 0.6 % below; this says how far.
/// @throws RangeError when boiling. Source: ASHRAE 2017 chapter 1 equation 21 with the enhancement
/// factor.
[[nodiscard]] double saturated_humidity_ratio(double temperature_K, double pressure_Pa);

/// Dew point, or frost point below the triple point.
/// @param vapour_pressure_Pa  2.66 to 245,753
/// @return temperature [K]
/// @throws RangeError outside that range
[[nodiscard]] double dew_point_K(double vapour_pressure_Pa);

/// Thermodynamic wet bulb: the temperature at which water (ice below the triple point), evaporating
/// into the air until it is saturated, leaves its enthalpy unchanged.
/// @param air  123.15 to 400 K, humidity ratio from 0
/// @return temperature [K]; the air's own when it is saturated or foggy
/// @throws RangeError outside that range
/// Source: ASHRAE 2017 chapter 1 equations 33 and 35. Checked in tests/air/wet_bulb_test.cpp.
[[nodiscard]] double wet_bulb_K(const MoistAir& air);

/// Enthalpy of moist air per kilogram of dry air, zero for dry air and liquid water at 0 degC.
/// @return enthalpy [J/kg]. Source: ASHRAE 2017 chapter 1 equation 30.
[[nodiscard]] double enthalpy_J_per_kg(const MoistAir& air);

/// Density of moist air, vapour included.
/// @return density [kg/m3]. Source: ASHRAE 2017 chapter 1 equations 9b and 26.
[[nodiscard]] double density_kg_per_m3(const MoistAir& air);

/// Latent heat of vaporisation of liquid water, the difference of the enthalpies of vapour and
/// liquid in enthalpy_J_per_kg's own constants, so that an audit of heat closes.
/// @return latent heat [J/kg], within 0.2 % of IAPWS from 0 to 60 degC
[[nodiscard]] double latent_heat_J_per_kg(double temperature_K);

/// Pressure of the standard atmosphere.
/// @param altitude_m  -5,000 to 11,000
/// @return pressure [Pa]
/// @throws RangeError outside that range
/// Source: ASHRAE 2017 chapter 1 equation 3.
[[nodiscard]] double pressure_at_altitude_Pa(double altitude_m);

/// Psychrometric constant c_p p / (epsilon lambda), with the specific heat of dry air.
/// @return constant [Pa/K]. Source: Monteith and Unsworth, Principles of Environmental Physics.
[[nodiscard]] double psychrometric_constant_Pa_per_K(double pressure_Pa, double temperature_K);

}  // namespace mistwright::air
