// What the benchmarks claim of accuracy, on a few hours with a thousand leaves. Times are no test.
#include "tests/bench/cvode_day.h"
#include "tests/bench/fixed_day.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::bench;

namespace {

/// Three hours about the fan's first switchings.
const Day& three_hours() {
  static const Day day =
      record_day({.leaves_number = 20000.0, .span_s = 10800.0, .start_hour = 9.0});
  return day;
}

Answer reference() {
  HouseOde ode(three_hours());
  return cvode_day(ode, {CvodeSolver::BdfKrylovBlocks, 1e-6, true}, true);
}

}  // namespace

TEST_CASE("bench: the engine's day agrees with CVODE on the same equations", "[bench][library]") {
  const Answer engine = engine_answer(three_hours());
  const Answer truth = reference();
  REQUIRE(truth.switchings > 4);
  CHECK(engine.switchings == truth.switchings);
  const Errors off = errors(engine, truth);
  CAPTURE(off.air_rms_K, off.air_max_K, off.film_max_m, off.film_mean_m, off.dry_mean_s);
  CHECK(off.air_rms_K < 0.05);
  CHECK(off.film_mean_m < 0.05e-6);
  CHECK(off.dry_mean_s < 6.0);
}

TEST_CASE("bench: the engine's day nears CVODE's as its stretches shorten", "[bench][library]") {
  // The fan rests: where its threshold is grazed just before a burst, a millikelvin shifts the
  // switching to the burst's other side.
  DayChoice choice{.leaves_number = 20000.0,
                   .span_s = 7200.0,
                   .start_hour = 12.0,
                   .air_step_s = 120.0,
                   .fan_rests = true};
  // Each against a reference with its own bursts: what dries in flight leans on the air.
  const auto apart = [](const Day& day) {
    HouseOde ode(day);
    const Answer truth = cvode_day(ode, {CvodeSolver::BdfKrylovBlocks, 1e-6, true}, true);
    REQUIRE(truth.switchings == 0);
    return errors(engine_answer(day), truth);
  };
  const Errors far = apart(record_day(choice));
  choice.air_step_s = 5.0;
  const Errors near = apart(record_day(choice));
  CAPTURE(far.air_rms_K, near.air_rms_K, far.dry_mean_s, near.dry_mean_s, far.film_mean_m,
          near.film_mean_m);
  CHECK(near.air_rms_K < 0.4 * far.air_rms_K);
  CHECK(near.film_mean_m < 0.4 * far.film_mean_m);
  CHECK(near.dry_mean_s < 0.5 * far.dry_mean_s);
}

TEST_CASE("bench: Adams and BDF of CVODE agree on the house with vectors of either kind",
          "[bench][library]") {
  DayChoice choice{.leaves_number = 1000.0, .span_s = 5400.0, .start_hour = 10.5};
  const Day day = record_day(choice);
  HouseOde ode(day);
  const Answer truth = cvode_day(ode, reference_setting, true);
  for (const bool vectorised : {true, false}) {
    const Answer adams = cvode_day(ode, {CvodeSolver::AdamsFixedPoint, 1e-6, vectorised}, true);
    const Errors off = errors(adams, truth);
    CAPTURE(vectorised, off.air_rms_K, off.film_max_m, off.dry_mean_s);
    CHECK(adams.switchings == truth.switchings);
    CHECK(off.air_rms_K < 1e-3);
    CHECK(off.film_max_m < 0.05e-6);
    CHECK(off.dry_mean_s < 0.5);
  }
}

TEST_CASE("bench: loops of one second in float and double stay near CVODE", "[bench][library]") {
  const Answer truth = reference();
  HouseOde ode(three_hours());
  const Errors single = errors(fixed_day<float>(ode, true), truth);
  const Errors twofold = errors(fixed_day<double>(ode, true), truth);
  CAPTURE(single.air_rms_K, single.dry_mean_s, twofold.air_rms_K, twofold.dry_mean_s);
  CHECK(single.air_rms_K < 0.2);
  CHECK(twofold.air_rms_K < 0.2);
  CHECK(single.dry_mean_s < 60.0);
  CHECK(twofold.dry_mean_s < 60.0);
}
