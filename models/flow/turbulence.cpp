#include "models/flow/turbulence.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "models/contracts.h"

namespace mistwright::flow {
namespace {

/// Cmu^(3/4) with Cmu = 0.09 (Launder and Spalding 1974).
const double dissipation_coefficient = std::pow(0.09, 0.75);
/// Mixing length over channel height or pipe diameter (Launder and Spalding 1972; common practice).
constexpr double mixing_length_ratio = 0.07;
/// Root mean square of the three components on the axis of a round jet over its speed: 0.28 along
/// and 0.22 across (Hussein, Capp and George 1994), derived.
constexpr double jet_intensity_ratio = 0.24;
/// C0 of the simplified Langevin model (Pope 2000, ch. 12).
constexpr double langevin_coefficient = 2.1;

/// Distance to the nearest surface, counted along the axes: exact beside a flat wall.
std::vector<double> surface_distance_m(const Grid& grid) {
  constexpr double far_m = std::numeric_limits<double>::max() / 4.0;
  std::vector<double> distance(grid.cells(), 0.0);
  const std::size_t n[3] = {grid.nx, grid.ny, grid.nz};
  const double step_m[3] = {grid.dx_m, grid.dy_m, grid.dz_m};
  const std::size_t stride[3] = {1, grid.nx, grid.nx * grid.ny};
  for (std::size_t c = 0; c < grid.cells(); ++c) distance[c] = grid.fluid[c] != 0 ? far_m : 0.0;
  const auto relax = [&](std::size_t c, bool upward) {
    if (grid.fluid[c] == 0) return;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const std::size_t at = c / stride[axis] % n[axis];
      const bool edge = upward ? at == 0 : at + 1 == n[axis];
      const std::size_t beside = upward ? c - stride[axis] : c + stride[axis];
      const bool solid = edge || grid.fluid[beside] == 0;
      const double through_m = solid ? step_m[axis] / 2.0 : distance[beside] + step_m[axis];
      distance[c] = std::min(distance[c], through_m);
    }
  };
  for (std::size_t c = 0; c < grid.cells(); ++c) relax(c, true);
  for (std::size_t c = grid.cells(); c-- > 0;) relax(c, false);
  return distance;
}

}  // namespace

double room_mixing_length_m(double height_m) {
  return mixing_length_ratio * height_m;
}

double room_turbulence_m_per_s(const JetPower& given) {
  EXPECT(given.volume_m3 > 0.0 && given.height_m > 0.0);
  const double eps_m2_per_s3 = given.power_m5_per_s3 / given.volume_m3;
  const double k_m2_per_s2 = std::pow(
      eps_m2_per_s3 * room_mixing_length_m(given.height_m) / dissipation_coefficient, 2.0 / 3.0);
  return std::sqrt(2.0 / 3.0 * k_m2_per_s2);
}

double lagrangian_timescale_s(double mixing_length_m, double sigma_m_per_s) {
  EXPECT(sigma_m_per_s > 0.0);
  const double k_m2_per_s2 = 1.5 * sigma_m_per_s * sigma_m_per_s;
  const double eps_m2_per_s3 =
      dissipation_coefficient * k_m2_per_s2 * std::sqrt(k_m2_per_s2) / mixing_length_m;
  return k_m2_per_s2 / ((0.5 + 0.75 * langevin_coefficient) * eps_m2_per_s3);
}

Turbulence turbulence(const Enclosure& enclosure, const Grid& grid,
                      const std::vector<PlacedJet>& jets, double background_m_per_s,
                      bool local_jets) {
  EXPECT(background_m_per_s > 0.0);
  JetPower given{0.0, 0.0, enclosure.ridge_height_m};
  for (const std::uint8_t fluid : grid.fluid) given.volume_m3 += fluid * grid.cell_volume_m3();
  for (const PlacedJet& jet : jets)
    given.power_m5_per_s3 +=
        jet.flow_m3_per_s * jet.mouth.speed_m_per_s * jet.mouth.speed_m_per_s / 2.0;
  const double room_m_per_s = room_turbulence_m_per_s(given);
  const std::vector<double> distance_m = surface_distance_m(grid);

  Turbulence result{std::vector<double>(grid.cells(), background_m_per_s),
                    std::vector<double>(grid.cells(), 0.0)};
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    const std::array<double, 3> centre_m{grid.x_centre_m(c % grid.nx),
                                         grid.y_centre_m(c / grid.nx % grid.ny),
                                         grid.z_centre_m(c / (grid.nx * grid.ny))};
    double jet_m_per_s = 0.0;
    if (local_jets && grid.fluid[c] != 0)
      for (const PlacedJet& jet : jets) jet_m_per_s += placed_jet_at(jet, centre_m).speed_m_per_s;
    result.sigma_m_per_s[c] =
        std::hypot(background_m_per_s, room_m_per_s, jet_intensity_ratio * jet_m_per_s);
    const double nearest_m =
        std::max(distance_m[c], std::min({grid.dx_m, grid.dy_m, grid.dz_m}) / 2.0);
    const double length_m =
        std::min(room_mixing_length_m(enclosure.ridge_height_m), karman_coefficient * nearest_m);
    result.timescale_s[c] = lagrangian_timescale_s(length_m, result.sigma_m_per_s[c]);
  }
  return result;
}

}  // namespace mistwright::flow
