#include "sim/report/places.h"

#include "tests/report/sample_record.h"
#include "tests/support/catch.h"

using namespace mistwright;

TEST_CASE("report: places are said by bench and end and the heads about them", "[report][exact]") {
  const report::Places places(test::sample_record());
  CHECK(places.words(5.3, 3.2) == "north bench, fan end, beyond head 6");
  CHECK(places.words(4.2, 2.7) == "north bench, fan end, between heads 5 and 6");
  CHECK(places.words(3.0, 2.5) == "north bench, middle, between heads 4 and 5");
  CHECK(places.words(2.5, 0.9) == "south bench, door end, by head 1");
  CHECK(places.words(0.5, 1.8).starts_with("0.5 m along and 1.8 m across"));
}

TEST_CASE("report: without door and fan the ends are named by the compass", "[report][exact]") {
  record::Record r = test::sample_record();
  for (record::Group& g : r.groups) {
    if (g.name != "house") continue;
    for (record::Variable& v : g.variables) {
      if (v.name == "fan_wall") v.values = {5.0};
      if (v.name == "opening_wall") v.values = {4.0, 4.0};
    }
  }
  const report::Places places(r);
  CHECK(places.end_words(false) == "west end");
  CHECK(places.end_words(true) == "east end");
}

TEST_CASE("report: a fan in a side wall names that side", "[report][exact]") {
  record::Record r = test::sample_record();
  for (record::Group& g : r.groups)
    for (record::Variable& v : g.variables)
      if (v.name == "fan_wall") v.values = {3.0};
  CHECK(report::Places(r).words(5.3, 3.2) == "north bench, east end, fan side, beyond head 6");
}

TEST_CASE(
    "report: named heads and benches are said with what they are and heads of the bench come first",
    "[report][exact]") {
  record::Record r = test::sample_record({.north_name = "left"});
  for (record::Group& g : r.groups)
    for (record::Variable& v : g.variables)
      if (g.name == "heads" && v.name == "head")
        v.flag_meanings = {"right 1", "right 2", "right 3", "left 1", "left 2", "left 3"};
  const report::Places places(r);
  // Nearer to a head of the other bench than to the second of its own.
  CHECK(places.words(1.9, 2.15) == "left bench, door end, beyond head left 1");
  CHECK(places.words(3.0, 2.5) == "left bench, middle, between heads left 1 and left 2");
}
