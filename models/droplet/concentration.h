#pragma once
// Where does the water of one size class end, without chance: how does its cloud move, spread,
// settle and dry through the regime's air?
// All drops of a class that start together have the same age, so the cloud is followed through age:
// dC/dt + div((u - v_t) C) = div(D grad C) - losses, with the fall speed, the diameter and the
// short-time diffusivity D = sigma^2 T (1 - exp(-t/T)) of that age (Taylor 1921; T shortened after
// Csanady 1963 as in walk.h). Means over each stretch of ages are exact, so that a cloud in even
// air has Taylor's variance at every age. Faces: third-order upwind with Lax and Wendroff's step
// (QUICKEST, Leonard 1979) without a limiter, one axis after the other: linear, so that the
// transposed steps in turn give the adjoint to round-off, and with the exact mean and variance in
// even air. A cloud must start some cells wide; its diffusion is put off until Taylor's variance
// has caught up with that. Level surfaces take the fall speed times the concentration above them,
// walls and cover what drops of that inertia leave there, openings all that reaches them. Drops
// that a head throws fly as parcels until their throw and their head's jet are over. Left out:
// memory of the speed at surfaces and between places (diffusion answers to the slope of the
// concentration at once), a drop's own inertia after its throw, undershoots (a per mille of a
// cloud's peak where it is narrow).
#include <vector>

#include "models/droplet/cloud_air.h"

namespace mistwright::droplet {

/// One size class in some air.
struct CloudDrops {
  double diameter_m = 0.0;                     ///< 1 um to 2 mm
  double evaporation_constant_m2_per_s = 0.0;  ///< K in still air, at least 0
};

/// Ages over which coefficients are held.
struct Stretch {
  double from_s = 0.0, to_s = 0.0;
  double fall_m_per_s = 0.0;   ///< mean
  double relaxation_s = 0.0;   ///< of a drop's speed
  double kept_fraction = 1.0;  ///< of the water, at the end over the start
};

/// The ages of a class until it is gone.
/// @param height_m  of the house
[[nodiscard]] std::vector<Stretch> stretches(const CloudDrops& drops, const AirState& state,
                                             double height_m);

/// Water about a point: cells and shares that sum to 1.
struct Puff {
  struct Part {
    std::size_t cell = 0;
    double share_fraction = 0.0;
  };
  std::vector<Part> parts;
  double variance_m2 = 0.0;  ///< of each coordinate, that of a point with its wait taken in
};

/// A point's water as a Gaussian wide enough for the cells.
[[nodiscard]] Puff puff_at(const CloudAir& air, const Point& point);

/// A cloud on its way.
class Cloud {
 public:
  /// @param waits_m2  variance that the cloud has already when it starts
  Cloud(const CloudAir& air, const CloudDrops& drops, double waits_m2);

  void add(const Puff& puff, double mass_fraction);
  [[nodiscard]] const std::vector<Stretch>& ages() const { return ages_; }
  /// Lives through one stretch of ages().
  void live(const Stretch& ages);
  /// Share of the water still in the air.
  [[nodiscard]] double airborne_fraction() const;
  /// Share of the water in each cell over its volume [1/m3].
  [[nodiscard]] const std::vector<double>& concentration_1_per_m3() const { return value_; }
  [[nodiscard]] const Outcome& outcome() const { return outcome_; }
  /// What still floats comes to its end as parcels' does (footprint.h).
  void give_up();

  /// The transposed steps: what each cell's concentration at the start of a stretch brings to the
  /// wished bench cells, from what it brings at its end.
  /// @param weight_number  for each bench cell
  void live_back(const Stretch& ages, const std::vector<double>& weight_number);
  void give_up_back(const std::vector<double>& weight_number);

 private:
  int prepare(const Stretch& ages);
  void settle(double dt_s, const Stretch& ages);
  void land();
  void fade();
  void couple(std::size_t axis, double dt_s, const Stretch& ages);
  [[nodiscard]] double diffusivity_m2_per_s(std::size_t cell, const Stretch& ages) const;
  void forward(std::size_t axis);
  void backward(std::size_t axis);
  void book(const Stretch& ages);
  [[nodiscard]] std::vector<double> taken_per_s(const Stretch& ages) const;
  [[nodiscard]] double takes_per_s(const CloudAir::Touch& touch, const Stretch& ages) const;

  const CloudAir& air_;
  CloudDrops drops_;
  double waits_m2_;
  std::vector<Stretch> ages_;
  std::vector<double> value_, flux_, lost_, kept_, diffusivity_, inverse_;
  std::vector<double> landed_;  ///< on each touch that is level; back, what that is worth
  std::array<std::array<std::vector<double>, 4>, 3> face_;  ///< what a face takes of four cells
  Outcome outcome_;
};

/// As footprint(), without chance for drops let go; for a throw, `parcels` of the case are flown
/// until it is over, and noise_ratio is theirs.
/// @param air  of the case's regime, benches and house
[[nodiscard]] Outcome cloud_footprint(const CloudAir& air, const Launch& launch,
                                      const CloudDrops& drops, std::uint64_t stream);

/// The share of the water let go at rest in each cell that lands on chosen bench cells.
/// @param weight_number  for each bench cell, 1 where it is wanted
/// @return for each cell of the cloud's air, by its index
[[nodiscard]] std::vector<double> landing_shares(const CloudAir& air, const CloudDrops& drops,
                                                 const std::vector<double>& weight_number);

/// Every head position at one height, for an influence map.
struct InfluenceMap {
  std::vector<double> x_m, y_m;
  std::vector<double> share_fraction;  ///< row by row along x; 0 where there is no air
};
[[nodiscard]] InfluenceMap influence_map(const CloudAir& air, const CloudDrops& drops,
                                         const std::vector<double>& weight_number, double height_m);
/// The same from shares by cell that are known: landing_shares(), or a mean of several.
[[nodiscard]] InfluenceMap influence_map(const CloudAir& air,
                                         const std::vector<double>& shares_fraction,
                                         double height_m);

}  // namespace mistwright::droplet
