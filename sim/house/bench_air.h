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

struct Shared;
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

/// What floor and benches give to the air, whole house.
struct SurfaceGifts {
  double floor_heat_W = 0.0, bench_heat_W = 0.0;
  double floor_vapour_kg_per_s = 0.0, bench_vapour_kg_per_s = 0.0;
};

/// One value a bench cell.
struct BenchAir {
  std::vector<double> temperature_K, deficit_Pa, speed_m_per_s;
};

/// @param flow_scale_ratio  present flows over the regime's nominal ones, at least 0
[[nodiscard]] BenchAir bench_air(const Shared& shared, const Regime& regime,
                                 const SurfaceGifts& gifts, double flow_scale_ratio);

}  // namespace mistwright
