#include "sim/study/shade_table.h"

#include "tests/cases/small_house.h"
#include "tests/support/catch.h"

using namespace mistwright;
using Catch::Matchers::Contains;

namespace {

/// The small house with a second fan and a louvre of its own.
House two_stages() {
  House house = test::small_house();
  Fan second = house.fans.front();
  second.name = "second";
  second.along_m = 0.8;
  second.switched_by->on_above_K += 3.0;
  second.switched_by->off_below_K += 3.0;
  house.fans.push_back(second);
  Opening louvre = house.openings.front();
  louvre.name = "second louvre";
  louvre.with_fan = 1U;
  house.openings.push_back(louvre);
  return house;
}

study::ShadeRow row(double light_mol_per_m2, double hottest_leaf_K, double mean_dry_s) {
  study::ShadeRow made;
  made.air = "vents open";
  made.light_mol_per_m2 = light_mol_per_m2;
  made.hottest_leaf_K = hottest_leaf_K;
  made.mean_dry_s = mean_dry_s;
  return made;
}

}  // namespace

TEST_CASE("study: the table of air has vents shut and half and open and each stage of the fans",
          "[study][law]") {
  const auto choices = study::air_choices(two_stages());
  REQUIRE(choices.size() == 5);
  CHECK(choices[0].words == "vents shut");
  CHECK(choices[0].shut);
  CHECK((choices[0].house.fans.empty() && choices[0].house.openings.empty()));
  CHECK(choices[1].words == "vents half open");
  CHECK(choices[1].house.openings.front().open_fraction == 0.5);
  CHECK(choices[2].words == "vents open");
  CHECK(choices[2].house.openings.size() == 2);
  CHECK(choices[2].house.fans.empty());
  CHECK(choices[3].words == "1 fan");
  CHECK(choices[3].house.fans.size() == 1);
  CHECK(choices[3].house.openings.size() == 1);
  CHECK(choices[4].words == "2 fans");
  CHECK(choices[4].house.fans.size() == 2);
  CHECK(choices[4].house.openings.back().with_fan == 1U);
}

TEST_CASE("study: a house without vents and fans is listed shut alone", "[study][law]") {
  House house = test::small_house();
  house.fans.clear();
  house.openings.clear();
  const auto choices = study::air_choices(house);
  REQUIRE(choices.size() == 1);
  CHECK(choices.front().shut);
}

TEST_CASE("study: cloth of the table hangs all day whatever the house's own does", "[study][law]") {
  House house = test::small_house();
  house.structure.shade.drawn_by = control::Thermostat{300.0, 298.0};
  const House under = study::under_cloth(house, 0.3);
  CHECK(under.structure.shade.transmittance_fraction == 0.7);
  CHECK_FALSE(under.structure.shade.drawn_by);
}

TEST_CASE("study: the best row is ventilated and cool and light enough and has the wettest leaves",
          "[study][law]") {
  const report::Thresholds thresholds;
  study::ShadeTable table;
  table.rows = {row(8.0, 300.0, 900.0), row(8.0, 300.0, 600.0), row(8.0, 309.0, 0.0),
                row(2.0, 300.0, 0.0)};
  study::ShadeRow shut = row(8.0, 300.0, 0.0);
  shut.shut = true;
  table.rows.push_back(shut);
  CHECK(study::best_row(table, thresholds) == &table.rows[1]);
  CHECK_THAT(study::shade_words(table, thresholds), Contains("within the 4 to 10"));
  table.rows[1].light_mol_per_m2 = 16.0;
  CHECK_THAT(study::shade_words(table, thresholds), Contains("more than the 4 to 10"));
  table.rows.erase(table.rows.begin(), table.rows.begin() + 2);
  CHECK(study::best_row(table, thresholds) == nullptr);
  CHECK_THAT(study::shade_words(table, thresholds), Contains("none of these"));
}

TEST_CASE("study: shade of a part of a day is told for the run and not for a day", "[study][law]") {
  const report::Thresholds thresholds;
  study::ShadeTable table;
  table.rows = {row(8.0, 300.0, 600.0)};
  CHECK_THAT(study::shade_words(table, thresholds),
             Contains("dry 10 min a day") && Contains("8 mol of light a day") && Contains("L/day"));
  table.part_of_day_s = 7200.0;
  const std::string words = study::shade_words(table, thresholds);
  CHECK_THAT(words, Contains("dry 10 min in this run") && Contains("8 mol of light in this run"));
  CHECK_THAT(words, Contains("this run   this run") && !Contains("L/day"));
  CHECK_THAT(words, Contains("Part of a day is no answer"));
  table.rows.front().light_mol_per_m2 = 2.0;
  CHECK_THAT(study::findings(table, thresholds), Contains("4 mol of light in this run or more"));
}

TEST_CASE("study: the table stops when its watcher says so", "[study][law]") {
  CHECK_THROWS_AS(study::shade_table(test::small_house({"span.length=10 min"}), {},
                                     [](double, const std::string&) { return false; }),
                  study::Stopped);
}
