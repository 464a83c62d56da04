#include "models/leaf/leaf_energy.h"

#include <algorithm>
#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/contracts.h"
#include "models/units.h"

namespace mistwright::leaf {
namespace {

// CODATA 2018.
constexpr double molar_gas_constant_J_per_mol_K = 8.314462618;

double joined(double forced, double free) {
  return std::cbrt(forced * forced * forced + free * free * free);
}

double in_series_m_per_s(double boundary_m_per_s, double surface_m_per_s) {
  if (std::isinf(surface_m_per_s)) return boundary_m_per_s;
  const double sum = boundary_m_per_s + surface_m_per_s;
  return sum > 0.0 ? boundary_m_per_s * surface_m_per_s / sum : 0.0;
}

}  // namespace

MolarConductance forced_conductance(double air_speed_m_per_s, double leaf_length_m) {
  EXPECT(air_speed_m_per_s >= 0.0 && leaf_length_m > 0.0);
  const double root = std::sqrt(air_speed_m_per_s / leaf_length_m);
  return {.heat_mol_per_m2_s = 0.135 * root, .vapour_mol_per_m2_s = 0.147 * root};
}

MolarConductance free_conductance(double temperature_difference_K, double leaf_length_m) {
  EXPECT(leaf_length_m > 0.0);
  const double root = std::sqrt(std::sqrt(std::abs(temperature_difference_K) / leaf_length_m));
  return {.heat_mol_per_m2_s = 0.050 * root, .vapour_mol_per_m2_s = 0.055 * root};
}

LeafConductance leaf_conductance(const LeafWind& wind, const LeafState& state) {
  const MolarConductance forced = forced_conductance(wind.air_speed_m_per_s, wind.leaf_length_m);
  const MolarConductance free = free_conductance(wind.temperature_difference_K, wind.leaf_length_m);
  const double molar_volume_m3_per_mol =
      molar_gas_constant_J_per_mol_K * state.air_temperature_K / state.pressure_Pa;
  // Midway between air and leaf the straight line is T_leaf^4 - T_air^4 to second order.
  const double T = state.air_temperature_K + 0.5 * wind.temperature_difference_K;
  return {.heat_m_per_s =
              2.0 * molar_volume_m3_per_mol *
              joined(wind.unsteady_factor * forced.heat_mol_per_m2_s, free.heat_mol_per_m2_s),
          .vapour_m_per_s =
              molar_volume_m3_per_mol *
              joined(wind.unsteady_factor * forced.vapour_mol_per_m2_s, free.vapour_mol_per_m2_s),
          .radiative_m_per_s = 4.0 * leaf_emissivity_fraction * stefan_boltzmann_W_per_m2_K4 * T *
                               T * T / air_heat_capacity_J_per_m3_K(state)};
}

double air_heat_capacity_J_per_m3_K(const LeafState& state) {
  EXPECT(state.air_temperature_K > 200.0 && state.pressure_Pa > state.vapour_pressure_Pa);
  const double dry_kg_per_m3 = (state.pressure_Pa - state.vapour_pressure_Pa) /
                               (gas_constant_dry_air_J_per_kg_K * state.air_temperature_K);
  const double vapour_kg_per_m3 =
      state.vapour_pressure_Pa / (gas_constant_vapour_J_per_kg_K * state.air_temperature_K);
  return dry_kg_per_m3 * heat_capacity_dry_air_J_per_kg_K +
         vapour_kg_per_m3 * heat_capacity_vapour_J_per_kg_K;
}

double isothermal_net_radiation_W_per_m2(double absorbed_shortwave_W_per_m2,
                                         const LeafState& state) {
  const double cover2 = state.cover_temperature_K * state.cover_temperature_K;
  const double air2 = state.air_temperature_K * state.air_temperature_K;
  return absorbed_shortwave_W_per_m2 +
         leaf_emissivity_fraction * stefan_boltzmann_W_per_m2_K4 * (cover2 * cover2 - air2 * air2);
}

DemandCoefficients demand_coefficients(const LeafState& state, const LeafConductance& conductance,
                                       double surface_conductance_m_per_s) {
  EXPECT(surface_conductance_m_per_s >= 0.0);
  const double T0 = state.expansion_temperature_K.value_or(state.air_temperature_K);
  const double slope_Pa_per_K = air::saturation_slope_Pa_per_K(T0);
  const double latent_J_per_kg = air::latent_heat_J_per_kg(T0);
  const double rho_cp = air_heat_capacity_J_per_m3_K(state);
  const double warming_conductance = conductance.heat_m_per_s + conductance.radiative_m_per_s;
  EXPECT(warming_conductance > 0.0);
  const double g = in_series_m_per_s(conductance.vapour_m_per_s, surface_conductance_m_per_s);
  // Vapour in kg/m3 per Pa, at air temperature on both ends of the boundary layer.
  const double vapour_per_Pa = 1.0 / (gas_constant_vapour_J_per_kg_K * state.air_temperature_K);
  const double gamma = rho_cp / (latent_J_per_kg * vapour_per_Pa);  // psychrometric coefficient
  const double weight = slope_Pa_per_K * g / (gamma * warming_conductance);
  return {.per_radiation_kg_per_J = combination(weight, 1.0, 0.0) / latent_J_per_kg,
          .per_deficit_kg_per_m2_s_Pa = combination(weight, 0.0, g * vapour_per_Pa),
          .deficit_Pa = air::saturation_pressure_Pa(T0) +
                        slope_Pa_per_K * (state.air_temperature_K - T0) - state.vapour_pressure_Pa,
          .latent_heat_J_per_kg = latent_J_per_kg,
          .sensible_share_fraction = conductance.heat_m_per_s / warming_conductance,
          .warming_m2_K_per_W = 1.0 / (rho_cp * warming_conductance)};
}

LeafBalance leaf_balance(const DemandCoefficients& coefficients, double net_radiation_W_per_m2,
                         const LeafState& state) {
  const double evaporation = coefficients.evaporation_kg_per_m2_s(net_radiation_W_per_m2);
  const double latent = coefficients.latent_heat_J_per_kg * evaporation;
  const double rest = net_radiation_W_per_m2 - latent;
  return {.evaporation_kg_per_m2_s = evaporation,
          .latent_W_per_m2 = latent,
          .sensible_W_per_m2 = coefficients.sensible_share_fraction * rest,
          .longwave_W_per_m2 = (1.0 - coefficients.sensible_share_fraction) * rest,
          .leaf_temperature_K = state.air_temperature_K + coefficients.warming_m2_K_per_W * rest};
}

LeafLine leaf_line(const LeafWind& wind, const LeafState& state, double surface_conductance_m_per_s,
                   double typical_net_radiation_W_per_m2) {
  constexpr int steps = 4;
  LeafWind at_wind = wind;
  at_wind.temperature_difference_K = 0.5;  // a start that lets still air conduct
  LeafLine line{.state = state, .conductance = {}, .coefficients = {}};
  line.state.expansion_temperature_K = state.air_temperature_K;
  for (int step = 0; step < steps; ++step) {
    line.conductance = leaf_conductance(at_wind, state);
    line.coefficients =
        demand_coefficients(line.state, line.conductance, surface_conductance_m_per_s);
    const LeafBalance balance =
        leaf_balance(line.coefficients, typical_net_radiation_W_per_m2, line.state);
    line.state.expansion_temperature_K =
        std::clamp(balance.leaf_temperature_K, air::saturation_lowest_K, air::saturation_highest_K);
    at_wind.temperature_difference_K =
        *line.state.expansion_temperature_K - state.air_temperature_K;
  }
  line.conductance = leaf_conductance(at_wind, state);
  line.coefficients =
      demand_coefficients(line.state, line.conductance, surface_conductance_m_per_s);
  return line;
}

}  // namespace mistwright::leaf
