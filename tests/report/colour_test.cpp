#include "sim/report/colour.h"

#include <algorithm>
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

namespace {

struct Sight {
  const char* name;
  double matrix[3][3];
};

// Machado, Oliveira and Fernandes 2009 (IEEE Trans. Vis. Comput. Graph. 15, 1291), table 1,
// severity 1.0 (from memory), applied to linear light; the first is plain sight.
const Sight sights[]{{"all three cones", {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}},
                     {"no long-wave cones",
                      {{0.152286, 1.052583, -0.204868},
                       {0.114503, 0.786281, 0.099216},
                       {-0.003882, -0.048116, 1.051998}}},
                     {"no middle-wave cones",
                      {{0.367322, 0.860646, -0.227968},
                       {0.280085, 0.672501, 0.047413},
                       {-0.011820, 0.042940, 0.968881}}},
                     {"no short-wave cones",
                      {{1.255528, -0.076749, -0.178779},
                       {-0.078411, 0.930809, 0.147602},
                       {0.004733, 0.691367, 0.303900}}}};

struct Seen {
  double L, a, b;
};

/// CIE L*a*b* (CIE 15) of a colour as an eye sees it; light that no screen can show is held at
/// none.
Seen seen_by(const Sight& sight, const std::string& hex) {
  const Rgb c = from_hex(hex);
  const auto linear = [](double v) {
    return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
  };
  const double rgb[3] = {linear(c.red_fraction), linear(c.green_fraction), linear(c.blue_fraction)};
  double s[3];
  for (int i = 0; i < 3; ++i)
    s[i] = std::max(0.0, sight.matrix[i][0] * rgb[0] + sight.matrix[i][1] * rgb[1] +
                             sight.matrix[i][2] * rgb[2]);
  const auto f = [](double t) { return t > 0.008856 ? std::cbrt(t) : 7.787 * t + 16.0 / 116.0; };
  const double x = f((0.4124564 * s[0] + 0.3575761 * s[1] + 0.1804375 * s[2]) / 0.95047),
               y = f(0.2126729 * s[0] + 0.7151522 * s[1] + 0.0721750 * s[2]),
               z = f((0.0193339 * s[0] + 0.1191920 * s[1] + 0.9503041 * s[2]) / 1.08883);
  return {116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)};
}

}  // namespace

// 2.3 units of CIE 1976 are about the least difference that eyes notice (Mahy, Van Eycken and
// Oosterlinck 1994, from memory).
TEST_CASE("report: neighbours on both ramps stay apart for colour-blind eyes after Machado 2009",
          "[report][law]") {
  for (const Sight& sight : sights)
    for (const Ramp ramp : {Ramp::Wet, Ramp::Drying}) {
      const auto colours = ramp_colours(ramp, 24);
      for (std::size_t i = 1; i < colours.size(); ++i) {
        CAPTURE(sight.name, static_cast<int>(ramp), i);
        const Seen one = seen_by(sight, colours[i - 1]), next = seen_by(sight, colours[i]);
        CHECK(next.L < one.L);
        CHECK(std::hypot(next.L - one.L, next.a - one.a, next.b - one.b) > 2.3);
      }
    }
}

// A straight line through the lightness as each eye sees it leaves little over.
TEST_CASE("report: lightness falls nearly straight for colour-blind eyes too", "[report][law]") {
  for (const Sight& sight : sights)
    for (const Ramp ramp : {Ramp::Wet, Ramp::Drying}) {
      const auto colours = ramp_colours(ramp, 24);
      const double first = seen_by(sight, colours.front()).L,
                   last = seen_by(sight, colours.back()).L;
      CHECK(first - last > 65.0);
      for (std::size_t i = 0; i < colours.size(); ++i) {
        CAPTURE(sight.name, static_cast<int>(ramp), i);
        const double straight = first + (last - first) * static_cast<double>(i) / 23.0;
        CHECK_THAT(seen_by(sight, colours[i]).L, test::abs(straight, 6.0));
      }
    }
}

TEST_CASE("report: hexadecimal colours go there and back", "[report][law]") {
  for (const char* hex : {"#000000", "#ffffff", "#1d5b8f", "#0a0b0c"})
    CHECK(to_hex(from_hex(hex)) == hex);
}
