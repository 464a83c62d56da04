#include "models/leaf/clusters.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numeric>
#include <queue>

#include "models/contracts.h"

namespace mistwright::leaf {
namespace {

// A leaf as a point in metres of water. What moves a film is the whole demand and the deposit; how
// the demand is shared between sun and dryness matters only as far as weather changes their
// proportion. These weights, found by trial on invented crops, leave a third to a half of the error
// of equal ones.
using Point = std::array<double, 3>;
constexpr double proportion_weight_factor = 0.25;
constexpr double deposit_weight_factor = 2.0;

/// Leaves order[begin, end), how widely they lie and across which axis most.
struct Box {
  std::size_t begin = 0, end = 0;
  double spread = 0.0;  ///< area-weighted sum of squared distances along `axis`
  std::size_t axis = 0;
  double mean = 0.0;  ///< on that axis: where the box would be cut
};

bool cut_later(const Box& a, const Box& b) {
  return a.spread != b.spread ? a.spread < b.spread : a.begin > b.begin;
}

class Cutter {
 public:
  Cutter(std::span<const LeafFeature> leaves, const TypicalInterval& typical)
      : leaves_(leaves), point_(leaves.size()), order_(leaves.size()) {
    for (std::size_t i = 0; i < leaves.size(); ++i) {
      const LeafFeature& leaf = leaves[i];
      const double sun_m = leaf.radiation_factor * typical.demand_per_radiation_factor_m;
      const double dryness_m = leaf.conductance_factor * typical.demand_per_conductance_factor_m;
      point_[i] = {sun_m + dryness_m, proportion_weight_factor * (sun_m - dryness_m),
                   deposit_weight_factor * std::min(leaf.deposit_m, typical.law.capacity_m)};
    }
    std::iota(order_.begin(), order_.end(), std::uint32_t{0});
    std::stable_sort(order_.begin(), order_.end(), [&](std::uint32_t a, std::uint32_t b) {
      return leaves[a].group < leaves[b].group;
    });
  }

  std::vector<Box> cut(std::size_t most) {
    std::priority_queue<Box, std::vector<Box>, decltype(&cut_later)> open(&cut_later);
    std::vector<Box> done;
    for (std::size_t begin = 0; begin < order_.size();) {
      std::size_t end = begin;
      while (end < order_.size() && group(end) == group(begin)) ++end;
      open.push(measured(begin, end));
      begin = end;
    }
    while (!open.empty()) {
      const Box box = open.top();
      open.pop();
      const bool may_cut = open.size() + done.size() + 2 <= most && box.spread > 0.0;
      const std::size_t middle = may_cut ? partition(box) : box.begin;
      if (middle == box.begin || middle == box.end) {
        done.push_back(box);
        continue;
      }
      open.push(measured(box.begin, middle));
      open.push(measured(middle, box.end));
    }
    return done;
  }

  [[nodiscard]] std::span<const std::uint32_t> inside(const Box& box) const {
    return std::span(order_).subspan(box.begin, box.end - box.begin);
  }

 private:
  [[nodiscard]] std::uint32_t group(std::size_t place) const {
    return leaves_[order_[place]].group;
  }

  [[nodiscard]] Box measured(std::size_t begin, std::size_t end) const {
    double area = 0.0;
    Point mean{};
    for (std::size_t p = begin; p < end; ++p) {
      const double a = leaves_[order_[p]].area_m2;
      area += a;
      for (std::size_t axis = 0; axis < 3; ++axis) mean[axis] += a * point_[order_[p]][axis];
    }
    for (double& m : mean) m /= area;
    Point spread{};
    for (std::size_t p = begin; p < end; ++p) {
      for (std::size_t axis = 0; axis < 3; ++axis) {
        const double off = point_[order_[p]][axis] - mean[axis];
        spread[axis] += leaves_[order_[p]].area_m2 * off * off;
      }
    }
    const auto widest =
        static_cast<std::size_t>(std::max_element(spread.begin(), spread.end()) - spread.begin());
    return {
        .begin = begin, .end = end, .spread = spread[widest], .axis = widest, .mean = mean[widest]};
  }

  std::size_t partition(const Box& box) {
    const auto first = order_.begin();
    const auto middle = std::stable_partition(
        first + static_cast<std::ptrdiff_t>(box.begin),
        first + static_cast<std::ptrdiff_t>(box.end),
        [&](std::uint32_t leaf) { return point_[leaf][box.axis] < box.mean; });
    return static_cast<std::size_t>(middle - first);
  }

  std::span<const LeafFeature> leaves_;
  std::vector<Point> point_;
  std::vector<std::uint32_t> order_;
};

LeafFeature centre_of(std::span<const LeafFeature> leaves, std::span<const std::uint32_t> inside,
                      double capacity_m) {
  LeafFeature centre{.group = leaves[inside.front()].group};
  for (const std::uint32_t i : inside) {
    const LeafFeature& leaf = leaves[i];
    centre.radiation_factor += leaf.area_m2 * leaf.radiation_factor;
    centre.conductance_factor += leaf.area_m2 * leaf.conductance_factor;
    centre.deposit_m += leaf.area_m2 * std::min(leaf.deposit_m, capacity_m);
    centre.area_m2 += leaf.area_m2;
  }
  centre.radiation_factor /= centre.area_m2;
  centre.conductance_factor /= centre.area_m2;
  centre.deposit_m /= centre.area_m2;
  return centre;
}

/// How a weather differs from the typical one.
struct Strength {
  double sun = 1.0, dryness = 1.0;
};

/// Evaporation [m] of a leaf that starts dry, over bursts of one weather.
double evaporation_m(const LeafFeature& leaf, const TypicalInterval& typical,
                     const Strength& strength) {
  constexpr int bursts = 12;  // a film that gains a little each time has filled by then
  const double demand_m =
      strength.sun * leaf.radiation_factor * typical.demand_per_radiation_factor_m +
      strength.dryness * leaf.conductance_factor * typical.demand_per_conductance_factor_m;
  double depth_m = 0.0;
  double sum_m = 0.0;
  for (int burst = 0; burst < bursts; ++burst) {
    const double wetted_m = film_gain(depth_m, leaf.deposit_m, typical.law).depth_m;
    depth_m = film_after(wetted_m, demand_m, typical.law.break_depth_m);
    sum_m += wetted_m - depth_m;
  }
  return sum_m;
}

/// Sum over clusters of |leaves less representative|, as a share of the leaves' evaporation.
double mismatch_ratio(std::span<const LeafFeature> leaves, const Clusters& clusters,
                      const TypicalInterval& typical, const Strength& strength) {
  std::vector<double> mismatch(clusters.centre.size());
  for (std::size_t k = 0; k < mismatch.size(); ++k) {
    const LeafFeature& centre = clusters.centre[k];
    mismatch[k] = -centre.area_m2 * evaporation_m(centre, typical, strength);
  }
  double all = 0.0;
  for (std::size_t i = 0; i < leaves.size(); ++i) {
    const double loss = leaves[i].area_m2 * evaporation_m(leaves[i], typical, strength);
    mismatch[clusters.member[i]] += loss;
    all += loss;
  }
  double sum = 0.0;
  for (const double m : mismatch) sum += std::abs(m);
  return all > 0.0 ? sum / all : 0.0;
}

double relative_error(std::span<const LeafFeature> leaves, const Clusters& clusters,
                      const TypicalInterval& typical) {
  double worst = 0.0;
  for (const double strength : {0.1, 0.2, 0.35, 0.6, 1.0, 1.7, 3.0})
    for (const Strength& mix : {Strength{1.0, 1.0}, Strength{0.3, 1.5}, Strength{1.3, 0.3}})
      worst = std::max(worst, mismatch_ratio(leaves, clusters, typical,
                                             {strength * mix.sun, strength * mix.dryness}));
  return worst;
}

}  // namespace

Clusters cluster_leaves(std::span<const LeafFeature> leaves, std::size_t most,
                        const TypicalInterval& typical) {
  EXPECT(!leaves.empty() && most >= 1);
  Cutter cutter(leaves, typical);
  std::vector<Box> boxes = cutter.cut(most);
  const auto first_leaf = [&](const Box& box) {
    return *std::min_element(cutter.inside(box).begin(), cutter.inside(box).end());
  };
  std::vector<std::pair<std::uint32_t, std::size_t>> by_first(boxes.size());
  for (std::size_t b = 0; b < boxes.size(); ++b) by_first[b] = {first_leaf(boxes[b]), b};
  std::sort(by_first.begin(), by_first.end());

  Clusters clusters;
  clusters.member.resize(leaves.size());
  for (const auto& [first, b] : by_first) {
    const auto inside = cutter.inside(boxes[b]);
    for (const std::uint32_t leaf : inside)
      clusters.member[leaf] = static_cast<std::uint32_t>(clusters.centre.size());
    clusters.centre.push_back(centre_of(leaves, inside, typical.law.capacity_m));
  }
  clusters.relative_error = relative_error(leaves, clusters, typical);
  return clusters;
}

}  // namespace mistwright::leaf
