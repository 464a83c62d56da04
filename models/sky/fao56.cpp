#include "models/sky/fao56.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"
#include "models/units.h"

namespace mistwright::sky::fao56 {
namespace {

// The paper's own solar constant and Stefan-Boltzmann constant, in its units.
constexpr double G_sc_MJ_per_m2_min = 0.0820;
constexpr double sigma_MJ_per_m2_d_K4 = 4.903e-9;

double combination(const Reference& r, double wind_coefficient, double cover_coefficient) {
  const double delta = saturation_slope_kPa_per_degC(r.temperature_degC);
  const double gamma = r.psychrometric_constant_kPa_per_degC;
  const double energy = 0.408 * delta * (r.net_radiation_MJ_per_m2 - r.soil_heat_MJ_per_m2);
  const double drying = gamma * wind_coefficient / (r.temperature_degC + 273.0) *
                        r.wind_2m_m_per_s * (r.saturation_kPa - r.actual_kPa);
  return (energy + drying) / (delta + gamma * (1.0 + cover_coefficient * r.wind_2m_m_per_s));
}

}  // namespace

double pressure_kPa(double altitude_m) {
  return 101.3 * std::pow((293.0 - 0.0065 * altitude_m) / 293.0, 5.26);
}

double psychrometric_constant_kPa_per_degC(double pressure_kPa) {
  return 0.665e-3 * pressure_kPa;
}

double saturation_kPa(double temperature_degC) {
  return 0.6108 * std::exp(17.27 * temperature_degC / (temperature_degC + 237.3));
}

double saturation_slope_kPa_per_degC(double temperature_degC) {
  const double gap = temperature_degC + 237.3;
  return 4098.0 * saturation_kPa(temperature_degC) / (gap * gap);
}

double mean_saturation_kPa(double highest_degC, double lowest_degC) {
  return 0.5 * (saturation_kPa(highest_degC) + saturation_kPa(lowest_degC));
}

double actual_from_wet_bulb_kPa(const Psychrometer& reading) {
  return saturation_kPa(reading.wet_degC) - reading.instrument_coefficient * reading.pressure_kPa *
                                                (reading.dry_degC - reading.wet_degC);
}

double actual_from_extremes_kPa(const DayAir& day) {
  return 0.5 * (saturation_kPa(day.lowest_degC) * day.highest_humidity_fraction +
                saturation_kPa(day.highest_degC) * day.lowest_humidity_fraction);
}

double actual_from_highest_humidity_kPa(const DayAir& day) {
  return saturation_kPa(day.lowest_degC) * day.highest_humidity_fraction;
}

double actual_from_mean_humidity_kPa(const DayAir& day) {
  return 0.5 * (day.highest_humidity_fraction + day.lowest_humidity_fraction) *
         mean_saturation_kPa(day.highest_degC, day.lowest_degC);
}

double inverse_distance_ratio(int day_of_year) {
  EXPECT(day_of_year >= 1 && day_of_year <= 366);
  return 1.0 + 0.033 * std::cos(2.0 * pi / 365.0 * day_of_year);
}

double declination_rad(int day_of_year) {
  EXPECT(day_of_year >= 1 && day_of_year <= 366);
  return 0.409 * std::sin(2.0 * pi / 365.0 * day_of_year - 1.39);
}

double sunset_hour_angle_rad(double latitude_rad, int day_of_year) {
  const double cosine = -std::tan(latitude_rad) * std::tan(declination_rad(day_of_year));
  return std::acos(std::clamp(cosine, -1.0, 1.0));
}

double extraterrestrial_MJ_per_m2_d(double latitude_rad, int day_of_year) {
  const double delta = declination_rad(day_of_year);
  const double omega_s = sunset_hour_angle_rad(latitude_rad, day_of_year);
  return 24.0 * 60.0 / pi * G_sc_MJ_per_m2_min * inverse_distance_ratio(day_of_year) *
         (omega_s * std::sin(latitude_rad) * std::sin(delta) +
          std::cos(latitude_rad) * std::cos(delta) * std::sin(omega_s));
}

double daylight_h(double latitude_rad, int day_of_year) {
  return 24.0 / pi * sunset_hour_angle_rad(latitude_rad, day_of_year);
}

double solar_time_angle_rad(const Hour& hour) {
  const double b = 2.0 * pi * (hour.day_of_year - 81) / 364.0;
  const double season_h = 0.1645 * std::sin(2.0 * b) - 0.1255 * std::cos(b) - 0.025 * std::sin(b);
  const double shift_h = 0.06667 * (hour.zone_longitude_west_deg - hour.longitude_west_deg);
  return pi / 12.0 * (hour.middle_h + shift_h + season_h - 12.0);
}

double extraterrestrial_hour_MJ_per_m2(const Hour& hour) {
  const double delta = declination_rad(hour.day_of_year);
  const double omega_s = sunset_hour_angle_rad(hour.latitude_rad, hour.day_of_year);
  const double middle = solar_time_angle_rad(hour);
  const double half = pi * hour.length_h / 24.0;
  const double from = std::clamp(middle - half, -omega_s, omega_s);
  const double to = std::clamp(middle + half, -omega_s, omega_s);
  return 12.0 * 60.0 / pi * G_sc_MJ_per_m2_min * inverse_distance_ratio(hour.day_of_year) *
         ((to - from) * std::sin(hour.latitude_rad) * std::sin(delta) +
          std::cos(hour.latitude_rad) * std::cos(delta) * (std::sin(to) - std::sin(from)));
}

double solar_MJ_per_m2_d(const Sunshine& sunshine) {
  EXPECT(sunshine.daylight_h > 0.0);
  return (0.25 + 0.50 * sunshine.sunshine_h / sunshine.daylight_h) *
         sunshine.extraterrestrial_MJ_per_m2_d;
}

double clear_sky_MJ_per_m2(double extraterrestrial_MJ_per_m2, double altitude_m) {
  return (0.75 + 2e-5 * altitude_m) * extraterrestrial_MJ_per_m2;
}

double net_shortwave_MJ_per_m2(double solar_MJ_per_m2) {
  return (1.0 - 0.23) * solar_MJ_per_m2;
}

double solar_from_range_MJ_per_m2_d(const Hargreaves& day) {
  return day.adjustment_coefficient * std::sqrt(day.highest_degC - day.lowest_degC) *
         day.extraterrestrial_MJ_per_m2_d;
}

double hargreaves_mm_per_d(const Hargreaves& day) {
  // 0.408 turns the extraterrestrial radiation from MJ/m2 into mm of evaporation (equation 20).
  const double mean_degC = 0.5 * (day.highest_degC + day.lowest_degC);
  return 0.0023 * (mean_degC + 17.8) * std::sqrt(day.highest_degC - day.lowest_degC) * 0.408 *
         day.extraterrestrial_MJ_per_m2_d;
}

double net_longwave_MJ_per_m2_d(const Longwave& day) {
  const double high = std::pow(day.highest_degC + 273.16, 4.0);
  const double low = std::pow(day.lowest_degC + 273.16, 4.0);
  return sigma_MJ_per_m2_d_K4 * 0.5 * (high + low) * (0.34 - 0.14 * std::sqrt(day.actual_kPa)) *
         (1.35 * std::min(day.clearness_ratio, 1.0) - 0.35);
}

double soil_heat_MJ_per_m2_d(double previous_month_degC, double next_month_degC) {
  return 0.07 * (next_month_degC - previous_month_degC);
}

double soil_heat_from_previous_MJ_per_m2_d(double previous_month_degC, double this_month_degC) {
  return 0.14 * (this_month_degC - previous_month_degC);
}

double wind_at_2m_m_per_s(double wind_m_per_s, double height_m) {
  return wind_m_per_s * 4.87 / std::log(67.8 * height_m - 5.42);
}

double penman_monteith_mm_per_d(const Reference& day) {
  return combination(day, 900.0, 0.34);
}

double penman_monteith_mm_per_h(const Reference& hour) {
  return combination(hour, 37.0, 0.34);
}

}  // namespace mistwright::sky::fao56
