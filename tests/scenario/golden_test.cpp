#include <algorithm>
#include <chrono>
#include <filesystem>
#include <string>
#include <vector>

#include "sim/scenario/read.h"
#include "tests/support/catch.h"
#include "tests/support/text.h"

using namespace mistwright;
using mistwright::test::text_of;
namespace fs = std::filesystem;

namespace {

/// The broken scenarios, named as a user in their folder would name them.
std::vector<std::string> broken_scenarios() {
  fs::current_path(fs::path(MISTWRIGHT_SOURCE_DIR) / "tests" / "input");
  std::vector<std::string> names;
  for (const auto& entry : fs::directory_iterator(".")) {
    if (entry.path().extension() == ".toml") names.push_back(entry.path().filename().string());
  }
  std::sort(names.begin(), names.end());
  return names;
}

}  // namespace

TEST_CASE("input: each broken scenario is answered by exactly the words beside it",
          "[scenario][input]") {
  const auto names = broken_scenarios();
  CHECK(names.size() >= 40);
  for (const auto& name : names) {
    INFO(name);
    const auto result = scenario::read_file(name);
    CHECK(scenario::render(result.problems) ==
          text_of(fs::path(name).replace_extension(".expected")));
  }
}

TEST_CASE("input: an error means status 3 and no house and a warning neither",
          "[scenario][input]") {
  for (const auto& name : broken_scenarios()) {
    INFO(name);
    const auto result = scenario::read_file(name);
    const bool warned = name == "14_open_band.toml" || name == "49_diameter_out_of_reach.toml";
    CHECK(scenario::exit_status(result.problems) == (warned ? 0 : 3));
    CHECK(result.house.has_value() == warned);
    CHECK(result.problems.size() == (name == "31_five_faults.toml" ? 5 : 1));
  }
}

TEST_CASE("input: first lines keep within 120 columns and the answer comes within two seconds",
          "[scenario][input]") {
  for (const auto& name : broken_scenarios()) {
    INFO(name);
    const auto before = std::chrono::steady_clock::now();
    const auto result = scenario::read_file(name);
    CHECK(std::chrono::steady_clock::now() - before < std::chrono::seconds(2));
    for (const auto& problem : result.problems) {
      const std::string text = scenario::render(problem);
      CHECK(scenario::display_width(text.substr(0, text.find('\n'))) <= 120);
      CHECK(text.find("std::") == std::string::npos);
      CHECK(text.find("toml::") == std::string::npos);
    }
  }
}

TEST_CASE(
    "input: the same fault as JSON carries code and file and span and message and help and fix",
    "[scenario][input]") {
  broken_scenarios();
  CHECK(scenario::render_json(scenario::read_file("01_unknown_key.toml").problems) ==
        "{\"schema\":1,\"errors\":1,\"warnings\":0,\"problems\":[{\"code\":\"E0214\",\"severity\":"
        "\"error\",\"file\":\"01_unknown_key.toml\","
        "\"span\":{\"line\":38,\"column\":1,\"length\":14},\"message\":\"unknown key "
        "`static_presure` in [supply]\","
        "\"help\":\"the nearest key here is `static_pressure`\","
        "\"note\":\"keys of [supply]: bucket_at, bucket_pressure, bucket_time, bucket_volume, "
        "elevation, node, pump_curve, static_pressure, "
        "temperature\",\"fix\":{\"span\":{\"line\":38,\"column\":1,\"length\":14},\"text\":"
        "\"static_pressure\"},\"count\":1}]}\n");
}
