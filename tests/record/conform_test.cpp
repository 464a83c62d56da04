#include "sim/record/conform.h"

#include <cmath>

#include "models/contracts.h"
#include "sim/record/house_group.h"
#include "tests/report/sample_record.h"
#include "tests/support/catch.h"

using namespace mistwright;

namespace {

record::Record one(record::Variable variable) {
  return {.attributes = {},
          .groups = {{.name = "g", .dimensions = {{"n", 2}}, .variables = {std::move(variable)}}}};
}

record::Variable good() {
  return {.name = "a", .long_name = "a", .units = "m", .dimensions = {"n"}, .values = {1.0, 2.0}};
}

}  // namespace

TEST_CASE("record: what the CF conventions forbid is refused before anything is written",
          "[record][input]") {
  CHECK_NOTHROW(record::conforming(one(good())));
  auto v = good();
  v.name = std::string("2a");
  CHECK_THROWS_AS(record::conforming(one(v)), ContractError);
  v = good();
  v.name = std::string("N");  // the coordinate n is there too
  CHECK_THROWS_AS(record::conforming(one(v)), ContractError);
  v = good();
  v.units.clear();
  CHECK_THROWS_AS(record::conforming(one(v)), ContractError);
  v = good();
  v.values.pop_back();
  CHECK_THROWS_AS(record::conforming(one(v)), ContractError);
  v = good();
  v.whole = true;
  v.values[1] = 0.5;
  CHECK_THROWS_AS(record::conforming(one(v)), ContractError);
  v = good();
  v.whole = true;
  v.flag_meanings = {"none", "one"};
  CHECK_THROWS_AS(record::conforming(one(v)), ContractError);
}

TEST_CASE("record: a dimension without coordinate is given a counting one and times a calendar",
          "[record][law]") {
  auto time = good();
  time.name = std::string("when");
  time.units = "microseconds since 2027-05-28T00:00:00Z";
  const record::Record r = record::conforming(one(time));
  CHECK(r.group("g").variable("n").values == std::vector<double>{0.0, 1.0});
  CHECK(r.group("g").variable("when").attributes.at("calendar") == "standard");
  CHECK(r.attributes.at("Conventions") == "CF-1.10");
}

TEST_CASE("record: places along a bench are named as coordinates of what lies there",
          "[record][law]") {
  const record::Record r = record::conforming(test::sample_record());
  CHECK(r.group("bench").variable("dry_time").attributes.at("coordinates") == "x y");
  CHECK(r.group("heads").variable("pressure").attributes.at("coordinates") == "x y z");
}

TEST_CASE("record: the digest sees every value and shape but no attribute", "[record][law]") {
  const record::Record r = test::sample_record();
  const std::string digest = record::content_sha256(record::conforming(r));
  auto changed = r;
  changed.attributes["history"] = "another day";
  CHECK(record::content_sha256(record::conforming(changed)) == digest);
  changed = r;
  changed.groups[1].variables[7].values[3] =
      std::nextafter(changed.groups[1].variables[7].values[3], 1e9);
  CHECK(record::content_sha256(record::conforming(changed)) != digest);
}

TEST_CASE("record: the table of assumed values survives being text", "[record][law]") {
  const std::vector<Assumed> rows{{"a.b", "1\t2", "0", "3", "source", "two\nlines"},
                                  {"c", "4 mm", "", "", "ours", "m"}};
  const auto back = record::assumed_rows(record::assumed_text(rows));
  REQUIRE(back.size() == 2);
  CHECK(back[0].value == "1 2");
  CHECK(back[0].meaning == "two lines");
  CHECK(back[1].evidence == "ours");
  CHECK(back[1].low.empty());
}
