// The film's closed forms against a general integrator that knows only dh/dt = -E(t) w(h).
#include <cmath>
#include <vector>

#include "models/leaf/film.h"
#include "models/random.h"
#include "tests/leaf/scalar_ode.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::leaf;
using mistwright::test::abs;
using mistwright::test::rel;
using mistwright::test::ScalarOde;

namespace {

/// Demand in break depths a second: steady, or swinging about its mean.
struct Demand {
  double mean = 0.0, swing = 0.0, turns = 0.0, phase = 0.0;
  [[nodiscard]] double rate(double t) const {
    return mean * (1.0 + swing * std::sin(turns * t + phase));
  }
  [[nodiscard]] double integral(double t) const {
    return mean * (t + swing / turns * (std::cos(phase) - std::cos(turns * t + phase)));
  }
  /// The moment at which the integral reaches x; the rate is never negative here.
  [[nodiscard]] double moment(double x) const {
    double low = 0.0;
    double high = x / mean + 2.0 * swing / turns + 1.0;
    for (int i = 0; i < 200; ++i) {
      const double middle = 0.5 * (low + high);
      (integral(middle) < x ? low : high) = middle;
    }
    return low;
  }
};

/// Depth in break depths; wetted as Deardorff's fraction below 1.
double film_rate(double demand, double y) {
  if (demand < 0.0 || y >= 1.0) return -demand;
  return y > 0.0 ? -demand * std::pow(y, 2.0 / 3.0) : 0.0;
}

/// Moment at which the integrator's film falls through a level, stopping at the corner at 1.
double solver_moment(const Demand& demand, double start, double level) {
  ScalarOde ode([&](double t, double y) { return film_rate(demand.rate(t), y); }, 0.0, start);
  const double long_after = 1e9;
  if (start > 1.0) {
    const bool broke = ode.advance(long_after, 1.0);
    REQUIRE(broke);
  }
  const bool reached = ode.advance(long_after, level);
  REQUIRE(reached);
  return ode.time();
}

double solver_depth(const Demand& demand, double start, double end) {
  ScalarOde ode([&](double t, double y) { return film_rate(demand.rate(t), y); }, 0.0, start);
  if (start > 1.0 && !ode.advance(end, 1.0)) return ode.y();
  if (demand.mean < 0.0) {
    ode.advance(end, -1.0);  // dew: no level to meet
    return ode.y();
  }
  // At 1e-24 of the break depth the film has 3e-8 of it left to lose: dry.
  return ode.advance(end, 1e-24) ? 0.0 : ode.y();
}

Demand drawn(Random& random, bool swinging) {
  const double mean = std::exp(std::log(1e-4) + random.uniform() * std::log(1e3));
  const double swing = swinging ? 0.95 * random.uniform() : 0.0;
  const double turns = mean * (0.2 + 5.0 * random.uniform());
  return {mean, swing, turns, 2.0 * pi * random.uniform()};
}

}  // namespace

TEST_CASE(
    "leaf: moments of drying and of half bare agree with CVODE to 1e-6 under steady and swinging "
    "demand",
    "[leaf][library]") {
  const double break_m = 10e-6;
  for (const bool swinging : {false, true}) {
    Random random(20240517, stream_of("film moments"));
    for (int i = 0; i < 60; ++i) {
      const Demand demand = drawn(random, swinging);
      const double start = 0.4 + 12.0 * random.uniform();  // in break depths
      CAPTURE(swinging, i, start, demand.mean, demand.swing, demand.turns, demand.phase);
      const double half_x = demand_to_bare_m(start * break_m, 0.5, break_m) / break_m;
      const double dry_x = demand_to_dry_m(start * break_m, break_m) / break_m;
      CHECK_THAT(demand.moment(half_x),
                 rel(solver_moment(demand, start, std::pow(0.5, 1.5)), 1e-6));
      // Stopped at 1e-24 of the break depth: within 1e-8 of the whole demand integral.
      CHECK_THAT(demand.moment(dry_x), rel(solver_moment(demand, start, 1e-24), 1e-6));
    }
  }
}

TEST_CASE("leaf: film depth agrees with CVODE to 1e-6 of the break depth", "[leaf][library]") {
  const double break_m = 10e-6;
  for (const bool swinging : {false, true}) {
    Random random(7, stream_of("film depths"));
    for (int i = 0; i < 100; ++i) {
      const Demand demand = drawn(random, swinging);
      const double start = 5.0 * random.uniform();
      const double end = (start + 2.0) / demand.mean * 1.1 * random.uniform();
      CAPTURE(swinging, i, start, end, demand.mean, demand.swing, demand.turns, demand.phase);
      const double depth_m = film_after(start * break_m, demand.integral(end) * break_m, break_m);
      CHECK_THAT(depth_m / break_m, abs(solver_depth(demand, start, end), 1e-6));
    }
  }
}

TEST_CASE(
    "leaf: a film through stretches of drying and dew agrees with CVODE to 1e-6 of the break depth",
    "[leaf][library]") {
  const FilmLaw law{.break_depth_m = 8e-6, .capacity_m = 1.0};
  Random random(11, stream_of("film passages"));
  for (int i = 0; i < 40; ++i) {
    const double start = 0.2 + 3.0 * random.uniform();
    std::vector<double> time_s = {0.0};
    std::vector<double> demand_m = {0.0};
    double depth = start;
    for (int n = 0; n < 8; ++n) {
      const double rate =
          0.02 * (random.uniform() - 0.35);  // break depths a second, some of it dew
      const double span_s = 20.0 + 100.0 * random.uniform();
      depth = solver_depth({rate, 0.0, 1.0, 0.0}, std::max(depth, 0.0), span_s);
      time_s.push_back(time_s.back() + span_s);
      demand_m.push_back(demand_m.back() + rate * span_s * law.break_depth_m);
    }
    const FilmPassage passage = film_over(start * law.break_depth_m, time_s, demand_m, law, 0.5);
    CAPTURE(i, start);
    CHECK_THAT(passage.depth_m / law.break_depth_m, abs(depth, 1e-6));
    CHECK_THAT(start * law.break_depth_m + passage.dew_m - passage.evaporated_m - passage.runoff_m,
               abs(passage.depth_m, 1e-12 * law.break_depth_m));
  }
}
