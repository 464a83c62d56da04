#include "sim/report/colour.h"

#include <cmath>

#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using namespace mistwright::report;

// CIE 15 by hand: sRGB white has L* 100, black 0; mid grey #777777 has Y = 0.184475, so L* = 116
// Y^(1/3) - 16 = 50.03.
TEST_CASE("report: lightness agrees with the formula of CIE 15", "[report][worked]") {
  CHECK_THAT(lightness_index(from_hex("#ffffff")), test::abs(100.0, 0.01));
  CHECK_THAT(lightness_index(from_hex("#000000")), test::abs(0.0, 1e-9));
  CHECK_THAT(lightness_index(from_hex("#777777")), test::abs(50.03, 0.01));
}

// WCAG 2.2, definition of contrast ratio: black on white is 21; #767676 on white is the known edge
// of 4.5 (4.54).
TEST_CASE("report: contrast agrees with the definition of WCAG 2", "[report][published]") {
  CHECK_THAT(contrast_ratio(from_hex("#000000"), from_hex("#ffffff")), test::abs(21.0, 0.01));
  CHECK_THAT(contrast_ratio(from_hex("#767676"), from_hex("#ffffff")), test::abs(4.54, 0.005));
}

TEST_CASE("report: the lightness of both ramps falls evenly", "[report][law]") {
  for (const Ramp ramp : {Ramp::Wet, Ramp::Drying}) {
    const auto colours = ramp_colours(ramp, 24);
    const double step =
        (lightness_index(from_hex(colours.back())) - lightness_index(from_hex(colours.front()))) /
        23.0;
    CHECK(step < -3.0);
    // A channel of eight bits moves L* by up to 0.4 in the dark.
    for (std::size_t i = 1; i < colours.size(); ++i)
      CHECK_THAT(lightness_index(from_hex(colours[i])) - lightness_index(from_hex(colours[i - 1])),
                 test::abs(step, 0.8));
  }
}

// Machado, Oliveira and Fernandes 2009, table 1, severity 1.0 (from memory), applied to linear
// light.
TEST_CASE("report: both ramps keep falling for three kinds of colour blindness after Machado 2009",
          "[report][law]") {
  const double matrices[3][3][3] = {{{0.152286, 1.052583, -0.204868},
                                     {0.114503, 0.786281, 0.099216},
                                     {-0.003882, -0.048116, 1.051998}},
                                    {{0.367322, 0.860646, -0.227968},
                                     {0.280085, 0.672501, 0.047413},
                                     {-0.011820, 0.042940, 0.968881}},
                                    {{1.255528, -0.076749, -0.178779},
                                     {-0.078411, 0.930809, 0.147602},
                                     {0.004733, 0.691367, 0.303900}}};
  const auto linear = [](double c) {
    return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
  };
  for (const auto& m : matrices)
    for (const Ramp ramp : {Ramp::Wet, Ramp::Drying}) {
      double before = 2.0;
      for (const std::string& hex : ramp_colours(ramp, 24)) {
        const Rgb c = from_hex(hex);
        const double rgb[3] = {linear(c.red_fraction), linear(c.green_fraction),
                               linear(c.blue_fraction)};
        double seen[3];
        for (int i = 0; i < 3; ++i)
          seen[i] = m[i][0] * rgb[0] + m[i][1] * rgb[1] + m[i][2] * rgb[2];
        const double luminance = 0.2126 * seen[0] + 0.7152 * seen[1] + 0.0722 * seen[2];
        CHECK(luminance < before);
        before = luminance;
      }
    }
}

TEST_CASE("report: hexadecimal colours go there and back", "[report][law]") {
  for (const char* hex : {"#000000", "#ffffff", "#1d5b8f", "#0a0b0c"})
    CHECK(to_hex(from_hex(hex)) == hex);
}
