#include "models/contracts.h"

#include <string>

#include "tests/support/catch.h"

using namespace mistwright;

namespace {

double checked_half(double value) {
  EXPECT(value >= 0.0);
  const double half = 0.5 * value;
  ENSURE(half <= 10.0);
  return half;
}

}  // namespace

TEST_CASE("base: a broken condition stops with its text and its place", "[base][law]") {
  CHECK(checked_half(4.0) == 2.0);
  CHECK_THROWS_AS(checked_half(-1.0), ContractError);
  CHECK_THROWS_WITH(checked_half(-1.0), Catch::Contains("EXPECT failed: value >= 0.0") &&
                                            Catch::Contains("contracts_test.cpp:"));
  CHECK_THROWS_WITH(checked_half(30.0), Catch::Contains("ENSURE failed: half <= 10.0"));
}

TEST_CASE("base: a condition that is not a number is a broken condition", "[base][law]") {
  CHECK_THROWS_AS(checked_half(std::stod("nan")), ContractError);
}
