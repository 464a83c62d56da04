// What stands beside the pictures: numbers in short, switchings, data for the script.
#include "sim/report/json.h"

#include <limits>

#include "sim/report/map_words.h"
#include "sim/report/switches.h"
#include "tests/report/sample_record.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using namespace mistwright::report;

TEST_CASE("report: least and median and most are those of the values by hand", "[report][worked]") {
  const Spread even = spread_of({4.0, 1.0, 3.0, 2.0});
  CHECK(even.low == 1.0);
  CHECK(even.median_number == 2.5);
  CHECK(even.high == 4.0);
  CHECK(even.low_place == 1);
  CHECK(even.high_place == 0);
  CHECK(spread_of({5.0, std::numeric_limits<double>::quiet_NaN(), 7.0, 9.0}).median_number == 7.0);
  CHECK(spread_of({}).high == 0.0);
  CHECK(spread_words(even, 2, "mm") == "least 1.00, median 2.50, most 4.00 mm");
}

// The poorest two of eight hold 1 + 2 of a mean of 4.5: 1.5 / 4.5 = one third.
TEST_CASE("report: the poorest quarter's share is that of a sum by hand", "[report][worked]") {
  CHECK_THAT(low_quarter_ratio({8.0, 7.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0}),
             test::rel(1.0 / 3.0, 1e-12));
  CHECK(low_quarter_ratio({0.0, 0.0}) == 0.0);
}

TEST_CASE("report: thirds share out every cell of every bench once", "[report][law]") {
  const Plan plan(test::sample_record());
  const std::vector<Third> thirds = thirds_of(plan);
  CHECK(thirds.size() == 6);
  std::vector<int> seen(plan.x_m().size(), 0);
  for (const Third& third : thirds)
    for (const std::size_t cell : third.cells) ++seen[cell];
  CHECK(seen == std::vector<int>(seen.size(), 1));
}

TEST_CASE("report: switchings and bursts are counted from the events", "[report][exact]") {
  const record::Record r = test::sample_record();
  const Day day(r);
  const Switches s = switches_of(r, day);
  CHECK(s.bursts_h.size() == 3);
  CHECK_THAT(s.bursts_h[1], test::rel(6.0 + 1.0 / 3.0, 1e-12));
  CHECK_THAT(s.told_s, test::rel(21.0, 1e-12));
  REQUIRE(s.rows.size() == 2);
  CHECK(s.rows[0].count_number == std::vector<double>{0.0, 1.0, 0.0});
  CHECK_THAT(s.rows[0].on_h, test::rel(1.0 / 6.0, 1e-9));
  // One vent is open from the start; both while the fan runs; none after.
  CHECK(s.rows[1].count_number == std::vector<double>{1.0, 2.0, 0.0});
  CHECK_THAT(s.rows[1].on_h, test::rel(7.0 + 1.0 / 6.0, 1e-9));
  CHECK(switches_figure(s, day).find("3 bursts of 7\u00a0s in the mean") != std::string::npos);
}

TEST_CASE("report: text in data blocks cannot end them and numbers are short", "[report][input]") {
  CHECK(json_text("</script>&\"\\") == "\"\\u003c/script\\u003e\\u0026\\\"\\\\\"");
  CHECK(json_text("\xe2\x80\xae") == "\"\\\\u{202e}\"");
  CHECK(json_number(1.50, 3) == "1.5");
  CHECK(json_number(-0.0001, 2) == "0");
  CHECK(json_number(100.0, 0) == "100");
  CHECK(json_number(std::numeric_limits<double>::infinity(), 2) == "null");
  CHECK(json_list(std::vector<double>{1.0, 2.25}, 1) == "[1,2.2]");
}
