#include "models/droplet/spectrum.h"

#include <cmath>
#include <numeric>

#include "models/contracts.h"
#include "models/random.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using namespace mistwright::droplet;
using test::abs;
using test::rel;

TEST_CASE(
    "droplet: a spectrum from Rosin and Rammler's percentiles is Rosin and Rammler's law to its "
    "printed digits",
    "[droplet][published]") {
  for (const auto& row : test::table("rosin_rammler.csv")) {
    CAPTURE(row.text("q"));
    const double q = row.number("q"), dv50 = 150e-6;
    const double X = dv50 * std::pow(std::log(2.0), -1.0 / q);
    const Spectrum exact{X * std::pow(-std::log(0.9), 1.0 / q), dv50,
                         X * std::pow(std::log(10.0), 1.0 / q)};
    CHECK_THAT(exact.dv10_m / dv50, abs(row.number("dv10_over_dv50"), 5e-5));
    CHECK_THAT(exact.dv90_m / dv50, abs(row.number("dv90_over_dv50"), 5e-5));
    for (const double d : {20e-6, 80e-6, 150e-6, 200e-6, 400e-6})
      CHECK_THAT(volume_below_fraction(exact, d), abs(-std::expm1(-std::pow(d / X, q)), 1e-12));
    // The printed ratios alone, rounded to four decimals, give the printed X: F(X) = 1 - 1/e.
    const Spectrum printed{dv50 * row.number("dv10_over_dv50"), dv50,
                           dv50 * row.number("dv90_over_dv50")};
    CHECK_THAT(volume_below_fraction(printed, dv50 * row.number("X_over_dv50")),
               abs(1.0 - std::exp(-1.0), 2e-4));
  }
}

TEST_CASE("droplet: the Sauter mean of fine classes is Rosin and Rammler's to its printed digits",
          "[droplet][published]") {
  const SizeClasses fine = size_classes(256);
  for (const auto& row : test::table("rosin_rammler.csv")) {
    if (row.number("q") < 2.0) continue;  // its finest drops lie below the first class
    CAPTURE(row.text("q"));
    const double dv50 = 100e-6;
    const Spectrum spectrum{dv50 * row.number("dv10_over_dv50"), dv50,
                            dv50 * row.number("dv90_over_dv50")};
    // 5 um is 0.05 of the median: at q = 2 drops below it hold 0.2 % of the volume but 4 % of the
    // surface.
    const double tolerance = row.number("q") < 2.5 ? 3e-2 : 5e-3;
    CHECK_THAT(sauter_mean_m(volume_fractions(spectrum, fine), fine) / dv50,
               rel(row.number("smd_over_dv50"), tolerance));
  }
}

TEST_CASE("droplet: any three rising percentiles are met exactly and the classes sum to one",
          "[droplet][law]") {
  Random random(20251125, stream_of("spectrum"));
  const SizeClasses classes = size_classes();
  for (int i = 0; i < 200; ++i) {
    const double dv50 = 20e-6 * std::exp(2.5 * random.uniform());
    const Spectrum s{dv50 * (0.2 + 0.7 * random.uniform()), dv50,
                     dv50 * (1.1 + 2.0 * random.uniform())};
    CAPTURE(i, s.dv10_m, s.dv50_m, s.dv90_m);
    CHECK_THAT(volume_below_fraction(s, s.dv10_m), abs(0.1, 1e-12));
    CHECK_THAT(volume_below_fraction(s, s.dv50_m), abs(0.5, 1e-12));
    CHECK_THAT(volume_below_fraction(s, s.dv90_m), abs(0.9, 1e-12));
    const auto fractions = volume_fractions(s, classes);
    CHECK_THAT(std::accumulate(fractions.begin(), fractions.end(), 0.0), abs(1.0, 1e-12));
    double lowest = 1.0;
    for (const double f : fractions) lowest = std::min(lowest, f);
    CHECK(lowest >= 0.0);
  }
}

TEST_CASE("droplet: size classes run from 5 um to 1 mm in equal ratios", "[droplet][exact]") {
  const SizeClasses classes = size_classes(16);
  REQUIRE(classes.count() == 16);
  CHECK_THAT(classes.edges_m.front(), rel(5e-6, 1e-12));
  CHECK_THAT(classes.edges_m.back(), rel(1e-3, 1e-12));
  for (std::size_t i = 0; i < classes.count(); ++i) {
    CHECK_THAT(classes.edges_m[i + 1] / classes.edges_m[i],
               rel(std::pow(200.0, 1.0 / 16.0), 1e-12));
    CHECK_THAT(classes.diameter_m[i] * classes.diameter_m[i],
               rel(classes.edges_m[i] * classes.edges_m[i + 1], 1e-12));
  }
  CHECK_THROWS_AS(size_classes(11), ContractError);
}

TEST_CASE("droplet: class shares move without a jump as pressure rises and drops grow finer",
          "[droplet][law]") {
  water::HeadType head;
  head.dv10_m = 75e-6;
  head.dv50_m = 150e-6;
  head.dv90_m = 250e-6;
  head.spectrum_pressure_Pa = 2.8e5;
  head.spectrum_exponent = 0.4;
  CHECK_THAT(spectrum_at(head, 2.8e5).dv50_m, rel(150e-6, 1e-12));
  CHECK_THAT(spectrum_at(head, 4.0 * 2.8e5).dv90_m, rel(250e-6 * std::pow(4.0, -0.4), 1e-12));
  const SizeClasses classes = size_classes();
  auto before = volume_fractions(spectrum_at(head, 1e5), classes);
  double below_before = volume_below_fraction(spectrum_at(head, 1e5), 100e-6);
  for (double p = 1.01e5; p < 6e5; p *= 1.01) {
    const auto now = volume_fractions(spectrum_at(head, p), classes);
    for (std::size_t i = 0; i < now.size(); ++i) {
      CAPTURE(p, i);
      // d ln d = -n d ln p, and no class holds more than dF/d ln d < 1 times its move.
      CHECK(std::abs(now[i] - before[i]) < 0.4 * 0.01 * 2.0);
    }
    const double below = volume_below_fraction(spectrum_at(head, p), 100e-6);
    CHECK(below > below_before);
    before = now;
    below_before = below;
  }
}
