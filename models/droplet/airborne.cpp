#include "models/droplet/airborne.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "models/contracts.h"

namespace mistwright::droplet {

namespace {

std::size_t slot(double at_m, double step_m, std::size_t count) {
  return static_cast<std::size_t>(std::clamp(at_m / step_m, 0.0, static_cast<double>(count) - 1.0));
}

/// Share of a head's water that has come to an age before the window ends.
double share_of_age(const Shower& shower, double age_s) {
  return std::clamp((shower.window_s - age_s) / shower.spray_s, 0.0, 1.0);
}

}  // namespace

Airborne::Airborne(const flow::Grid& grid)
    : nx_(grid.nx), nz_(grid.nz), dx_m_(grid.dx_m), dz_m_(grid.dz_m) {
  air_m3_.assign(nx_ * nz_, 0.0);
  stay_kg_s_.assign(nx_ * nz_, 0.0);
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    if (grid.fluid[c] == 0) continue;
    const auto [i, j, k] = grid.place(c);
    air_m3_[k * nx_ + i] += grid.cell_volume_m3();
  }
}

void Airborne::add(const Track& track, double water_kg, const Shower& shower) {
  EXPECT(shower.spray_s > 0.0 && shower.window_s > 0.0);
  const double first_m = track.points.front().diameter_m;
  for (std::size_t n = 1; n < track.points.size(); ++n) {
    const TrackPoint &from = track.points[n - 1], &to = track.points[n];
    if (from.age_s >= shower.window_s) return;
    // Pieces of half a cell, so that a long step does not jump over cells.
    const double across = std::max(std::fabs(to.at.x_m - from.at.x_m) / dx_m_,
                                   std::fabs(to.at.z_m - from.at.z_m) / dz_m_);
    const auto count = static_cast<std::size_t>(std::ceil(2.0 * across + 1e-9));
    const auto pieces = static_cast<double>(count);
    for (std::size_t piece = 0; piece < count; ++piece) {
      const double share = (static_cast<double>(piece) + 0.5) / pieces;
      const Point at = between(from.at, to.at, share);
      const double age_s = from.age_s + share * (to.age_s - from.age_s);
      const double ratio = (from.diameter_m + share * (to.diameter_m - from.diameter_m)) / first_m;
      const double stay_s = (to.age_s - from.age_s) / pieces * share_of_age(shower, age_s);
      const std::size_t i = slot(at.x_m, dx_m_, nx_);
      std::size_t k = slot(at.z_m, dz_m_, nz_);
      while (k > 0 && air_m3_[k * nx_ + i] <= 0.0) --k;  // under a roof in steps
      stay_kg_s_[k * nx_ + i] += water_kg * ratio * ratio * ratio * stay_s;
    }
  }
}

void Airborne::add(const Airborne& other) {
  EXPECT(other.stay_kg_s_.size() == stay_kg_s_.size());
  for (std::size_t c = 0; c < stay_kg_s_.size(); ++c) stay_kg_s_[c] += other.stay_kg_s_[c];
}

std::vector<double> Airborne::concentration_kg_per_m3(double window_s) const {
  EXPECT(window_s > 0.0);
  std::vector<double> concentration(stay_kg_s_.size(), std::numeric_limits<double>::quiet_NaN());
  for (std::size_t c = 0; c < concentration.size(); ++c)
    if (air_m3_[c] > 0.0) concentration[c] = stay_kg_s_[c] / (window_s * air_m3_[c]);
  return concentration;
}

}  // namespace mistwright::droplet
