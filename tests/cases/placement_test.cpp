// Small changes and what they bring, on the small house and on houses simple enough to know.
#include "sim/study/placement.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "models/air/psychrometrics.h"
#include "models/units.h"
#include "sim/study/placement_words.h"
#include "sim/study/runner.h"
#include "tests/cases/small_house.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::study;
using Catch::Matchers::Contains;
using test::abs;

namespace {

/// Two hours about noon.
House noon(const std::vector<std::string>& more = {}) {
  std::vector<std::string> settings = {"span.start=2025-06-03T12:00:00", "span.length=2 h",
                                       "numerics.airflow=jets"};
  settings.insert(settings.end(), more.begin(), more.end());
  return test::small_house(settings);
}

/// No wind from fans or through vents.
House still(House house) {
  house.fans.clear();
  house.openings.clear();
  return house;
}

double mean_dry_s(const House& house) {
  const Options options;
  const Progress progress;
  std::shared_ptr<Building> building;
  return report::summarise(Runner(options, progress).record(house, building)).mean_dry_s;
}

/// What one burst of chosen heads lands on each bench cell in air too wet to dry it [kg/m2], at the
/// pressures that all heads together leave.
std::vector<double> landed(const House& house, const std::vector<std::uint32_t>& heads) {
  Building building(house);
  const Waterworks works(house);
  Shared shared{building.house, building.plan, building.airflow, 1};
  shared.devices.fan_on.assign(house.fans.size(), 0);
  shared.devices.opening_open.assign(house.openings.size(), 0);
  shared.air.assign(building.plan.fixed.cells * air::states_a_cell, 25.0);
  const double full = air::humidity_ratio(air::saturation_pressure_Pa(kelvin(25.0)),
                                          building.plan.fixed.pressure_Pa);
  for (std::size_t c = 0; c < building.plan.fixed.cells; ++c)
    shared.air[air::state_index(c, air::CellState::Humidity)] = full;
  const auto classes = droplet::size_classes(house.numerics.size_classes);
  auto sprayed = typical_burst(building.airflow, works, 0, classes);
  std::erase_if(sprayed, [&](const Sprayed& one) {
    return std::find(heads.begin(), heads.end(), one.head) == heads.end();
  });
  return landed_kg_per_m2(building.plan, land(shared, classes, sprayed));
}

double sum_kg(const House& house, const std::vector<double>& depth) {
  const Plan plan = make_plan(house);
  double sum = 0.0;
  for (std::size_t c = 0; c < depth.size(); ++c) sum += depth[c] * plan.benches.cells[c].area_m2;
  return sum;
}

/// A supply that keeps its pressure, and pipes that take none.
void feed_evenly(House& house) {
  house.network.supply.bucket_flow_m3_per_s = 0.0;
  house.network.supply.curve.clear();
  for (water::Pipe& pipe : house.network.pipes) {
    pipe.diameter_m = 0.3;
    pipe.minor_loss_coefficient = 0.0;
  }
}

/// Only some heads are left, water to the others being cut.
House with_heads(const House& house, const std::vector<std::size_t>& kept) {
  House changed = house;
  changed.heads.clear();
  for (const std::size_t h : kept) changed.heads.push_back(house.heads[h]);
  return changed;
}

/// Root of the mean square of the way from a point, of all that landed [m].
double spread_m(const House& house, const std::vector<double>& depth, double x_m, double y_m) {
  const Plan plan = make_plan(house);
  double sum = 0.0, squares = 0.0;
  for (std::size_t c = 0; c < depth.size(); ++c) {
    const auto& cell = plan.benches.cells[c];
    const double mass = depth[c] * cell.area_m2;
    sum += mass;
    squares += mass * (std::pow(cell.x_m - x_m, 2.0) + std::pow(cell.y_m - y_m, 2.0));
  }
  return std::sqrt(squares / sum);
}

/// Left and right changed places.
House mirrored(House house) {
  const double wide_m = house.structure.width_m;
  for (Bench& bench : house.benches) bench.y_m = wide_m - bench.y_m - bench.width_m;
  for (PlacedHead& head : house.heads) head.y_m = wide_m - head.y_m;
  const auto other = [](Wall wall) {
    return wall == Wall::Right ? Wall::Left : wall == Wall::Left ? Wall::Right : wall;
  };
  for (Fan& fan : house.fans) {
    if (fan.wall == Wall::Front || fan.wall == Wall::Back) fan.along_m = wide_m - fan.along_m;
    fan.wall = other(fan.wall);
  }
  for (Opening& vent : house.openings) {
    if (vent.wall == Wall::Front || vent.wall == Wall::Back) vent.along_m = wide_m - vent.along_m;
    vent.wall = other(vent.wall);
  }
  for (auto& row : house.weather.rows)
    row.weather.wind_from_rad = 2.0 * house.structure.orientation_rad - row.weather.wind_from_rad;
  return house;
}

Options two_threads() {
  Options options;
  options.threads = 2;
  return options;
}

const MoveTable& table() {
  static const MoveTable one = move_table(noon(), two_threads());
  return one;
}

}  // namespace

TEST_CASE("study: a head that stood over the aisle gains minutes when it moves over the bench",
          "[study][law]") {
  const House house = noon();
  const PlacedHead& head = house.heads[1];
  const House aside = with_head_at(house, 1, {0.7, 1.8, head.z_m});
  const House back = with_head_at(aside, 1, {head.x_m, head.y_m, head.z_m});
  CHECK(mean_dry_s(aside) - mean_dry_s(back) > 60.0);
}

TEST_CASE("study: one more head lands what it lands alone on top of the others", "[study][exact]") {
  House two = still(noon());
  feed_evenly(two);
  two = with_heads(two, {0, 4});
  const House three = with_one_more_head(two, 0, {3.9, 0.7, two.heads[0].z_m});
  // At the pressures of all three heads add up to round-off where no drop dries.
  const auto all = landed(three, {0, 1, 2}), others = landed(three, {0, 1}),
             alone = landed(three, {2});
  const double most = *std::max_element(alone.begin(), alone.end());
  REQUIRE(most > 0.0);
  for (std::size_t c = 0; c < all.size(); ++c)
    CHECK_THAT(all[c] - others[c], abs(alone[c], 1e-12 * most));
  // From a supply that keeps its pressure the two land what they did before, within the noise of 2
  // % that each may have.
  CHECK_THAT(sum_kg(two, landed(two, {0, 1})) / sum_kg(three, others), abs(1.0, 0.02));
}

TEST_CASE("study: coarse drops from a higher cone come down wider as its geometry says",
          "[study][exact]") {
  House house = still(noon());
  house.benches.resize(1);
  house.benches[0] = {"all", 0.3, 0.2, 6.6, 3.2, 0.6, 0.0};
  house = with_heads(house, {1});
  water::HeadType& type = house.head_types[0];
  type.launch = water::LaunchPattern::FullCone;
  type.launch_angle_rad = radians(20.0);
  type.dv10_m = 700e-6;
  type.dv50_m = 800e-6;
  type.dv90_m = 900e-6;
  type.wetted_diameter_m = 2.0 * 0.6 * std::tan(radians(20.0));
  house = with_head_at(house, 0, {3.6, 1.8, 1.15});
  const double low_m = spread_m(house, landed(house, {0}), 3.6, 1.8);
  const House raised = with_heads_raised(house, {0}, 0.5);
  const double high_m = spread_m(raised, landed(raised, {0}), 3.6, 1.8);
  CAPTURE(low_m, high_m);
  // Straight ways: 0.5 m above the leaves, then 1.0 m. Drops of 0.8 mm fall off theirs, and cells
  // of 0.3 m blur what is narrow.
  CHECK(high_m > 1.4 * low_m);
  CHECK(high_m < 2.0 * low_m);
}

TEST_CASE("study: the least that can be told is that of a printed interval", "[study][worked]") {
  // 1, 2, 3, 4: mean 2.5, s = sqrt(5/3) = 1.29099; t of 3 degrees of freedom 3.182 (any table);
  // 3.182 x 1.29099 x 1.41421 = 5.8095, by hand.
  CHECK_THAT(least_tellable_s({1.0, 2.0, 3.0, 4.0}), abs(5.8095, 5e-4));
  CHECK(least_tellable_s({7.0, 7.0, 7.0, 7.0}) == 0.0);
}

TEST_CASE("study: changes are ranked and each is the difference of two runs", "[study][law]") {
  REQUIRE(table().rows.size() > 10);
  int kinds[5] = {};
  for (std::size_t i = 0; i < table().rows.size(); ++i) {
    const MoveRow& row = table().rows[i];
    CAPTURE(row.words);
    ++kinds[static_cast<int>(row.kind)];
    CHECK_THAT(row.mean_gain_s, abs(table().as_is.mean_dry_s - row.result.mean_dry_s, 1e-9));
    CHECK_THAT(row.worst_gain_s, abs(table().as_is.worst.dry_s - row.result.worst.dry_s, 1e-9));
    if (i == 0) continue;
    const MoveRow& before = table().rows[i - 1];
    CHECK(table().effect(before) <= table().effect(row));
    if (table().effect(before) == table().effect(row)) CHECK(before.mean_gain_s >= row.mean_gain_s);
  }
  CHECK(kinds[static_cast<int>(MoveKind::Head)] == static_cast<int>(most_head_moves) + 1);
  CHECK(kinds[static_cast<int>(MoveKind::Heights)] >= 2);
  CHECK(kinds[static_cast<int>(MoveKind::Fan)] == 1);
  CHECK(kinds[static_cast<int>(MoveKind::OneMore)] == static_cast<int>(most_more_heads));
  // Jets pass through skirts.
  CHECK(kinds[static_cast<int>(MoveKind::Skirt)] == 0);
  const auto skirts = std::count_if(
      table().left_out.begin(), table().left_out.end(),
      [](const std::string& clause) { return clause.find("skirt") != std::string::npos; });
  CHECK(skirts == 2);
}

TEST_CASE("study: a row of the table is the run of that house", "[study][exact]") {
  const MoveRow& row = *std::find_if(table().rows.begin(), table().rows.end(),
                                     [](const MoveRow& r) { return r.kind == MoveKind::OneMore; });
  const House house = noon();
  std::size_t like = 0;
  for (std::size_t h = 0; h < house.heads.size(); ++h)
    if (row.words.find("`" + house.heads[h].name + "`") != std::string::npos) like = h;
  const House more = as_compared(with_one_more_head(house, like, row.to));
  CHECK(mean_dry_s(more) == row.result.mean_dry_s);
  CHECK(row.result.water_kg > table().as_is.water_kg);
  CHECK(row.result.lowest_pressure_Pa < table().as_is.lowest_pressure_Pa);
}

TEST_CASE("study: a house seen in a mirror gains by the mirrored changes alike", "[study][law]") {
  const MoveTable other = move_table(mirrored(noon()), two_threads());
  const double wide_m = noon().structure.width_m;
  // Draws differ, so each table has its own noise.
  const double mean_s = table().mean_noise_s + other.mean_noise_s;
  int found = 0;
  for (const MoveRow& row : table().rows) {
    const auto same = [&](const MoveRow& r) {
      if (r.kind != row.kind) return false;
      if (r.kind != MoveKind::Head && r.kind != MoveKind::OneMore) return r.words == row.words;
      return std::hypot(r.from.x_m - row.from.x_m, r.from.y_m + row.from.y_m - wide_m) < 1e-9 &&
             std::hypot(r.to.x_m - row.to.x_m, r.to.y_m + row.to.y_m - wide_m) < 1e-9;
    };
    const auto twin = std::find_if(other.rows.begin(), other.rows.end(), same);
    if (twin == other.rows.end()) continue;
    ++found;
    CAPTURE(row.words, twin->words);
    CHECK_THAT(twin->mean_gain_s, abs(row.mean_gain_s, mean_s));
  }
  CHECK(found >= 5);
}

TEST_CASE("study: words of the table tell gains and harm and what was left out and the noise",
          "[study][law]") {
  MoveTable made;
  made.as_is.mean_dry_s = 7200.0;
  made.as_is.water_kg = 50.0;
  made.as_is.worst = {"east bench", 2.0, 1.0, 14400.0};
  made.mean_noise_s = 60.0;
  made.worst_noise_s = 600.0;
  made.left_out = {"a fan the other way: there is none"};
  const auto add = [&](const char* words, double mean_s, double worst_s) {
    MoveRow row;
    row.words = words;
    row.mean_gain_s = mean_s;
    row.worst_gain_s = worst_s;
    made.rows.push_back(row);
  };
  add("up", 1200.0, -300.0);
  add("aside", 30.0, 900.0);
  add("about", -30.0, 500.0);
  add("down", -1800.0, 900.0);
  made.rows.back().result.starved = true;
  made.rows.back().result.lowest_pressure_Pa = 1e5;
  CHECK(made.effect(made.rows[0]) == Effect::Gain);
  CHECK(made.effect(made.rows[1]) == Effect::Gain);
  CHECK(made.effect(made.rows[2]) == Effect::CannotTell);
  CHECK(made.effect(made.rows[3]) == Effect::Harm);
  const std::string words = move_words(made);
  CHECK_THAT(words, Contains("up: +20 min a day on average, -5 min at the worst place"));
  CHECK_THAT(words, Contains("Gains\n") && Contains("No difference that this can tell\n") &&
                        Contains("Harm\n"));
  // Lines break where they must.
  CHECK_THAT(words, Contains("down; but the worst place gains"));
  CHECK_THAT(words, Contains("1.0 bar"));
  CHECK_THAT(words, Contains("a fan the other way: there is none"));
  CHECK_THAT(words, Contains("local codes and licensed practice go first"));
  made.rows.erase(made.rows.begin(), made.rows.begin() + 2);
  CHECK_THAT(move_findings(made), Contains("none of these changes"));
}

TEST_CASE("study: gains of a part of a day are told for the run and not for a day",
          "[study][law]") {
  MoveTable made;
  made.as_is.water_kg = 50.0;
  MoveRow row;
  row.words = "up";
  row.mean_gain_s = 600.0;
  made.rows = {row};
  const auto in_one_line = [&] {
    std::string flat;
    for (const char c : move_words(made)) {
      const bool blank = c == ' ' || c == '\n';
      if (!blank || flat.empty() || flat.back() != ' ') flat += blank ? ' ' : c;
    }
    return flat;
  };
  CHECK_THAT(in_one_line(), Contains("up: +10 min a day on average") && Contains("L/day"));
  CHECK_THAT(in_one_line(), Contains("pass the day") && Contains("gained a day by"));
  made.part_of_day_s = 7200.0;
  const std::string words = in_one_line();
  CHECK_THAT(words, Contains("up: +10 min in this run on average") && !Contains("a day"));
  CHECK_THAT(words, Contains("pass the run") && !Contains("L/day"));
  CHECK_THAT(words, Contains("Dry time gained in this run by one change"));
  CHECK(table().part_of_day_s == 7200.0);
}

TEST_CASE("study: nothing is ranked in hours in which nothing sprays", "[study][law]") {
  const MoveTable night =
      move_table(noon({"span.start=2025-06-03T01:00:00", "span.length=1 h"}), two_threads());
  CHECK(night.nothing_sprays());
  CHECK(night.rows.empty());
  CHECK_THAT(move_findings(night), Contains("nothing sprays in this run"));
  CHECK_THAT(move_words(night), Contains("nothing sprays") && !Contains("drawn anew"));
  CHECK_THAT(move_picture(night), Contains("worst place"));
  CHECK_FALSE(table().nothing_sprays());
}

TEST_CASE("study: the table of moves stops when its watcher says so", "[study][law]") {
  CHECK_THROWS_AS(move_table(noon({"span.length=10 min"}), {},
                             [](double, const std::string&) { return false; }),
                  Stopped);
}
