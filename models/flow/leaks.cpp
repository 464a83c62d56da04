#include "models/flow/leaks.h"

#include <cmath>

#include "models/flow/boundary.h"

namespace mistwright::flow {
namespace {

/// Where the cover is cut in two halves of equal area: air leaks in below and out above it.
double neutral_height_m(const Grid& grid, const std::vector<double>& cover_m2) {
  std::vector<double> level_m2(grid.nz, 0.0);
  double total_m2 = 0.0;
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    level_m2[grid.place(c)[2]] += cover_m2[c];
    total_m2 += cover_m2[c];
  }
  double below_m2 = 0.0;
  for (std::size_t k = 0; k < grid.nz; ++k) {
    if (below_m2 + level_m2[k] > total_m2 / 2.0)
      return (static_cast<double>(k) + (total_m2 / 2.0 - below_m2) / level_m2[k]) * grid.dz_m;
    below_m2 += level_m2[k];
  }
  return static_cast<double>(grid.nz) * grid.dz_m;
}

}  // namespace

Leaks balancing_leaks(const std::vector<PortFlow>& ports, double through_m3_per_s) {
  Leaks leaks{through_m3_per_s, 0.0};
  for (const PortFlow& flow : ports) leaks.balance_m3_per_s -= flow.inflow_m3_per_s;
  return leaks;
}

double total_inflow_m3_per_s(const std::vector<PortFlow>& ports, const Leaks& leaks) {
  double inflow = leaks.through_m3_per_s;
  for (const PortFlow& flow : ports) inflow += std::fmax(0.0, flow.inflow_m3_per_s);
  return inflow + std::fmax(0.0, leaks.balance_m3_per_s);
}

std::vector<double> leak_sources_m3_per_s(const Grid& grid, const std::vector<double>& cover_m2,
                                          const Leaks& leaks) {
  const double neutral_m = neutral_height_m(grid, cover_m2);
  std::vector<double> low_m2(grid.cells(), 0.0);
  double low_total_m2 = 0.0, total_m2 = 0.0;
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    const double floor_m = static_cast<double>(grid.place(c)[2]) * grid.dz_m;
    low_m2[c] = round_area_m2(cover_m2[c] *
                              std::fmin(1.0, std::fmax(0.0, (neutral_m - floor_m) / grid.dz_m)));
    low_total_m2 += low_m2[c];
    total_m2 += cover_m2[c];
  }
  std::vector<double> source(grid.cells(), 0.0);
  for (std::size_t c = 0; c < grid.cells(); ++c)
    source[c] = leaks.through_m3_per_s * (low_m2[c] / low_total_m2 -
                                          (cover_m2[c] - low_m2[c]) / (total_m2 - low_total_m2)) +
                leaks.balance_m3_per_s * cover_m2[c] / total_m2;
  return source;
}

}  // namespace mistwright::flow
