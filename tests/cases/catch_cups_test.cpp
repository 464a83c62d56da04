// Catch cups on the small house: they hold what the house's own runs land, and their readings name
// what was broken on purpose.
#include <algorithm>
#include <cmath>
#include <set>
#include <stdexcept>

#include "models/units.h"
#include "sim/house/assemble.h"
#include "sim/study/cup_judge.h"
#include "tests/cases/small_house.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::study;
using test::abs;

namespace {

CupPlan plan_of(const House& house, const CupsChoice& choice) {
  return catch_cups(house, choice, Options{});
}

/// The small house, its bursts fixed so that plans can be compared.
const CupsChoice thirty{.bench = {}, .cups = 24, .diameter_m = 0.08, .bursts = 30};

const House& house() {
  static const House small = test::small_house({"numerics.airflow=jets"});
  return small;
}

const CupPlan& sound() {
  static const CupPlan plan = plan_of(house(), thirty);
  return plan;
}

std::vector<CupAmount> amounts_of(const CupTable& table, double factor = 1.0) {
  std::vector<CupAmount> amounts;
  for (std::size_t c = 0; c < table.cups.size(); ++c)
    amounts.push_back({c, factor * table.cups[c].depth_m});
  return amounts;
}

bool any_says(const std::vector<std::string>& hints, const std::string& words) {
  return std::any_of(hints.begin(), hints.end(), [&](const std::string& hint) {
    return hint.find(words) != std::string::npos;
  });
}

}  // namespace

TEST_CASE("study: cups over a bench hold the share of the spray that a run lands there",
          "[study][law]") {
  House still = test::small_house({"numerics.airflow=jets"});
  still.fans.clear();
  still.openings.clear();
  const CupPlan plan = plan_of(still, thirty);
  REQUIRE(plan.tables.size() == 1);
  const auto run = test::run_whole(still);
  const droplet::BenchGrid& cells = run->plan().benches;
  double in_cells_kg = 0.0;
  for (std::size_t b = 0; b < cells.cells.size(); ++b)
    in_cells_kg +=
        water_density_kg_per_m3 * plan.tables[0].cell_depth_m[b] * cells.cells[b].area_m2;
  double sprayed_kg = 0.0;
  for (std::uint32_t v = 0; v < still.network.valves.size(); ++v)
    for (const Sprayed& one :
         typical_burst(run->airflow(), run->works(), v, run->water().classes()))
      for (const double kg : one.class_kg) sprayed_kg += kg;
  const WaterLedger& water = run->water().ledger();
  const double landed_kg = water.to_leaves_kg.value() + water.to_medium_kg.value();
  const double run_share = landed_kg / water.sprayed_kg.value();
  // Noise of the draws: 24 classes and heads of 100 parcels. What dries on the way differs with the
  // air, of which the cups' 70 % is not the run's.
  const double dried = water.evaporated_kg.value() / water.sprayed_kg.value();
  CAPTURE(run_share, dried);
  CHECK(dried < 0.08);
  CHECK_THAT(in_cells_kg / sprayed_kg, abs(run_share, 0.01 + dried));

  // Cups close together, each for its rectangle, hold what their bench's cells do.
  const CupPlan close = plan_of(still, {.bench = 0, .cups = 400, .diameter_m = 0.05, .bursts = 1});
  const CupGrid& grid = close.grids[0];
  double in_cups_m3 = 0.0;
  for (const CupCatch& cup : close.tables[0].cups)
    in_cups_m3 += cup.depth_m * grid.along_step_m * grid.across_step_m;
  double on_bench_m3 = 0.0;
  for (std::size_t b = 0; b < cells.cells.size(); ++b)
    if (cells.cells[b].bench == 0)
      on_bench_m3 += close.tables[0].cell_depth_m[b] * cells.cells[b].area_m2;
  CHECK_THAT(in_cups_m3 / on_bench_m3, abs(1.0, 0.03));
}

TEST_CASE("study: cups stand in equal rectangles and bear names that no other has",
          "[study][exact]") {
  for (const int cups : {4, 7, 24, 60}) {
    CAPTURE(cups);
    const CupPlan plan = place_cups(house(), {.bench = {}, .cups = cups, .diameter_m = 0.05});
    std::set<std::string> names;
    for (const CupGrid& grid : plan.grids) {
      const Bench& bench = house().benches[grid.bench];
      CHECK_THAT(static_cast<double>(grid.columns) * grid.along_step_m, abs(bench.length_m, 1e-12));
      CHECK_THAT(static_cast<double>(grid.rows) * grid.across_step_m, abs(bench.width_m, 1e-12));
      CHECK(std::abs(static_cast<int>(grid.rows * grid.columns) - cups) <= std::max(1, cups / 8));
      CHECK(std::abs(std::log(grid.along_step_m / grid.across_step_m)) < std::log(2.0));
    }
    for (const Cup& cup : plan.cups) names.insert(cup.name);
    CHECK(names.size() == plan.cups.size());
  }
  CHECK_THROWS_AS(place_cups(house(), {.bench = {}, .cups = 400, .diameter_m = 0.2}),
                  std::invalid_argument);
}

TEST_CASE("study: twice the bursts fill cups twice and as evenly", "[study][law]") {
  CupsChoice sixty = thirty;
  sixty.bursts = 60;
  const CupPlan twice = plan_of(house(), sixty);
  for (std::size_t t = 0; t < twice.tables.size(); ++t) {
    for (std::size_t c = 0; c < twice.cups.size(); ++c)
      CHECK_THAT(twice.tables[t].cups[c].depth_m,
                 abs(2.0 * sound().tables[t].cups[c].depth_m, 1e-12));
    CHECK_THAT(twice.tables[t].of_grids[0].christiansen_ratio,
               abs(sound().tables[t].of_grids[0].christiansen_ratio, 1e-9));
  }
}

TEST_CASE("study: bursts are as many as fill the low quarter of cups with ten lines to read",
          "[study][law]") {
  const CupPlan plan = plan_of(house(), {});
  REQUIRE(plan.worth_reading);
  CHECK(plan.bursts % 5 == 0);
  for (const CupTable& table : plan.tables) {
    std::vector<double> depths;
    for (const CupCatch& cup : table.cups) depths.push_back(cup.depth_m);
    const double low_m = droplet::mean_number({depths}) * droplet::low_quarter_ratio(depths);
    // The bursts were chosen by the first of two sets of draws.
    CHECK(low_m * plan.mouth_m2() > 0.9 * lines_worth_reading_number * cup_reading_m3);
  }
}

TEST_CASE("study: cups that hold what they should are judged sound", "[study][law]") {
  const CupTable& table = sound().tables[0];
  const Judgement judged = judge_cups(house(), sound(), table, amounts_of(table));
  CHECK(judged.hints.empty());
  CHECK(judged.low_count + judged.high_count == 0);
  CHECK(judged.missing.empty());
  CHECK_THAT(judged.total_ratio, abs(1.0, 1e-12));
  CHECK_THAT(judged.measured.christiansen_ratio, abs(judged.expected.christiansen_ratio, 1e-12));
}

TEST_CASE("study: readings of a house whose head is missing name that head", "[study][law]") {
  for (std::size_t blocked = 0; blocked < house().heads.size(); ++blocked) {
    CAPTURE(house().heads[blocked].name);
    House broken = house();
    broken.heads.erase(broken.heads.begin() + static_cast<std::ptrdiff_t>(blocked));
    const CupPlan plan = plan_of(broken, thirty);
    const Judgement judged =
        judge_cups(house(), sound(), sound().tables[0], amounts_of(plan.tables[0]));
    CHECK(any_says(judged.hints, "nearest head `" + house().heads[blocked].name + "`"));
    for (std::size_t h = 0; h < house().heads.size(); ++h)
      if (h != blocked)
        CHECK_FALSE(any_says(judged.hints, "nearest head `" + house().heads[h].name + "`"));
    CHECK(judged.low_count > 0);
  }
}

TEST_CASE("study: less in all cups hints at pressure and not at a head", "[study][law]") {
  const CupTable& table = sound().tables[0];
  const Judgement judged = judge_cups(house(), sound(), table, amounts_of(table, 0.4));
  REQUIRE(judged.hints.size() == 1);
  CHECK(any_says(judged.hints, "pressure low"));
  CHECK_THAT(judged.total_ratio, abs(0.4, 1e-12));
  CHECK(judged.low_count == judged.rows.size());
  CHECK(any_says(judge_cups(house(), sound(), table, amounts_of(table, 1.4)).hints, "too much"));
}

TEST_CASE("study: mist pushed across a bench hints at wind", "[study][law]") {
  const CupTable& table = sound().tables[0];
  std::vector<CupAmount> amounts = amounts_of(table);
  for (CupAmount& amount : amounts) {
    const Cup& cup = sound().cups[amount.cup];
    const Bench& bench = house().benches[cup.bench];
    amount.depth_m *= 1.0 + 0.4 * (cup.across_m / bench.width_m - 0.5);
  }
  const Judgement judged = judge_cups(house(), sound(), table, amounts);
  CHECK(any_says(judged.hints, "right-hand half"));
  CHECK_FALSE(any_says(judged.hints, "nearest head"));
}

TEST_CASE("study: a weak far end of the line hints at its pressure", "[study][law]") {
  const CupTable& table = sound().tables[0];
  const Waterworks works(house());
  const ZoneAlone zone = works.alone(0, longest_burst_s(house(), 0));
  std::vector<double> pressures_Pa = zone.hydraulics.head_pressure_Pa;
  std::sort(pressures_Pa.begin(), pressures_Pa.end());
  std::vector<CupAmount> amounts = amounts_of(table);
  for (CupAmount& amount : amounts) {
    const Cup& cup = sound().cups[amount.cup];
    const Bench& bench = house().benches[cup.bench];
    const auto off = [&](std::size_t h) {
      return std::hypot(house().heads[h].x_m - bench.x_m - cup.along_m,
                        house().heads[h].y_m - bench.y_m - cup.across_m);
    };
    std::size_t head = 0;
    for (std::size_t h = 1; h < house().heads.size(); ++h)
      if (off(h) < off(head)) head = h;
    if (zone.hydraulics.head_pressure_Pa[head] < pressures_Pa[pressures_Pa.size() / 2])
      amount.depth_m *= 0.8;
  }
  const Judgement judged = judge_cups(house(), sound(), table, amounts);
  CHECK(any_says(judged.hints, "the line's end"));
  CHECK_FALSE(any_says(judged.hints, "nearest head"));
}
