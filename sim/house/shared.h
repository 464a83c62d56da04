#pragma once
// What the parts of one house tell one another. Each field has one writer, named beside it;
// everyone else reads. All of it that changes is saved by its writer.
#include <cstdint>
#include <vector>

#include "models/air/linear.h"
#include "models/sky/weather.h"
#include "sim/engine/ledger.h"
#include "sim/house/airflow.h"
#include "sim/house/house.h"
#include "sim/house/plan.h"

namespace mistwright {

/// Part numbers, in the order in which they advance.
enum PartIndex : std::uint32_t {
  climate_part,
  crop_part,
  water_part,
  devices_part,
  ledger_part,
  observer_part,
  first_clock_part
};

/// Running integrals of what a reference leaf of each class would lose by sun (alpha) and by
/// dryness (beta, one row for each regime met), and what the air was given from that class.
struct ClassIntegrals {
  std::vector<double> alpha_m;              ///< by class
  std::vector<std::vector<double>> beta_m;  ///< [regime slot][class]
  std::vector<double> evaporation_kg;       ///< by class, as the air received it
};

/// Leaves that stand for all of them between touches.
struct Representatives {
  std::vector<std::uint32_t> leaf_class;
  std::vector<double> area_m2, radiation_factor;
  std::vector<std::vector<double>> conductance_factor;  ///< [regime slot][representative]
  std::vector<double> depth_m;
};

/// Water and heat that reach the air at an instant; the climate part takes them up in its next
/// stretch.
struct Impulse {
  std::vector<double> vapour_kg;      ///< evaporated in flight, latent heat taken from the air
  std::vector<double> correction_kg;  ///< leaves less representatives
  std::vector<double> air_heat_J, medium_heat_J;
  std::vector<double> cover_water_kg, floor_water_kg;
};

/// Where it all went.
struct Landed {
  std::vector<double>
      layer_kg;  ///< [bench cell * layers + layer]: kept by leaves, before their capacity
  std::vector<double> medium_kg;      ///< by bench cell: through, bounced and rolled off
  std::vector<double> evaporated_kg;  ///< by air cell, in flight
  double floor_kg = 0.0, wall_kg = 0.0, cover_kg = 0.0, out_kg = 0.0;
  std::vector<std::vector<double>>
      fate_by_class_kg;                   ///< [fate][class]; fates in the order of WaterFate
  std::vector<double> leaves_by_size_kg;  ///< [size group * bench cells + cell]: kept by leaves
  double drying_kg_m2_per_s = 0.0;        ///< water times the K that it met in flight
  double noise_ratio = 0.0;               ///< of the map of what came down on the benches, rms
  double last_correction_fraction =
      0.0;  ///< change of the evaporated share in the last fixed-point pass
};

/// Coarse groups of droplets in which what leaves get is kept place by place: below the first edge,
/// between two, above the last. Our choice; a class belongs where its middle lies.
inline constexpr double size_group_edges_m[] = {50e-6, 100e-6, 200e-6};
inline constexpr std::size_t size_groups = 4;
[[nodiscard]] std::size_t size_group_of(double diameter_m);

enum class WaterFate : std::uint32_t { Leaves, Medium, Floor, Walls, Cover, Air, Out, Count };
inline constexpr std::size_t water_fates = static_cast<std::size_t>(WaterFate::Count);

/// Water above the leaves that they have not taken yet. Several valves may shut at one instant,
/// before the leaves act.
struct Deposit {
  std::vector<double> layer_kg;   ///< [bench cell * layers + layer]; empty when there is none
  std::vector<double> medium_kg;  ///< by bench cell

  void add(const Landed& landed);
};

struct Shared {
  const House& house;
  const Plan& plan;
  Airflow& airflow;
  int threads = 1;
  leaf::FilmLaw film = {house.crop.break_depth_m, house.crop.film_capacity_m};

  // devices_part
  DeviceState devices = {};
  bool shade_drawn = true;

  // water_part
  std::uint32_t valves_spraying = 0;
  SimTime last_spray_end{};

  // climate_part
  std::vector<double> air = {};  ///< state at now, see air::state_index
  air::Stretch stretch = {};
  SimTime stretch_start{};
  std::uint64_t stretch_number = 0;       ///< raised whenever coefficients are frozen anew
  std::vector<std::uint64_t> slots = {};  ///< regime key of each slot, in order of first use
  std::uint32_t slot = 0;
  ClassIntegrals integrals = {};                   ///< at now
  std::vector<std::int8_t> class_sign = {};        ///< +1 the air asks for water, -1 dew
  std::vector<double> medium_evaporation_kg = {};  ///< by air cell, at now, cumulative
  std::vector<double> drip_on_benches_kg = {};     ///< by air cell, cumulative: from the cover
  sky::Weather weather = {};
  double light_at_leaves_W_per_m2 = 0.0;
  double air_changes_per_h = 0.0;
  double outside_humidity_ratio = 0.0;

  // crop_part
  Representatives representatives = {};

  // water_part and crop_part add, climate_part empties
  Impulse impulse = {};
  bool impulse_waiting = false;
  bool coefficients_stale = true;  ///< set by whoever changed what the climate froze
  Deposit deposit = {};            ///< water_part adds what bursts landed; crop_part takes it

  [[nodiscard]] double mean_air_temperature_K() const;
};

/// Means over the air, weighted by mass.
[[nodiscard]] double mean_state(const Shared& shared, air::CellState which);

/// An affine function that gives the mean air temperature in degrees above 273.15 K.
[[nodiscard]] air::Affine mean_air_temperature(const Plan& plan);

}  // namespace mistwright
