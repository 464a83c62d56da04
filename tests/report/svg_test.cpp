#include "sim/report/svg.h"

#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using namespace mistwright::report;

TEST_CASE("report: names cannot become markup and hidden characters are shown", "[report][input]") {
  CHECK(escaped("<script>alert('x')</script>") ==
        "&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt;");
  CHECK(escaped("a&b \"c\"") == "a&amp;b &quot;c&quot;");
  CHECK(escaped("right \xe2\x80\xae left") == "right \\u{202e} left");
  CHECK(escaped(std::string("nul\0bell\x07", 9)) == "nul\\u{0}bell\\u{7}");
  CHECK(escaped("esc\x1b[31m") == "esc\\u{1b}[31m");
  CHECK(escaped("h\xc3\xb6her 23 \xc2\xb5m") == "h\xc3\xb6her 23 \xc2\xb5m");
  CHECK(escaped("bad \xff\xc3 bytes") == "bad \\u{ff}\\u{c3} bytes");
  CHECK(escaped("lone \xed\xa0\x80") == "lone \\u{d800}");
  CHECK(escaped("cut \xe2\x80") == "cut \\u{e2}\\u{80}");
}

TEST_CASE("report: ticks are round and enclose their range", "[report][law]") {
  CHECK(round_ticks(0.0, 1.0, 5) ==
        std::vector<double>{0.0, 0.2, 0.4, 0.6000000000000001, 0.8, 1.0});
  for (const auto& [low, high] :
       {std::pair{0.0, 0.37}, std::pair{-3.0, 41.0}, std::pair{285.2, 286.1},
        std::pair{0.0, 1.3e-5}, std::pair{5.0, 5.0}}) {
    const auto ticks = round_ticks(low, high, 5);
    CAPTURE(low, high);
    CHECK(ticks.front() <= low + 1e-9);
    CHECK(ticks.back() >= high - 1e-9);
    CHECK(ticks.size() >= 2);
    CHECK(ticks.size() <= 8);
  }
  CHECK(tick_words(0.25, 0.25) == "0.25");
  CHECK(tick_words(20.0, 5.0) == "20");
  CHECK(tick_words(0.6000000000000001, 0.2) == "0.6");
}

TEST_CASE("report: an arrow ends where it points and a short one is left out", "[report][exact]") {
  Svg svg(10.0, 10.0);
  svg.arrow({0.0, 0.0}, {0.5, 0.0}, 3.0, "wind");
  CHECK(svg.finish("none").find("<path") == std::string::npos);
  svg.arrow({0.0, 5.0}, {10.0, 5.0}, 4.0, "wind");
  CHECK(svg.finish("one").find("M0 5L10 5M6 7L10 5L6 3") != std::string::npos);
}

TEST_CASE("report: long names are cut between characters and say so", "[report][exact]") {
  CHECK(shortened("west", 4) == "west");
  CHECK(shortened("west bench", 6) == "west \u2026");
  CHECK(shortened("h\u00f6h\u00f6h\u00f6", 4) == "h\u00f6h\u2026");
  CHECK(shortened("", 3).empty());
}

TEST_CASE("report: numbers in pictures are short", "[report][exact]") {
  CHECK(short_number(3.0) == "3");
  CHECK(short_number(-0.04) == "0");
  CHECK(short_number(2.25) == "2.2");
}
