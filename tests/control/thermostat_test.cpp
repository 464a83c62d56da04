#include "models/control/thermostat.h"

#include "tests/support/catch.h"

using mistwright::control::Thermostat;

TEST_CASE("control: a thermostat keeps its state between its two temperatures",
          "[control][exact]") {
  const Thermostat fan{.on_above_K = 303.15, .off_below_K = 300.15};
  CHECK_FALSE(fan.next(false, 302.0));
  CHECK(fan.next(true, 302.0));
  CHECK(fan.next(false, 303.15));
  CHECK_FALSE(fan.next(true, 300.15));
  CHECK(fan.threshold_K(false) == 303.15);
  CHECK(fan.threshold_K(true) == 300.15);
}

TEST_CASE("control: a slow rise and fall switches a thermostat once each way", "[control][law]") {
  const Thermostat fan{.on_above_K = 303.15, .off_below_K = 300.15};
  bool on = false;
  int switches = 0;
  for (int i = 0; i <= 2000; ++i) {
    const double temperature_K = 298.0 + (i <= 1000 ? i : 2000 - i) * 0.008;
    const bool now = fan.next(on, temperature_K);
    if (now != on) ++switches;
    on = now;
  }
  CHECK(switches == 2);
  CHECK_FALSE(on);
}
