#include <algorithm>
#include <array>
#include <cmath>

#include "tests/cases/small_house.h"
#include "tests/support/catch.h"

using namespace mistwright;
using test::mean;

namespace {

/// Mean dry time of the four corners of both benches, 0.6 m by 0.3 m each: index bench * 4, plus 2
/// at the back, plus 1 on the left.
std::array<double, 8> dry_corners_s(const HouseRun& run) {
  const std::vector<double> dry_s = test::last_map(run, run.frames().dry_s);
  std::array<double, 8> sum{}, count{};
  for (std::size_t b = 0; b < dry_s.size(); ++b) {
    const auto& cell = run.plan().benches.cells[b];
    const Bench& bench = run.house().benches[cell.bench];
    const double x = cell.x_m - bench.x_m, y = cell.y_m - bench.y_m;
    const bool back = x > bench.length_m - 0.6, left = y > bench.width_m - 0.3;
    if ((x > 0.6 && !back) || (y > 0.3 && !left)) continue;
    const std::size_t corner = cell.bench * 4U + (back ? 2U : 0U) + (left ? 1U : 0U);
    sum[corner] += dry_s[b];
    count[corner] += 1.0;
  }
  for (std::size_t c = 0; c < 8; ++c) sum[c] /= count[c];
  return sum;
}

std::size_t driest(const std::array<double, 8>& corners_s) {
  return static_cast<std::size_t>(std::max_element(corners_s.begin(), corners_s.end()) -
                                  corners_s.begin());
}

/// Root mean square of the difference of two maps over the mean of the first.
double apart_ratio(const std::vector<double>& a, const std::vector<double>& b) {
  double squares = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) squares += (a[i] - b[i]) * (a[i] - b[i]);
  return std::sqrt(squares / static_cast<double>(a.size())) / mean(a);
}

double mean_air_K(const HouseRun& run) {
  return mean(run.frames().series[static_cast<std::size_t>(Series::AirTemperature)]);
}

}  // namespace

TEST_CASE("cases: moving the fan from the back wall to the side wall moves the driest corner",
          "[cases][law]") {
  const House house = test::small_house({"numerics.parcels_per_class=600"});
  House moved = house;
  REQUIRE(moved.fans[0].wall == Wall::Back);
  moved.fans[0].wall = Wall::Left;
  moved.fans[0].along_m = 0.6;
  moved.fans[0].height_m = 0.6;
  const auto before_s = dry_corners_s(*test::run_whole(house));
  const auto after_s = dry_corners_s(*test::run_whole(moved));
  const std::size_t was = driest(before_s), is = driest(after_s);
  CHECK(was != is);
  // Not by the luck of the draw: each house's driest corner is clearly less dry in the other.
  CHECK(before_s[was] > 1.1 * before_s[is]);
  CHECK(after_s[is] > 1.1 * after_s[was]);
}

namespace {

/// Water landed in a burst with the fan on, by bench cell.
std::vector<double> one_burst(const std::string& more) {
  House house = test::small_house({"span.start=2025-06-03T12:00:00", "span.length=5 min",
                                   "numerics.parcels_per_class=1500", more});
  house.fans[0].switched_by.reset();
  const auto run = test::run_whole(house);
  REQUIRE(run->water().bursts() == 1);
  return test::last_map(*run, run->frames().mist_m);
}

/// Means over squares of 2 by 2 cells, 4 cells across each bench: half the noise of the parcels.
std::vector<double> in_squares(const std::vector<double>& cells) {
  std::vector<double> squares(cells.size() / 4, 0.0);
  constexpr std::size_t along = 12, across = 4;
  REQUIRE(cells.size() == 2 * along * across);
  for (std::size_t b = 0; b < cells.size(); ++b) {
    const std::size_t row = b / along;  // cells run along the bench first
    squares[row / 2 * (along / 2) + b % along / 2] += 0.25 * cells[b];
  }
  return squares;
}

}  // namespace

TEST_CASE("cases: a uniform airflow in place of the computed one changes the map of landed water",
          "[cases][law]") {
  const auto computed = one_burst("numerics.seed=1");
  const auto uniform = one_burst("numerics.uniform_flow=true");
  const auto other_draws = one_burst("numerics.seed=2");
  CHECK(apart_ratio(computed, uniform) > 0.05);
  CHECK(apart_ratio(in_squares(computed), in_squares(uniform)) >
        2.0 * apart_ratio(in_squares(computed), in_squares(other_draws)));
}

TEST_CASE("cases: shorter steps of the air change neither its temperature nor the dry time",
          "[cases][law]") {
  // The fan runs all the time: by its thermostat it may switch a moment before a burst or after it.
  const auto house_at = [](const std::string& step) {
    House house = test::small_house({"numerics.air_step=" + step});
    house.fans[0].switched_by.reset();
    return house;
  };
  const auto building = std::make_shared<Building>(house_at("30 s"));
  const auto run_120 = test::run_whole(house_at("120 s"), 1, building);
  const auto run_30 = test::run_whole(house_at("30 s"), 1, building);
  const auto run_10 = test::run_whole(house_at("10 s"), 1, building);
  const auto run_5 = test::run_whole(house_at("5 s"), 1, building);
  const auto run_2 = test::run_whole(house_at("2 s"), 1, building);
  const auto dry_s = [](const HouseRun& run) {
    return mean(test::last_map(run, run.frames().dry_s));
  };
  const double warm_120_K = std::abs(mean_air_K(*run_120) - mean_air_K(*run_2));
  const double warm_30_K = std::abs(mean_air_K(*run_30) - mean_air_K(*run_2));
  const double warm_10_K = std::abs(mean_air_K(*run_10) - mean_air_K(*run_2));
  const double warm_5_K = std::abs(mean_air_K(*run_5) - mean_air_K(*run_2));
  const double dry_120 = std::abs(dry_s(*run_120) / dry_s(*run_2) - 1.0);
  const double dry_30 = std::abs(dry_s(*run_30) / dry_s(*run_2) - 1.0);
  const double dry_5 = std::abs(dry_s(*run_5) / dry_s(*run_2) - 1.0);
  // The default step against fifteen times finer: well below what a thermometer tells, and below
  // what a few seconds of a burst would change.
  CHECK(warm_30_K < 0.05);
  CHECK(dry_30 < 0.02);
  CAPTURE(warm_120_K, warm_30_K, warm_10_K, warm_5_K, dry_120, dry_30, dry_5);
  CHECK(warm_10_K < warm_120_K);
  CHECK(warm_5_K < warm_10_K);
  CHECK(dry_5 < dry_30);
  CHECK(dry_5 < 2e-4);
  // From 10 s on errors have either sign, about 0.1 %: their order among themselves says nothing.
  CHECK(dry_5 < dry_120);
}
