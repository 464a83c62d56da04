#include "models/air/properties.h"

#include <cmath>

#include "models/contracts.h"
#include "models/units.h"

namespace mistwright::air {
namespace {

double dry_density_kg_per_m3(double temperature_K, double pressure_Pa) {
  return pressure_Pa / (gas_constant_dry_air_J_per_kg_K * temperature_K);
}

}  // namespace

double dynamic_viscosity_Pa_s(double temperature_K) {
  EXPECT(temperature_K > 150.0 && temperature_K < 500.0);
  return 1.458e-6 * temperature_K * std::sqrt(temperature_K) / (temperature_K + 110.4);
}

double kinematic_viscosity_m2_per_s(double temperature_K, double pressure_Pa) {
  EXPECT(pressure_Pa > 0.0);
  return dynamic_viscosity_Pa_s(temperature_K) / dry_density_kg_per_m3(temperature_K, pressure_Pa);
}

double thermal_conductivity_W_per_m_K(double temperature_K) {
  EXPECT(temperature_K > 150.0 && temperature_K < 500.0);
  return 2.64638e-3 * temperature_K * std::sqrt(temperature_K) /
         (temperature_K + 245.4 * std::pow(10.0, -12.0 / temperature_K));
}

double thermal_diffusivity_m2_per_s(double temperature_K, double pressure_Pa) {
  EXPECT(pressure_Pa > 0.0);
  return thermal_conductivity_W_per_m_K(temperature_K) /
         (dry_density_kg_per_m3(temperature_K, pressure_Pa) * heat_capacity_dry_air_J_per_kg_K);
}

double vapour_diffusivity_m2_per_s(double temperature_K, double pressure_Pa) {
  EXPECT(temperature_K > 150.0 && temperature_K < 500.0);
  EXPECT(pressure_Pa > 0.0);
  return 0.2178e-4 * std::pow(temperature_K / 273.15, 1.81) * (standard_pressure_Pa / pressure_Pa);
}

}  // namespace mistwright::air
