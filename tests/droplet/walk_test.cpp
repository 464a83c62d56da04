#include "models/droplet/walk.h"

#include <cmath>
#include <vector>

#include "models/droplet/contact.h"
#include "models/random.h"
#include "models/units.h"
#include "tests/droplet/fields.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using namespace mistwright::droplet;
using test::abs;
using test::rel;

namespace {

/// Chi-squared of 20 bins over tracers that walked through turbulence three times as strong in the
/// middle of a room 1 m high as at its floor and ceiling, having started evenly.
double chi_squared_after_walk(bool with_drift) {
  const int tracers = 20000, bins = 20;
  const double T = 0.5;
  const auto sigma = [](double z) { return 0.1 + 0.2 * std::sin(pi * z); };
  const auto slope = [](double z) { return 0.2 * pi * std::cos(pi * z); };
  std::vector<int> count(bins, 0);
  for (int n = 0; n < tracers; ++n) {
    test::Shaker shaker(77, static_cast<std::uint64_t>(n));
    Random random(78, static_cast<std::uint64_t>(n));
    double z = (n + 0.5) / tracers, omega = random.normal();
    for (double t = 0.0; t < 20.0;) {
      const double dt = 0.1 * T;
      const auto shake = shaker.draw();
      const double drift = with_drift ? slope(z) * dt : 0.0;
      z += sigma(z) * omega * dt;
      omega = walk_step_ratio(omega, {dt / T, drift, shake[0]});
      if (z < 0.0 || z > 1.0) {
        z = z < 0.0 ? -z : 2.0 - z;
        omega = -omega;
      }
      t += dt;
    }
    ++count[static_cast<std::size_t>(std::min(z, 1.0 - 1e-12) * bins)];
  }
  const double expected = static_cast<double>(tracers) / bins;
  double chi2 = 0.0;
  for (const int c : count) chi2 += (c - expected) * (c - expected) / expected;
  return chi2;
}

}  // namespace

TEST_CASE(
    "droplet: what is well mixed stays well mixed in uneven turbulence as Thomson 1987 demands",
    "[droplet][law]") {
  // 19 degrees of freedom: above 43.8 once in a thousand.
  CHECK(chi_squared_after_walk(true) < 43.8);
  // Without the drift tracers gather where turbulence is weak: the test can fail.
  CHECK(chi_squared_after_walk(false) > 500.0);
}

TEST_CASE("droplet: the shaker's numbers have mean 0 and variance 1 and no skew",
          "[droplet][law]") {
  test::Shaker shaker(5, 6);
  double sum = 0.0, squares = 0.0, cubes = 0.0, products = 0.0;
  const int draws = 200000;
  for (int i = 0; i < draws; ++i) {
    const auto s = shaker.draw();
    for (const double x : s) {
      sum += x;
      squares += x * x;
      cubes += x * x * x;
    }
    products += s[0] * s[1];
  }
  const double n = 3.0 * draws;
  // Five standard errors of each.
  CHECK_THAT(sum / n, abs(0.0, 5.0 / std::sqrt(n)));
  CHECK_THAT(squares / n, abs(1.0, 5.0 * std::sqrt(1.7 / n)));
  CHECK_THAT(cubes / n, abs(0.0, 5.0 * std::sqrt(12.0 / n)));
  CHECK_THAT(products / draws, abs(0.0, 5.0 / std::sqrt(draws)));
}

TEST_CASE("droplet: a cloud spreads as Taylor 1921 derived for the walk's time scale",
          "[droplet][exact]") {
  // <x^2> = 2 sigma^2 T^2 (t/T - 1 + exp(-t/T)).
  const double T = 1.0, sigma = 0.1, dt = 0.05;
  const int tracers = 40000;
  double early = 0.0, late = 0.0;
  for (int n = 0; n < tracers; ++n) {
    test::Shaker shaker(9, static_cast<std::uint64_t>(n));
    Random random(10, static_cast<std::uint64_t>(n));
    double x = 0.0, omega = random.normal();
    for (int i = 0; i < 200; ++i) {
      const double before = omega;
      omega = walk_step_ratio(omega, {dt / T, 0.0, shaker.draw()[0]});
      x += 0.5 * sigma * (before + omega) * dt;
      if (i == 19) early += x * x;
    }
    late += x * x;
  }
  const auto taylor = [&](double t) { return 2.0 * sigma * sigma * (t - 1.0 + std::exp(-t)); };
  // The standard error of a variance from 40,000 is 0.7 %.
  CHECK_THAT(early / tracers, rel(taylor(1.0), 0.03));
  CHECK_THAT(late / tracers, rel(taylor(10.0), 0.03));
}

TEST_CASE("droplet: the settling plume of Ermak 1977 loses what its closed form says",
          "[droplet][worked]") {
  // sigma^2 T = 0.01 m2/s with T short against the plume's age, so that the walk diffuses.
  const double sigma = 0.25, T = 0.16, dt = 0.02, wind = 0.3;
  for (const auto& row : test::table("plume_2d_settling.csv")) {
    const double fall = row.number("fall_speed_m_s"), age = row.number("x_m") / wind;
    CAPTURE(fall, row.text("x_m"));
    const int drops = 5000;
    const double kept = settled_fraction(fall, sigma);
    double airborne = 0.0;
    for (int n = 0; n < drops; ++n) {
      test::Shaker shaker(3, static_cast<std::uint64_t>(n));
      Random random(4, static_cast<std::uint64_t>(n));
      double z = 1.5, omega = random.normal(), mass = 1.0;
      for (double t = 0.0; t < age; t += dt) {
        z += (sigma * omega - fall) * dt;
        omega = walk_step_ratio(omega, {dt / T, 0.0, shaker.draw()[0]});
        if (z < 0.0) {
          mass *= 1.0 - kept;
          z = -z;
          omega = std::abs(omega);
        }
      }
      airborne += mass / drops;
    }
    // Sampling of 5,000 drops 0.005; steps and the finite time scale together below 0.01.
    CHECK_THAT(airborne, abs(row.number("airborne_fraction"), 0.015));
  }
}

TEST_CASE("droplet: turbulence seen by drops is continuous and its slope is its derivative",
          "[droplet][exact]") {
  flow::Enclosure house = test::box_house(3.0, 2.0, 2.0);
  house.boxes.push_back({1.0, 2.0, 0.5, 1.5, 0.0, 0.8});
  flow::RegimeField field =
      test::plain_field(house, {.u_m_per_s = 0.25, .v_m_per_s = 0.2, .cell_m = 0.25});
  Random random(1, stream_of("seen"));
  for (double& s : field.sigma_m_per_s) s = 0.05 + 0.1 * random.uniform();
  const FieldSeen seen(field);
  const double h = 1e-5;
  for (int i = 0; i < 300; ++i) {
    const double x = 0.1 + 2.8 * random.uniform(), y = 0.1 + 1.8 * random.uniform(),
                 z = 0.1 + 1.8 * random.uniform();
    const Seen here = seen.at(x, y, z);
    CAPTURE(x, y, z);
    // Speeds are kept to 20 bits of their fraction, which a quarter needs none of.
    CHECK_THAT(here.u_m_per_s, abs(0.25, 1e-12));
    CHECK_THAT(here.v_m_per_s, rel(0.2, 5e-7));
    const auto kink =
        [](double at,
           double step) {  // too near a cell centre or its half-cell border for a difference
          const double s = at / step - 0.5;
          return std::abs(s - std::round(s)) < 1e-3;
        };
    if (kink(x, field.grid.dx_m) || kink(y, field.grid.dy_m) || kink(z, field.grid.dz_m)) continue;
    CHECK_THAT(
        here.slope_x_per_s,
        abs((seen.at(x + h, y, z).sigma_m_per_s - seen.at(x - h, y, z).sigma_m_per_s) / (2.0 * h),
            1e-6));
    CHECK_THAT(
        here.slope_y_per_s,
        abs((seen.at(x, y + h, z).sigma_m_per_s - seen.at(x, y - h, z).sigma_m_per_s) / (2.0 * h),
            1e-6));
    CHECK_THAT(
        here.slope_z_per_s,
        abs((seen.at(x, y, z + h).sigma_m_per_s - seen.at(x, y, z - h).sigma_m_per_s) / (2.0 * h),
            1e-6));
  }
}

TEST_CASE("droplet: a falling drop leaves eddies sooner as Csanady 1963 derived",
          "[droplet][exact]") {
  CHECK_THAT(crossing_time_s(1.0, 0.0, 0.1), rel(1.0, 1e-12));
  CHECK_THAT(crossing_time_s(1.0, 0.1, 0.1), rel(1.0 / std::sqrt(2.0), 1e-12));
  CHECK_THAT(crossing_time_s(2.0, 10.0, 0.1), rel(0.02, 1e-4));
}
