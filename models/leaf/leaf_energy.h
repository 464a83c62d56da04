#pragma once
// What air and sun take from a leaf: evaporation, heat and long-wave, linear in the net radiation.
// Penman's combination (Penman 1948; Monteith 1965) in its isothermal-net-radiation form (Jones
// 2014 ch. 5): the balance R = lambda E + H + L is solved with the saturation curve, and the
// long-wave that a leaf off air temperature gives, as straight lines about one temperature. All
// fluxes and conductances are per one-side area. The film lies on, and stomata open through, one
// side; heat leaves by both; the upper side trades long-wave with the cover, the lower one with
// neighbours as warm as itself. E = a R + b D, so a leaf's share of sun and its conductance stay
// apart from the air's state. Left out: heat stored in the leaf, heat conducted between its wet and
// dry parts, the flow of air that vapour itself makes (1 to 3 %), leaves that shelter each other.
#include <limits>
#include <optional>

namespace mistwright::leaf {

/// Surface conductance of a film: nothing stands between the water and the air.
inline constexpr double wet_surface_m_per_s = std::numeric_limits<double>::infinity();

/// Long-wave emissivity of leaves, 0.94 to 0.99: Campbell and Norman 1998, table 11.3 (from
/// memory).
inline constexpr double leaf_emissivity_fraction = 0.97;

/// Factor on forced convection where the air is as unsteady as out of doors: Campbell and Norman
/// 1998, section 7.13, eq. 7.30. Air moved by fans and vents is; 1 is a wind tunnel's smooth flow.
inline constexpr double unsteady_air_factor = 1.4;

/// The air about a leaf.
struct LeafState {
  double air_temperature_K = 0.0;   ///< 273.16 to 333
  double vapour_pressure_Pa = 0.0;  ///< at least 0
  double pressure_Pa = 0.0;         ///< of the air, 70e3 to 110e3
  double cover_temperature_K =
      0.0;  ///< that of a black body in the place of all the leaf's long-wave sees
  /// Where the saturation curve is made a straight line; absent: at air temperature.
  std::optional<double> expansion_temperature_K = {};
};

/// How easily heat and vapour leave, per one-side area.
struct LeafConductance {
  double heat_m_per_s = 0.0;    ///< both sides together
  double vapour_m_per_s = 0.0;  ///< of the side that evaporates, without its surface
  double radiative_m_per_s =
      0.0;  ///< long-wave as if it were a conductance for heat; 0 holds R fixed
};

/// Boundary-layer conductances of one side in moles, as the sources print them.
struct MolarConductance {
  double heat_mol_per_m2_s = 0.0;
  double vapour_mol_per_m2_s = 0.0;
};

/// Forced convection from one side in smooth flow: 0.135 (u/d)^(1/2), vapour 0.147.
/// @param air_speed_m_per_s  at the leaf, at least 0
/// @param leaf_length_m      along the wind, above 0
/// Source: Campbell and Norman 1998, table 7.6 and eq. 7.30. Checked against
/// tests/reference/leaf_conductance.csv.
[[nodiscard]] MolarConductance forced_conductance(double air_speed_m_per_s, double leaf_length_m);

/// Free convection from one side: 0.050 (dT/d)^(1/4), vapour 0.055.
/// @param temperature_difference_K  leaf less air, either sign
/// Source: Campbell and Norman 1998, table 7.6 (from memory). The halved value for a cooled side
/// that looks up is not used: a bench leaf is tilted, and forced convection rules when it is
/// cooler.
[[nodiscard]] MolarConductance free_conductance(double temperature_difference_K,
                                                double leaf_length_m);

/// What blows over a leaf.
struct LeafWind {
  double air_speed_m_per_s = 0.0;
  double leaf_length_m = 0.0;
  double temperature_difference_K = 0.0;  ///< leaf less air, for free convection
  double unsteady_factor = unsteady_air_factor;
};

/// Conductances of a whole leaf: forced and free convection joined as (forced^3 + free^3)^(1/3),
/// two sides for heat, one for vapour; and the upper side's long-wave, 4 emissivity sigma T^3 /
/// (rho cp). Source of the exponent: Churchill 1977 (assisting flow). Bonan 2019, ch. 10, adds the
/// two, which gives up to 1.6 times as much where they are equal; the cube is the customary fit to
/// measured mixed convection (from memory).
[[nodiscard]] LeafConductance leaf_conductance(const LeafWind& wind, const LeafState& state);

/// Heat that warms a cubic metre of this air by a kelvin [J/(m3 K)], vapour counted.
[[nodiscard]] double air_heat_capacity_J_per_m3_K(const LeafState& state);

/// Net radiation [W/m2] that the leaf would have at air temperature: absorbed sun plus the
/// long-wave between its upper side and the cover.
[[nodiscard]] double isothermal_net_radiation_W_per_m2(double absorbed_shortwave_W_per_m2,
                                                       const LeafState& state);

/// Penman's combination of an energy term and a drying term, in one unit of the reader's choice.
/// @param weight_ratio  slope of the saturation curve over the psychrometric coefficient
/// Source: Penman 1948, eq. 16.
[[nodiscard]] constexpr double combination(double weight_ratio, double energy_term,
                                           double drying_term) {
  return (weight_ratio * energy_term + drying_term) / (weight_ratio + 1.0);
}

/// A leaf's straight lines: E = per_radiation R + per_deficit deficit.
struct DemandCoefficients {
  double per_radiation_kg_per_J = 0.0;      ///< evaporation per isothermal net radiation
  double per_deficit_kg_per_m2_s_Pa = 0.0;  ///< evaporation per deficit
  double deficit_Pa = 0.0;  ///< saturation at air temperature on the line, less vapour
  double latent_heat_J_per_kg = 0.0;
  double sensible_share_fraction = 0.0;  ///< of R - lambda E, the share that warms the air
  double warming_m2_K_per_W = 0.0;       ///< leaf less air temperature per R - lambda E

  [[nodiscard]] constexpr double evaporation_kg_per_m2_s(double net_radiation_W_per_m2) const {
    return per_radiation_kg_per_J * net_radiation_W_per_m2 +
           per_deficit_kg_per_m2_s_Pa * deficit_Pa;
  }
};

/// Coefficients of a leaf in this air.
/// @param surface_conductance_m_per_s  of stomata and cuticle, above or at 0; wet_surface_m_per_s
///                                     for a film
/// @throws RangeError where the saturation curve ends
/// Source: Penman 1948; Monteith 1965; isothermal net radiation: Jones 2014, eq. 5.11 (from
/// memory).
[[nodiscard]] DemandCoefficients demand_coefficients(const LeafState& state,
                                                     const LeafConductance& conductance,
                                                     double surface_conductance_m_per_s);

/// A leaf's balance. net_radiation = latent + sensible + longwave, to rounding.
struct LeafBalance {
  double evaporation_kg_per_m2_s = 0.0;  ///< negative: dew
  double latent_W_per_m2 = 0.0;
  double sensible_W_per_m2 = 0.0;  ///< to the air
  double longwave_W_per_m2 = 0.0;  ///< to the cover, beyond that of a leaf at air temperature
  double leaf_temperature_K = 0.0;
};

/// Balance of a leaf on its straight lines.
[[nodiscard]] LeafBalance leaf_balance(const DemandCoefficients& coefficients,
                                       double net_radiation_W_per_m2, const LeafState& state);

/// Straight lines drawn where a leaf of typical radiation lies.
struct LeafLine {
  LeafState state;              ///< with its expansion temperature
  LeafConductance conductance;  ///< at the typical leaf's own difference from the air
  DemandCoefficients coefficients;
};

/// Lines for all leaves of one place: 0.5 % and 0.05 K from the curves at the typical radiation; at
/// half to one and a half times it, 2 % and 0.2 K for wet leaves, about 2.5 % for dry ones. A fixed
/// number of Newton steps from air temperature, so that the answer moves without jumps as the air
/// does.
/// @param wind  its temperature difference is not read, but found
[[nodiscard]] LeafLine leaf_line(const LeafWind& wind, const LeafState& state,
                                 double surface_conductance_m_per_s,
                                 double typical_net_radiation_W_per_m2);

}  // namespace mistwright::leaf
