#include "sim/app/heads.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdlib>
#include <filesystem>
#include <vector>

#include "models/water/head.h"
#include "sim/report/words.h"
#include "sim/scenario/read.h"
#include "sim/scenario/readers.h"

namespace mistwright::app {
namespace {

using report::pressure_words;
using scenario::Kind;
using scenario::rounded;

/// Names of drop sizes as sprayers use them, by the diameter below which half of the water is. The
/// standard (ASABE S572, borders from memory) sets them by reference nozzles, so these are only
/// near.
struct Category {
  const char* below;
  const char* name;
};
constexpr std::array categories{
    Category{"60 um", "extremely fine"}, Category{"145 um", "very fine"},
    Category{"225 um", "fine"},          Category{"325 um", "medium"},
    Category{"400 um", "coarse"},        Category{"10 mm", "very coarse"},
};

std::string category_of(double dv50_m) {
  const auto* found = std::find_if(categories.begin(), categories.end(), [&](const Category& c) {
    return dv50_m < scenario::read_quantity(c.below, Kind::DropSize, "limit").value;
  });
  return found == categories.end() ? categories.back().name : found->name;
}

const char* pattern_words(water::LaunchPattern pattern) {
  switch (pattern) {
    case water::LaunchPattern::Disc:
      return "a flat disc";
    case water::LaunchPattern::FullCone:
      return "a full cone";
    case water::LaunchPattern::HollowCone:
      return "a hollow cone";
    case water::LaunchPattern::Upward:
      return "upward";
    case water::LaunchPattern::Downward:
      return "downward";
  }
  return "";
}

std::string block(const water::HeadType& type) {
  const auto um = [](double diameter_m) { return rounded(diameter_m, "um"); };
  std::vector<Row> rows{
      {"  flow", fmt::format("{} ({}) at {}", rounded(type.rated_flow_m3_per_s, "L/h"),
                             rounded(type.rated_flow_m3_per_s, "gal/h"),
                             pressure_words(type.rated_pressure_Pa))},
      {"  works between", fmt::format("{} and {}", pressure_words(type.working_pressure_low_Pa),
                                      pressure_words(type.working_pressure_high_Pa))},
      {"  drops",
       fmt::format("{}, {}, {} (a tenth, half, nine tenths of the water below); about {}",
                   um(type.dv10_m), um(type.dv50_m), um(type.dv90_m), category_of(type.dv50_m))},
      {"  throws",
       fmt::format("{}, wetting {} ({}) across", pattern_words(type.launch),
                   rounded(type.wetted_diameter_m, "m"), rounded(type.wetted_diameter_m, "ft"))},
  };
  if (type.check_valve) {
    rows.push_back({"  check valve",
                    fmt::format("opens at {}, shuts at {}", pressure_words(type.check_opens_Pa),
                                pressure_words(type.check_closes_Pa))});
  }
  rows.push_back({"  numbers are", type.evidence});
  return type.name + '\n' + aligned(rows);
}

std::string json(const water::HeadType& type) {
  JsonObject object;
  object.text("name", type.name);
  object.number("flow_m3_s", type.rated_flow_m3_per_s);
  object.number("pressure_pa", type.rated_pressure_Pa);
  object.number("flow_exponent", type.flow_exponent);
  object.number("working_pressure_low_pa", type.working_pressure_low_Pa);
  object.number("working_pressure_high_pa", type.working_pressure_high_Pa);
  object.number("dv10_um", type.dv10_m * 1e6);
  object.number("dv50_um", type.dv50_m * 1e6);
  object.number("dv90_um", type.dv90_m * 1e6);
  object.text("about", category_of(type.dv50_m));
  object.text("pattern", pattern_words(type.launch));
  object.number("wetted_diameter_m", type.wetted_diameter_m);
  object.flag("check_valve", type.check_valve);
  object.text("evidence", type.evidence);
  return object.str();
}

/// Where the example heads lie: in the folder that MISTWRIGHT_SHARE names, beside the reader, or
/// beside the program as it was built or installed.
std::filesystem::path examples_folder() {
  std::error_code ignored;
  const auto program = std::filesystem::read_symlink("/proc/self/exe", ignored).parent_path();
  std::vector<std::filesystem::path> folders;
  if (const char* share = std::getenv("MISTWRIGHT_SHARE"))
    folders.push_back(std::filesystem::path(share) / "scenarios/heads");
  folders.emplace_back("scenarios/heads");
  folders.push_back(program.parent_path() / "share/mistwright/scenarios/heads");
  folders.push_back(program / "share/mistwright/scenarios/heads");
  for (const auto& folder : folders) {
    if (std::filesystem::is_directory(folder, ignored)) return folder;
  }
  return folders.back();
}

/// A scenario that does nothing but name every file of the folder as a head type.
scenario::Reading read_folder(const std::filesystem::path& folder) {
  std::vector<std::string> names;
  std::error_code failed;
  for (const auto& entry : std::filesystem::directory_iterator(folder, failed)) {
    if (entry.path().extension() == ".toml") names.push_back(entry.path().stem().string());
  }
  std::sort(names.begin(), names.end());
  std::string text;
  for (const std::string& name : names) {
    text += fmt::format("[head_type.\"{0}\"]\nfile = \"{0}.toml\"\n", name);
  }
  scenario::Reading reading;
  reading.directory = folder.string();
  reading.source = std::make_shared<const scenario::SourceText>(folder.string(), text);
  const scenario::Parsed parsed = scenario::parse(reading.source);
  scenario::read_head_types(reading, parsed.root);
  if (names.empty()) {
    reading
        .error("E0113", {}, fmt::format("no head data in `{}`", folder.string()),
               "name a scenario instead: mistwright heads SCENARIO")
        .unreadable = true;
  }
  return reading;
}

}  // namespace

int heads(const Manners& manners, const HeadsRequest& request) {
  std::vector<water::HeadType> types;
  std::vector<scenario::Problem> problems;
  if (request.scenario) {
    scenario::ReadResult result = scenario::read_file(*request.scenario);
    problems = std::move(result.problems);
    if (result.house) types = std::move(result.house->head_types);
  } else {
    scenario::Reading reading = read_folder(examples_folder());
    problems = std::move(reading.problems);
    types = std::move(reading.house.head_types);
  }
  if (scenario::any_error(problems)) {
    tell(manners, problems);
    return scenario::exit_status(problems);
  }
  if (manners.json) {
    std::vector<std::string> items;
    items.reserve(types.size());
    for (const auto& type : types) items.push_back(json(type));
    JsonObject object;
    object.raw("heads", json_array(items));
    fmt::print("{}\n", object.str());
    return done;
  }
  for (std::size_t i = 0; i < types.size(); ++i) {
    fmt::print("{}{}", i == 0 ? "" : "\n", block(types[i]));
  }
  return done;
}

}  // namespace mistwright::app
