#include "sim/house/representatives.h"

#include <algorithm>
#include <array>

#include "models/leaf/film.h"
#include "models/parallel.h"

namespace mistwright {

namespace {

/// A typical noon interval, for choosing representatives: about one film lost, more by sun than by
/// dryness.
constexpr double typical_sun_m = 30e-6;
constexpr double typical_dryness_m = 20e-6;
/// One representative for so many leaves, and in a class of few leaves more of them: one in twenty
/// of a thousand leaves would be one a class, which left the air 0.16 K off at the fan's
/// switchings.
constexpr std::size_t leaves_a_representative = 20;
constexpr std::size_t least_representatives_a_class = 16;

/// Puts leaves in the order of their keys, told apart to one in 65,536 of the largest; equal ones
/// stay as they were. Two passes of counting by a byte: a comparing sort took a tenth of a run.
void order_by(const std::vector<double>& key, std::vector<std::uint32_t>& leaves) {
  constexpr std::size_t bytes = 256;
  const double largest = key.empty() ? 0.0 : *std::max_element(key.begin(), key.end());
  if (!(largest > 0.0)) return;
  struct Entry {
    std::uint32_t key, leaf;
  };
  std::vector<Entry> from(leaves.size());
  std::vector<Entry> to(leaves.size());
  for (std::size_t k = 0; k < leaves.size(); ++k) {
    from[k] = {static_cast<std::uint32_t>(key[k] / largest * 65535.0), leaves[k]};
  }
  for (const unsigned shift : {0U, 8U}) {
    std::array<std::uint32_t, bytes + 1> next = {};
    for (const Entry& entry : from) ++next[((entry.key >> shift) & 255U) + 1];
    for (std::size_t b = 0; b < bytes; ++b) next[b + 1] += next[b];
    for (const Entry& entry : from) to[next[(entry.key >> shift) & 255U]++] = entry;
    std::swap(from, to);
  }
  for (std::size_t k = 0; k < leaves.size(); ++k) leaves[k] = from[k].leaf;
}

}  // namespace

Representatives choose_representatives(const Shared& shared, const std::vector<double>& depth_m,
                                       const std::vector<std::vector<double>>& factor,
                                       std::vector<std::vector<std::uint32_t>>& class_leaves) {
  const Plan& plan = shared.plan;
  const double dry_share = shared.house.crop.dry_share_fraction;
  std::size_t classes = 0;
  for (const auto& order : class_leaves) classes += order.empty() ? 0 : 1;
  const std::size_t bins = std::max<std::size_t>(
      least_representatives_a_class,
      plan.leaves.count() / (leaves_a_representative * std::max<std::size_t>(1, classes)));
  parallel_for(class_leaves.size(), shared.threads, [&](std::size_t c, int) {
    std::vector<std::uint32_t>& order = class_leaves[c];
    std::vector<double> lasts;  // until it is bare, in typical noon intervals
    lasts.reserve(order.size());
    for (const std::uint32_t i : order) {
      const double asked = typical_sun_m * plan.leaves.radiation_factor[i] +
                           typical_dryness_m * (factor.empty() ? 1.0 : factor[shared.slot][i]);
      lasts.push_back(leaf::demand_to_bare_m(depth_m[i], dry_share, shared.film.break_depth_m) /
                      asked);
    }
    order_by(lasts, order);
  });
  Representatives all;
  all.conductance_factor.resize(factor.size());
  std::vector<double> conductance(factor.size());
  for (std::uint32_t c = 0; c < class_leaves.size(); ++c) {
    const std::vector<std::uint32_t>& order = class_leaves[c];
    const std::size_t parts = std::min(bins, order.size());
    for (std::size_t part = 0; part < parts; ++part) {
      double area = 0.0;
      double radiation = 0.0;
      double depth = 0.0;
      std::fill(conductance.begin(), conductance.end(), 0.0);
      for (std::size_t k = part * order.size() / parts; k < (part + 1) * order.size() / parts;
           ++k) {
        const std::uint32_t i = order[k];
        const double a = plan.leaves.area_m2[i];
        area += a;
        radiation += a * plan.leaves.radiation_factor[i];
        depth += a * depth_m[i];
        for (std::size_t s = 0; s < factor.size(); ++s) conductance[s] += a * factor[s][i];
      }
      all.leaf_class.push_back(c);
      all.area_m2.push_back(area);
      all.radiation_factor.push_back(radiation / area);
      all.depth_m.push_back(depth / area);
      for (std::size_t s = 0; s < factor.size(); ++s)
        all.conductance_factor[s].push_back(conductance[s] / area);
    }
  }
  return all;
}

}  // namespace mistwright
