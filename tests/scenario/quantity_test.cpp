#include "sim/scenario/quantity.h"

#include <string>

#include "tests/support/catch.h"

using namespace mistwright::scenario;
using mistwright::test::rel;

namespace {

struct Case {
  const char* text;
  Kind kind;
  double value;  ///< SI
};

struct Refused {
  const char* text;
  Kind kind;
  const char* code;
  const char* message;
  const char* help;
};

}  // namespace

TEST_CASE("quantity: trade spellings mean what NIST SP 811 says they do", "[scenario][published]") {
  // Factors to the digits of NIST SP 811 (2008) appendix B.8.
  for (const Case& c : {Case{"40 psi", Kind::GaugePressure, 40 * 6894.757},
                        Case{"40psi", Kind::GaugePressure, 40 * 6894.757},
                        Case{"1 m H2O", Kind::GaugePressure, 9806.65},
                        Case{"10 ft H2O", Kind::GaugePressure, 10 * 2989.067},
                        Case{"29.92 inHg", Kind::AbsolutePressure, 29.92 * 3386.389},
                        Case{"14.69595 psia", Kind::AbsolutePressure, 101325.0},
                        Case{"0.6 gal/min", Kind::Flow, 0.6 * 6.309020e-5},
                        Case{"5 gal/h", Kind::Flow, 5 * 1.051503e-6},
                        Case{"60 L/h", Kind::Flow, 60e-3 / 3600},
                        Case{"100 ft3/min", Kind::Flow, 100 * 4.719474e-4},
                        Case{"3 s", Kind::Time, 3.0},
                        Case{"1 h 30 min", Kind::Time, 5400.0},
                        Case{"12 ft 6 in", Kind::Length, 3.81},
                        Case{"85 degF", Kind::Temperature, 302.594444},
                        Case{"9 degF", Kind::TemperatureDifference, 5.0},
                        Case{"-40 degF", Kind::Temperature, 233.15},
                        Case{"20 degC", Kind::Temperature, 293.15},
                        Case{"150 um", Kind::DropSize, 150e-6},
                        Case{"150 micron", Kind::DropSize, 150e-6},
                        Case{"150 \u00b5m", Kind::DropSize, 150e-6},
                        Case{"150 \u03bcm", Kind::DropSize, 150e-6},
                        Case{"70 %", Kind::Fraction, 0.7},
                        Case{"0.7", Kind::Fraction, 0.7},
                        Case{"1_000 L", Kind::Volume, 1.0},
                        Case{"2 gal", Kind::Volume, 2 * 3.785412e-3},
                        Case{"2 impgal", Kind::Volume, 2 * 4.54609e-3},
                        Case{"1.2 Btu/h/ft2/degF", Kind::Conductance, 1.2 * 5.678263},
                        Case{"400 1/m2", Kind::PerArea, 400.0},
                        Case{"400 m-2", Kind::PerArea, 400.0},
                        Case{"1e3 Pa", Kind::GaugePressure, 1000.0},
                        Case{"-5 psi", Kind::GaugePressure, -34473.79},
                        Case{"5 mph", Kind::Speed, 2.2352},
                        Case{"180 degree", Kind::Angle, 3.14159265359}}) {
    INFO(c.text);
    const QuantityResult r = read_quantity(c.text, c.kind, "x");
    CHECK(r.fault.message == "");
    REQUIRE(r.good);
    CHECK_THAT(r.value, rel(c.value, 3e-7));
  }
}

TEST_CASE("quantity: what is not one is refused with what would be right", "[scenario][input]") {
  for (const Refused& c :
       {Refused{"40", Kind::GaugePressure, "E0301", "`x` needs a unit",
                "write \"40 psi\", \"40 kPa\" or \"40 m H2O\"; bare numbers are never guessed"},
        Refused{"40 gal", Kind::GaugePressure, "E0305",
                "`x` must be a pressure, but `gal` is a volume",
                "units that fit: psi, kPa, bar, m H2O, ft H2O"},
        Refused{"20 C", Kind::Temperature, "E0304", "`C` means coulomb, not Celsius",
                "write \"20 degC\""},
        Refused{"70 F", Kind::Temperature, "E0304", "`F` means farad, not Fahrenheit",
                "write \"70 degF\""},
        Refused{"3,5 s", Kind::Time, "E0302", "a decimal comma is not read", "write \"3.5 s\""},
        Refused{"12' 6\"", Kind::Length, "E0303", "marks for feet and inches are not read",
                "write 12 ft 6 in"},
        Refused{"5 M", Kind::Time, "E0303", "`M` is not a unit", "metre is `m`, minute is `min`"},
        Refused{"5 minn", Kind::Time, "E0303", "unknown unit `minn`", "the nearest unit is `min`"},
        Refused{"60 L/hr", Kind::Flow, "E0303", "unknown unit `hr`", "did you mean `L/h`?"},
        Refused{"60L/hr", Kind::Flow, "E0303", "unknown unit `hr`", "did you mean `L/h`?"},
        Refused{"2 hrs 5 min", Kind::Time, "E0303", "unknown unit `hrs`", "did you mean `h`?"},
        Refused{"12 ml", Kind::Volume, "E0303", "unknown unit `ml`", "did you mean `mL`?"},
        Refused{"12 ml/s", Kind::Flow, "E0303", "unknown unit `ml`", "did you mean `mL`?"},
        Refused{"40 PSI", Kind::GaugePressure, "E0303", "unknown unit `PSI`",
                "did you mean `psi`?"},
        Refused{"2 lpm", Kind::Flow, "E0303", "unknown unit `lpm`", "did you mean `L/min`?"},
        Refused{"12,5", Kind::Length, "E0302", "a decimal comma is not read", "write \"12.5\""},
        Refused{"2x4 m", Kind::Length, "E0303", "unknown unit `x4`", ""},
        Refused{"psi", Kind::GaugePressure, "E0302", "`x` does not begin with a number",
                "write a number, a space and a unit, such as \"3 s\""},
        Refused{"", Kind::Length, "E0302", "`x` does not begin with a number",
                "write a number, a space and a unit, such as \"3 s\""},
        Refused{"nan m", Kind::Length, "E0302", "`x` does not begin with a number",
                "write a number, a space and a unit, such as \"3 s\""},
        Refused{"1e400 m", Kind::Length, "E0302", "`x` does not begin with a number",
                "write a number, a space and a unit, such as \"3 s\""},
        Refused{"1e-320 m", Kind::Length, "E0302", "`x` is beyond what can be computed with", ""},
        Refused{"6 in 12 ft", Kind::Length, "E0302",
                "the parts of a quantity must be of ever smaller units",
                "write them as in 12 ft 6 in"},
        Refused{"10 psia", Kind::GaugePressure, "E0307",
                "`x` counts from the air outside, but psia from vacuum", "write psi or psig"},
        Refused{"10 psig", Kind::AbsolutePressure, "E0307",
                "`x` counts from vacuum, but psig from the air outside", "write psia, kPa or hPa"},
        Refused{"300 umol/m2/s", Kind::Irradiance, "E0306",
                "`umol/m2/s` is a count of photons, which gives no energy without a spectrum",
                "units that fit: W/m2, kW/m2, MJ/m2/d, Wh/m2/h"},
        Refused{"30 klx", Kind::Irradiance, "E0306",
                "`klx` is an illuminance, which gives no energy without a spectrum",
                "units that fit: W/m2, kW/m2, MJ/m2/d, Wh/m2/h"},
        Refused{"5 W/(m2 K)", Kind::Conductance, "E0303", "brackets are not read in units",
                "divide twice instead, as in W/m2/K"},
        Refused{"5 m99", Kind::Length, "E0303", "a power must be a whole number up to 9",
                "write m2, m^2 or m**2"},
        Refused{"5 m/", Kind::Length, "E0303", "`/` does not belong in a unit",
                "write a number, a space and a unit"}}) {
    INFO(c.text);
    const QuantityResult r = read_quantity(c.text, c.kind, "x");
    CHECK_FALSE(r.good);
    CHECK(r.fault.code == c.code);
    CHECK(r.fault.message == c.message);
    CHECK(r.fault.help == c.help);
  }
}

TEST_CASE("quantity: rounding for messages keeps three digits and the unit", "[scenario][law]") {
  CHECK(rounded(40 * 6894.757293168361, "kPa") == "276 kPa");
  CHECK(rounded(302.594444, "degF") == "85 degF");
  CHECK(rounded(0.0, "m") == "0 m");
  CHECK(rounded(123456.0, "Pa") == "123456 Pa");
}

TEST_CASE("quantity: edit distance counts single-character edits", "[scenario][worked]") {
  CHECK(edit_distance("kitten", "sitting") == 3);  // the usual textbook pair
  CHECK(edit_distance("presure", "pressure") == 1);
  CHECK(edit_distance("", "abc") == 3);
}
