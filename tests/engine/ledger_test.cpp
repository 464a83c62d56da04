#include "sim/engine/ledger.h"

#include <cmath>

#include "models/random.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::engine;
using mistwright::test::rel;

TEST_CASE("engine: a running sum keeps what plain addition drops", "[engine][exact]") {
  // Neumaier 1974's example (from memory): 1 + 1e100 + 1 - 1e100 is 2.
  Sum sum;
  for (const double x : {1.0, 1e100, 1.0, -1e100}) sum.add(x);
  CHECK(sum.value() == 2.0);
}

TEST_CASE("engine: ten million small amounts add up to the last digit", "[engine][exact]") {
  Sum sum;
  double plain = 0.0;
  sum.add(1e6);
  plain += 1e6;
  for (int i = 0; i < 10'000'000; ++i) {
    sum.add(0x1p-40);  // a power of two: its true sum is exact
    plain += 0x1p-40;
  }
  const double exact = 1e6 + 1e7 * 0x1p-40;
  CHECK(std::abs(sum.value() - exact) <= 0x1p-33);  // half a last digit of a number near 1e6
  CHECK(std::abs(plain - exact) > 1e-6);
}

TEST_CASE("engine: a balance closes to round-off and a leak of 1e-7 passes its tolerance",
          "[engine][law]") {
  Random random(5, stream_of("balance"));
  for (int day = 0; day < 100; ++day) {
    Sum in, out, leaking_out, held;
    for (int i = 0; i < 2000; ++i) {
      const double amount = std::pow(10.0, -6.0 + 6.0 * random.uniform());
      const double leaves = random.uniform();
      in.add(amount);
      out.add(leaves * amount);
      leaking_out.add(leaves * amount * (1.0 - 1e-7));
      held.add(amount);
      held.add(-leaves * amount);
    }
    Balance balance{"water", "kg", in.value(), out.value(), held.value(), held.value()};
    CHECK(balance.relative_residual() < 1e-14);
    balance.outflow = leaking_out.value();
    CHECK(balance.relative_residual() > audit_tolerance_fraction);
    CHECK_THAT(balance.residual(), rel(1e-7 * out.value(), 1e-6));
  }
}

TEST_CASE("engine: the residual is measured against what came and went and is held",
          "[engine][exact]") {
  const Balance balance{"heat", "J", 10.0, 4.0, 5.0, 86.0};
  CHECK(balance.residual() == 1.0);
  CHECK_THAT(balance.relative_residual(), rel(0.01, 1e-15));
  CHECK(Balance{"nothing", "kg"}.relative_residual() == 0.0);
  const Balance backwards{"heat", "J", -10.0, -4.0, -5.0, -86.0};
  CHECK_THAT(backwards.relative_residual(), rel(0.01, 1e-15));
}
