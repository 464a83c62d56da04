#include "models/water/supply.h"

#include "tests/support/catch.h"
#include "tests/water/networks.h"

using namespace mistwright;
using namespace mistwright::water;
using test::rel;

TEST_CASE("water: a hose bib keeps its static pressure at rest and none in the bucket test",
          "[water][exact]") {
  const Supply bib = test::hose_bib(3.5, 18.0);
  CHECK(supply_pressure_Pa(bib, 0.0) == 3.5e5);
  CHECK_THAT(supply_pressure_Pa(bib, 9.0 * test::litre_per_min), rel(0.75 * 3.5e5, 1e-12));
  CHECK(std::abs(supply_pressure_Pa(bib, 18.0 * test::litre_per_min)) < 1e-6);
}

TEST_CASE("water: a bucket test under pressure passes through its own point", "[water][exact]") {
  Supply bib = test::hose_bib(3.4, 20.0);
  bib.bucket_pressure_Pa = 1.0e5;
  CHECK_THAT(supply_pressure_Pa(bib, 20.0 * test::litre_per_min), rel(1.0e5, 1e-12));
}

TEST_CASE("water: a pump is read between its points and continued beyond them", "[water][exact]") {
  Supply pump;
  pump.curve = {{0.0, 4e5}, {1e-3, 3e5}, {2e-3, 1e5}};
  CHECK_THAT(supply_pressure_Pa(pump, 0.5e-3), rel(3.5e5, 1e-12));
  CHECK_THAT(supply_pressure_Pa(pump, 1.0e-3), rel(3.0e5, 1e-12));
  CHECK_THAT(supply_pressure_Pa(pump, 1.25e-3), rel(2.5e5, 1e-12));
  CHECK_THAT(supply_pressure_Pa(pump, 2.25e-3), rel(0.5e5, 1e-12));
}

TEST_CASE("water: a supply without bucket test and curve never sags", "[water][exact]") {
  Supply tank;
  tank.static_pressure_Pa = 6e4;
  CHECK(supply_pressure_Pa(tank, 0.01) == 6e4);
}
