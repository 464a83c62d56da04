#pragma once
// The house as its user meant it: checked, complete, SI. Scenario writes it, assemble() reads it,
// nothing changes it. Axes: x runs along the house from the front wall (x = 0), y across it from
// the right-hand wall as one walks in at the front (y = 0) to the left-hand wall, z up from the
// floor.
#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "models/control/clock.h"
#include "models/control/thermostat.h"
#include "models/flow/regime_field.h"
#include "models/id.h"
#include "models/sky/weather.h"
#include "models/water/head.h"
#include "models/water/network.h"
#include "sim/engine/time.h"

namespace mistwright {

struct Site {
  double latitude_rad = 0.0;   ///< north positive
  double longitude_rad = 0.0;  ///< east positive
  double altitude_m = 0.0;
};

/// A cover of film, glass or panels.
struct Cover {
  double solar_transmittance_fraction = 0.0;  ///< of global radiation, cover clean and dry
  double conductance_W_per_m2_K =
      0.0;  ///< through the cover itself, film to film, without surface layers
  double longwave_transmittance_fraction = 0.0;  ///< single polyethylene lets much through
  double heat_capacity_J_per_m2_K = 0.0;
  double condensate_capacity_kg_per_m2 = 0.0;  ///< film held before it drips
};

struct Shade {
  double transmittance_fraction = 1.0;               ///< 1 - nominal shade of the cloth when drawn
  std::optional<control::Thermostat> drawn_by = {};  ///< absent: always drawn
};

/// Height of the leaves above the surface that the flats stand on, medium included: cuttings stand
/// 3 to 8 cm tall, common practice.
inline constexpr double leaf_height_over_medium_m = 0.05;

struct Structure {
  double length_m = 0.0;
  double width_m = 0.0;
  double eave_height_m = 0.0;  ///< height of the upright side
  double ridge_height_m =
      0.0;  ///< greatest height; between them the roof is half an ellipse across y
  double orientation_rad = 0.0;  ///< compass bearing of +x, clockwise from north
  Cover cover;
  Shade shade;
  double leakage_air_changes_per_h =
      0.0;  ///< at the reference wind and temperature step of models/flow/openings.h
  double floor_absorptance_fraction = 0.0;
  double floor_heat_capacity_J_per_m2_K = 0.0;  ///< of the layer that takes part in a day
  double floor_ground_conductance_W_per_m2_K = 0.0;
  double ground_temperature_K = 0.0;
  double floor_wet_fraction =
      0.0;  ///< share of the floor that evaporates as if wet when water lies on it

  /// Height of the roof [m] above a point of the floor; y in 0..width_m.
  [[nodiscard]] double roof_height_m(double y_m) const;
};

struct Bench {
  std::string name;
  double x_m = 0.0, y_m = 0.0;  ///< its corner nearest the origin
  double length_m = 0.0;        ///< along x
  double width_m = 0.0;         ///< along y
  double height_m = 0.0;        ///< of the surface on which leaves stand
  double skirt_m = 0.0;  ///< height above that surface of the film round all edges; 0 for none
};

struct Medium {
  double depth_m = 0.0;
  double porosity_fraction = 0.0;            ///< total pore space
  double container_capacity_fraction = 0.0;  ///< water held after free drainage in this depth
  double start_water_fraction = 0.0;         ///< water at the run's start
  double needed_air_fraction = 0.0;          ///< below it an hour counts as soggy
  double drainage_time_s = 0.0;              ///< e-folding of the water above container capacity
  double solid_heat_capacity_J_per_m3_K = 0.0;
};

enum class Wettability { Waxy, Ordinary, Wettable };

/// What stands on the benches.
struct Crop {
  std::string species_group;
  double cuttings_per_m2 = 0.0;
  int leaves_min = 0, leaves_max = 0;  ///< leaves of a cutting
  double leaf_area_m2 = 0.0;           ///< one side of one leaf
  double leaf_length_m = 0.0;          ///< in the direction of the wind
  int layers = 1;                      ///< leaf layers above one another
  double leaf_angle_mean_rad = 0.0;    ///< mean tilt from level
  double leaf_angle_spread_rad = 0.0;  ///< standard deviation of the tilt
  Wettability wettability = Wettability::Ordinary;
  double film_capacity_m = 0.0;  ///< most water a leaf holds, per area of one side
  double film_capacity_low_m = 0.0, film_capacity_high_m = 0.0;  ///< its honest range
  /// By how much fewer or more fine drops strike leaves than the model says; 1 but in the runs that
  /// ask how sure the answer is.
  double impaction_doubt_ratio = 1.0;
  double break_depth_m = 0.0;  ///< film depth below which dry patches appear
  double solar_absorptance_fraction = 0.0;
  double dry_conductance_m_per_s = 0.0;  ///< stomata and cuticle of a cutting without roots
  double dry_share_fraction = 0.5;       ///< a leaf counts as dry when more than this share is bare
};

/// A head in its place.
struct PlacedHead {
  std::string name;
  std::uint32_t type = 0;  ///< index into House::head_types
  double x_m = 0.0, y_m = 0.0, z_m = 0.0;
  std::uint32_t node = 0;   ///< index into House::network.nodes
  std::uint32_t valve = 0;  ///< index into House::network.valves: its zone
};

enum class Wall { Front, Back, Right, Left, Roof };

/// A rectangle of a wall or the roof through which air passes.
struct Opening {
  std::string name;
  Wall wall = Wall::Front;
  double along_m = 0.0;   ///< centre along the wall: y for front and back, x for sides and roof
  double height_m = 0.0;  ///< centre above the floor; ignored for the roof
  double width_m = 0.0, tall_m = 0.0;
  double discharge_coefficient = 0.6;
  double open_fraction = 1.0;                         ///< when open
  std::optional<control::Thermostat> opened_by = {};  ///< absent: stands open
  std::optional<std::uint32_t> with_fan = {};         ///< a louvre that opens with fan number ...
};

enum class FanKind { Exhaust, Circulation };

struct Fan {
  std::string name;
  FanKind kind = FanKind::Exhaust;
  Wall wall = Wall::Back;                ///< for exhaust fans
  double along_m = 0.0, height_m = 0.0;  ///< centre on its wall
  double x_m = 0.0, y_m = 0.0;           ///< for circulation fans, with height_m
  double bearing_rad = 0.0;  ///< circulation: direction of the jet in the plan, from +x towards +y
  double diameter_m = 0.0;
  std::vector<std::pair<double, double>>
      curve;  ///< (flow [m3/s], static pressure [Pa]), pressure falling
  std::optional<control::Thermostat> switched_by = {};  ///< absent: runs always
  bool off_while_misting = false;
  double off_after_burst_s = 0.0;
};

struct Clock {
  std::string name;
  control::ClockLimits limits;
  std::vector<control::Programme> programmes;  ///< each for one valve
};

struct Recording {
  double series_interval_s = 300.0;
  double map_interval_s = 1800.0;
};

struct Numerics {
  std::uint64_t seed = 1;
  int threads = 1;
  int size_classes = 16;
  int parcels_per_class = 20000;  ///< most, for each head, class, regime and evaporation node
  /// Noise of the map of a head's whole deposit at which enough parcels were followed.
  double deposit_noise_ratio = 0.02;
  /// Other draws of the drops' flights, all else drawn alike; 0 but in the runs that ask for noise.
  std::uint64_t drops_redrawn = 0;
  double air_step_s = 30.0;  ///< longest sub-step of the air
  int air_cells_x = 8, air_cells_y = 2;
  double flow_cell_m = 0.2;    ///< edge of the airflow grid
  double bench_cell_m = 0.15;  ///< edge of the bench map
  flow::AirflowModel airflow = flow::AirflowModel::Jets;
  bool uniform_flow = false;  ///< a plug flow in place of the computed field: for comparison only
};

/// A default that the user did not set.
struct Assumed {
  std::string key, value, low, high, evidence, meaning;
};

struct Source {
  std::string path, text;  ///< the scenario as read
};

struct House {
  std::string name, note;
  Site site;
  CivilClock civil;
  SimDuration span{};
  Structure structure;
  std::vector<Bench> benches;
  Medium medium;
  Crop crop;
  std::vector<water::HeadType> head_types;
  std::vector<PlacedHead> heads;
  water::Network network;
  std::vector<Clock> clocks;
  std::vector<Fan> fans;
  std::vector<Opening> openings;
  sky::WeatherSeries weather;
  Recording recording;
  Numerics numerics;
  std::vector<Assumed> assumed;
  Source source;

  /// Of all benches together [m2].
  [[nodiscard]] double bench_area_m2() const;
};

}  // namespace mistwright
