#pragma once
// Where does a head's water of one size end in one regime of the air: on which bench cell, on the
// floor, on the walls, on the cover, evaporated where, or out through an opening? Parcels of equal
// mass start in evenly spread directions, in batches, until the map's noise is as low as asked, and
// are flown side by side (lanes.h): drag with an exact exponential
// towards the air's speed, gravity, evaporation by the d^2 law with ventilation, the regime's mean
// air plus the head's induced air, and a well-mixed Langevin walk for turbulence (walk.h). What
// touches a surface is shared between deposit and reflection by settling and impaction (contact.h).
// Left out: drops that meet, the spray's own vapour (the caller raises the vapour pressure and asks
// again), cooling of the air by the spray.
#include <array>
#include <cstdint>
#include <vector>

#include "models/droplet/bench_grid.h"
#include "models/droplet/drag.h"
#include "models/droplet/entrainment.h"
#include "models/flow/air_cells.h"
#include "models/flow/enclosure.h"
#include "models/flow/regime_field.h"

namespace mistwright::droplet {

enum class Fate { Bench, Floor, Wall, Cover, Evaporated, Out };
inline constexpr std::array<Fate, 6> fates = {Fate::Bench, Fate::Floor,      Fate::Wall,
                                              Fate::Cover, Fate::Evaporated, Fate::Out};

/// Shares of a class's water mass; they sum to 1 within 1e-12.
struct Outcome {
  std::vector<double> bench;  ///< fraction, for each bench cell
  double floor_fraction = 0.0, wall_fraction = 0.0, cover_fraction = 0.0;
  double evaporated_fraction = 0.0, out_fraction = 0.0;
  std::vector<double> evaporated_by_air_cell;  ///< fractions that sum to evaporated_fraction
  /// Estimated rms relative noise over the bench cells that hold 95 % of the deposit on benches,
  /// from batches that know nothing of each other. Zero without a deposit, 1 from a single parcel.
  double noise_ratio = 0.0;
  std::uint64_t parcels = 0;  ///< followed
  std::uint64_t steps = 0;    ///< taken by all parcels

  [[nodiscard]] double bench_fraction() const;
  /// Noise as in noise_ratio where the variance of what landed on each bench cell is known.
  [[nodiscard]] double deposit_noise_ratio(const std::vector<double>& variance) const;
  /// The share of one end, all but the benches', which are told cell by cell.
  [[nodiscard]] double& fate_fraction(Fate fate);
  [[nodiscard]] double total_fraction() const;
};

struct FootprintCase {
  const flow::RegimeField& field;
  const flow::Enclosure& house;
  const BenchGrid& benches;
  const flow::AirCells& air;
  int parcels = 1500;  ///< most, 1 to 1e7
  std::uint64_t seed = 0;
  AirState state = reference_air;  ///< for drag and ventilation alone; K is given apart
  /// Noise at which it is enough, for a deposit of all the water: of less, it may be larger by one
  /// over the root of the share. 0: all parcels are followed.
  double enough_noise_ratio = 0.0;
  /// Whether parcels carry part of the turbulence as patches (patch.h). In a house with skirts they
  /// never do.
  bool patches = true;
  /// Parcels flown side by side: 1 or 16. Their paths do not depend on it, only the order in which
  /// what lands is added up.
  int side_by_side = 16;
};

/// Drops still in the air after this long: water of a drying class counts as evaporated where it
/// floats; in air too wet to dry it, as settled straight down from there.
inline constexpr double longest_flight_s = 900.0;
/// A drying drop smaller than this has evaporated.
inline constexpr double smallest_drop_m = 3e-6;

/// @param diameter_m  1 um to 2 mm
/// @param evaporation_constant_m2_per_s  K in still air, at least 0
/// @param stream  names the draws: the same seed and stream give the same bits, in whatever order
/// or thread
[[nodiscard]] Outcome footprint(const FootprintCase& a_case, const Launch& launch,
                                double diameter_m, double evaporation_constant_m2_per_s,
                                std::uint64_t stream);

}  // namespace mistwright::droplet
