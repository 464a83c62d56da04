#include "sim/house/shared.h"

#include "models/units.h"

namespace mistwright {

void Deposit::add(const Landed& landed) {
  layer_kg.resize(landed.layer_kg.size(), 0.0);
  medium_kg.resize(landed.medium_kg.size(), 0.0);
  for (std::size_t i = 0; i < layer_kg.size(); ++i) layer_kg[i] += landed.layer_kg[i];
  for (std::size_t b = 0; b < medium_kg.size(); ++b) medium_kg[b] += landed.medium_kg[b];
}

std::size_t size_group_of(double diameter_m) {
  std::size_t group = 0;
  for (const double edge_m : size_group_edges_m) group += diameter_m >= edge_m ? 1 : 0;
  return group;
}

double Shared::mean_air_temperature_K() const {
  return kelvin(mean_state(*this, air::CellState::Air));
}

double mean_state(const Shared& shared, air::CellState which) {
  double sum = 0.0;
  double mass = 0.0;
  for (std::size_t c = 0; c < shared.plan.fixed.cells; ++c) {
    sum += shared.plan.fixed.air_mass_kg[c] * shared.air[air::state_index(c, which)];
    mass += shared.plan.fixed.air_mass_kg[c];
  }
  return sum / mass;
}

air::Affine mean_air_temperature(const Plan& plan) {
  double mass = 0.0;
  for (const double m : plan.fixed.air_mass_kg) mass += m;
  air::Affine mean;
  for (std::size_t c = 0; c < plan.fixed.cells; ++c) {
    mean.add(air::state_index(c, air::CellState::Air), plan.fixed.air_mass_kg[c] / mass);
  }
  return mean;
}

}  // namespace mistwright
