#include <udunits2.h>

#include <cmath>
#include <cstring>
#include <memory>
#include <string>

#include "sim/scenario/quantity.h"
#include "tests/support/catch.h"

using namespace mistwright::scenario;
using mistwright::test::abs;
using mistwright::test::rel;

namespace {

/// The library of the netCDF community, asked what a unit of ours is in SI.
class Judge {
 public:
  Judge() {
    ut_set_error_message_handler(ut_ignore);
    system_ = ut_read_xml(nullptr);
  }
  ~Judge() { ut_free_system(system_); }
  Judge(const Judge&) = delete;
  Judge& operator=(const Judge&) = delete;

  /// The value in the SI unit `to` of `value` times a unit; NaN if UDUNITS-2 cannot.
  [[nodiscard]] double convert(const std::string& from, const std::string& to, double value) const {
    ut_unit* a = ut_parse(system_, from.c_str(), UT_UTF8);
    ut_unit* b = ut_parse(system_, to.c_str(), UT_UTF8);
    double out = std::nan("");
    if (a && b && ut_are_convertible(a, b)) {
      cv_converter* converter = ut_get_converter(a, b);
      out = cv_convert_double(converter, value);
      cv_free(converter);
    }
    ut_free(a);
    ut_free(b);
    return out;
  }

 private:
  ut_system* system_ = nullptr;
};

std::string si_of(const Dimension& d) {
  std::string text = "1";
  const auto part = [&](int power, const char* unit) {
    if (power != 0) text += std::string(".") + unit + std::to_string(power);
  };
  part(d.length, "m");
  part(d.mass, "kg");
  part(d.time, "s");
  part(d.temperature, "K");
  part(d.amount, "mol");
  part(d.light, "cd");
  part(d.angle, "rad");
  return text;
}

}  // namespace

TEST_CASE("units: every row of the table agrees with UDUNITS-2 in factor and offset and dimension",
          "[scenario][library]") {
  const Judge judge;
  CHECK(units().size() > 45);
  for (const Unit& unit : units()) {
    INFO(unit.name);
    const double one = judge.convert(unit.udunits, si_of(unit.dimension), 1.0);
    const double hundred = judge.convert(unit.udunits, si_of(unit.dimension), 100.0);
    CHECK_THAT(unit.factor + unit.offset, rel(one, 1e-6));
    CHECK_THAT(100.0 * unit.factor + unit.offset, rel(hundred, 1e-6));
  }
}

TEST_CASE("units: names are told apart by case and none stands twice", "[scenario][law]") {
  for (const Unit& a : units()) {
    int same = 0;
    for (const Unit& b : units()) same += std::strcmp(a.name, b.name) == 0 ? 1 : 0;
    INFO(a.name);
    CHECK(same == 1);
  }
}

TEST_CASE("units: expressions are read from left to right as UDUNITS-2 reads them",
          "[scenario][library]") {
  const Judge judge;
  for (const char* text :
       {"W/m2/K", "W m-2 K-1", "kg.m/s2", "kg*m^2/s**3", "m3/h", "L/min", "kJ/m2/K", "mm/h", "1/m2",
        "m H2O", "kg/m2", "MJ/m3/K", "umol/m2/s", "W/m2.K"}) {
    INFO(text);
    const UnitResult ours = read_unit(text);
    REQUIRE(ours.good);
    CHECK_THAT(ours.factor, rel(judge.convert(text, si_of(ours.dimension), 1.0), 1e-9));
  }
}

TEST_CASE("units: what we print is read back by us and by UDUNITS-2", "[scenario][library]") {
  const Judge judge;
  for (int k = static_cast<int>(Kind::Number); k <= static_cast<int>(Kind::Rate); ++k) {
    const KindInfo& info = kind_info(static_cast<Kind>(k));
    for (const double value : {1.0, 0.1, 273.15, 1.0 / 3.0, 6894.757293168361, 2.5e-7, 12345.678}) {
      const std::string text = to_text(value, info.unit);
      INFO(text);
      const QuantityResult back = read_quantity(text, info.kind, "x");
      REQUIRE(back.good);
      // An offset costs the digits of the offset, not of the value.
      const double ulps = 1e-15 * (info.kind == Kind::Temperature ? 273.15 + value : value);
      CHECK_THAT(back.value, abs(value, ulps));
      const std::size_t blank = text.find(' ');
      const std::string unit = blank == std::string::npos ? "1" : text.substr(blank + 1);
      CHECK_THAT(judge.convert(unit, si_of(info.dimension), std::stod(text)),
                 abs(value, 1e3 * ulps));
    }
  }
}
