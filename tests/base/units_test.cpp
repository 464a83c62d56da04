#include "models/units.h"

#include "models/id.h"
#include "tests/support/catch.h"

using namespace mistwright;
using test::abs;
using test::rel;

TEST_CASE("base: constants agree with one another as their sources relate them",
          "[base][published]") {
  // CODATA 2018 molar gas constant 8.314462618 J/(mol K); molar masses 28.966 g/mol of dry air
  // (ASHRAE 2017) and 18.015268 g/mol of water (ASHRAE 2017).
  CHECK_THAT(gas_constant_dry_air_J_per_kg_K, rel(8.314462618 / 28.966e-3, 2e-5));
  CHECK_THAT(gas_constant_vapour_J_per_kg_K, rel(8.314462618 / 18.015268e-3, 2e-5));
  CHECK_THAT(molar_mass_ratio, rel(18.015268 / 28.966, 2e-5));
  // Stefan and Boltzmann's constant from those of Boltzmann, Planck and light (exact since 2019).
  const double k = 1.380649e-23, h = 6.62607015e-34, c = 299792458.0;
  CHECK_THAT(stefan_boltzmann_W_per_m2_K4,
             rel(2.0 * pi * pi * pi * pi * pi * k * k * k * k / (15.0 * h * h * h * c * c), 1e-9));
}

TEST_CASE("base: temperatures and angles convert there and back", "[base][exact]") {
  CHECK(kelvin(0.0) == 273.15);
  CHECK_THAT(celsius(kelvin(36.6)), abs(36.6, 1e-12));
  CHECK_THAT(radians(180.0), rel(pi, 1e-15));
  CHECK_THAT(degrees(radians(57.0)), rel(57.0, 1e-15));
}

TEST_CASE("base: indices of one kind compare and keep their value", "[base][law]") {
  struct Head;
  const Id<Head> first(std::size_t{3}), second(std::size_t{4});
  CHECK(first < second);
  CHECK(first == Id<Head>(std::size_t{3}));
  CHECK(second.index() == 4);
}
