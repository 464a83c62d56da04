#include "models/water/head.h"

#include <cmath>

#include "tests/support/catch.h"
#include "tests/water/networks.h"

using namespace mistwright;
using namespace mistwright::water;
using test::abs;
using test::rel;

TEST_CASE("water: orifices pass what Bernoulli with a coefficient of 0.6 says", "[water][exact]") {
  // Rows in L/h, rounded to two decimals, from q = Cd A sqrt(2 p / rho) at 998.2 kg/m3.
  const auto litres_an_hour = [](double diameter_m, double pressure_Pa) {
    return orifice_flow_m3_per_s({.diameter_m = diameter_m}, pressure_Pa) / test::litre_per_h;
  };
  CHECK_THAT(litres_an_hour(0.2e-3, 70e5), abs(8.04, 0.005));
  CHECK_THAT(litres_an_hour(0.5e-3, 3e5), abs(10.40, 0.005));
  CHECK_THAT(litres_an_hour(1.0e-3, 3e5), abs(41.59, 0.005));
  CHECK(litres_an_hour(1.0e-3, -1.0) == 0.0);
}

TEST_CASE("water: a head passes its rated flow and the square root of two at twice the pressure",
          "[water][exact]") {
  const HeadType type = test::plain_head();
  CHECK_THAT(head_flow_m3_per_s(type, 2.8e5), rel(60e-3 / 3600.0, 1e-15));
  CHECK_THAT(head_flow_m3_per_s(type, 5.6e5) / head_flow_m3_per_s(type, 2.8e5),
             rel(std::sqrt(2.0), 1e-15));
  CHECK(head_flow_m3_per_s(type, 0.0) == 0.0);
  CHECK(head_flow_m3_per_s(type, -1e5) == 0.0);
}

TEST_CASE("water: a head's exponent is the slope of its flow on logarithmic scales",
          "[water][exact]") {
  HeadType type = test::plain_head();
  type.flow_exponent = 0.62;
  const double ratio = head_flow_m3_per_s(type, 3e5) / head_flow_m3_per_s(type, 1e5);
  CHECK_THAT(std::log(ratio) / std::log(3.0), rel(0.62, 1e-12));
}

TEST_CASE("water: a starved head throws larger drops by Lefebvre's power", "[water][exact]") {
  HeadType type = test::plain_head();
  type.spectrum_exponent = 0.3;
  CHECK_THAT(head_dv50_m(type, 2.8e5), rel(150e-6, 1e-15));
  CHECK_THAT(head_dv50_m(type, 1.4e5), rel(150e-6 * std::pow(2.0, 0.3), 1e-12));
}
