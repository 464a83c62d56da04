#include "models/medium/medium.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "models/contracts.h"

namespace mistwright::medium {
namespace {

constexpr double never_s = std::numeric_limits<double>::infinity();

/// One stretch of time under one law: above capacity, at the brim, below capacity or empty.
struct Stretch {
  double water_m = 0.0;
  double time_s = 0.0;
  double drained_m = 0.0;
  double lost_m = 0.0;
};

/// Time until the water reaches `level_m` by the law that rules at `water_m`: straight below
/// capacity; above it the excess y follows y' = -(y - steady)/tau, with steady = -loss tau.
double time_to_s(double water_m, double level_m, double loss_m_per_s, const MediumLaw& law,
                 bool draining) {
  if (draining) {
    const double steady_m = law.capacity_m() - loss_m_per_s * law.drainage_time_s;
    const double change = (level_m - water_m) / (water_m - steady_m);
    return change > -1.0 && change < 0.0 ? -law.drainage_time_s * std::log1p(change) : never_s;
  }
  const double time_s = (water_m - level_m) / loss_m_per_s;
  return time_s > 0.0 ? time_s : never_s;
}

Stretch drain(double water_m, double dt_s, double loss_m_per_s, const MediumLaw& law) {
  const double tau_s = law.drainage_time_s;
  const double steady_m = -loss_m_per_s * tau_s;
  const double excess_m = water_m - law.capacity_m();
  const double gone_fraction = -std::expm1(-dt_s / tau_s);
  const double fall_m = (excess_m - steady_m) * gone_fraction;
  return {.water_m = water_m - fall_m,
          .time_s = dt_s,
          .drained_m = fall_m + steady_m * (dt_s / tau_s),
          .lost_m = loss_m_per_s * dt_s};
}

/// Moves to the end of the span or to the next change of law, whichever comes first.
Stretch next_stretch(double water_m, double dt_s, double loss_m_per_s, const MediumLaw& law) {
  const double capacity_m = law.capacity_m();
  const double pores_m = law.pores_m();
  const double brim_loss_m_per_s = -(pores_m - capacity_m) / law.drainage_time_s;
  if (water_m >= pores_m && loss_m_per_s <= brim_loss_m_per_s)  // more seeps in than drains away
    return {pores_m, dt_s, -loss_m_per_s * dt_s, loss_m_per_s * dt_s};
  const bool draining = water_m > capacity_m || (water_m == capacity_m && loss_m_per_s < 0.0);
  if (draining) {
    const double stop_m = loss_m_per_s > 0.0 ? capacity_m : pores_m;
    const double stop_s =
        loss_m_per_s == 0.0 ? never_s : time_to_s(water_m, stop_m, loss_m_per_s, law, true);
    Stretch step = drain(water_m, std::min(dt_s, stop_s), loss_m_per_s, law);
    if (stop_s <= dt_s) step.water_m = stop_m;
    return step;
  }
  if (loss_m_per_s == 0.0 || (water_m <= 0.0 && loss_m_per_s > 0.0))
    return {water_m, dt_s, 0.0, 0.0};
  const double stop_m = loss_m_per_s > 0.0 ? 0.0 : capacity_m;
  const double stop_s = time_to_s(water_m, stop_m, loss_m_per_s, law, false);
  const double time_s = std::min(dt_s, stop_s);
  const double fall_m = stop_s <= dt_s ? water_m - stop_m : loss_m_per_s * time_s;
  return {stop_s <= dt_s ? stop_m : std::max(water_m - fall_m, 0.0), time_s, 0.0, fall_m};
}

/// Share of a stretch spent above a level: the water moves one way only within it.
double time_above_s(double before_m, const Stretch& stretch, double level_m, double loss_m_per_s,
                    const MediumLaw& law) {
  const bool starts = before_m > level_m;
  const bool ends = stretch.water_m > level_m;
  if (starts == ends) return starts ? stretch.time_s : 0.0;
  const bool draining = std::max(before_m, stretch.water_m) > law.capacity_m();
  const double crossing_s =
      before_m == level_m
          ? 0.0
          : std::min(time_to_s(before_m, level_m, loss_m_per_s, law, draining), stretch.time_s);
  return starts ? crossing_s : stretch.time_s - crossing_s;
}

}  // namespace

MediumStep medium_after(double water_m, double dt_s, double loss_m_per_s, const MediumLaw& law) {
  EXPECT(law.depth_m > 0.0 && law.drainage_time_s > 0.0);
  EXPECT(law.porosity_fraction > law.container_capacity_fraction);
  EXPECT(water_m >= 0.0 && water_m <= law.pores_m() * (1.0 + 1e-12) && dt_s >= 0.0);
  MediumStep step{.water_m = water_m};
  double left_s = dt_s;
  while (left_s > 0.0) {  // at most three laws follow one another
    const double before_m = step.water_m;
    const Stretch stretch = next_stretch(before_m, left_s, loss_m_per_s, law);
    step.water_m = stretch.water_m;
    step.drained_m += stretch.drained_m;
    step.lost_m += stretch.lost_m;
    step.soggy_s += time_above_s(before_m, stretch, law.soggy_above_m(), loss_m_per_s, law);
    left_s -= stretch.time_s;
  }
  return step;
}

MediumGain medium_gain(double water_m, double added_m, const MediumLaw& law) {
  EXPECT(added_m >= 0.0);
  const double sum_m = water_m + added_m;
  const double pores_m = law.pores_m();
  return sum_m <= pores_m ? MediumGain{sum_m, 0.0} : MediumGain{pores_m, sum_m - pores_m};
}

}  // namespace mistwright::medium
