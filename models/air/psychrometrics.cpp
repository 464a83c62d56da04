#include "models/air/psychrometrics.h"

#include <array>
#include <cmath>
#include <string>

#include "models/contracts.h"
#include "models/units.h"

namespace mistwright::air {
namespace {

// IAPWS R7-97(2012) table 34; n[0] is unused so that the indices are the release's own.
constexpr std::array<double, 11> n = {
    0.0,
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
};
constexpr double reference_pressure_Pa = 1.0e6;

// IAPWS R14-08(2011) table 2.
constexpr std::array<double, 3> ice_a = {-0.212144006e2, 0.273203819e2, -0.610598130e1};
constexpr std::array<double, 3> ice_b = {0.333333333e-2, 0.120666667e1, 0.170333333e1};

struct Quadratic {
  double A, B, C;
};

double theta_of(double temperature_K) {
  return temperature_K + n[9] / (temperature_K - n[10]);
}

// Coefficients of beta^2, beta and 1 in equation 29 of IAPWS R7-97 at a given theta.
Quadratic in_beta(double theta) {
  return {theta * theta + n[1] * theta + n[2], n[3] * theta * theta + n[4] * theta + n[5],
          n[6] * theta * theta + n[7] * theta + n[8]};
}

double beta_of(const Quadratic& q) {
  return 2.0 * q.C / (-q.B + std::sqrt(q.B * q.B - 4.0 * q.A * q.C));
}

// ln(p / p_t) over ice.
double ice_logarithm_ratio(double temperature_K) {
  const double theta = temperature_K / triple_point_K;
  double sum = 0.0;
  for (std::size_t i = 0; i < 3; ++i) sum += ice_a[i] * std::pow(theta, ice_b[i]);
  return sum / theta;
}

double ice_logarithm_slope_per_K(double temperature_K) {
  const double theta = temperature_K / triple_point_K;
  double sum = 0.0;
  for (std::size_t i = 0; i < 3; ++i) {
    sum += ice_a[i] * (ice_b[i] - 1.0) * std::pow(theta, ice_b[i] - 2.0);
  }
  return sum / triple_point_K;
}

void require_saturation_range(double temperature_K) {
  if (!(temperature_K >= saturation_lowest_K && temperature_K <= saturation_highest_K)) {
    throw RangeError("saturation pressure asked at " + std::to_string(temperature_K) +
                     " K, outside 123.15 to 400 K");
  }
}

double ice_temperature_K(double pressure_Pa) {
  const double target_ratio = std::log(pressure_Pa / triple_point_pressure_Pa);
  // ln p is nearly straight in 1/T, so Newton's method in 1/T from the triple point needs four or
  // five steps; the cap only guards against a fault.
  double inverse_temperature_per_K = 1.0 / triple_point_K;
  for (int step = 0; step < 20; ++step) {
    const double T = 1.0 / inverse_temperature_per_K;
    const double slope_K = -ice_logarithm_slope_per_K(T) * T * T;
    const double change_per_K = (ice_logarithm_ratio(T) - target_ratio) / slope_K;
    inverse_temperature_per_K -= change_per_K;
    if (std::fabs(change_per_K) < 1e-15 * inverse_temperature_per_K) break;
  }
  return 1.0 / inverse_temperature_per_K;
}

// Humidity ratio of air that saturates at wet-bulb temperature T_star, minus the air's own: the
// residual of ASHRAE 2017 chapter 1 equations 33 and 35, times a positive factor.
double wet_bulb_residual_J_per_kg(const MoistAir& air, double T_star_K) {
  const double t_star = celsius(T_star_K);
  const double p_star_Pa = saturation_pressure_Pa(T_star_K);
  const double W_star = humidity_ratio(p_star_Pa, air.pressure_Pa);
  const bool ice = T_star_K < triple_point_K;
  // Over ice ASHRAE counts from 2830 kJ/kg and a specific heat of 2.1 kJ/(kg K).
  const double heat_at_0C_J_per_kg = ice ? 2.830e6 : latent_heat_0C_J_per_kg;
  const double condensed_J_per_kg_K = ice ? 2100.0 : heat_capacity_water_J_per_kg_K;
  const double evaporated_J_per_kg =
      heat_at_0C_J_per_kg + (heat_capacity_vapour_J_per_kg_K - condensed_J_per_kg_K) * t_star;
  const double warming_K = air.temperature_K - T_star_K;
  return evaporated_J_per_kg * (W_star - air.humidity_ratio) -
         (heat_capacity_dry_air_J_per_kg_K + heat_capacity_vapour_J_per_kg_K * air.humidity_ratio) *
             warming_K;
}

}  // namespace

double saturation_pressure_Pa(double temperature_K) {
  require_saturation_range(temperature_K);
  if (temperature_K < triple_point_K) {
    return triple_point_pressure_Pa * std::exp(ice_logarithm_ratio(temperature_K));
  }
  const double beta = beta_of(in_beta(theta_of(temperature_K)));
  return reference_pressure_Pa * beta * beta * beta * beta;
}

double saturation_slope_Pa_per_K(double temperature_K) {
  require_saturation_range(temperature_K);
  if (temperature_K < triple_point_K) {
    return triple_point_pressure_Pa * std::exp(ice_logarithm_ratio(temperature_K)) *
           ice_logarithm_slope_per_K(temperature_K);
  }
  const double theta = theta_of(temperature_K);
  const Quadratic q = in_beta(theta);
  const double beta = beta_of(q);
  const double by_theta = (2.0 * theta + n[1]) * beta * beta + (2.0 * n[3] * theta + n[4]) * beta +
                          2.0 * n[6] * theta + n[7];
  const double dbeta_dtheta = -by_theta / (2.0 * q.A * beta + q.B);
  const double gap_K = temperature_K - n[10];
  const double dtheta_dT = 1.0 - n[9] / (gap_K * gap_K);
  return reference_pressure_Pa * 4.0 * beta * beta * beta * dbeta_dtheta * dtheta_dT;
}

double saturation_temperature_K(double pressure_Pa) {
  static const double lowest_Pa = saturation_pressure_Pa(saturation_lowest_K);
  static const double highest_Pa = saturation_pressure_Pa(saturation_highest_K);
  if (!(pressure_Pa >= lowest_Pa && pressure_Pa <= highest_Pa)) {
    throw RangeError("saturation temperature asked at " + std::to_string(pressure_Pa) +
                     " Pa, outside what 123.15 to 400 K can give");
  }
  if (pressure_Pa < triple_point_pressure_Pa) return ice_temperature_K(pressure_Pa);
  const double beta = std::sqrt(std::sqrt(pressure_Pa / reference_pressure_Pa));
  const double E = beta * beta + n[3] * beta + n[6];
  const double F = n[1] * beta * beta + n[4] * beta + n[7];
  const double G = n[2] * beta * beta + n[5] * beta + n[8];
  const double D = 2.0 * G / (-F - std::sqrt(F * F - 4.0 * E * G));
  const double sum = n[10] + D;
  return 0.5 * (sum - std::sqrt(sum * sum - 4.0 * (n[9] + n[10] * D)));
}

double vapour_pressure_Pa(double humidity_ratio, double pressure_Pa) {
  EXPECT(humidity_ratio >= 0.0);
  EXPECT(pressure_Pa > 0.0);
  return pressure_Pa * humidity_ratio / (molar_mass_ratio + humidity_ratio);
}

double humidity_ratio(double vapour_pressure_Pa, double pressure_Pa) {
  EXPECT(vapour_pressure_Pa >= 0.0);
  if (!(vapour_pressure_Pa < pressure_Pa)) {
    throw RangeError("humidity ratio asked of air whose vapour alone, " +
                     std::to_string(vapour_pressure_Pa) + " Pa, reaches the total pressure");
  }
  return molar_mass_ratio * vapour_pressure_Pa / (pressure_Pa - vapour_pressure_Pa);
}

double enhancement_factor(double temperature_K, double pressure_Pa) {
  EXPECT(pressure_Pa > 0.0);
  const double t = celsius(temperature_K);
  const double p_hPa = pressure_Pa / 100.0;
  if (temperature_K < triple_point_K) return 1.0 + 2.2e-4 + p_hPa * (3.83e-6 + 6.4e-10 * t * t);
  return 1.0 + 7.2e-4 + p_hPa * (3.20e-6 + 5.9e-10 * t * t);
}

double saturated_humidity_ratio(double temperature_K, double pressure_Pa) {
  return humidity_ratio(
      enhancement_factor(temperature_K, pressure_Pa) * saturation_pressure_Pa(temperature_K),
      pressure_Pa);
}

double dew_point_K(double vapour_pressure_Pa) {
  return saturation_temperature_K(vapour_pressure_Pa);
}

double wet_bulb_K(const MoistAir& air) {
  EXPECT(air.humidity_ratio >= 0.0);
  require_saturation_range(air.temperature_K);
  const double vapour_Pa = vapour_pressure_Pa(air.humidity_ratio, air.pressure_Pa);
  const double saturated_Pa = saturation_pressure_Pa(air.temperature_K);
  if (vapour_Pa >= saturated_Pa) return air.temperature_K;

  // The residual rises with T_star from below zero at the low end to above zero at the high end
  // (the air's own temperature, or just below boiling, where W_star has no bound). Newton's step is
  // taken when it stays inside the bracket, bisection otherwise: the step of the residual where ice
  // becomes water is then harmless.
  double low_K = saturation_lowest_K;
  double high_K = air.temperature_K;
  if (saturated_Pa >= 0.999 * air.pressure_Pa) {
    high_K = saturation_temperature_K(0.999 * air.pressure_Pa);
  }
  double T_star_K = high_K;
  for (int step = 0; step < 200; ++step) {
    const double residual = wet_bulb_residual_J_per_kg(air, T_star_K);
    (residual < 0.0 ? low_K : high_K) = T_star_K;
    const double p_star_Pa = saturation_pressure_Pa(T_star_K);
    const double dry_Pa = air.pressure_Pa - p_star_Pa;
    const double slope = latent_heat_J_per_kg(T_star_K) * molar_mass_ratio * air.pressure_Pa *
                             saturation_slope_Pa_per_K(T_star_K) / (dry_Pa * dry_Pa) +
                         heat_capacity_dry_air_J_per_kg_K;
    double next_K = T_star_K - residual / slope;
    if (!(next_K > low_K && next_K < high_K)) next_K = 0.5 * (low_K + high_K);
    const double moved_K = std::fabs(next_K - T_star_K);
    T_star_K = next_K;
    if (moved_K < 1e-10 || high_K - low_K < 1e-10) break;
  }
  return T_star_K;
}

double enthalpy_J_per_kg(const MoistAir& air) {
  const double t = celsius(air.temperature_K);
  return heat_capacity_dry_air_J_per_kg_K * t +
         air.humidity_ratio * (latent_heat_0C_J_per_kg + heat_capacity_vapour_J_per_kg_K * t);
}

double density_kg_per_m3(const MoistAir& air) {
  EXPECT(air.temperature_K > 150.0 && air.temperature_K < 500.0);
  return (1.0 + air.humidity_ratio) * air.pressure_Pa /
         (gas_constant_dry_air_J_per_kg_K * air.temperature_K *
          (1.0 + air.humidity_ratio / molar_mass_ratio));
}

double latent_heat_J_per_kg(double temperature_K) {
  EXPECT(temperature_K > 150.0 && temperature_K < 500.0);
  return latent_heat_0C_J_per_kg +
         (heat_capacity_vapour_J_per_kg_K - heat_capacity_water_J_per_kg_K) *
             celsius(temperature_K);
}

double pressure_at_altitude_Pa(double altitude_m) {
  if (!(altitude_m >= -5000.0 && altitude_m <= 11000.0)) {
    throw RangeError("standard pressure asked at " + std::to_string(altitude_m) +
                     " m, outside -5,000 to 11,000 m");
  }
  return standard_pressure_Pa * std::pow(1.0 - 2.25577e-5 * altitude_m, 5.2559);
}

double psychrometric_constant_Pa_per_K(double pressure_Pa, double temperature_K) {
  EXPECT(pressure_Pa > 0.0);
  return heat_capacity_dry_air_J_per_kg_K * pressure_Pa /
         (molar_mass_ratio * latent_heat_J_per_kg(temperature_K));
}

}  // namespace mistwright::air
