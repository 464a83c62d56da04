#pragma once
// What follows from the description once and for all: the enclosure, the air cells, the bench map
// and where every leaf is. Nothing here changes during a run.
#include <cstdint>
#include <vector>

#include "models/air/house_balance.h"
#include "models/droplet/footprint.h"
#include "models/droplet/landing.h"
#include "models/flow/air_cells.h"
#include "models/flow/enclosure.h"
#include "models/flow/grid.h"
#include "models/leaf/film.h"
#include "models/medium/medium.h"
#include "sim/house/house.h"

namespace mistwright {

/// All leaves, one array a property. Leaves of one bench-map cell stand together, upper layer
/// first.
struct Leaves {
  std::vector<std::uint32_t> bench_cell;
  std::vector<std::uint8_t> layer;        ///< 0 is the top
  std::vector<std::uint32_t> leaf_class;  ///< air cell * layers + layer
  std::vector<double> area_m2, tilt_rad;
  std::vector<double> radiation_factor;           ///< f, area-weighted mean 1 in a class
  std::vector<double> deposit_per_cell_1_per_m2;  ///< depth on this leaf per cubic metre that its
                                                  ///< cell's layer keeps
  [[nodiscard]] std::size_t count() const { return bench_cell.size(); }
};

/// Leaves of one air cell and layer: they share the air and the sun.
struct LeafClass {
  std::uint32_t air_cell = 0;
  std::uint32_t layer = 0;
  double area_m2 = 0.0;  ///< of all its leaves, one side
};

struct Plan {
  flow::Enclosure enclosure;
  flow::Grid grid;
  flow::AirCells air;
  droplet::BenchGrid benches;
  std::vector<std::uint32_t> air_cell_of_bench_cell;
  Leaves leaves;
  std::vector<LeafClass> classes;
  std::vector<std::uint32_t> first_leaf;   ///< by bench cell, one past the end at the back
  std::vector<double> layer_leaf_area_m2;  ///< [bench cell * layers + layer]
  std::vector<double> layer_sun_fraction;  ///< share of the light above the canopy that a layer
                                           ///< meets, per bench area
  double medium_sun_fraction = 0.0;        ///< share that reaches the medium
  double leaf_area_index = 0.0;
  droplet::Canopy canopy;
  medium::MediumLaw medium;
  air::HouseFixed fixed;
  double air_density_kg_per_m3 = 0.0;  ///< dry air, the run's reference
  /// In which drops fall and jets spread: mild and moist, at the pressure of the house's height.
  /// Left out: that hot air is more viscous, 3 to 5 % slower to fall through at 40 degC than at 20.
  droplet::AirState drop_air = droplet::reference_air;
  std::vector<std::size_t>
      opening_ports;  ///< first of the two ports (lower, upper half) of each opening
  std::vector<std::size_t> fan_ports;  ///< port of each exhaust fan; unused for stirring fans
  double canopy_height_m = 0.0;        ///< of the leaves above the bench surface
};

/// A wall of the description as the air knows it.
[[nodiscard]] flow::Side side_of(Wall wall);

/// Lays out the house.
[[nodiscard]] Plan make_plan(const House& house);

/// Light absorbed by a leaf canopy falls off as exp(-k L); k for leaves of all directions under a
/// diffusing cover. Source: Campbell and Norman 1998, ch. 15 (from memory).
inline constexpr double canopy_extinction_coefficient = 0.65;

}  // namespace mistwright
