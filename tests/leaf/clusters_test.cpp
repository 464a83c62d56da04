#include "models/leaf/clusters.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <vector>

#include "models/random.h"
#include "models/units.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::leaf;
using mistwright::test::abs;
using mistwright::test::rel;

namespace {

const TypicalInterval noon{.demand_per_radiation_factor_m = 60e-6,
                           .demand_per_conductance_factor_m = 30e-6,
                           .law = {.break_depth_m = 10e-6, .capacity_m = 70e-6}};

/// A bench that nobody planted: tilted, shaded, unevenly sprayed leaves in `groups` cells of air.
std::vector<LeafFeature> invented_leaves(std::size_t count, std::uint32_t groups,
                                         std::uint64_t seed) {
  Random random(seed, stream_of("invented leaves"));
  std::vector<LeafFeature> leaves(count);
  for (LeafFeature& leaf : leaves) {
    const double shade = random.uniform() < 0.5 ? 1.0 : 0.45;
    leaf.radiation_factor = shade * std::cos(0.5 * std::abs(random.normal()));
    leaf.conductance_factor = 0.7 + 0.6 * random.uniform();
    const double place = random.uniform();  // under a head or between two
    leaf.deposit_m = 60e-6 * (0.2 + 1.6 * place * place) * std::exp(0.2 * random.normal());
    leaf.area_m2 = 0.0015 * std::exp(0.3 * random.normal());
    leaf.group = static_cast<std::uint32_t>(random.uniform() * groups);
  }
  return leaves;
}

struct DayLoss {
  double leaves = 0.0, representatives = 0.0;  ///< evaporated in a day [m3]
};

/// One leaf's evaporation [m] over a day of bursts every `minutes` from six to eighteen o'clock.
double day_loss_m(const LeafFeature& leaf, double minutes, double strength) {
  double depth_m = 0.0;
  double sum_m = 0.0;
  const int bursts = static_cast<int>(720.0 / minutes);
  for (int burst = 0; burst < bursts; ++burst) {
    const double sun = std::sin(pi * (burst + 0.5) / bursts);
    const double dryness = 0.3 + 0.7 * std::sin(pi * (burst + 0.5) / bursts * 0.8);
    const double share = strength * minutes / 10.0;
    const double demand_m =
        share * (leaf.radiation_factor * sun * noon.demand_per_radiation_factor_m +
                 leaf.conductance_factor * dryness * noon.demand_per_conductance_factor_m);
    const double wetted_m = film_gain(depth_m, leaf.deposit_m, noon.law).depth_m;
    depth_m = film_after(wetted_m, demand_m, noon.law.break_depth_m);
    sum_m += wetted_m - depth_m;
  }
  return sum_m;
}

DayLoss day_loss(const std::vector<LeafFeature>& leaves, const Clusters& clusters, double minutes,
                 double strength) {
  DayLoss loss;
  for (const LeafFeature& leaf : leaves)
    loss.leaves += leaf.area_m2 * day_loss_m(leaf, minutes, strength);
  for (const LeafFeature& leaf : clusters.centre)
    loss.representatives += leaf.area_m2 * day_loss_m(leaf, minutes, strength);
  return loss;
}

}  // namespace

TEST_CASE(
    "leaf: a twentieth of the leaves stands for a day's evaporation within 0.5 % and within its "
    "own estimate",
    "[leaf][exact]") {
  for (const std::uint32_t groups : {1U, 16U}) {
    for (const std::uint64_t seed : {1U, 2U, 3U}) {
      const auto leaves = invented_leaves(10'000, groups, seed);
      const Clusters clusters = cluster_leaves(leaves, leaves.size() / 20, noon);
      REQUIRE(clusters.centre.size() <= leaves.size() / 20);
      for (const double minutes : {4.0, 8.0, 15.0, 30.0}) {
        for (const double strength : {0.2, 0.6, 1.0, 2.0}) {
          const DayLoss loss = day_loss(leaves, clusters, minutes, strength);
          const double error = std::abs(loss.representatives - loss.leaves) / loss.leaves;
          CAPTURE(groups, seed, minutes, strength, error, clusters.relative_error);
          CHECK(error < 0.005);
          CHECK(error <= clusters.relative_error);
        }
      }
    }
  }
}

TEST_CASE("leaf: more representatives err less and one for each leaf errs nothing", "[leaf][law]") {
  const auto leaves = invented_leaves(2'000, 4, 9);
  double before = 1.0;
  for (const std::size_t most : {20U, 80U, 320U, 2000U}) {
    const Clusters clusters = cluster_leaves(leaves, most, noon);
    CAPTURE(most);
    CHECK(clusters.relative_error < before);
    before = clusters.relative_error;
  }
  CHECK(before < 1e-14);
}

TEST_CASE("leaf: clusters keep area and every linear sum and never cross an air cell",
          "[leaf][law]") {
  const auto leaves = invented_leaves(5'000, 16, 4);
  const Clusters clusters = cluster_leaves(leaves, 250, noon);
  REQUIRE(clusters.centre.size() == 250);
  double area = 0.0, sun = 0.0, dryness = 0.0, deposit = 0.0;
  std::set<std::uint32_t> used;
  for (std::size_t i = 0; i < leaves.size(); ++i) {
    const LeafFeature& leaf = leaves[i];
    area += leaf.area_m2;
    sun += leaf.area_m2 * leaf.radiation_factor;
    dryness += leaf.area_m2 * leaf.conductance_factor;
    deposit += leaf.area_m2 * std::min(leaf.deposit_m, noon.law.capacity_m);
    REQUIRE(clusters.member[i] < clusters.centre.size());
    used.insert(clusters.member[i]);
    CHECK(clusters.centre[clusters.member[i]].group == leaf.group);
  }
  CHECK(used.size() == clusters.centre.size());
  double area_k = 0.0, sun_k = 0.0, dryness_k = 0.0, deposit_k = 0.0;
  for (const LeafFeature& centre : clusters.centre) {
    area_k += centre.area_m2;
    sun_k += centre.area_m2 * centre.radiation_factor;
    dryness_k += centre.area_m2 * centre.conductance_factor;
    deposit_k += centre.area_m2 * centre.deposit_m;
  }
  CHECK_THAT(area_k, rel(area, 1e-12));
  CHECK_THAT(sun_k, rel(sun, 1e-12));
  CHECK_THAT(dryness_k, rel(dryness, 1e-12));
  CHECK_THAT(deposit_k, rel(deposit, 1e-12));
}

TEST_CASE("leaf: leaves all alike need one representative", "[leaf][exact]") {
  const std::vector<LeafFeature> leaves(
      100,
      {.radiation_factor = 0.8, .conductance_factor = 1.1, .deposit_m = 30e-6, .area_m2 = 0.002});
  const Clusters clusters = cluster_leaves(leaves, 50, noon);
  CHECK(clusters.centre.size() == 1);
  CHECK(clusters.relative_error < 1e-14);
}

TEST_CASE(
    "leaf: a cluster groups leaves that are alike and not leaves that are neighbours in the list",
    "[leaf][law]") {
  // Two kinds of leaf alternate; a stride or a cut of the list would mix them.
  std::vector<LeafFeature> leaves;
  for (int i = 0; i < 200; ++i)
    leaves.push_back({.radiation_factor = i % 2 == 0 ? 0.2 : 1.0,
                      .conductance_factor = 1.0 + 1e-3 * i,
                      .deposit_m = 30e-6,
                      .area_m2 = 0.002});
  const Clusters clusters = cluster_leaves(leaves, 2, noon);
  REQUIRE(clusters.centre.size() == 2);
  for (std::size_t i = 2; i < leaves.size(); ++i)
    CHECK(clusters.member[i] == clusters.member[i - 2]);
  CHECK(clusters.member[0] != clusters.member[1]);
}
