#include "sim/house/canopy.h"

#include <algorithm>
#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/units.h"

namespace mistwright {

using air::Affine;
using air::CellState;
using air::state_index;

Affine ClassLines::alpha() const {
  return Affine{}.add(net_radiation_W_per_m2, wet.per_radiation_kg_per_J);
}

Affine ClassLines::beta() const {
  return Affine{}.add(deficit_Pa, wet.per_deficit_kg_per_m2_s_Pa);
}

Affine ClassLines::demand() const {
  return alpha().add(beta(), 1.0);
}

double leaf_air_speed_m_per_s(const Regime& regime, std::uint32_t bench_cell, std::uint32_t layer) {
  double speed = std::max(least_air_speed_m_per_s, regime.bench_air_speed_m_per_s[bench_cell]);
  for (std::uint32_t above = 0; above < layer; ++above) speed *= layer_shelter_fraction;
  return speed;
}

namespace {

/// Conductance of heat at the middle of what leaves on a bench meet, to compare leaves with one
/// another.
double comparison_conductance_m_per_s(const House& house, double air_speed_m_per_s) {
  const leaf::LeafState state{298.15, 2200.0, standard_pressure_Pa, 298.15, {}};
  return leaf::leaf_conductance({air_speed_m_per_s, house.crop.leaf_length_m, 2.0}, state)
      .vapour_m_per_s;
}

}  // namespace

std::vector<double> conductance_factors(const Plan& plan, const House& house,
                                        const Regime& regime) {
  const auto layers = static_cast<std::size_t>(house.crop.layers);
  std::vector<double> by_cell(plan.benches.cells.size() * layers);
  for (std::uint32_t cell = 0; cell < plan.benches.cells.size(); ++cell) {
    for (std::uint32_t layer = 0; layer < layers; ++layer) {
      by_cell[cell * layers + layer] =
          comparison_conductance_m_per_s(house, leaf_air_speed_m_per_s(regime, cell, layer));
    }
  }
  const Leaves& leaves = plan.leaves;
  std::vector<double> mean(plan.classes.size(), 0.0);
  std::vector<double> factors(leaves.count());
  for (std::size_t i = 0; i < leaves.count(); ++i) {
    factors[i] = by_cell[leaves.bench_cell[i] * layers + leaves.layer[i]];
    mean[leaves.leaf_class[i]] += factors[i] * leaves.area_m2[i];
  }
  for (std::size_t i = 0; i < leaves.count(); ++i) {
    const std::uint32_t c = leaves.leaf_class[i];
    factors[i] *= plan.classes[c].area_m2 / mean[c];
  }
  return factors;
}

std::vector<double> class_air_speeds_m_per_s(const Plan& plan, const Regime& regime) {
  const std::size_t layers = plan.layer_sun_fraction.size();
  std::vector<double> root(plan.classes.size(), 0.0);
  for (std::uint32_t cell = 0; cell < plan.benches.cells.size(); ++cell) {
    for (std::uint32_t layer = 0; layer < layers; ++layer) {
      const std::size_t c = plan.air_cell_of_bench_cell[cell] * layers + layer;
      root[c] += plan.layer_leaf_area_m2[cell * layers + layer] *
                 std::sqrt(leaf_air_speed_m_per_s(regime, cell, layer));
    }
  }
  for (std::size_t c = 0; c < root.size(); ++c) {
    root[c] = plan.classes[c].area_m2 > 0.0 ? root[c] / plan.classes[c].area_m2 : 0.0;
    root[c] *= root[c];
  }
  return root;
}

namespace {

/// What a leaf of a class gets of sun and long-wave. Sun and sky meet a layer in the same share:
/// what the layers above leave open.
struct Outlook {
  double through_fraction = 0.0;  ///< of the long-wave, through the cover
  double seen_K = 0.0;            ///< black body in the place of cover and sky together
  double view_fraction = 0.0;     ///< of a leaf's upper side
};

/// Adds sun and long-wave to a class's lines, as functions of the state.
void add_radiation(const House& house, const CanopyNow& now, const Outlook& outlook,
                   const LeafClass& leaves, double air_K, ClassLines& lines) {
  const auto air = state_index(leaves.air_cell, CellState::Air);
  const auto cover = state_index(leaves.air_cell, CellState::Cover);
  lines.sun_W_per_m2 =
      now.light_W_per_m2 * house.crop.solar_absorptance_fraction * outlook.view_fraction;
  const double exchange = leaf::leaf_emissivity_fraction * outlook.view_fraction *
                          air::radiative_conductance_W_per_m2_K(outlook.seen_K, air_K);
  lines.longwave_to_sky_fraction = outlook.through_fraction;
  const double to_cover = exchange * (1.0 - outlook.through_fraction);
  const double to_sky = exchange * outlook.through_fraction;
  lines.longwave_from_cover_W_per_m2.add(cover, to_cover).add(air, -to_cover);
  lines.longwave_from_sky_W_per_m2.add(air, -to_sky);
  lines.longwave_from_sky_W_per_m2.constant = to_sky * celsius(now.sky_temperature_K);
  lines.net_radiation_W_per_m2.add(lines.longwave_from_cover_W_per_m2, 1.0)
      .add(lines.longwave_from_sky_W_per_m2, 1.0);
  lines.net_radiation_W_per_m2.constant += lines.sun_W_per_m2;
}

/// The deficit on the tangent: e_s(T_x) + s (T_a - T_x) - e, with e straight in the humidity ratio.
Affine tangent_deficit(const leaf::LeafState& state, double tangent_K, std::size_t air_cell,
                       double humidity_ratio_now) {
  const double slope = air::saturation_slope_Pa_per_K(tangent_K);
  const double ratio = molar_mass_ratio + std::max(0.0, humidity_ratio_now);
  const double e_slope = molar_mass_ratio * state.pressure_Pa / (ratio * ratio);
  Affine deficit;
  deficit.add(state_index(air_cell, CellState::Air), slope)
      .add(state_index(air_cell, CellState::Humidity), -e_slope);
  deficit.constant = air::saturation_pressure_Pa(tangent_K) - slope * celsius(tangent_K) -
                     state.vapour_pressure_Pa + e_slope * humidity_ratio_now;
  return deficit;
}

}  // namespace

std::vector<ClassLines> class_lines(const Shared& shared, const Regime& regime,
                                    const CanopyNow& now, const std::vector<double>& state) {
  const Plan& plan = shared.plan;
  const House& house = shared.house;
  const double layers = static_cast<double>(plan.layer_sun_fraction.size());
  const double layer_index = plan.leaf_area_index / layers;
  const double pressure_Pa = plan.fixed.pressure_Pa;
  std::vector<ClassLines> all(plan.classes.size());
  for (std::size_t c = 0; c < plan.classes.size(); ++c) {
    const LeafClass& leaves = plan.classes[c];
    if (leaves.area_m2 <= 0.0) continue;
    ClassLines& lines = all[c];
    const double air_K = kelvin(state[state_index(leaves.air_cell, CellState::Air)]);
    const double cover_K = kelvin(state[state_index(leaves.air_cell, CellState::Cover)]);
    const double humidity = state[state_index(leaves.air_cell, CellState::Humidity)];
    Outlook outlook;
    outlook.through_fraction =
        air::cover_longwave_transmittance_fraction(plan.fixed, state, leaves.air_cell);
    outlook.seen_K = (1.0 - outlook.through_fraction) * cover_K +
                     outlook.through_fraction * now.sky_temperature_K;
    outlook.view_fraction = plan.layer_sun_fraction[leaves.layer] / layer_index;
    const leaf::LeafState leaf_state{air_K,
                                     air::vapour_pressure_Pa(std::max(0.0, humidity), pressure_Pa),
                                     pressure_Pa,
                                     outlook.seen_K,
                                     {}};
    add_radiation(house, now, outlook, leaves, air_K, lines);
    // Wet and dry parts share one tangent, drawn where the wet leaf lies, so that they share one
    // deficit.
    const leaf::LeafLine line = leaf::leaf_line(
        {std::max(least_air_speed_m_per_s,
                  regime.class_air_speed_m_per_s[c] * now.air_speed_scale_ratio),
         house.crop.leaf_length_m},
        leaf_state, leaf::wet_surface_m_per_s, lines.net_radiation_W_per_m2.value(state));
    leaf::LeafConductance conductance = line.conductance;
    conductance.radiative_m_per_s *= outlook.view_fraction;
    lines.wet = leaf::demand_coefficients(line.state, conductance, leaf::wet_surface_m_per_s);
    lines.dry =
        leaf::demand_coefficients(line.state, conductance, house.crop.dry_conductance_m_per_s);
    lines.deficit_Pa = tangent_deficit(
        leaf_state, line.state.expansion_temperature_K.value_or(air_K), leaves.air_cell, humidity);
  }
  return all;
}

ClassEvaporation class_evaporation(const ClassLines& lines, const LeafClass& leaves,
                                   const Wetness& wetness, bool dew) {
  const double f = dew ? 1.0 : wetness.by_radiation_fraction;
  const double g = dew ? 1.0 : wetness.by_conductance_fraction;
  ClassEvaporation evaporation;
  evaporation.wet_kg_per_s.add(lines.alpha(), f * leaves.area_m2)
      .add(lines.beta(), g * leaves.area_m2);
  evaporation.dry_kg_per_s
      .add(lines.net_radiation_W_per_m2,
           (1.0 - f) * leaves.area_m2 * lines.dry.per_radiation_kg_per_J)
      .add(lines.deficit_Pa, (1.0 - g) * leaves.area_m2 * lines.dry.per_deficit_kg_per_m2_s_Pa);
  return evaporation;
}

void add_canopy_fluxes(const Shared& shared, const LeafClass& leaves, const ClassLines& lines,
                       const ClassEvaporation& evaporation, std::vector<air::Flux>& fluxes) {
  const air::HouseFixed& fixed = shared.plan.fixed;
  const std::uint32_t cell = leaves.air_cell;
  const auto air = state_index(cell, CellState::Air);
  const auto humidity = state_index(cell, CellState::Humidity);
  const auto cover = state_index(cell, CellState::Cover);
  const double air_heat = fixed.air_mass_kg[cell] * fixed.heat_capacity_air_J_per_kg_K;
  const double cover_heat = fixed.cover_area_m2[cell] * fixed.cover_heat_capacity_J_per_m2_K;
  const double to_humidity = 1.0 / fixed.air_mass_kg[cell];
  const auto push = [&fluxes](air::Line line, const Affine& size, const Affine::Terms& feeds) {
    fluxes.push_back({static_cast<std::uint32_t>(line), size, feeds});
  };
  Affine sun;
  sun.constant = lines.sun_W_per_m2 * leaves.area_m2;
  push(air::Line::SunOnLeaves, sun, {});
  push(air::Line::LeafEvaporation, evaporation.wet_kg_per_s, {{humidity, to_humidity}});
  push(air::Line::Transpiration, evaporation.dry_kg_per_s, {{humidity, to_humidity}});
  // Leaves hold no heat: what the sun and the long-wave bring and evaporation does not take warms
  // the air and, by the leaf's own warmth, goes back as long-wave.
  Affine rest;
  rest.add(lines.net_radiation_W_per_m2, leaves.area_m2)
      .add(evaporation.wet_kg_per_s, -fixed.latent_heat_J_per_kg)
      .add(evaporation.dry_kg_per_s, -fixed.latent_heat_J_per_kg);
  const double warming = lines.wet.sensible_share_fraction;
  push(air::Line::LeafHeat, Affine{}.add(rest, warming), {{air, 1.0 / air_heat}});
  const double sky_share = lines.longwave_to_sky_fraction;
  push(air::Line::LongwaveInside,
       Affine{}
           .add(rest, (1.0 - warming) * (1.0 - sky_share))
           .add(lines.longwave_from_cover_W_per_m2, -leaves.area_m2),
       {{cover, 1.0 / cover_heat}});
  push(air::Line::InsideToSky,
       Affine{}
           .add(rest, (1.0 - warming) * sky_share)
           .add(lines.longwave_from_sky_W_per_m2, -leaves.area_m2),
       {});
}

}  // namespace mistwright
