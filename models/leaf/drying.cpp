#include "models/leaf/drying.h"

#include <algorithm>
#include <limits>

#include "models/air/psychrometrics.h"
#include "models/contracts.h"
#include "models/leaf/film.h"
#include "models/leaf/leaf_energy.h"
#include "models/units.h"

namespace mistwright::leaf {
namespace {

struct WetLeaf {
  double evaporation_kg_per_m2_s = 0.0;
  double vapour_m_per_s = 0.0;
  double surplus_W_per_m2 = 0.0;  ///< net radiation less what leaves
};

WetLeaf wet_leaf_at(double leaf_temperature_K, const FilmQuery& query, const LeafState& state) {
  const LeafConductance conductance =
      leaf_conductance({.air_speed_m_per_s = query.air_speed_m_per_s,
                        .leaf_length_m = query.leaf_length_m,
                        .temperature_difference_K = leaf_temperature_K - state.air_temperature_K},
                       state);
  const double vapour_kg_per_m3 =
      (air::saturation_pressure_Pa(leaf_temperature_K) - state.vapour_pressure_Pa) /
      (gas_constant_vapour_J_per_kg_K * state.air_temperature_K);
  const double evaporation = conductance.vapour_m_per_s * vapour_kg_per_m3;
  const double sensible = air_heat_capacity_J_per_m3_K(state) * conductance.heat_m_per_s *
                          (leaf_temperature_K - state.air_temperature_K);
  return {.evaporation_kg_per_m2_s = evaporation,
          .vapour_m_per_s = conductance.vapour_m_per_s,
          .surplus_W_per_m2 = query.net_radiation_W_per_m2 -
                              air::latent_heat_J_per_kg(leaf_temperature_K) * evaporation -
                              sensible};
}

/// The leaf temperature of balance. In still air a leaf exactly at air temperature exchanges
/// nothing, which balances too when there is no radiation: the bracket's upper end moves on a
/// surplus of zero, so that the search ends at the other root.
double balanced_temperature_K(const FilmQuery& query, const LeafState& state) {
  double low_K = std::max(state.air_temperature_K - 50.0, air::saturation_lowest_K);
  double high_K = std::min(state.air_temperature_K + 90.0, air::saturation_highest_K);
  if (wet_leaf_at(low_K, query, state).surplus_W_per_m2 <= 0.0 ||
      wet_leaf_at(high_K, query, state).surplus_W_per_m2 >= 0.0)
    throw RangeError("leaf: no temperature within reach balances this net radiation");
  while (high_K - low_K > 1e-10) {
    const double middle_K = 0.5 * (low_K + high_K);
    (wet_leaf_at(middle_K, query, state).surplus_W_per_m2 > 0.0 ? low_K : high_K) = middle_K;
  }
  return 0.5 * (low_K + high_K);
}

}  // namespace

FilmDrying film_drying(const FilmQuery& query) {
  EXPECT(query.depth_m >= 0.0 && query.break_depth_m > 0.0 && query.leaf_length_m > 0.0);
  EXPECT(query.relative_humidity_fraction >= 0.0 && query.relative_humidity_fraction <= 1.0);
  const LeafState state{.air_temperature_K = query.temperature_K,
                        .vapour_pressure_Pa = query.relative_humidity_fraction *
                                              air::saturation_pressure_Pa(query.temperature_K),
                        .pressure_Pa = query.pressure_Pa,
                        .cover_temperature_K = query.temperature_K};
  const double leaf_temperature_K = balanced_temperature_K(query, state);
  const WetLeaf leaf = wet_leaf_at(leaf_temperature_K, query, state);
  const double demand_m_per_s = leaf.evaporation_kg_per_m2_s / water_density_kg_per_m3;
  const auto time_s = [&](double demand_m) {
    if (demand_m == 0.0) return 0.0;
    return demand_m_per_s > 0.0 ? demand_m / demand_m_per_s
                                : std::numeric_limits<double>::infinity();
  };
  return {.evaporation_kg_per_m2_s = leaf.evaporation_kg_per_m2_s,
          .time_to_half_bare_s = time_s(demand_to_bare_m(query.depth_m, 0.5, query.break_depth_m)),
          .time_to_dry_s = time_s(demand_to_dry_m(query.depth_m, query.break_depth_m)),
          .leaf_temperature_K = leaf_temperature_K,
          .boundary_conductance_m_per_s = leaf.vapour_m_per_s};
}

}  // namespace mistwright::leaf
