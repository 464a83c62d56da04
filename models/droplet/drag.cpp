#include "models/droplet/drag.h"

#include <algorithm>
#include <cmath>

#include "models/air/properties.h"
#include "models/air/psychrometrics.h"
#include "models/contracts.h"
#include "models/units.h"

namespace mistwright::droplet {

namespace {

constexpr double flattening_starts_m = 1.2e-3;
constexpr double flattening_full_m = 1.6e-3;

/// Beard 1976 equations for drops of 1.07 to 7 mm: ln Re as a polynomial of ln(Bo Np^(1/6)), with
/// the Bond number 4 (rho_w - rho) g d^2 / (3 sigma) and the physical property number sigma^3 rho^2
/// / (mu^4 (rho_w - rho) g). Coefficients read in two public copies that agree.
double beard_velocity_m_per_s(double diameter_m, const DragAir& air, double temperature_K) {
  const double sigma = surface_tension_N_per_m(temperature_K);
  const double excess = water_density_kg_per_m3 - air.density_kg_per_m3;
  const double bond = 4.0 * excess * gravity_m_per_s2 * diameter_m * diameter_m / (3.0 * sigma);
  const double mu2 = air.viscosity_Pa_s * air.viscosity_Pa_s;
  const double property = sigma * sigma * sigma * air.density_kg_per_m3 * air.density_kg_per_m3 /
                          (mu2 * mu2 * excess * gravity_m_per_s2);
  const double sixth_root = std::pow(property, 1.0 / 6.0);
  const double x = std::log(bond * sixth_root);
  const double y =
      -5.00015 +
      x * (5.23778 + x * (-2.04914 + x * (0.475294 + x * (-0.0542819 + x * 0.00238449))));
  return air.viscosity_Pa_s * sixth_root * std::exp(y) / (air.density_kg_per_m3 * diameter_m);
}

}  // namespace

DragAir drag_air(const AirState& air) {
  EXPECT(air.temperature_K > 200.0 && air.temperature_K < 400.0 && air.pressure_Pa > 1e4);
  const double w = air::humidity_ratio(air.vapour_pressure_Pa, air.pressure_Pa);
  const double t = air.temperature_K;
  const double free_path_m = 0.066e-6 * (t / 293.15) * (standard_pressure_Pa / air.pressure_Pa) *
                             (1.0 + 110.4 / 293.15) / (1.0 + 110.4 / t);
  return {air::density_kg_per_m3({t, w, air.pressure_Pa}), air::dynamic_viscosity_Pa_s(t),
          free_path_m};
}

double drag_factor(double reynolds_number) {
  EXPECT(reynolds_number >= 0.0);
  const double Re = reynolds_number;
  if (Re < 0.01) return 1.0 + Re * 3.0 / 16.0 / 24.0;
  if (Re < 20.0) return 1.0 + 0.1315 * std::pow(Re, 0.82 - 0.05 * std::log10(Re));
  if (Re < 260.0) return 1.0 + 0.1935 * std::pow(Re, 0.6305);
  const double w = std::log10(Re);
  if (Re < 1500.0) return Re / 24.0 * std::pow(10.0, 1.6435 - 1.1242 * w + 0.1558 * w * w);
  if (Re > 1.2e4) throw RangeError("drag coefficient: Reynolds number above 12,000");
  return Re / 24.0 * std::pow(10.0, -2.4571 + w * (2.5558 + w * (-0.9295 + w * 0.1049)));
}

double drag_coefficient(double reynolds_number) {
  EXPECT(reynolds_number > 0.0);
  return 24.0 / reynolds_number * drag_factor(reynolds_number);
}

double slip_factor(double diameter_m, const DragAir& air) {
  const double Kn = 2.0 * air.mean_free_path_m / diameter_m;
  return 1.0 + Kn * (1.257 + 0.4 * std::exp(-1.1 / Kn));
}

double relaxation_time_s(double diameter_m, const DragAir& air) {
  return water_density_kg_per_m3 * diameter_m * diameter_m / (18.0 * air.viscosity_Pa_s) *
         slip_factor(diameter_m, air);
}

double sphere_terminal_velocity_m_per_s(double diameter_m, const DragAir& air) {
  EXPECT(diameter_m > 0.0);
  const double buoyancy = 1.0 - air.density_kg_per_m3 / water_density_kg_per_m3;
  const double stokes = relaxation_time_s(diameter_m, air) * gravity_m_per_s2 * buoyancy;
  const double per_speed = air.density_kg_per_m3 * diameter_m / air.viscosity_Pa_s;
  // v f(Re(v)) rises in v, so bisection between nought and Stokes's speed cannot miss.
  double low = 0.0, high = stokes;
  for (int i = 0; i < 60 && high - low > 1e-13 * high; ++i) {
    const double v = 0.5 * (low + high);
    (v * drag_factor(std::min(per_speed * v, 1.2e4)) < stokes ? low : high) = v;
  }
  return 0.5 * (low + high);
}

double terminal_velocity_m_per_s(double diameter_m, const AirState& air) {
  EXPECT(diameter_m > 0.0);
  if (diameter_m > largest_drop_m) throw RangeError("terminal speed: drop above 6 mm breaks up");
  const DragAir drag = drag_air(air);
  if (diameter_m <= flattening_starts_m) return sphere_terminal_velocity_m_per_s(diameter_m, drag);
  const double flat = beard_velocity_m_per_s(diameter_m, drag, air.temperature_K);
  if (diameter_m >= flattening_full_m) return flat;
  const double s = (diameter_m - flattening_starts_m) / (flattening_full_m - flattening_starts_m);
  const double share = s * s * (3.0 - 2.0 * s);
  return (1.0 - share) * sphere_terminal_velocity_m_per_s(diameter_m, drag) + share * flat;
}

double surface_tension_N_per_m(double temperature_K) {
  EXPECT(temperature_K > 240.0 && temperature_K < 400.0);
  const double tau = 1.0 - temperature_K / 647.096;
  return 235.8e-3 * std::pow(tau, 1.256) * (1.0 - 0.625 * tau);
}

}  // namespace mistwright::droplet
