#include "tests/scenario/weather_faults.h"

#include "sim/scenario/read.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::test;

namespace {

std::vector<WeatherFault> all_faults() {
  auto faults = tmy3_faults();
  for (auto& fault : epw_faults()) faults.push_back(std::move(fault));
  return faults;
}

fs::path answers() {
  return fs::path(MISTWRIGHT_SOURCE_DIR) / "tests" / "input" / "typical_year";
}

}  // namespace

TEST_CASE("input: each broken typical year is answered by exactly the words kept for it",
          "[scenario][input]") {
  const auto faults = all_faults();
  CHECK(faults.size() >= 50);
  std::size_t kept = 0;
  for (const auto& entry : fs::directory_iterator(answers()))
    kept += entry.path().extension() == ".expected" ? 1 : 0;
  CHECK(kept == faults.size());
  for (const auto& fault : faults) {
    INFO(fault.name);
    const auto result = read_with(fault.name, fault.content, fault.settings);
    CHECK(scenario::render(result.problems) == text_of(answers() / (fault.name + ".expected")));
    CHECK(result.problems.size() == 1);
    CHECK(result.house.has_value() == !fault.refused);
    CHECK(scenario::exit_status(result.problems) == (fault.refused ? 3 : 0));
  }
}

TEST_CASE("input: a fault of one cell is marked at its column", "[scenario][input]") {
  // The caret stands under the cell: its column counts the characters before it.
  const auto marks = [](const std::string& name, const std::string& content) {
    const auto result = read_with(name, content, {});
    REQUIRE(result.problems.size() == 1);
    const auto& at = result.problems[0].at;
    return std::string(at.source->line(at.line))
        .substr(static_cast<std::size_t>(at.column - 1), static_cast<std::size_t>(at.length));
  };
  CHECK(marks("a.csv", joined(with_cells(tmy3_july(), 60, 60, 37, "150"))) == "150");
  CHECK(marks("b.epw", joined(with_cells(epw_july(), 60, 60, 9, " 991 "))) == "991");
  CHECK(marks("c.epw", joined(with_cells(epw_july(), 60, 60, 13, "-3"))) == "-3");
  CHECK(marks("d.csv", joined(with_cells(tmy3_july(), 60, 60, 1, "31:00"))) == "07/10/1981,31:00");
}

TEST_CASE("input: a typical year cut anywhere is either complete for the run or refused",
          "[scenario][input]") {
  for (const auto& [name, good, header] :
       {std::tuple("cut.csv", tmy3_july(), 2), std::tuple("cut.epw", epw_july(), 8)}) {
    Lines lines = good;
    const std::string whole = joined(lines);
    lines.resize(static_cast<std::size_t>(header) + 73);  // beyond the run's last hour
    const std::size_t needed = joined(lines).size();
    for (std::size_t bytes = 0; bytes < whole.size(); bytes += 997) {
      CAPTURE(name, bytes);
      const auto result = read_with(name, whole.substr(0, bytes), {});
      if (bytes < needed) CHECK_FALSE(result.house.has_value());
      CHECK(result.house.has_value() == !scenario::any_error(result.problems));
    }
  }
}
