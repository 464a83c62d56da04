// Fewest zones against every way to group the heads, each looked at by a plain recursion.
#include "models/water/zone_search.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <map>
#include <set>

#include "models/contracts.h"
#include "models/random.h"
#include "tests/support/catch.h"
#include "tests/water/networks.h"

using namespace mistwright;
using namespace mistwright::water;

namespace {

using Group = std::vector<std::uint32_t>;

/// Heads on one line, whose bore and supply differ from house to house.
struct RandomLine {
  std::vector<HeadType> types;
  std::vector<NetworkHead> heads;
  Network network;

  RandomLine(Random& random, std::size_t count) {
    network = test::line(
        test::hose_bib(test::between(random, 2.5, 5.0), test::between(random, 6.0, 30.0)),
        static_cast<int>(count), test::between(random, 0.5, 4.0),
        test::between(random, 0.010, 0.022));
    for (std::size_t h = 0; h < count; ++h)
      types.push_back(test::plain_head(test::between(random, 20.0, 220.0)));
    for (std::size_t h = 0; h < count; ++h)
      heads.push_back({static_cast<std::uint32_t>(h + 1), &types[h], 0.0});
  }

  /// At least 2 bar at each head of the group, and flows within 10 % of the rated ones' greatest.
  [[nodiscard]] bool fits(const Group& group) const {
    std::vector<NetworkHead> some;
    for (const std::uint32_t h : group) some.push_back(heads[h]);
    const Hydraulics state = solve(network, some, {}, 288.15);
    double low = 1e30, high = 0.0;
    for (std::size_t i = 0; i < some.size(); ++i) {
      if (state.head_pressure_Pa[i] < 2.0 * test::bar_Pa) return false;
      const double ratio = state.head_flow_m3_per_s[i] / some[i].type->rated_flow_m3_per_s;
      low = std::min(low, ratio);
      high = std::max(high, ratio);
    }
    return high - low <= 0.1 * high;
  }

  [[nodiscard]] std::vector<ZoneHead> zone_heads(std::uint32_t per_row) const {
    std::vector<ZoneHead> out;
    for (std::size_t h = 0; h < heads.size(); ++h)
      out.push_back({static_cast<std::uint32_t>(h) / per_row, types[h].rated_flow_m3_per_s});
    return out;
  }
};

/// The fewest groups, by giving each head in turn to each group there is or to a new one.
std::size_t fewest_by_recursion(std::size_t count, const ZoneFits& fits) {
  std::map<Group, bool> known;
  const auto fit = [&](const Group& group) {
    const auto [it, fresh] = known.try_emplace(group, false);
    if (fresh) it->second = fits(group);
    return it->second;
  };
  std::size_t fewest = count + 1;
  std::vector<Group> groups;
  const std::function<void(std::uint32_t)> give = [&](std::uint32_t head) {
    if (groups.size() >= fewest) return;
    if (head == count) {
      if (std::all_of(groups.begin(), groups.end(), fit)) fewest = groups.size();
      return;
    }
    for (std::size_t g = 0; g < groups.size(); ++g) {
      groups[g].push_back(head);
      give(head + 1);
      groups[g].pop_back();
    }
    groups.push_back({head});
    give(head + 1);
    groups.pop_back();
  };
  give(0);
  return fewest;
}

bool each_once(const Zoning& found, std::size_t count) {
  std::multiset<std::uint32_t> all;
  for (const Group& zone : found.zones) all.insert(zone.begin(), zone.end());
  std::uint32_t next = 0;
  for (const std::uint32_t head : all)
    if (head != next++) return false;
  return all.size() == count;
}

}  // namespace

TEST_CASE("water: the fewest zones are those that trying every way finds for up to eight heads",
          "[water][law]") {
  Random random(29, stream_of("every way"));
  std::size_t several = 0;
  for (int n = 0; n < 40; ++n) {
    const auto count = static_cast<std::size_t>(2.0 + 7.0 * random.uniform());
    const RandomLine line(random, count);
    const auto fits = [&](const Group& group) { return line.fits(group); };
    const Zoning found = fewest_zones(line.zone_heads(3), fits);
    const std::size_t fewest = fewest_by_recursion(count, fits);
    CAPTURE(n, count, fewest);
    if (fewest > count) {
      CHECK(found.zones.empty());
      CHECK_FALSE(found.alone_too_much.empty());
      continue;
    }
    CHECK(found.every_way);
    CHECK(found.zones.size() == fewest);
    CHECK(each_once(found, count));
    for (const Group& zone : found.zones) CHECK(fits(zone));
    several += fewest > 1 && fewest < count ? 1 : 0;
  }
  CHECK(several > 8);
}

TEST_CASE("water: twelve heads are grouped in the fewest ways that a recursion finds",
          "[water][law]") {
  // At most so much flow together: a bin packing, whose answer the recursion finds by itself.
  Random random(31, stream_of("twelve"));
  for (int n = 0; n < 4; ++n) {
    std::vector<ZoneHead> heads;
    for (std::uint32_t h = 0; h < 12; ++h)
      heads.push_back({h / 4, test::between(random, 1.0, 5.0)});
    const auto fits = [&](const Group& group) {
      double flow = 0.0;
      for (const std::uint32_t h : group) flow += heads[h].flow_m3_per_s;
      return flow <= 9.0;
    };
    const Zoning found = fewest_zones(heads, fits);
    CHECK(found.every_way);
    CHECK(found.zones.size() == fewest_by_recursion(12, fits));
    CHECK(each_once(found, 12));
  }
}

TEST_CASE("water: many heads on rows are cut in as few stretches as the supply can do",
          "[water][law]") {
  for (const std::size_t count : {192U, 1000U}) {
    const std::size_t per_row = count == 192 ? 24 : 25;
    std::vector<ZoneHead> heads;
    for (std::uint32_t h = 0; h < count; ++h)
      heads.push_back({h / static_cast<std::uint32_t>(per_row), 1.0});
    std::size_t asked = 0;
    const auto fits = [&](const Group& group) {
      ++asked;
      return group.size() <= 28;
    };
    const Zoning found = fewest_zones(heads, fits);
    CHECK_FALSE(found.every_way);
    CHECK(each_once(found, count));
    const std::size_t least = least_zones(std::vector<double>(count, 1.0), 28.5);
    CHECK(least == (count + 27) / 28);
    CHECK(found.zones.size() == least);
    CHECK(asked < 4 * count);
  }
}

TEST_CASE("water: of equally few zones those that break fewest rows are taken", "[water][exact]") {
  // Two rows of seven and at most eight together: 7 and 7 rather than 8 and 6.
  std::vector<ZoneHead> heads;
  for (std::uint32_t h = 0; h < 14; ++h) heads.push_back({h / 7, 1.0});
  const auto fits = [](const Group& group) { return group.size() <= 8; };
  const Zoning found = fewest_zones(heads, fits);
  REQUIRE(found.zones.size() == 2);
  CHECK(found.zones[0].size() == 7);
  // One row of ten and at most six together: 5 and 5, whose flows are alike.
  heads.assign(10, {0, 1.0});
  const auto six = [](const Group& group) { return group.size() <= 6; };
  const Zoning even = fewest_zones(heads, six);
  REQUIRE(even.zones.size() == 2);
  CHECK(even.zones[0].size() == 5);
}

TEST_CASE("water: a stretch of one that fits and does not fit itself is not taken",
          "[water][law]") {
  // Groups of exactly 5 to 6, or of one: 20 heads in a row.
  const std::vector<ZoneHead> heads(20, {0, 1.0});
  const auto fits = [](const Group& group) {
    return group.size() == 1 || group.size() == 5 || group.size() == 6;
  };
  const Zoning found = fewest_zones(heads, fits);
  CHECK(each_once(found, 20));
  for (const Group& zone : found.zones) CHECK(fits(zone));
}

TEST_CASE("water: no fewer zones than the bound by count and by sum", "[water][exact]") {
  CHECK(least_zones({}, 1.0) == 0);
  CHECK(least_zones({1.0, 1.0, 1.0}, 10.0) == 1);
  CHECK(least_zones(std::vector<double>(192, 50.0 / 60.0), 24.0) == 7);
  // By sum two would do, by count three of 0.6 cannot stand two and two under 1.
  CHECK(least_zones({0.6, 0.6, 0.6}, 1.0) == 3);
  CHECK(least_zones({0.2, 0.9, 0.9}, 1.0) == 3);
  CHECK(least_zones({0.4, 0.5, 0.6, 0.7}, 1.0) == 3);
  CHECK_THROWS_AS(least_zones({1.0}, 0.0), ContractError);
}
