#include "models/droplet/cloud_choice.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"
#include "models/droplet/drag.h"
#include "models/units.h"

namespace mistwright::droplet {

namespace {

/// Measured on one core of 2.5 GHz with 256-bit vectors.
constexpr double parcel_step_s = 150e-9, cloud_cell_step_s = 10e-9;

/// How drops go down from a head.
struct WayDown {
  double fall_m, fall_s;
  double memory_m;  ///< how far a gust carries a drop before it is forgotten
  double memory_s;
  double landing_m;  ///< root variance where it lands, by Taylor's law
};

WayDown way_down(const CloudAir& air, const CloudDrops& drops, const Point& head) {
  const BenchGrid& benches = air.the_case.benches;
  const auto bench = benches.cell_at(head.x_m, head.y_m);
  const double under_m = bench ? benches.blocks[benches.cells[*bench].bench].rect.height_m : 0.0;
  const std::size_t cell = air.cell_at(head);
  const double v = sphere_terminal_velocity_m_per_s(drops.diameter_m, drag_air(air.the_case.state));
  const double sigma = air.sigma_m_per_s[cell];
  const double T = crossing_time_s(air.timescale_s[cell], v, sigma);
  const double fall_m = std::max(head.z_m - under_m, air.cell_m);
  const double age = fall_m / v / T;
  const double variance = 2.0 * sigma * sigma * T * T * (age - 1.0 + std::exp(-age));
  return {fall_m, fall_m / v, sigma * T, T, std::sqrt(variance)};
}

}  // namespace

double cloud_error_fraction(const CloudAir& air, const CloudDrops& drops, const Point& head) {
  const WayDown way = way_down(air, drops, head);
  const double memory = way.memory_m / way.fall_m;
  const double start_m = std::sqrt(puff_at(air, head).variance_m2);
  const double edge_m = std::max(air.the_case.benches.edge_m, 1e-3);
  const double wide = std::max(0.0, start_m - way.landing_m) / edge_m;
  return 0.02 + 0.5 * memory * memory + 1.25 * wide;
}

Choice choose_method(const CloudAir& air, const CloudDrops& drops, const Point& head,
                     const Wish& wish) {
  EXPECT(wish.noise_ratio > 0.0);
  const WayDown way = way_down(air, drops, head);
  Choice choice;
  choice.error_fraction = cloud_error_fraction(air, drops, head);
  // A deposit on n cells alike takes n parcels over the noise's square; two root variances about
  // the head's foot hold most of it.
  const double edge_m = std::max(air.the_case.benches.edge_m, 1e-3);
  const double most = static_cast<double>(std::max<std::size_t>(air.bench_cells, 1));
  const double across = 4.0 * way.landing_m / edge_m + 1.0;
  const double parcels = std::min(across * across, most) / (wish.noise_ratio * wish.noise_ratio);
  const double steps = way.fall_s / std::max(0.4 * way.memory_s, 0.016) + 10.0;
  choice.parcels_s = parcels * steps * parcel_step_s;
  double rate = 0.0, cells = 0.0;
  for (std::size_t c = air.first; c < air.last; ++c) {
    if (air.air[c] == 0) continue;
    cells += 1.0;
    for (std::size_t a = 0; a < 3; ++a)
      rate = std::max(rate, std::abs(air.speed_m_per_s[a][c]) / air.cell_m);
  }
  rate = std::max({rate, 1.0 / way.fall_s,
                   2.5 * way.memory_m * way.memory_m / way.memory_s / (air.cell_m * air.cell_m)});
  constexpr double falls = 5.0;  // until hardly anything floats
  choice.cloud_s = cells * (50.0 + falls * way.fall_s * rate) * cloud_cell_step_s;
  if (choice.error_fraction <= wish.error_fraction && choice.cloud_s < choice.parcels_s)
    choice.method = Method::Cloud;
  return choice;
}

}  // namespace mistwright::droplet
