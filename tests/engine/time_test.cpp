#include "sim/engine/time.h"

#include <cmath>

#include "models/random.h"
#include "tests/support/catch.h"

using namespace mistwright;

namespace {

constexpr std::int64_t hour_us = 3'600'000'000;

SimTime at_s(std::int64_t s) {
  return SimTime{std::chrono::seconds{s}};
}

}  // namespace

TEST_CASE("engine: a real number of seconds is rounded up to the next microsecond",
          "[engine][exact]") {
  CHECK(duration_up(0.0).count() == 0);
  CHECK(duration_up(1e-6).count() == 1);
  CHECK(duration_up(1e-12).count() == 1);
  CHECK(duration_up(2.5e-6).count() == 3);
  CHECK(duration_up(86'400.0).count() == 86'400'000'000);
  CHECK(duration_up(-2.5e-6).count() == -2);
  Random random(6, stream_of("durations"));
  for (int i = 0; i < 1000; ++i) {
    const double duration_s = 1e5 * random.uniform();
    const double micro = static_cast<double>(duration_up(duration_s).count());
    CHECK(micro >= duration_s * 1e6);
    CHECK(micro < duration_s * 1e6 + 1.0);
  }
}

TEST_CASE("engine: the wall clock is UTC plus the zone and an hour more between the two instants",
          "[engine][worked]") {
  // Eastern time of 2025: clocks go forward at 07:00 UTC on 9 March and back at 06:00 UTC on
  // 2 November (the rule of the US Energy Policy Act of 2005; seconds since 1970 by date(1)).
  CivilClock civil;
  civil.start_utc_s = 1'741'496'400;  // 2025-03-09T05:00Z, midnight of standard time
  civil.utc_offset_s = -5 * 3600;
  civil.daylight_saving = true;
  civil.daylight_from_utc_s = 1'741'503'600;
  civil.daylight_to_utc_s = 1'762'063'200;
  CHECK(civil.time_of_day_us(run_start) == 0);
  CHECK(civil.time_of_day_us(at_s(7199)) == 2 * hour_us - 1'000'000);
  CHECK(civil.time_of_day_us(at_s(7200)) == 3 * hour_us);  // 02:00 does not exist
  CHECK(civil.time_of_day_us(at_s(7200) - SimDuration{1}) == 2 * hour_us - 1);
  const std::int64_t back = civil.daylight_to_utc_s - civil.start_utc_s;
  CHECK(civil.time_of_day_us(at_s(back - 1)) == 2 * hour_us - 1'000'000);
  CHECK(civil.time_of_day_us(at_s(back)) == hour_us);  // 01:00 comes twice
  CHECK(civil.time_of_day_us(at_s(back - 3600)) == hour_us);
  CHECK(civil.utc_s(at_s(90)) == 1'741'496'490.0);
  civil.daylight_saving = false;
  CHECK(civil.time_of_day_us(at_s(7200)) == 2 * hour_us);
}

TEST_CASE("engine: the time of day stays within the day east and west of Greenwich and before 1970",
          "[engine][law]") {
  for (const std::int64_t offset_h : {-12, -5, 0, 9, 14}) {
    for (const std::int64_t start : {std::int64_t{-1'000'000'007}, std::int64_t{1'741'496'400}}) {
      CivilClock civil;
      civil.start_utc_s = start;
      civil.utc_offset_s = offset_h * 3600;
      std::int64_t before = civil.time_of_day_us(run_start);
      for (std::int64_t s = 977; s < 200'000; s += 977) {
        const std::int64_t now = civil.time_of_day_us(at_s(s));
        CHECK((now >= 0 && now < 24 * hour_us));
        CHECK((now - before == 977'000'000 || now - before == 977'000'000 - 24 * hour_us));
        before = now;
      }
    }
  }
}
