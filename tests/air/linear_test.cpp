#include "models/air/linear.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <unsupported/Eigen/MatrixFunctions>

#include "models/random.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::air;
using mistwright::test::abs;
using mistwright::test::rel;

namespace {

constexpr std::size_t state_size = 11;

/// Stores that exchange and lose, at rates from seconds to hours, and are fed by constant sources.
std::vector<Flux> random_fluxes(std::uint64_t seed) {
  Random random(seed, stream_of("fluxes"));
  const auto pick = [&] { return static_cast<std::uint32_t>(state_size * random.uniform()); };
  std::vector<Flux> fluxes;
  for (int n = 0; n < 30; ++n) {
    const std::uint32_t from = pick(), to = pick();
    const double rate_per_s = std::pow(10.0, -4.0 + 3.3 * random.uniform());
    Flux flux;
    flux.size.add(from, rate_per_s).add(pick(), -0.3 * rate_per_s);
    flux.size.constant = 0.2 * rate_per_s * (random.uniform() - 0.5);
    flux.feeds = {{from, -1.0}, {to, 0.9}};
    fluxes.push_back(std::move(flux));
  }
  return fluxes;
}

std::vector<double> random_state(std::uint64_t seed) {
  Random random(seed, stream_of("state"));
  std::vector<double> state(state_size);
  for (double& y : state) y = random.normal();
  return state;
}

const std::vector<double> ones(state_size, 1.0);

double worst(const std::vector<double>& a, const std::vector<double>& b) {
  double difference = 0.0, largest = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    difference = std::max(difference, std::abs(a[i] - b[i]));
    largest = std::max(largest, std::abs(b[i]));
  }
  return difference / largest;
}

/// State and integral after t by the exponential of one dense matrix [M b 0; 0 0 0; I 0 0].
struct Judged {
  std::vector<double> state, integral;
};

Judged dense(const LinearSystem& system, const std::vector<double>& start, double t_s) {
  constexpr auto n = static_cast<Eigen::Index>(state_size);
  Eigen::MatrixXd all = Eigen::MatrixXd::Zero(2 * n + 1, 2 * n + 1);
  for (Eigen::Index i = 0; i < n; ++i) {
    const auto row = static_cast<std::size_t>(i);
    for (auto k = system.row_start[row]; k < system.row_start[row + 1]; ++k) {
      all(i, system.column[k]) = system.entry[k];
    }
    all(i, n) = system.source[row];
    all(n + 1 + i, i) = 1.0;
  }
  Eigen::VectorXd y = Eigen::VectorXd::Zero(2 * n + 1);
  for (Eigen::Index i = 0; i < n; ++i) y(i) = start[static_cast<std::size_t>(i)];
  y(n) = 1.0;
  const Eigen::MatrixXd scaled = all * t_s;
  const Eigen::VectorXd end = scaled.exp() * y;
  Judged judged;
  judged.state.assign(end.data(), end.data() + n);
  judged.integral.assign(end.data() + n + 1, end.data() + 2 * n + 1);
  return judged;
}

/// y' = (end - y) / tau with one state.
LinearSystem relaxing(double end, double tau_s) {
  Flux flux;
  flux.size.add(0, -1.0 / tau_s);
  flux.size.constant = end / tau_s;
  flux.feeds = {{0, 1.0}};
  return assemble({flux}, 1);
}

Affine above(double level) {
  Affine affine;
  affine.add(0, 1.0);
  affine.constant = -level;
  return affine;
}

}  // namespace

TEST_CASE("air: the assembled rates are the sums of what the fluxes feed", "[air][exact]") {
  for (std::uint64_t seed = 0; seed < 50; ++seed) {
    const auto fluxes = random_fluxes(seed);
    const LinearSystem system = assemble(fluxes, state_size);
    const std::vector<double> y = random_state(seed);
    std::vector<double> rate(state_size, 0.0);
    for (const Flux& flux : fluxes) {
      for (const auto& fed : flux.feeds) rate[fed.state] += fed.coefficient * flux.size.value(y);
    }
    std::vector<double> assembled = system.source;
    for (std::size_t i = 0; i < state_size; ++i) {
      for (auto k = system.row_start[i]; k < system.row_start[i + 1]; ++k) {
        assembled[i] += system.entry[k] * y[system.column[k]];
        CHECK((k == system.row_start[i] || system.column[k - 1] < system.column[k]));
      }
    }
    CHECK(worst(assembled, rate) < 1e-14);
  }
}

TEST_CASE(
    "air: a stretch's state and integral agree with Eigen's dense matrix exponential to 1e-10",
    "[air][library]") {
  double farthest_state = 0.0, farthest_integral = 0.0;
  for (std::uint64_t seed = 0; seed < 30; ++seed) {
    const LinearSystem system = assemble(random_fluxes(seed), state_size);
    const std::vector<double> start = random_state(seed);
    const double length_s = seed % 3 == 0 ? 0.5 : seed % 3 == 1 ? 30.0 : 120.0;
    const Stretch stretch(system, start, ones, length_s);
    for (const double part : {0.0, 0.013, 0.31, 0.5, 0.77, 1.0}) {
      const double t_s = part * length_s;
      const Judged judged = dense(system, start, t_s);
      farthest_state = std::max(farthest_state, worst(stretch.at(t_s), judged.state));
      if (part > 0.0) {
        farthest_integral =
            std::max(farthest_integral, worst(stretch.integral(t_s), judged.integral));
      } else {
        CHECK(stretch.integral(0.0) == std::vector<double>(state_size, 0.0));
        CHECK(stretch.at(0.0) == start);
      }
    }
  }
  CHECK(farthest_state < 1e-10);
  CHECK(farthest_integral < 1e-10);
}

TEST_CASE("air: a stretch gone in two parts ends where one ends to 1e-12", "[air][law]") {
  for (std::uint64_t seed = 0; seed < 60; ++seed) {
    const LinearSystem system = assemble(random_fluxes(seed), state_size);
    const std::vector<double> start = random_state(seed);
    Random random(seed, stream_of("split"));
    const double whole_s = 40.0, first_s = whole_s * random.uniform();
    const Stretch one(system, start, ones, whole_s);
    const Stretch first(system, start, ones, first_s);
    const Stretch second(system, first.at(first_s), ones, whole_s - first_s);
    CHECK(worst(second.at(whole_s - first_s), one.at(whole_s)) < 1e-12);
    std::vector<double> area = first.integral(first_s);
    const std::vector<double> rest = second.integral(whole_s - first_s);
    for (std::size_t i = 0; i < state_size; ++i) area[i] += rest[i];
    CHECK(worst(area, one.integral(whole_s)) < 1e-12);
  }
}

TEST_CASE("air: asking a stretch between its ends changes nothing and its pieces meet",
          "[air][exact]") {
  const LinearSystem system = assemble(random_fluxes(1), state_size);
  const Stretch stretch(system, random_state(1), ones, 60.0);
  const auto end = stretch.at(60.0);
  double before = 0.0, jump = 0.0;
  for (int i = 1; i <= 6000; ++i) {
    const double now = stretch.at(0.01 * i)[0];
    if (i > 1) jump = std::max(jump, std::abs(now - before));
    before = now;
  }
  CHECK(stretch.at(60.0) == end);
  // No step is larger than the fastest rate allows: a rate of 5 a second over 0.01 s.
  CHECK(jump < 0.05 * 10.0);
  for (int i = 1; i < 60; ++i) {
    const double t_s = i;
    CHECK(worst(stretch.at(std::nextafter(t_s, 0.0)), stretch.at(std::nextafter(t_s, 61.0))) <
          1e-12);
  }
}

TEST_CASE("air: an exponential's crossing is found to a microsecond in its own direction alone",
          "[air][exact]") {
  for (const double tau_s : {0.8, 20.0, 500.0}) {
    const double length_s = 5.0 * tau_s;
    const Stretch warming(relaxing(30.0, tau_s), {20.0}, {1.0}, length_s);
    const Stretch cooling(relaxing(20.0, tau_s), {30.0}, {1.0}, length_s);
    for (const double level : {20.5, 25.0, 27.0, 29.5}) {
      CAPTURE(tau_s, level);
      const double up_s = tau_s * std::log(10.0 / (30.0 - level));
      const auto up = warming.crossing(above(level), true, 0.0);
      REQUIRE(up);
      CHECK_THAT(*up, abs(up_s, 1e-6));
      CHECK_FALSE(warming.crossing(above(level), false, 0.0));
      const double down_s = tau_s * std::log(10.0 / (level - 20.0));
      const auto down = cooling.crossing(above(level), false, 0.0);
      REQUIRE(down);
      CHECK_THAT(*down, abs(down_s, 1e-6));
      CHECK_FALSE(cooling.crossing(above(level), true, 0.0));
      // Before it in time, from just ahead of it, and never again after it.
      CHECK(warming.crossing(above(level), true, up_s - 1e-3));
      CHECK_FALSE(warming.crossing(above(level), true, *up));
      CHECK_FALSE(warming.crossing(above(level), true, up_s + 1e-3));
    }
    CHECK_FALSE(warming.crossing(above(30.5), true, 0.0));
  }
}

TEST_CASE("air: a crossing at the end of a stretch belongs to it and one at its start does not",
          "[air][exact]") {
  Flux flux;
  flux.size.constant = 1.0;
  flux.feeds = {{0, 1.0}};
  const LinearSystem clock = assemble({flux}, 1);  // y = y0 + t
  const Stretch to_zero(clock, {-2.0}, {1.0}, 2.0);
  const auto end = to_zero.crossing(above(0.0), true, 0.0);
  REQUIRE(end);
  CHECK_THAT(*end, abs(2.0, 1e-6));
  CHECK(*end <= to_zero.length_s());
  CHECK_FALSE(to_zero.crossing(above(0.0), true, 2.0));
  const Stretch from_zero(clock, {0.0}, {1.0}, 2.0);
  CHECK_FALSE(from_zero.crossing(above(0.0), true, 0.0));
  CHECK_FALSE(from_zero.crossing(above(0.0), false, 0.0));
}

TEST_CASE("air: of a swing's several crossings each is found in turn", "[air][exact]") {
  // x'' = -x as two states: x = cos t falls through zero at pi/2 and rises at 3 pi/2.
  Flux x, v;
  x.size.add(1, 1.0);
  x.feeds = {{0, 1.0}};
  v.size.add(0, -1.0);
  v.feeds = {{1, 1.0}};
  const Stretch swing(assemble({x, v}, 2), {1.0, 0.0}, {1.0, 1.0}, 14.0);
  double after_s = 0.0;
  for (int turn = 0; turn < 2; ++turn) {
    const auto falls = swing.crossing(above(0.0), false, after_s);
    REQUIRE(falls);
    CHECK_THAT(*falls, abs((0.5 + 2 * turn) * pi, 1e-6));
    const auto rises = swing.crossing(above(0.0), true, after_s);
    REQUIRE(rises);
    CHECK_THAT(*rises, abs((1.5 + 2 * turn) * pi, 1e-6));
    after_s = *rises;
  }
}
