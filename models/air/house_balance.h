#pragma once
// Heat and water of the house, air cell by air cell, as fluxes that are linear while their
// coefficients stay frozen (models/air/linear.h moves them exactly).
//
// Each air cell holds its air, its share of the cover, of the floor and of the rooting medium, and
// the water lying on cover and floor. Fluxes: ventilation and exchange between cells, sun on floor,
// medium and cover, convection and long-wave between them and to the sky, ground heat, condensation
// on the cover and evaporation from it, from the floor and from the medium. Leaves are added by
// whoever knows them (sim/house/canopy). Constant for a run: the mass of dry air in a cell, the
// specific heat of moist air and the latent heat, at a reference state, so that stored heat is
// linear in the state and its audit independent of the fluxes. Left out: heat stored in frame and
// benches, long-wave between walls, angle-dependent long-wave of the cover.
#include <cstddef>
#include <cstdint>
#include <vector>

#include "models/air/linear.h"

namespace mistwright::air {

/// What an air cell's state is made of; state index = cell * states_a_cell + one of these.
/// Temperatures are kept as degrees above 273.15 K.
enum class CellState : std::uint32_t {
  Air,
  Humidity,
  Cover,
  Floor,
  Medium,
  CoverWater,
  FloorWater
};
inline constexpr std::uint32_t states_a_cell = 7;

constexpr std::uint32_t state_index(std::size_t cell, CellState which) {
  return static_cast<std::uint32_t>(cell) * states_a_cell + static_cast<std::uint32_t>(which);
}

/// The lines under which fluxes are booked.
enum class Line : std::uint32_t {
  SunOnFloor,
  SunOnMedium,
  SunOnCover,
  SunOnLeaves,  // heat from outside
  AirInHeat,
  AirOutHeat,
  AirInVapour,
  AirOutVapour,  // carried by ventilation and leakage
  BetweenCellsHeat,
  BetweenCellsVapour,  // inside
  CoverToOutside,
  CoverToSky,
  InsideToSky,
  Ground,  // heat to outside
  AirToCover,
  FloorToAir,
  MediumToAir,
  LongwaveInside,  // inside
  CoverCondensation,
  FloorEvaporation,
  MediumEvaporation,  // water between surfaces and air
  LeafEvaporation,
  Transpiration,
  LeafHeat,
  Count
};

/// What does not change during a run.
struct HouseFixed {
  std::size_t cells = 0;
  std::vector<double> air_mass_kg, floor_area_m2, bare_floor_area_m2, bench_area_m2,
      cover_area_m2;                          ///< a cell
  double heat_capacity_air_J_per_kg_K = 0.0;  ///< of moist air, per kg dry air
  double latent_heat_J_per_kg = 0.0;
  double pressure_Pa = 0.0;
  double cover_heat_capacity_J_per_m2_K = 0.0;
  double cover_conductance_W_per_m2_K = 0.0;
  double cover_longwave_transmittance_fraction = 0.0;
  double cover_sky_view_fraction = 0.0;
  double floor_heat_capacity_J_per_m2_K = 0.0, floor_ground_conductance_W_per_m2_K = 0.0;
  double floor_wet_fraction = 0.0, ground_temperature_K = 0.0;
  double medium_heat_capacity_J_per_m2_K = 0.0;
  double medium_bare_fraction = 0.0;  ///< share of the medium's surface that the leaves leave open
};

/// Air moved between cells, dry-air mass.
struct AirMove {
  std::uint32_t from = 0, to = 0;
  double flow_kg_per_s = 0.0;
};

/// What holds for one stretch.
struct HouseNow {
  double outside_temperature_K = 0.0, outside_humidity_ratio = 0.0, sky_temperature_K = 0.0;
  double wind_speed_m_per_s = 0.0;
  double sun_on_floor_W_per_m2 = 0.0;   ///< absorbed by bare floor
  double sun_on_medium_W_per_m2 = 0.0;  ///< absorbed by the medium, per bench area
  double sun_on_cover_W_per_m2 = 0.0;   ///< absorbed by cover and shade, per plan area
  std::vector<AirMove> moves;           ///< each carries its giver's air to its taker
  std::vector<double> inflow_kg_per_s, outflow_kg_per_s;  ///< from and to outside, a cell
};

/// Humidity ratio of saturated air at a temperature, and its slope, for linearising.
struct SaturationLine {
  double humidity_ratio = 0.0;
  double slope_per_K = 0.0;
};
[[nodiscard]] SaturationLine saturation_line(double temperature_K, double pressure_Pa);

/// Conductance of an inside surface to the air [W/(m2 K)]: turbulent free convection,
/// 1.52 |dT|^(1/3) for vertical and upward plates in air, never below 1.
/// Source: Incropera et al., Nu = 0.13 Ra^(1/3) class of relations with air properties at 300 K
/// (from memory).
[[nodiscard]] double inside_convection_W_per_m2_K(double temperature_step_K);
/// Conductance of the outside of the cover [W/(m2 K)]: 2.8 + 3.0 u. Source: Watmuff et al. 1977
/// (from memory).
[[nodiscard]] double outside_convection_W_per_m2_K(double wind_speed_m_per_s);
/// Linear long-wave conductance between two black surfaces [W/(m2 K)]: sigma (T1+T2)(T1^2+T2^2).
[[nodiscard]] double radiative_conductance_W_per_m2_K(double first_K, double second_K);

/// Long-wave lets through less of a film when drops lie on it: the share kept under condensate.
inline constexpr double wet_cover_longwave_factor = 0.25;  ///< common range 0.1 to 0.4, from memory

/// A shade cloth over the cover: dark threads that the sun warms and that hide part of the sky.
struct ShadeCloth {
  double open_fraction = 1.0;  ///< its transmittance: 1 - nominal shade
  double sun_W_per_m2 = 0.0;   ///< global radiation on the level
  double outside_temperature_K = 0.0, sky_temperature_K = 0.0;
  double wind_speed_m_per_s = 0.0;
};
/// Sun that black threads absorb: 0.9 to 0.95, from memory.
inline constexpr double cloth_absorptance_fraction = 0.9;
/// The black-body temperature of what the cover sees through and of the cloth [K]: threads lose
/// what they absorb by convection from both sides and by long-wave to the sky above and to air-warm
/// surfaces below. Derived: the threads' heat balance, linear in their temperature. The sky's own
/// at open_fraction 1.
[[nodiscard]] double sky_under_cloth_K(const ShadeCloth& cloth);

/// All the fluxes of the house but its leaves.
/// @param state the present state, from which the coefficients are frozen
[[nodiscard]] std::vector<Flux> house_fluxes(const HouseFixed& fixed, const HouseNow& now,
                                             const std::vector<double>& state);

/// Long-wave transmittance of the cover over a cell, wet or dry.
[[nodiscard]] double cover_longwave_transmittance_fraction(const HouseFixed& fixed,
                                                           const std::vector<double>& state,
                                                           std::size_t cell);

/// Heat held [J] above 273.15 K and dry air, and vapour held [kg].
[[nodiscard]] double heat_held_J(const HouseFixed& fixed, const std::vector<double>& state);
[[nodiscard]] double vapour_held_kg(const HouseFixed& fixed, const std::vector<double>& state);

/// Sizes for the norm in which the system is measured.
[[nodiscard]] std::vector<double> state_scale(const HouseFixed& fixed);

}  // namespace mistwright::air
