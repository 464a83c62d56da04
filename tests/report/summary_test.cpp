#include "sim/report/summary.h"

#include <algorithm>
#include <functional>
#include <numeric>

#include "tests/report/sample_record.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using test::rel;

TEST_CASE("report: the summary's numbers are those of the record", "[report][exact]") {
  const record::Record r = test::sample_record();
  const report::Summary s = report::summarise(r);
  const auto& dry = r.group("bench").variable("dry_time").values;
  CHECK(s.worst.dry_s == *std::max_element(dry.begin(), dry.end()));
  CHECK(s.best.dry_s == *std::min_element(dry.begin(), dry.end()));
  CHECK(s.worst.words == "north bench, fan end, beyond head 6");
  const double total = std::accumulate(dry.begin(), dry.end(), 0.0);
  CHECK_THAT(s.mean_dry_s, rel(total / static_cast<double>(dry.size()), 1e-12));
  const auto& mass = r.group("water").variable("mass").values;
  CHECK_THAT(s.water_kg, rel(std::accumulate(mass.begin(), mass.end(), 0.0), 1e-12));
  CHECK_THAT(std::accumulate(s.fate_fraction.begin(), s.fate_fraction.end(), 0.0), rel(1.0, 1e-12));
  REQUIRE(s.last_head.has_value());
  CHECK(s.last_head->name == "6");
  CHECK(s.last_head->pressure_Pa == 2.9e5);
  CHECK(s.peak_loss_hour_h == 13.0);
  CHECK(s.mist_then_kg_per_m2 == 0.08);
  const auto& mist = r.group("bench").variable("mist_on_leaves").values;
  const auto worst =
      static_cast<std::size_t>(std::max_element(dry.begin(), dry.end()) - dry.begin());
  const double mean =
      std::accumulate(mist.begin(), mist.end(), 0.0) / static_cast<double>(mist.size());
  CHECK_THAT(s.worst_gets_ratio.value(), rel(mist[worst] / mean, 1e-12));
}

TEST_CASE("report: the hottest leaf is told in the wall clock of the house", "[report][exact]") {
  // 05:00 UTC is midnight five hours west; the sample's hump has its top at 13:00 there.
  const report::Summary s = report::summarise(test::sample_record());
  CHECK_THAT(s.hottest_hour_h, test::abs(13.0, 1.0 / 12.0));
  CHECK_THAT(s.hottest_leaf_K, rel(305.5, 1e-3));
}

TEST_CASE("report: amounts of a run of several days are means per day", "[report][law]") {
  record::Record r = test::sample_record();
  const report::Summary one = report::summarise(r);
  for (record::Group& g : r.groups)
    if (g.name == "series")
      for (double& us : g.variables[0].values) us *= 3.0;
  const report::Summary three = report::summarise(r);
  CHECK_THAT(three.days_number, rel(3.0, 1e-12));
  CHECK(three.by_days);
  CHECK_FALSE(one.by_days);
  // The hump's top at 13:00 is now three times as long after midnight.
  CHECK_THAT(three.hottest_hour_h, test::abs(39.0, 0.25));
  CHECK_THAT(three.worst.dry_s, rel(one.worst.dry_s / 3.0, 1e-12));
  CHECK_THAT(three.water_kg, rel(one.water_kg / 3.0, 1e-12));
  CHECK_THAT(three.medium_gets_kg_per_m2, rel(one.medium_gets_kg_per_m2 / 3.0, 1e-12));
}

TEST_CASE("report: leaves count as dry only past the stated time", "[report][law]") {
  const record::Record r = test::sample_record();
  const auto& dry = r.group("leaves").variable("dry_time").values;
  const double half = report::summarise(r, 5000.0).dry_leaf_share_fraction;
  const auto beyond = std::count_if(dry.begin(), dry.end(), [](double s) { return s > 5000.0; });
  CHECK_THAT(half, rel(static_cast<double>(beyond) / static_cast<double>(dry.size()), 1e-12));
  CHECK(half < report::summarise(r, 600.0).dry_leaf_share_fraction);
}

TEST_CASE("report: a record without what the layout promises is refused by name",
          "[report][input]") {
  const auto change = [](const char* group, const std::function<void(record::Group&)>& act) {
    record::Record r = test::sample_record();
    for (record::Group& g : r.groups)
      if (g.name == group) act(g);
    return r;
  };
  record::Record r = test::sample_record();
  std::erase_if(r.groups, [](const record::Group& g) { return g.name == "water"; });
  CHECK_THROWS_WITH(report::summarise(r), "the record holds no group water");
  r = change("leaves", [](record::Group& g) {
    std::erase_if(g.variables, [](const record::Variable& v) { return v.name == "dry_time"; });
  });
  CHECK_THROWS_WITH(report::summarise(r), "group leaves holds no variable dry_time");
  r = change("bench", [](record::Group& g) {
    for (record::Variable& v : g.variables)
      if (v.name == "bare_minutes") v.dimensions = {"cell", "hour"};
  });
  CHECK_THROWS_WITH(report::summarise(r),
                    "bench/bare_minutes should run along hour, cell, not along cell, hour");
  r = change("series", [](record::Group& g) {
    for (record::Variable& v : g.variables) v.values.clear();
  });
  CHECK_THROWS_WITH(report::summarise(r), "series/time is empty");
}
