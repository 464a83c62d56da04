#pragma once
// The leaves as the air feels them: for each class (air cell and layer) what a wet and a dry leaf
// lose, linear in the state of the air, and the fluxes that follow.
#include <vector>

#include "models/air/linear.h"
#include "models/leaf/leaf_energy.h"
#include "sim/house/shared.h"

namespace mistwright {

/// Wetted shares of a class, weighted with what multiplies the sun and what multiplies the dryness.
struct Wetness {
  double by_radiation_fraction = 1.0;
  double by_conductance_fraction = 1.0;
};

/// One class's straight lines, as functions of the state. Rates are per leaf area.
struct ClassLines {
  air::Affine net_radiation_W_per_m2;  ///< isothermal, of a reference leaf
  air::Affine deficit_Pa;
  leaf::DemandCoefficients wet, dry;
  double longwave_to_sky_fraction =
      0.0;  ///< of the leaf's long-wave, what passes through the cover
  double sun_W_per_m2 = 0.0;
  air::Affine longwave_from_cover_W_per_m2,
      longwave_from_sky_W_per_m2;  ///< of a leaf at air temperature

  /// What a wholly wet reference leaf loses by sun and by dryness [kg/(m2 s)], and together.
  [[nodiscard]] air::Affine alpha() const;
  [[nodiscard]] air::Affine beta() const;
  [[nodiscard]] air::Affine demand() const;
};

/// Air moves more slowly between lower leaves: share of the speed above that each layer down keeps.
inline constexpr double layer_shelter_fraction = 0.5;  // common practice; 0.3 to 0.7
/// Slowest air past a leaf [m/s]: what the leaf's own warmth keeps moving.
inline constexpr double least_air_speed_m_per_s = 0.03;

/// Air speed at the leaves of a bench cell and layer in a regime at its nominal flows.
[[nodiscard]] double leaf_air_speed_m_per_s(const Regime& regime, std::uint32_t bench_cell,
                                            std::uint32_t layer);

/// Conductance factors g of all leaves in a regime: their conductance over their class's mean.
[[nodiscard]] std::vector<double> conductance_factors(const Plan& plan, const House& house,
                                                      const Regime& regime);

/// Mean air speed of each class in a regime at its nominal flows: of the roots, since conductance
/// goes with the root.
[[nodiscard]] std::vector<double> class_air_speeds_m_per_s(const Plan& plan, const Regime& regime);

struct CanopyNow {
  double light_W_per_m2 = 0.0;  ///< short-wave above the leaves
  double sky_temperature_K = 0.0;
  double air_speed_scale_ratio = 1.0;  ///< to that at the regime's nominal flows
};

/// The lines of every class, frozen at a state.
[[nodiscard]] std::vector<ClassLines> class_lines(const Shared& shared, const Regime& regime,
                                                  const CanopyNow& now,
                                                  const std::vector<double>& state);

/// Evaporation of a class's films and transpiration of its dry parts [kg/s].
struct ClassEvaporation {
  air::Affine wet_kg_per_s, dry_kg_per_s;
};
[[nodiscard]] ClassEvaporation class_evaporation(const ClassLines& lines, const LeafClass& leaves,
                                                 const Wetness& wetness, bool dew);

/// Adds a class's fluxes.
void add_canopy_fluxes(const Shared& shared, const LeafClass& leaves, const ClassLines& lines,
                       const ClassEvaporation& evaporation, std::vector<air::Flux>& fluxes);

}  // namespace mistwright
