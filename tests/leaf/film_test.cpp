#include "models/leaf/film.h"

#include <cmath>
#include <vector>

#include "models/random.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::leaf;
using mistwright::test::abs;
using mistwright::test::rel;

namespace {
double logarithmic(Random& random, double low, double high) {
  return low * std::pow(high / low, random.uniform());
}
}  // namespace

TEST_CASE("leaf: the wetted fraction is Deardorff's two-thirds power of depth and capped at one",
          "[leaf][published]") {
  // Deardorff 1978: (W/Wmax)^(2/3). 0.125^(2/3) = 1/4 and 0.343^(2/3) = 0.49 by hand.
  CHECK_THAT(wetted_fraction(1.25e-6, 10e-6), rel(0.25, 1e-14));
  CHECK_THAT(wetted_fraction(3.43e-6, 10e-6), rel(0.49, 1e-14));
  CHECK(wetted_fraction(10e-6, 10e-6) == 1.0);
  CHECK(wetted_fraction(80e-6, 10e-6) == 1.0);
  CHECK(wetted_fraction(0.0, 10e-6) == 0.0);
}

TEST_CASE("leaf: the last water of a film of depth h goes at a demand of h and two break depths",
          "[leaf][exact]") {
  CHECK_THAT(demand_to_dry_m(50e-6, 10e-6), rel(70e-6, 1e-14));
  CHECK_THAT(demand_to_dry_m(10e-6, 10e-6), rel(30e-6, 1e-14));
  CHECK_THAT(demand_to_dry_m(1.25e-6, 10e-6), rel(15e-6, 1e-14));  // 3 (h h_b^2)^(1/3)
  CHECK(demand_to_dry_m(0.0, 10e-6) == 0.0);
}

TEST_CASE("leaf: depths along the straight line of the cube root are those computed by hand",
          "[leaf][exact]") {
  CHECK_THAT(film_after(50e-6, 15e-6, 10e-6), rel(35e-6, 1e-14));    // thick: falls one for one
  CHECK_THAT(film_after(50e-6, 55e-6, 10e-6), rel(1.25e-6, 1e-13));  // 15 past the break: u = 1/2
  CHECK_THAT(film_after(10e-6, 3e-6, 10e-6), rel(7.29e-6, 1e-13));   // u = 0.9
  CHECK(film_after(50e-6, 70.1e-6, 10e-6) == 0.0);
  CHECK(film_after(2e-6, 0.0, 10e-6) == 2e-6);
  CHECK_THAT(film_after(2e-6, -3e-6, 10e-6), rel(5e-6, 1e-14));  // dew as if wholly wet
  // Half bare: u = sqrt(1/2), demand 40 + 30 (1 - sqrt(1/2)) micrometres.
  CHECK_THAT(demand_to_bare_m(50e-6, 0.5, 10e-6), rel(48.786796564403573e-6, 1e-14));
  CHECK(demand_to_bare_m(2e-6, 0.5, 10e-6) == 0.0);
}

TEST_CASE("leaf: any split of an interval leaves the same film to 1e-12 of the break depth",
          "[leaf][exact]") {
  Random random(1, stream_of("film splits"));
  for (int i = 0; i < 1000; ++i) {
    const double break_m = logarithmic(random, 2e-6, 20e-6);
    const double depth_m = break_m * 8.0 * random.uniform();
    const double demand_m = 1.2 * random.uniform() * demand_to_dry_m(depth_m, break_m);
    const int parts = 2 + static_cast<int>(20.0 * random.uniform());
    double split_m = depth_m;
    double done_m = 0.0;
    for (int part = 1; part <= parts; ++part) {
      const double upto_m =
          part == parts ? demand_m : done_m + (demand_m - done_m) * random.uniform();
      split_m = film_after(split_m, upto_m - done_m, break_m);
      done_m = upto_m;
    }
    CAPTURE(i, break_m, depth_m, demand_m, parts);
    CHECK_THAT(split_m, abs(film_after(depth_m, demand_m, break_m), 1e-12 * break_m));
  }
}

TEST_CASE("leaf: the film and its moments are inverse to one another", "[leaf][exact]") {
  Random random(2, stream_of("film inverse"));
  for (int i = 0; i < 1000; ++i) {
    const double break_m = logarithmic(random, 2e-6, 20e-6);
    const double depth_m = break_m * 8.0 * random.uniform();
    const double bare = random.uniform();
    const double demand_m = demand_to_bare_m(depth_m, bare, break_m);
    const double wet = wetted_fraction(film_after(depth_m, demand_m, break_m), break_m);
    CAPTURE(i, break_m, depth_m, bare);
    const double expected = std::min(1.0 - bare, wetted_fraction(depth_m, break_m));
    CHECK_THAT(wet, abs(expected, 1e-12));
  }
}

TEST_CASE("leaf: more water lasts longer and more demand leaves less and both without a jump",
          "[leaf][law]") {
  Random random(3, stream_of("film order"));
  for (int i = 0; i < 1000; ++i) {
    const double break_m = logarithmic(random, 2e-6, 20e-6);
    const double depth_m = break_m * 5.0 * random.uniform();
    const double demand_m = break_m * 6.0 * random.uniform();
    const double more_m = break_m * random.uniform();
    const double left_m = film_after(depth_m, demand_m, break_m);
    CAPTURE(i, break_m, depth_m, demand_m, more_m);
    CHECK(left_m >= 0.0);
    CHECK(film_after(depth_m + more_m, demand_m, break_m) >= left_m);
    CHECK(film_after(depth_m, demand_m + more_m, break_m) <= left_m);
    CHECK(left_m - film_after(depth_m, demand_m + more_m, break_m) <= more_m * (1.0 + 1e-9));
    CHECK(demand_to_dry_m(depth_m + more_m, break_m) > demand_to_dry_m(depth_m, break_m));
    // Scale: lengths in any unit.
    CHECK_THAT(film_after(depth_m * 4.0, demand_m * 4.0, break_m * 4.0), rel(left_m * 4.0, 1e-13));
  }
}

TEST_CASE("leaf: a deposit beyond capacity runs off and none is lost", "[leaf][law]") {
  const FilmLaw law{.break_depth_m = 10e-6, .capacity_m = 70e-6};
  const FilmGain kept = film_gain(30e-6, 30e-6, law);
  CHECK_THAT(kept.depth_m, rel(60e-6, 1e-14));
  CHECK(kept.runoff_m == 0.0);
  const FilmGain over = film_gain(60e-6, 30e-6, law);
  CHECK(over.depth_m == 70e-6);
  CHECK_THAT(over.runoff_m, rel(20e-6, 1e-13));
}

TEST_CASE("leaf: dry time read from the nodes of an integral is exact on straight lines",
          "[leaf][exact]") {
  const std::vector<double> time_s = {0.0, 100.0, 250.0, 300.0, 600.0};
  const std::vector<double> demand_m = {0.0, 10e-6, 25e-6, 45e-6, 60e-6};
  const auto at = [&](std::size_t n) { return demand_m[n]; };
  CHECK_THAT(moment_of_demand_s(time_s, at, 17.5e-6), rel(175.0, 1e-13));
  CHECK_THAT(time_after_s(time_s, at, 35e-6), rel(325.0, 1e-13));
  CHECK(time_after_s(time_s, at, 0.0) == 600.0);
  CHECK(time_after_s(time_s, at, 60e-6) == 0.0);
  CHECK(time_after_s(time_s, at, 1.0) == 0.0);
  CHECK_THAT(time_after_s(time_s, at, 25e-6), rel(350.0, 1e-13));
}

TEST_CASE("leaf: the short cut over nodes and the walk over nodes find the same dry time",
          "[leaf][exact]") {
  const FilmLaw law{.break_depth_m = 10e-6, .capacity_m = 1.0};
  Random random(4, stream_of("film nodes"));
  for (int i = 0; i < 300; ++i) {
    std::vector<double> time_s = {1000.0};
    std::vector<double> demand_m = {0.0};
    for (int n = 0; n < 1 + i % 40; ++n) {
      time_s.push_back(time_s.back() + 60.0 * random.uniform());
      demand_m.push_back(demand_m.back() + 8e-6 * random.uniform());
    }
    const double depth_m = 80e-6 * random.uniform();
    const double share = random.uniform();
    const double bare_m = demand_to_bare_m(depth_m, share, law.break_depth_m);
    const FilmPassage passage = film_over(depth_m, time_s, demand_m, law, share);
    CAPTURE(i, depth_m, share);
    const auto at = [&](std::size_t n) { return demand_m[n]; };
    CHECK_THAT(passage.bare_time_s, abs(time_after_s(time_s, at, bare_m), 1e-9));
    CHECK_THAT(passage.depth_m, abs(film_after(depth_m, demand_m.back(), law.break_depth_m),
                                    1e-12 * law.break_depth_m));
  }
}

TEST_CASE("leaf: a bare leaf under dew is not counted as dry time", "[leaf][law]") {
  const FilmLaw law{.break_depth_m = 10e-6, .capacity_m = 70e-6};
  const std::vector<double> time_s = {0.0, 100.0, 200.0, 300.0};
  const std::vector<double> demand_m = {0.0, 5e-6, 3e-6, 3e-6};  // dries, dew, nothing
  const FilmPassage passage = film_over(0.0, time_s, demand_m, law, 0.5);
  CHECK(passage.bare_time_s == 100.0);
  CHECK_THAT(passage.dew_m, rel(2e-6, 1e-12));
  CHECK_THAT(passage.depth_m, rel(2e-6, 1e-12));
}
