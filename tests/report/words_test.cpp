#include "sim/report/words.h"

#include "tests/support/catch.h"

using namespace mistwright::report;

TEST_CASE("report: times are said as people say them", "[report][exact]") {
  CHECK(duration_words(0.0) == "0 min");
  CHECK(duration_words(40.0) == "40 s");
  CHECK(duration_words(59.7) == "1 min");
  CHECK(duration_words(1500.0) == "25 min");
  CHECK(duration_words(19200.0) == "5 h 20 min");
  CHECK(duration_words(7200.0) == "2 h");
  CHECK(duration_words(3599.0) == "1 h");
  CHECK(burst_words(6.0) == "6 s");
  CHECK(burst_words(4.25) == "4.2 s");
  CHECK(burst_words(60.0) == "60 s");
  CHECK(burst_words(600.0) == "10 min");
  CHECK(clock_words(14.1667) == "14:10");
  CHECK(clock_words(24.0) == "24:00");
  CHECK(clock_words(25.5) == "01:30");
  CHECK(capital("worst") == "Worst");
}

TEST_CASE("report: hours of a run of days are told with their day", "[report][exact]") {
  CHECK(when_words(14.1667, false) == "14:10");
  CHECK(when_words(24.0, false) == "24:00");
  CHECK(when_words(14.1667, true) == "day 1, 14:10");
  CHECK(when_words(23.9999, true) == "day 2, 00:00");
  CHECK(when_words(61.0, true) == "day 3, 13:00");
  CHECK(at_words(13.0, false) == "at 13:00");
  CHECK(at_words(61.0, true) == "on day 3 at 13:00");
  CHECK(stretch_words(10.0, 24.0, false) == "10:00-24:00");
  CHECK(stretch_words(22.0, 30.0, false) == "22:00-06:00");
  CHECK(stretch_words(58.0, 72.0, true) == "day 3, 10:00-24:00");
  CHECK(stretch_words(66.0, 81.0, true) == "day 3, 18:00 to day 4, 09:00");
}

// NIST SP 811 (2008), appendix B: 1 psi = 6.894757 kPa, 1 US gallon = 3.785412 L, degF = 1.8 degC
// + 32.
TEST_CASE("report: customary units beside SI agree with NIST SP 811", "[report][published]") {
  CHECK(temperature_words(305.15) == "32 degC (90 degF)");
  CHECK(temperature_words(273.15) == "0 degC (32 degF)");
  CHECK(pressure_words(3.0e5) == "3.0 bar (44 psi)");
  CHECK(pressure_words(40.0 * 6894.757) == "2.8 bar (40 psi)");
  CHECK(water_words(14.0) == "14 L (3.7 gal)");
  CHECK(water_words(3.785412) == "3.8 L (1.0 gal)");
  CHECK(depth_words(0.08) == "0.08 mm");
}

TEST_CASE("report: a share of leaves is said with the verb that fits it", "[report][exact]") {
  CHECK(leaves_go_words(0.0) == "no leaves go");
  CHECK(leaves_go_words(0.01) == "fewer than one leaf in thirty goes");
  CHECK(leaves_go_words(0.05) == "one leaf in twenty goes");
  CHECK(leaves_go_words(0.12) == "one leaf in ten goes");
  CHECK(leaves_go_words(0.41) == "four in ten leaves go");
  CHECK(leaves_go_words(0.96) == "nearly all leaves go");
  CHECK(leaves_go_words(1.0) == "all leaves go");
}

TEST_CASE("report: bearings are said in eight words", "[report][exact]") {
  CHECK(compass_words(0.0) == "north");
  CHECK(compass_words(1.5708) == "east");
  CHECK(compass_words(3.9) == "south-west");
  CHECK(compass_words(-0.8) == "north-west");
  CHECK(compass_words(6.2) == "north");
}

TEST_CASE("report: lists are said with an and", "[report][exact]") {
  CHECK(list_words({}).empty());
  CHECK(list_words({"a"}) == "a");
  CHECK(list_words({"a", "b", "c"}) == "a, b and c");
}

TEST_CASE("report: no line passes 100 columns and no unit leaves its number", "[report][law]") {
  std::string paragraph;
  for (int i = 0; i < 60; ++i) paragraph += "about " + std::to_string(i) + " % of it, ";
  const std::string text = wrapped("The water", paragraph, 14);
  std::size_t start = 0;
  int lines = 0;
  while (start < text.size()) {
    const std::size_t end = text.find('\n', start);
    const std::string line = text.substr(start, end - start);
    CAPTURE(line);
    CHECK(line.size() <= 100);
    CHECK(line.size() > 14);
    if (lines > 0) {
      CHECK(line.substr(0, 14) == std::string(14, ' '));
      CHECK(line[14] != '%');
    }
    start = end + 1;
    ++lines;
  }
  CHECK(lines > 5);
  CHECK(text.starts_with("The water     about 0 %"));
}
