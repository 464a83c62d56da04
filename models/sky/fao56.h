#pragma once
// The daily and hourly relations of FAO Irrigation and Drainage Paper 56 (Allen, Pereira, Raes and
// Smith 1998), in that paper's own units (kPa, MJ/m2, degC, mm) and equation by equation, so that
// a reader can lay the paper beside them.
// What they answer: how much water a reference crop outdoors uses, and how its air and light are
// reckoned from the usual records.
// Left out: crop coefficients, soil water. The simulation itself uses models/air and
// models/sky/radiation.h; these serve weather records and checks.

namespace mistwright::sky::fao56 {

/// Equation 7: air pressure at an altitude.
[[nodiscard]] double pressure_kPa(double altitude_m);
/// Equation 8: psychrometric constant.
[[nodiscard]] double psychrometric_constant_kPa_per_degC(double pressure_kPa);
/// Equation 11: saturation vapour pressure.
[[nodiscard]] double saturation_kPa(double temperature_degC);
/// Equation 13: slope of the saturation vapour pressure.
[[nodiscard]] double saturation_slope_kPa_per_degC(double temperature_degC);
/// Equation 12: saturation over a day, the mean of those at its extremes.
[[nodiscard]] double mean_saturation_kPa(double highest_degC, double lowest_degC);

/// Equation 15: actual vapour pressure from a psychrometer.
struct Psychrometer {
  double dry_degC = 0.0, wet_degC = 0.0;
  double pressure_kPa = 0.0;
  double instrument_coefficient =
      0.000662;  ///< per degC; equation 16: aspirated 0.000662, natural 0.0008
};
[[nodiscard]] double actual_from_wet_bulb_kPa(const Psychrometer& reading);

/// Extremes of a day; relative humidities as fractions.
struct DayAir {
  double highest_degC = 0.0, lowest_degC = 0.0;
  double highest_humidity_fraction = 0.0, lowest_humidity_fraction = 0.0;
};
/// Equation 17: from both humidities (the highest belongs to the lowest temperature).
[[nodiscard]] double actual_from_extremes_kPa(const DayAir& day);
/// Equation 18: from the highest humidity alone.
[[nodiscard]] double actual_from_highest_humidity_kPa(const DayAir& day);
/// Equation 19: from the mean of the two humidities.
[[nodiscard]] double actual_from_mean_humidity_kPa(const DayAir& day);

/// Equation 23: inverse relative distance to the sun on a day of the year (1 to 366).
[[nodiscard]] double inverse_distance_ratio(int day_of_year);
/// Equation 24: declination.
[[nodiscard]] double declination_rad(int day_of_year);
/// Equation 25: hour angle of sunset; 0 in the polar night and pi in the polar day.
[[nodiscard]] double sunset_hour_angle_rad(double latitude_rad, int day_of_year);
/// Equation 21: extraterrestrial radiation of a day.
[[nodiscard]] double extraterrestrial_MJ_per_m2_d(double latitude_rad, int day_of_year);
/// Equation 34: daylight hours.
[[nodiscard]] double daylight_h(double latitude_rad, int day_of_year);

/// A clock hour, for equations 28 to 33. Longitudes in degrees west of Greenwich, as in the paper.
struct Hour {
  double latitude_rad = 0.0;
  double longitude_west_deg = 0.0, zone_longitude_west_deg = 0.0;
  int day_of_year = 1;
  double middle_h = 0.0;  ///< standard clock time at the middle of the period
  double length_h = 1.0;
};
/// Equations 31 to 33: solar time angle at the middle of the period.
[[nodiscard]] double solar_time_angle_rad(const Hour& hour);
/// Equation 28: extraterrestrial radiation of the period; zero while the sun is down.
[[nodiscard]] double extraterrestrial_hour_MJ_per_m2(const Hour& hour);

/// Equation 35 with a_s = 0.25 and b_s = 0.50: solar radiation from sunshine.
struct Sunshine {
  double sunshine_h = 0.0, daylight_h = 0.0;
  double extraterrestrial_MJ_per_m2_d = 0.0;
};
[[nodiscard]] double solar_MJ_per_m2_d(const Sunshine& sunshine);
/// Equation 37: clear-sky solar radiation; any period.
[[nodiscard]] double clear_sky_MJ_per_m2(double extraterrestrial_MJ_per_m2, double altitude_m);
/// Equation 38: net solar radiation of the reference crop (albedo 0.23); any period.
[[nodiscard]] double net_shortwave_MJ_per_m2(double solar_MJ_per_m2);
/// Equation 50: solar radiation from the day's range of temperature; 0.16 inland, 0.19 at the
/// coast.
struct Hargreaves {
  double highest_degC = 0.0, lowest_degC = 0.0;
  double extraterrestrial_MJ_per_m2_d = 0.0;
  double adjustment_coefficient = 0.16;
};
[[nodiscard]] double solar_from_range_MJ_per_m2_d(const Hargreaves& day);
/// Equation 52: reference evapotranspiration from the same.
[[nodiscard]] double hargreaves_mm_per_d(const Hargreaves& day);

struct Longwave {
  double highest_degC = 0.0, lowest_degC = 0.0;  ///< equal for an hour
  double actual_kPa = 0.0;
  double clearness_ratio = 1.0;  ///< solar over clear-sky radiation, at most 1
};
/// Equation 39: net outgoing long-wave radiation of a day.
[[nodiscard]] double net_longwave_MJ_per_m2_d(const Longwave& day);

/// Equation 43: soil heat flux of a month between two others.
[[nodiscard]] double soil_heat_MJ_per_m2_d(double previous_month_degC, double next_month_degC);
/// Equation 44: soil heat flux of a month when only the one before is known.
[[nodiscard]] double soil_heat_from_previous_MJ_per_m2_d(double previous_month_degC,
                                                         double this_month_degC);
/// Equation 47: wind at 2 m from wind at another height.
[[nodiscard]] double wind_at_2m_m_per_s(double wind_m_per_s, double height_m);

/// What the combination equation needs; fluxes by the day or by the hour.
struct Reference {
  double temperature_degC = 0.0;
  double saturation_kPa = 0.0, actual_kPa = 0.0;
  double psychrometric_constant_kPa_per_degC = 0.0;
  double wind_2m_m_per_s = 0.0;
  double net_radiation_MJ_per_m2 = 0.0, soil_heat_MJ_per_m2 = 0.0;
};
/// Equation 6: reference evapotranspiration of a day.
[[nodiscard]] double penman_monteith_mm_per_d(const Reference& day);
/// Equation 53: reference evapotranspiration of an hour.
[[nodiscard]] double penman_monteith_mm_per_h(const Reference& hour);

}  // namespace mistwright::sky::fao56
