#pragma once
// How warm, dry and swift is the air over each cell of the benches?
// The air cells know means of large columns. Within them the regime's field tells how much warmer
// each place is for each watt that floor and benches give (flow::RegimeField): at a place
//   T = offset + q_floor R_floor + q_bench R_bench,
// where an air cell's offset makes its own mean come out right. Offsets are close to the outside
// air's temperature everywhere, so that drawing them straight between the air cells' centres leaves
// no step at their borders. Vapour from the benches spreads as their heat does. Without responses
// (the model of jets) the air cells' means are drawn straight alone.
// Left out: vapour of drops in flight within an air cell; the turning of the field with the wind.
#include <vector>

#include "models/flow/air_cells.h"
#include "models/flow/regime_field.h"
#include "sim/house/plan.h"

namespace mistwright {

struct Regime;

/// Responses of a regime where they are asked for; empty when the field has none.
struct BenchResponse {
  std::vector<double> floor_K_m2_per_W, bench_K_m2_per_W;            ///< by bench cell
  std::vector<double> floor_mean_K_m2_per_W, bench_mean_K_m2_per_W;  ///< by air cell
};

/// Height above the floor at which the air over a bench cell is taken.
[[nodiscard]] double bench_air_height_m(const House& house, const Plan& plan, std::size_t bench);

[[nodiscard]] BenchResponse bench_response(const House& house, const Plan& plan,
                                           const flow::RegimeField& field);

/// Speed of the air over each bench cell at the leaves, mean and turbulent together.
[[nodiscard]] std::vector<double> bench_air_speeds_m_per_s(const House& house, const Plan& plan,
                                                           const flow::RegimeField& field);

/// What floor and benches give to the air, whole house.
struct SurfaceGifts {
  double floor_heat_W = 0.0, bench_heat_W = 0.0;
  double floor_vapour_kg_per_s = 0.0, bench_vapour_kg_per_s = 0.0;
};

/// One moment of a regime, or the mean of many, from which its air can be told anywhere.
struct RegimeMoment {
  double speed_ratio = 1.0;
  SurfaceGifts gifts;
  std::vector<double> air;  ///< see air::state_index
  double outside_temperature_K = 0.0, outside_humidity_ratio = 0.0;
};

/// The mean of a regime's moments, weighed by their light (a little for the night's too), so that
/// it is not the chance of what a burst has just cooled.
class RegimeMean {
 public:
  void add(const RegimeMoment& moment, double weight_J_per_m2);
  /// @return no air when nothing was added
  [[nodiscard]] RegimeMoment mean() const;
  template <class Visitor>
  void state(Visitor& visitor) {
    visitor.value(weight_J_per_m2_);
    visitor.value(sum_.speed_ratio);
    visitor.value(sum_.gifts);
    visitor.values(sum_.air);
    visitor.value(sum_.outside_temperature_K);
    visitor.value(sum_.outside_humidity_ratio);
  }

 private:
  RegimeMoment sum_{.speed_ratio = 0.0, .gifts = {}, .air = {}};
  double weight_J_per_m2_ = 0.0;
};

/// One value a cell of the flow's grid; empty when the field does not tell.
struct GridAir {
  std::vector<double> temperature_K, humidity_ratio;
};
[[nodiscard]] GridAir grid_air(const Plan& plan, const Regime& regime, const RegimeMoment& moment);

/// One value a bench cell.
struct BenchAir {
  std::vector<double> temperature_K, deficit_Pa, speed_m_per_s;
};

[[nodiscard]] BenchAir bench_air(const Plan& plan, const Regime& regime, const RegimeMoment& now);

}  // namespace mistwright
