#include "models/sky/radiation.h"

#include <cmath>

#include "models/units.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using test::abs;
using test::rel;

TEST_CASE("sky: clear-sky radiation is Haurwitz's as printed in a public test of it",
          "[sky][published]") {
  const std::vector<std::pair<double, double>> printed = {
      {5.0, 48.630}, {10.0, 135.742}, {30.0, 487.894}, {50.0, 778.767}, {90.0, 1035.092}};
  for (const auto& [elevation_deg, global] : printed) {
    CAPTURE(elevation_deg);
    CHECK_THAT(sky::clear_sky_global_W_per_m2(radians(90.0 - elevation_deg)), abs(global, 5.1e-4));
  }
  CHECK(sky::clear_sky_global_W_per_m2(radians(90.0)) < 1e-300);
  CHECK(sky::clear_sky_global_W_per_m2(radians(120.0)) == 0.0);
}

TEST_CASE("sky: the diffuse fraction is that of Erbs et al. 1982 to five digits", "[sky][worked]") {
  for (const auto& row : test::table("erbs.csv")) {
    CAPTURE(row.text("clearness_index"));
    CHECK_THAT(sky::erbs_diffuse_fraction(row.number("clearness_index")),
               abs(row.number("diffuse_fraction"), 5e-6));
  }
}

TEST_CASE("sky: global radiation splits as in two published chains of Erbs's fraction",
          "[sky][worked]") {
  // 50 W/m2 at 85 degrees and clearness 0.405723511: diffuse 41.5704; 1000 W/m2 at 10 degrees and
  // 0.718132729: diffuse 217.860, direct 794.2.
  const double low_outside = 50.0 / (0.405723511 * std::cos(radians(85.0)));
  const auto low = sky::split_global({50.0, radians(85.0), low_outside});
  CHECK_THAT(low.diffuse_horizontal_W_per_m2, abs(41.5704, 5e-4));
  CHECK_THAT(low.direct_normal_W_per_m2, abs(96.72, 5e-3));
  const double high_outside = 1000.0 / (0.718132729 * std::cos(radians(10.0)));
  const auto high = sky::split_global({1000.0, radians(10.0), high_outside});
  CHECK_THAT(high.diffuse_horizontal_W_per_m2, abs(217.860, 5e-3));
  CHECK_THAT(high.direct_normal_W_per_m2, abs(794.2, 5e-2));
}

TEST_CASE("sky: the parts of the global radiation add up and direct light never exceeds the sun's",
          "[sky][law]") {
  for (double zenith_deg = 0.0; zenith_deg < 100.0; zenith_deg += 2.3) {
    for (double global = 0.0; global < 1300.0; global += 57.0) {
      CAPTURE(zenith_deg, global);
      const auto split = sky::split_global({global, radians(zenith_deg), 1361.0});
      const double on_level =
          split.direct_normal_W_per_m2 * std::fmax(0.0, std::cos(radians(zenith_deg)));
      CHECK_THAT(on_level + split.diffuse_horizontal_W_per_m2, abs(global, 1e-9));
      CHECK(split.direct_normal_W_per_m2 >= 0.0);
      CHECK(split.direct_normal_W_per_m2 <= 1361.0);
      CHECK(split.diffuse_horizontal_W_per_m2 >= 0.0);
    }
  }
}

TEST_CASE("sky: overcast leaves a quarter of the clear sky's light by Kasten and Czeplak 1980",
          "[sky][published]") {
  CHECK_THAT(sky::cloud_transmission_fraction(0.0), rel(1.0, 1e-15));
  CHECK_THAT(sky::cloud_transmission_fraction(1.0), rel(0.25, 1e-15));
  // Half cover takes 7 %: 0.75 * 0.5^3.4 = 0.0710.
  CHECK_THAT(sky::cloud_transmission_fraction(0.5), abs(0.9290, 5e-5));
}

TEST_CASE("sky: Swinbank's sky is as cold as worked by hand from 0.0552 T^1.5", "[sky][worked]") {
  CHECK_THAT(sky::swinbank_sky_temperature_K(273.15), abs(249.20, 5e-3));
  CHECK_THAT(sky::swinbank_sky_temperature_K(283.15), abs(263.00, 5e-3));
  CHECK_THAT(sky::swinbank_sky_temperature_K(293.15), abs(277.06, 5e-3));
  CHECK_THAT(sky::swinbank_sky_temperature_K(303.15), abs(291.36, 5e-3));
}

TEST_CASE("sky: Brunt's emissivity is as worked by hand at 10 and 15 and 20 hPa", "[sky][worked]") {
  CHECK_THAT(sky::brunt_sky_emissivity_fraction(1000.0), abs(0.7255, 5e-5));
  CHECK_THAT(sky::brunt_sky_emissivity_fraction(1500.0), abs(0.7717, 5e-5));
  CHECK_THAT(sky::brunt_sky_emissivity_fraction(2000.0), abs(0.8107, 5e-5));
}

TEST_CASE("sky: Brunt's and Swinbank's clear skies agree within 6 K in temperate air",
          "[sky][law]") {
  // Two fits to independent measurements; humidity at 60 % of Swinbank's screen, common values.
  for (const auto& [t_degC, e_Pa] : {std::pair{10.0, 737.0}, {20.0, 1403.0}, {30.0, 2548.0}}) {
    CAPTURE(t_degC);
    const double brunt = sky::sky_temperature_K({kelvin(t_degC), e_Pa, 0.0});
    CHECK_THAT(brunt, abs(sky::swinbank_sky_temperature_K(kelvin(t_degC)), 6.0));
  }
}

TEST_CASE("sky: cloud warms the sky and never beyond the air", "[sky][law]") {
  double before = 0.0;
  for (double cloud = 0.0; cloud <= 1.0; cloud += 0.125) {
    const double now = sky::sky_temperature_K({290.0, 1200.0, cloud});
    CHECK(now > before);
    CHECK(now < 290.0);
    before = now;
  }
  // Full cloud closes 84 % of the clear sky's gap to a black body.
  const double clear = sky::brunt_sky_emissivity_fraction(1200.0);
  CHECK_THAT(std::pow(before / 290.0, 4.0), rel(1.0 - 0.16 * (1.0 - clear), 1e-12));
}

TEST_CASE("sky: one sheet of glass passes what Duffie and Beckman work out", "[sky][worked]") {
  // Index 1.526: reflectance of one surface 0.0434 at normal incidence and 0.093 at 60 degrees, so
  // one sheet passes (1-r)/(1+r) = 0.917 there, and at 60 degrees, from 0.185 and 0.001 for
  // the two polarisations, 0.5 (0.688 + 0.998) = 0.843 (from memory of examples 5.1.1 and 5.1.2).
  const double at_60 = sky::cover_incidence_factor(radians(60.0), 1.526);
  CHECK_THAT(at_60, abs(0.843 / 0.917, 1.5e-3));
  CHECK(sky::cover_diffuse_factor(1.526) == at_60);
}

TEST_CASE("sky: a cover passes all at normal incidence and nothing at grazing and less between",
          "[sky][law]") {
  for (const double n : {1.33, 1.5, 1.6}) {
    CHECK_THAT(sky::cover_incidence_factor(0.0, n), rel(1.0, 1e-15));
    CHECK_THAT(sky::cover_incidence_factor(0.5 * pi, n), abs(0.0, 1e-9));
    double before = 1.0;
    for (double angle = 0.05; angle < 1.57; angle += 0.05) {
      const double now = sky::cover_incidence_factor(angle, n);
      CAPTURE(n, angle);
      CHECK(now < before);
      before = now;
    }
  }
}
