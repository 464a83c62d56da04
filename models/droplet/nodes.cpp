#include "models/droplet/nodes.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"

namespace mistwright::droplet {

namespace {

/// What a drop loses in a fall; a small part that never ends keeps it strictly rising in K.
double lost_fraction(double K_over_K0) {
  constexpr double endless = 0.05;
  const double left = std::max(0.0, 1.0 - K_over_K0);
  return (1.0 - endless) * (1.0 - left * std::sqrt(left)) + endless * K_over_K0 / (1.0 + K_over_K0);
}

}  // namespace

Bracket between_nodes(const EvaporationNodes& nodes, double diameter_m, double K_m2_per_s) {
  EXPECT(diameter_m > 0.0 && K_m2_per_s >= 0.0);
  const double K0 =
      diameter_m * diameter_m * terminal_velocity_m_per_s(diameter_m, reference_air) / nodes.fall_m;
  const auto& K = nodes.K_m2_per_s;
  if (K_m2_per_s >= K.back()) return {K.size() - 1, K.size() - 1, 0.0};
  std::size_t low = 0;
  while (K_m2_per_s >= K[low + 1]) ++low;
  const double from = lost_fraction(K[low] / K0), to = lost_fraction(K[low + 1] / K0);
  return {low, low + 1,
          std::clamp((lost_fraction(K_m2_per_s / K0) - from) / (to - from), 0.0, 1.0)};
}

Bracket between_diameters(const std::vector<double>& diameters_m, double diameter_m) {
  EXPECT(!diameters_m.empty() && diameter_m > 0.0);
  if (diameter_m <= diameters_m.front()) return {0, 0, 0.0};
  const std::size_t last = diameters_m.size() - 1;
  if (diameter_m >= diameters_m.back()) return {last, last, 0.0};
  std::size_t low = 0;
  while (diameter_m >= diameters_m[low + 1]) ++low;
  return {
      low, low + 1,
      std::log(diameter_m / diameters_m[low]) / std::log(diameters_m[low + 1] / diameters_m[low])};
}

Outcome blend(const Outcome& a, const Outcome& b, double share_fraction) {
  EXPECT(share_fraction >= 0.0 && share_fraction <= 1.0);
  EXPECT(a.bench.size() == b.bench.size() &&
         a.evaporated_by_air_cell.size() == b.evaporated_by_air_cell.size());
  const auto mix = [&](double x, double y) {
    return (1.0 - share_fraction) * x + share_fraction * y;
  };
  Outcome out = a;
  for (std::size_t i = 0; i < out.bench.size(); ++i) out.bench[i] = mix(a.bench[i], b.bench[i]);
  for (std::size_t i = 0; i < out.evaporated_by_air_cell.size(); ++i)
    out.evaporated_by_air_cell[i] = mix(a.evaporated_by_air_cell[i], b.evaporated_by_air_cell[i]);
  out.floor_fraction = mix(a.floor_fraction, b.floor_fraction);
  out.wall_fraction = mix(a.wall_fraction, b.wall_fraction);
  out.cover_fraction = mix(a.cover_fraction, b.cover_fraction);
  out.evaporated_fraction = mix(a.evaporated_fraction, b.evaporated_fraction);
  out.out_fraction = mix(a.out_fraction, b.out_fraction);
  out.noise_ratio = mix(a.noise_ratio, b.noise_ratio);
  out.steps = a.steps + b.steps;
  return out;
}

Outcome interpolate(const EvaporationNodes& nodes, const std::vector<Outcome>& by_node,
                    double diameter_m, double K_m2_per_s) {
  EXPECT(by_node.size() == nodes.K_m2_per_s.size());
  const Bracket at = between_nodes(nodes, diameter_m, K_m2_per_s);
  return blend(by_node[at.low], by_node[at.high], at.share_fraction);
}

Outcome interpolate(const EvaporationNodes& nodes, const std::vector<double>& diameters_m,
                    const std::vector<std::vector<Outcome>>& by_diameter, double diameter_m,
                    double K_m2_per_s) {
  EXPECT(by_diameter.size() == diameters_m.size());
  const Bracket at = between_diameters(diameters_m, diameter_m);
  const Outcome low = interpolate(nodes, by_diameter[at.low], diameters_m[at.low], K_m2_per_s);
  const Outcome high = interpolate(nodes, by_diameter[at.high], diameters_m[at.high], K_m2_per_s);
  return blend(low, high, at.share_fraction);
}

}  // namespace mistwright::droplet
