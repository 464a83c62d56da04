#include "models/flow/paths.h"

#include <cmath>
#include <utility>
#include <vector>

#include "tests/support/catch.h"

using namespace mistwright::flow;
using mistwright::test::rel;

namespace {

const std::vector<std::pair<double, double>> curve{{0.0, 60.0}, {0.3, 35.0}, {0.5, 0.0}};
const std::vector<std::pair<double, double>> cut_short{{0.2, 50.0}, {0.5, 0.0}};

const std::vector<PathLaw>& laws() {
  static const std::vector<PathLaw> all{Orifice{0.4, 0.6}, Orifice{0.4, 0.6, 0.0},
                                        Crack{0.01},       Crack{0.01, 0.65, 0.0},
                                        FanPath{curve},    FanPath{cut_short}};
  return all;
}

}  // namespace

TEST_CASE("flow: one square metre with Cd 0.6 passes 2.449 m3/s at 10 Pa and 1.2 kg/m3",
          "[flow][worked]") {
  // By hand: 0.6 sqrt(20 / 1.2).
  CHECK_THAT(orifice_flow({1.0, 0.6}, 10.0, 1.2).flow_m3_per_s, rel(2.449, 0.5e-3 / 2.449));
  CHECK_THAT(orifice_flow({1.0, 0.6}, -10.0, 1.2).flow_m3_per_s, rel(-2.449, 0.5e-3 / 2.449));
}

TEST_CASE("flow: a crack passes 4.467 times as much at 10 Pa as at 1 Pa", "[flow][exact]") {
  CHECK_THAT(crack_flow({0.02}, 10.0).flow_m3_per_s, rel(0.02 * std::pow(10.0, 0.65), 1e-12));
}

TEST_CASE("flow: the slope of every path is the quotient of small differences", "[flow][exact]") {
  for (std::size_t n = 0; n < laws().size(); ++n) {
    // Off the kinks of the laws.
    for (const double fall_Pa :
         {-61.3, -52.2, -41.0, -20.0, -3.0, -0.3, -0.004, 0.002, 0.05, 1.0, 17.0}) {
      const double h = 1e-6 * std::fabs(fall_Pa);
      const double quotient = (path_flow(laws()[n], fall_Pa + h, 1.2).flow_m3_per_s -
                               path_flow(laws()[n], fall_Pa - h, 1.2).flow_m3_per_s) /
                              (2.0 * h);
      CAPTURE(n, fall_Pa);
      CHECK_THAT(path_flow(laws()[n], fall_Pa, 1.2).slope_m3_per_s_Pa,
                 mistwright::test::abs(quotient, 1e-6 * std::fabs(quotient) + 1e-9));
    }
  }
}

TEST_CASE("flow: no path jumps or falls as its fall of pressure grows", "[flow][law]") {
  for (std::size_t n = 0; n < laws().size(); ++n) {
    double last = path_flow(laws()[n], -70.0, 1.2).flow_m3_per_s;
    for (double fall_Pa = -70.0; fall_Pa < 5.0; fall_Pa += 1e-3) {
      const double now = path_flow(laws()[n], fall_Pa, 1.2).flow_m3_per_s;
      CAPTURE(n, fall_Pa);
      REQUIRE(now >= last);
      // The steepest is the bare root through rest: 0.24 sqrt(2e-3 / 1.2).
      REQUIRE(now - last < 0.02);
      last = now;
    }
  }
}

TEST_CASE("flow: the linear branch meets its law where it ends and is the law beyond",
          "[flow][exact]") {
  const Orifice bent{0.4, 0.6, 0.01}, bare{0.4, 0.6, 0.0};
  CHECK_THAT(orifice_flow(bent, 0.01 * (1.0 - 1e-12), 1.2).flow_m3_per_s,
             rel(orifice_flow(bare, 0.01, 1.2).flow_m3_per_s, 1e-9));
  CHECK(orifice_flow(bent, 0.02, 1.2).flow_m3_per_s == orifice_flow(bare, 0.02, 1.2).flow_m3_per_s);
  CHECK_THAT(orifice_flow(bent, 0.0025, 1.2).flow_m3_per_s,
             rel(orifice_flow(bare, 0.01, 1.2).flow_m3_per_s / 4.0, 1e-12));
}

TEST_CASE("flow: shut openings tight walls and resting fans pass nothing", "[flow][law]") {
  CHECK_FALSE(passes(Orifice{0.0}));
  CHECK_FALSE(passes(Crack{0.0}));
  CHECK_FALSE(passes(FanPath{curve, false}));
  CHECK_FALSE(passes(FanPath{}));
  CHECK(passes(FanPath{curve}));
  CHECK(fan_flow({curve, false}, 5.0).flow_m3_per_s == 0.0);
  CHECK(fan_flow({cut_short}, -closing_pressure_Pa({cut_short})).flow_m3_per_s == 0.0);
}
