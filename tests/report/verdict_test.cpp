#include "sim/report/verdict.h"

#include <algorithm>

#include "sim/report/words.h"
#include "tests/report/sample_record.h"
#include "tests/support/catch.h"

using namespace mistwright;
using report::Answer;
using report::Summary;

namespace {

/// A house in which all is well.
Summary fine() {
  Summary s;
  s.outside_hottest_K = 299.15;
  s.worst = {"north bench, fan end", 5.0, 3.0, 600.0};
  s.best = {"south bench, door end", 2.0, 1.0, 60.0};
  s.worst_from_h = 11.0;
  s.worst_to_h = 14.0;
  s.dry_leaf_share_fraction = 0.01;
  s.peak_loss_hour_h = 13.0;
  s.peak_loss_kg_per_m2 = 0.35;
  s.mist_then_kg_per_m2 = 0.40;
  s.worst_gets_ratio = 0.62;
  s.last_head = report::LastHead{"6", 3.0e5, 2.0e5, 4.0e5, 6.0, 4.0};
  s.water_kg = 14.0;
  s.fate_fraction = {0.52, 0.24, 0.10, 0.04, 0.01, 0.06, 0.03};
  s.medium_gets_kg_per_m2 = 0.4;
  s.hottest_leaf_K = 305.15;
  s.hottest_hour_h = 14.1667;
  return s;
}

report::Neighbour neighbour(const std::string& words, double worst_s, bool clock_only) {
  Summary s = fine();
  s.worst.dry_s = worst_s;
  return {words, s, clock_only};
}

std::string line(const std::string& text, const std::string& label) {
  for (const auto& [name, words] : report::verdict_lines(text).lines)
    if (name == label) return words;
  return {};
}

}  // namespace

TEST_CASE("report: each limit of the table turns a yes into a but and then into not yet",
          "[report][exact]") {
  CHECK(report::answer(fine()) == Answer::Yes);
  Summary s = fine();
  s.worst.dry_s = 3600.0;
  CHECK(report::answer(s) == Answer::YesBut);
  s.worst.dry_s = 7300.0;
  CHECK(report::answer(s) == Answer::NotYet);
  s = fine();
  s.dry_leaf_share_fraction = 0.1;
  CHECK(report::answer(s) == Answer::YesBut);
  s.dry_leaf_share_fraction = 0.3;
  CHECK(report::answer(s) == Answer::NotYet);
  s = fine();
  s.soggy_s = 4.0 * 3600.0;
  CHECK(report::answer(s) == Answer::YesBut);
  s.soggy_s = 9.0 * 3600.0;
  CHECK(report::answer(s) == Answer::NotYet);
  s = fine();
  s.hottest_leaf_K = 310.0;
  CHECK(report::answer(s) == Answer::YesBut);
  s.hottest_leaf_K = 314.0;
  CHECK(report::answer(s) == Answer::NotYet);
  s = fine();
  s.last_head->pressure_Pa = 4.5e5;
  CHECK(report::answer(s) == Answer::YesBut);
  s.last_head->pressure_Pa = 1.5e5;
  CHECK(report::answer(s) == Answer::NotYet);
}

TEST_CASE("report: heads that never open are no tap that holds", "[report][exact]") {
  Summary s = fine();
  s.last_head->sprays_s = 0.0;
  s.worst_gets_ratio.reset();
  s.worst.dry_s = 19200.0;
  CHECK(report::answer(s) == Answer::NotYet);
  std::string words = report::verdict({.main = s});
  std::replace(words.begin(), words.end(), '\n', ' ');
  CHECK(words.find("does not open the heads") != std::string::npos);
  CHECK(words.find("of the mean") == std::string::npos);
}

TEST_CASE("report: the limits can be overridden", "[report][exact]") {
  Summary s = fine();
  s.worst.dry_s = 3600.0;
  report::Thresholds own;
  own.worst_corner_s = {4000.0, 8000.0};
  CHECK(report::answer(s, own) == Answer::Yes);
}

TEST_CASE("report: the opening says the answer and why it is not a whole yes", "[report][exact]") {
  const auto opening = [](const Summary& s) {
    return report::verdict_lines(report::verdict({.main = s})).opening;
  };
  CHECK(opening(fine()).starts_with(
      "YES. On this warm day fewer than one leaf in thirty goes more than half bare"));
  Summary s = fine();
  s.soggy_s = 5.0 * 3600.0;
  CHECK(opening(s).starts_with("YES, BUT the medium gets soggy. On this warm day"));
  s = fine();
  s.dry_leaf_share_fraction = 0.4;
  s.worst.dry_s = 19200.0;
  CHECK(opening(s).starts_with(
      "NOT YET. On this warm day four in ten leaves go more than half bare before the next burst"));
  s.outside_hottest_K = 306.15;
  CHECK(opening(s).starts_with("NOT YET. On this hot day"));
  s.days_number = 3.0;
  CHECK(opening(s).starts_with("NOT YET. Over these 3 days"));
  s = fine();
  s.part_of_day_s = 5400.0;
  CHECK(opening(s).starts_with("YES. In the 1 h 30 min of this run fewer than one leaf"));
  CHECK(opening(s).ends_with("Part of a day is no answer for a whole one."));
}

TEST_CASE("report: the lines say the run's own numbers in both kinds of units", "[report][exact]") {
  report::VerdictInput input{.main = fine()};
  input.clock =
      report::ClockAdvice{1.0, 72, true, report::ClockAdvice::WholeMinutes{60.0, 2400.0, 1680.0}};
  input.sure = report::SureRange{3e-5, 1e-4, {14400.0, 23400.0}, {18000.0, 18900.0}};
  input.assumed_count = 11;
  const std::string text = report::verdict(input);
  CHECK(line(text, "Where, when") ==
        "worst: north bench, fan end, 11:00-14:00, 10 min; best: south bench, door end, 1 min.");
  CHECK(line(text, "Why") ==
        "your heads bring 0.40 mm an hour to the bench; at 13:00 the leaves lose 0.35 mm where "
        "they are wet. The worst corner gets 62 % of the mean.");
  CHECK(line(text, "Your tap") ==
        "holds: last head (6) 3.0 bar (44 psi), needs 2.0 bar (29 psi). Told 6 s, the last head "
        "sprays 4 s.");
  CHECK(line(text, "The water") ==
        "14 L (3.7 gal) a day: leaves 52 %, medium 24 %, floor, walls and cover 15 %, air 6 %, out "
        "with the fan 3 %.");
  CHECK(line(text, "The medium") == "not soggy; it gets 0.4 L/m2 a day from the mist.");
  CHECK(line(text, "The clock") ==
        "must count seconds: 72 starts a day, day hours only. In whole minutes the nearest is 1 "
        "min every 40: bare 28 min of each 40 min.");
  CHECK(line(text, "Heat") ==
        "hottest at the leaves 32 degC (90 degF) at 14:10. How long cuttings last without mist: "
        "not computed yet.");
  CHECK(
      line(text, "How sure") ==
      "leans most on the water a leaf holds (0.03-0.10 mm): worst corner 4 h to 6 h 30 min; "
      "then on the fine drops that strike leaves (half to double): 5 h to 5 h 15 min. Assumed: 11 "
      "values, see check --assumed.");
  input.sure->impaction = {7200.0, 23400.0};
  CHECK(line(report::verdict(input), "How sure")
            .starts_with("leans most on the fine drops that strike leaves (half to double): worst "
                         "corner 2 h to 6 h 30 min; then on the water a leaf holds"));
  input.sure->impaction = {18000.0, 18020.0};
  CHECK(line(report::verdict(input), "How sure").find("(half to double): a minute at most.") !=
        std::string::npos);
}

TEST_CASE("report: the lines of a run of days name the day of every hour", "[report][exact]") {
  Summary s = fine();
  s.days_number = 7.0;
  s.by_days = true;
  s.worst_from_h = 66.0;
  s.worst_to_h = 81.0;
  s.peak_loss_hour_h = 85.0;
  s.hottest_hour_h = 62.1667;
  const std::string text = report::verdict({.main = s});
  CHECK(line(text, "Where, when") ==
        "worst: north bench, fan end, 10 min a day, longest day 3, 18:00 to day 4, 09:00; best: "
        "south bench, door end, 1 min a day.");
  CHECK(line(text, "Why").find("on day 4 at 13:00 the leaves lose") != std::string::npos);
  CHECK(line(text, "Heat").find("on day 3 at 14:10.") != std::string::npos);
}

TEST_CASE("report: a bench without a dry place says so", "[report][exact]") {
  Summary s = fine();
  s.worst.dry_s = 0.0;
  const std::string text = report::verdict({.main = s});
  CHECK(line(text, "Where, when") == "no place on the benches goes dry.");
  CHECK(line(text, "Why").find("worst corner") == std::string::npos);
}

TEST_CASE("report: what was not computed says so", "[report][exact]") {
  const std::string text = report::verdict({.main = fine()});
  CHECK(line(text, "Change first") == "not computed: no changed houses were run.");
  CHECK(line(text, "The clock") == "not computed.");
  CHECK(line(text, "How sure")
            .starts_with("how the answer leans on the water that a leaf holds: not computed."));
}

TEST_CASE("report: the change proposed is the best one tried that does no harm",
          "[report][exact]") {
  report::VerdictInput input{.main = fine()};
  input.main.worst.dry_s = 19200.0;
  CHECK(line(report::verdict(input), "Change first") ==
        "not computed: no changed houses were run.");
  input.neighbours = {neighbour("heads of 60 L/h", 1500.0, false),
                      neighbour("20 s every 6 min", 6600.0, true),
                      neighbour("shade of 70 %", 12000.0, false)};
  CHECK(line(report::verdict(input), "Change first") ==
        "heads of 60 L/h: worst corner 25 min. Clock alone, 20 s every 6 min: 1 h 50 min. Tried 3 "
        "changes.");
  report::VerdictInput dearer = input;
  dearer.main.dry_leaf_share_fraction = 0.77;
  dearer.neighbours[0].summary.dry_leaf_share_fraction = 0.03;
  dearer.neighbours[0].summary.water_kg = 2.0 * dearer.main.water_kg;
  CHECK(line(report::verdict(dearer), "Change first")
            .find("worst corner 25 min, leaves that go dry 3 % (now 77 %), "
                  "water ") != std::string::npos);
  input.neighbours[0].summary.soggy_s = 10.0 * 3600.0;
  CHECK(line(report::verdict(input), "Change first") ==
        "20 s every 6 min: worst corner 1 h 50 min. Tried 3 changes.");
  input.neighbours = {neighbour("shade of 70 %", 19000.0, false)};
  CHECK(line(report::verdict(input), "Change first") ==
        "none of the changes tried helps the worst corner by 10 min without harm elsewhere. Tried "
        "1 change.");
}

TEST_CASE("report: no change is proposed when nothing sprays", "[report][exact]") {
  report::VerdictInput input{.main = fine()};
  input.main.worst.dry_s = 19200.0;
  input.main.water_kg = 0.0;
  input.neighbours = {neighbour("shade of 70 %", 1500.0, false)};
  input.neighbours[0].summary.water_kg = 0.0;
  CHECK(line(report::verdict(input), "Change first") ==
        "nothing sprays in this run, so no change is worth more than another.");
}

TEST_CASE("report: a tap that fails is said to fail", "[report][exact]") {
  Summary s = fine();
  s.last_head->pressure_Pa = 1.2e5;
  const std::string text = report::verdict({.main = s});
  CHECK(line(text, "Your tap")
            .starts_with("does not hold: last head (6) 1.2 bar (17 psi), needs 2.0 bar (29 psi)."));
  CHECK(report::verdict_lines(text).opening.find(
            "The tap does not hold the pressure that the last head needs.") != std::string::npos);
}

TEST_CASE("report: a verdict taken apart holds every line and every word", "[report][law]") {
  report::VerdictInput input{.main = report::summarise(test::sample_record())};
  const std::string text = report::verdict(input);
  const auto parts = report::verdict_lines(text);
  CHECK(parts.lines.size() == 11);
  CHECK(parts.lines.front().first == "Where, when");
  CHECK(parts.lines.back().first == "Cautions");
  std::size_t letters = 0, kept = 0;
  const auto count = [](const std::string& words) {
    return static_cast<std::size_t>(
        std::count_if(words.begin(), words.end(), [](char c) { return c != ' ' && c != '\n'; }));
  };
  letters = count(text);
  kept = count(parts.opening);
  for (const auto& [label, words] : parts.lines) kept += count(label) + count(words);
  CHECK(kept == letters);
  for (std::size_t start = 0; start < text.size(); start = text.find('\n', start) + 1)
    CHECK(text.find('\n', start) - start <= 100);
}

TEST_CASE("report: the table of changes holds the house as it is and each change",
          "[report][exact]") {
  report::VerdictInput input{.main = fine(), .neighbours = {neighbour("a", 120.0, true)}};
  CHECK(
      report::neighbours_text(input) ==
      "as it "
      "is\t600.0\t0.0\t0.0100\t14.000\t0.0\t305.15\na\t120.0\t0.0\t0.0100\t14.000\t0.0\t305.15\n");
}
