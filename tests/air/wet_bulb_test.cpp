#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/random.h"
#include "models/units.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using test::abs;

namespace {

// ASHRAE 2017 chapter 1 equations 33 and 35, solved for the humidity ratio.
double ashrae_humidity_ratio(double t, double t_star, double pressure_Pa) {
  const double W_star =
      air::humidity_ratio(air::saturation_pressure_Pa(kelvin(t_star)), pressure_Pa);
  if (kelvin(t_star) >= air::triple_point_K) {
    return ((2501.0 - 2.326 * t_star) * W_star - 1.006 * (t - t_star)) /
           (2501.0 + 1.86 * t - 4.186 * t_star);
  }
  return ((2830.0 - 0.24 * t_star) * W_star - 1.006 * (t - t_star)) /
         (2830.0 + 1.86 * t - 2.1 * t_star);
}

}  // namespace

TEST_CASE("air: wet bulbs of worked examples are met within 0.05 K", "[air][worked]") {
  int rows = 0;
  for (const auto& row : test::table("wet_bulb_examples.csv")) {
    const double T = kelvin(row.number("temperature_degC"));
    const double p = row.number("pressure_Pa");
    const double W =
        row.empty("humidity_ratio")
            ? air::humidity_ratio(
                  row.number("relative_humidity_fraction") * air::saturation_pressure_Pa(T), p)
            : row.number("humidity_ratio");
    CAPTURE(row.text("origin"), row.text("temperature_degC"));
    CHECK_THAT(celsius(air::wet_bulb_K({T, W, p})), abs(row.number("wet_bulb_degC"), 0.05));
    ++rows;
  }
  CHECK(rows == 4);
}

TEST_CASE("air: the hard case of 7 degC and 61 % and 100 kPa gives 3.9267 degC within 0.1 %",
          "[air][worked]") {
  const double T = kelvin(7.0);
  const double W = air::humidity_ratio(0.61 * air::saturation_pressure_Pa(T), 1e5);
  CHECK_THAT(celsius(air::wet_bulb_K({T, W, 1e5})), abs(3.92667, 0.0039));
}

TEST_CASE("air: wet bulb undoes ASHRAE equations 33 and 35 over the whole greenhouse range",
          "[air][law]") {
  Random random(11, stream_of("air/wet bulb"));
  for (int i = 0; i < 2000; ++i) {
    const double p = 70e3 + 40e3 * random.uniform();
    const double t = -20.0 + 80.0 * random.uniform();
    const double t_star = std::fmax(-40.0, t - 40.0 * random.uniform());
    const double W = ashrae_humidity_ratio(t, t_star, p);
    // Near 0 degC two wet bulbs exist, one under ice and one under water: either may be found.
    if (W <= 0.0 || std::fabs(t_star) < 6.0) continue;
    CAPTURE(i, p, t, t_star, W);
    CHECK_THAT(celsius(air::wet_bulb_K({kelvin(t), W, p})), abs(t_star, 1e-7));
  }
}

TEST_CASE("air: wet bulb lies between dew point and temperature and rises with humidity",
          "[air][law]") {
  for (double t = -15.0; t <= 60.0; t += 2.5) {
    const double T = kelvin(t);
    double before = 0.0;
    for (double humidity = 0.02; humidity < 1.0; humidity += 0.02) {
      CAPTURE(t, humidity);
      const double e = humidity * air::saturation_pressure_Pa(T);
      const double wet = air::wet_bulb_K({T, air::humidity_ratio(e, 95e3), 95e3});
      CHECK(wet < T);
      CHECK(wet > air::dew_point_K(e));
      CHECK(wet > before);
      before = wet;
    }
  }
}

TEST_CASE("air: saturated and foggy air is its own wet bulb and dry air has one too",
          "[air][exact]") {
  const double T = kelvin(18.0);
  const double W = air::humidity_ratio(air::saturation_pressure_Pa(T), 1e5);
  CHECK_THAT(air::wet_bulb_K({T, W, 1e5}), abs(T, 1e-7));
  CHECK(air::wet_bulb_K({T, 1.05 * W, 1e5}) == T);
  CHECK_THAT(ashrae_humidity_ratio(50.0, celsius(air::wet_bulb_K({kelvin(50.0), 0.0, 1e5})), 1e5),
             abs(0.0, 1e-9));
  // Hotter than boiling at this pressure.
  CHECK_THAT(ashrae_humidity_ratio(120.0, celsius(air::wet_bulb_K({kelvin(120.0), 0.3, 1e5})), 1e5),
             abs(0.3, 1e-7));
}
