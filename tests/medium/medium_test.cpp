#include "models/medium/medium.h"

#include <algorithm>
#include <cmath>

#include "models/random.h"
#include "tests/leaf/scalar_ode.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::medium;
using mistwright::test::abs;
using mistwright::test::rel;

namespace {

// 60 mm of a mix with 85 % pores that holds 60 % after draining (common practice).
const MediumLaw mix{.depth_m = 0.06,
                    .porosity_fraction = 0.85,
                    .container_capacity_fraction = 0.60,
                    .needed_air_fraction = 0.15,
                    .drainage_time_s = 600.0};

MediumLaw drawn_law(Random& random) {
  MediumLaw law;
  law.depth_m = 0.03 + 0.1 * random.uniform();
  law.porosity_fraction = 0.75 + 0.2 * random.uniform();
  law.container_capacity_fraction = 0.4 + 0.3 * random.uniform();
  law.needed_air_fraction = 0.4 * random.uniform();
  law.drainage_time_s = 60.0 * std::pow(60.0, random.uniform());
  return law;
}

double drawn_loss(Random& random) {
  return 1e-6 * (random.uniform() < 0.1 ? 0.0 : 2.0 * random.normal() + 0.5);
}

}  // namespace

TEST_CASE("medium: water above container capacity drains with its e-folding time",
          "[medium][exact]") {
  const double start_m = mix.capacity_m() + 0.010;
  const MediumStep step = medium_after(start_m, 600.0, 0.0, mix);
  CHECK_THAT(step.water_m, rel(mix.capacity_m() + 0.010 * std::exp(-1.0), 1e-13));
  CHECK_THAT(step.drained_m, rel(0.010 * (1.0 - std::exp(-1.0)), 1e-13));
  CHECK(step.lost_m == 0.0);
}

TEST_CASE("medium: soggy time of a flooded mix is the drainage time to its needed air",
          "[medium][exact]") {
  // Full pores are 15 mm above capacity; soggy above 70 %: 6 mm above capacity; tau ln(15/6).
  const MediumStep step = medium_after(mix.pores_m(), 7200.0, 0.0, mix);
  CHECK_THAT(step.soggy_s, rel(600.0 * std::log(15.0 / 6.0), 1e-12));
  CHECK(medium_after(mix.capacity_m(), 7200.0, 0.0, mix).soggy_s == 0.0);
  CHECK_THAT(mix.air_fraction(mix.capacity_m()), rel(0.25, 1e-13));
}

TEST_CASE("medium: below container capacity water falls straight and stops at nothing",
          "[medium][exact]") {
  const MediumStep step = medium_after(0.010, 1000.0, 4e-6, mix);
  CHECK_THAT(step.water_m, rel(0.006, 1e-13));
  CHECK_THAT(step.lost_m, rel(0.004, 1e-13));
  CHECK(step.drained_m == 0.0);
  const MediumStep dry = medium_after(0.010, 10'000.0, 4e-6, mix);
  CHECK(dry.water_m == 0.0);
  CHECK_THAT(dry.lost_m, rel(0.010, 1e-13));
}

TEST_CASE("medium: seepage settles where drainage equals it", "[medium][exact]") {
  // 5 um/s times 600 s is 3 mm above capacity, well inside the pores.
  const MediumStep step = medium_after(0.02, 1e6, -5e-6, mix);
  CHECK_THAT(step.water_m, rel(mix.capacity_m() + 0.003, 1e-12));
  // 50 um/s would need 30 mm: the pores fill and the rest runs through.
  const MediumStep flooded = medium_after(0.02, 1e6, -50e-6, mix);
  CHECK_THAT(flooded.water_m, rel(mix.pores_m(), 1e-13));
  CHECK_THAT(flooded.drained_m, rel(50.0 - (mix.pores_m() - 0.02), 1e-12));
}

TEST_CASE("medium: any split of a span gives the same to 1e-12 and its water adds up",
          "[medium][exact]") {
  Random random(1, stream_of("medium splits"));
  for (int i = 0; i < 1000; ++i) {
    const MediumLaw law = drawn_law(random);
    const double start_m = law.pores_m() * random.uniform();
    const double loss = drawn_loss(random);
    const double span_s = 20'000.0 * random.uniform();
    const MediumStep whole = medium_after(start_m, span_s, loss, law);
    MediumStep split{.water_m = start_m};
    double done_s = 0.0;
    const int parts = 2 + i % 15;
    for (int part = 1; part <= parts; ++part) {
      const double upto_s = part == parts ? span_s : done_s + (span_s - done_s) * random.uniform();
      const MediumStep step = medium_after(split.water_m, upto_s - done_s, loss, law);
      split.water_m = step.water_m;
      split.drained_m += step.drained_m;
      split.lost_m += step.lost_m;
      split.soggy_s += step.soggy_s;
      done_s = upto_s;
    }
    CAPTURE(i, start_m, loss, span_s, parts, law.drainage_time_s);
    CHECK_THAT(split.water_m, abs(whole.water_m, 1e-12 * law.pores_m()));
    CHECK_THAT(split.drained_m, abs(whole.drained_m, 1e-12));
    CHECK_THAT(split.lost_m, abs(whole.lost_m, 1e-12));
    CHECK_THAT(split.soggy_s, abs(whole.soggy_s, 1e-11 * span_s));
    CHECK_THAT(start_m - whole.water_m - whole.drained_m - whole.lost_m,
               abs(0.0, 1e-14 + 1e-13 * std::abs(whole.drained_m)));
    CHECK(whole.soggy_s >= 0.0);
    CHECK(whole.soggy_s <= span_s);
  }
}

TEST_CASE("medium: water agrees with CVODE to 1e-9 and soggy time to 1e-6", "[medium][library]") {
  Random random(2, stream_of("medium judge"));
  int judged = 0;
  for (int i = 0; i < 200; ++i) {
    const MediumLaw law = drawn_law(random);
    const double start_m = law.pores_m() * (0.3 + 0.7 * random.uniform());
    const double loss = 1e-6 * (3.0 * random.uniform() - 0.5);
    const double span_s = 200.0 + 8000.0 * random.uniform();
    const MediumStep step = medium_after(start_m, span_s, loss, law);
    if (step.water_m <= 0.0 || step.water_m >= law.pores_m()) continue;  // the judge knows no ends
    ++judged;
    const auto rate = [&](double /*t*/, double water_m) {
      return -loss - std::max(water_m - law.capacity_m(), 0.0) / law.drainage_time_s;
    };
    // Stops at the corner at capacity and at the soggy level, whichever comes first, then goes on.
    const double level_m = law.soggy_above_m();
    test::ScalarOde ode(rate, 0.0, start_m);
    double soggy_s = start_m > level_m ? span_s : 0.0;
    double corner_m = law.capacity_m();
    while (ode.time() < span_s) {
      const bool falling = rate(0.0, ode.y()) < 0.0;
      const auto ahead = [&](double at_m) {
        return falling ? ode.y() - at_m > 1e-12 : at_m - ode.y() > 1e-12;
      };
      double next_m = -1.0;
      for (const double at_m : {corner_m, level_m})
        if (ahead(at_m) && (next_m < 0.0 || std::abs(at_m - ode.y()) < std::abs(next_m - ode.y())))
          next_m = at_m;
      const bool reached = ode.advance(span_s, next_m);
      if (reached && next_m == level_m) soggy_s = falling ? ode.time() : span_s - ode.time();
    }
    CAPTURE(i, start_m, loss, span_s, law.drainage_time_s, step.water_m);
    CHECK_THAT(step.water_m, abs(ode.y(), 1e-9 * law.pores_m()));
    CHECK_THAT(step.soggy_s, abs(soggy_s, 1e-6 * span_s));
  }
  CHECK(judged > 150);
}

TEST_CASE("medium: more water drains more and is soggy longer", "[medium][law]") {
  Random random(3, stream_of("medium order"));
  for (int i = 0; i < 300; ++i) {
    const MediumLaw law = drawn_law(random);
    const double low_m = law.pores_m() * random.uniform();
    const double high_m = low_m + (law.pores_m() - low_m) * random.uniform();
    const double loss = std::abs(drawn_loss(random));
    const MediumStep low = medium_after(low_m, 3000.0, loss, law);
    const MediumStep high = medium_after(high_m, 3000.0, loss, law);
    CAPTURE(i, low_m, high_m, loss);
    CHECK(high.water_m >= low.water_m);
    CHECK(high.drained_m >= low.drained_m - 1e-15);
    CHECK(high.soggy_s >= low.soggy_s - 1e-9);
  }
}

TEST_CASE("medium: what the pores cannot hold runs through", "[medium][law]") {
  const MediumGain gain = medium_gain(0.050, 0.003, mix);
  CHECK_THAT(gain.water_m, rel(0.051, 1e-13));
  CHECK_THAT(gain.drained_m, rel(0.002, 1e-12));
  CHECK(medium_gain(0.010, 0.003, mix).drained_m == 0.0);
}
