#include "sim/app/heads.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdlib>
#include <filesystem>
#include <vector>

#include "models/droplet/entrainment.h"
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

std::string drive_words(water::Drive drive) {
  return scenario::choices(
      *scenario::find_key("head_type", "drive"))[static_cast<std::size_t>(drive)];
}

/// The tag of one key: its own, the whole head's, or that of the default that stands in for it.
const water::KeyEvidence* evidence_of(const water::HeadType& type, const std::string& key) {
  const auto found = std::find_if(type.key_evidence.begin(), type.key_evidence.end(),
                                  [&](const water::KeyEvidence& one) { return one.key == key; });
  return found == type.key_evidence.end() ? nullptr : &*found;
}

std::string tag_of(const water::HeadType& type, const std::string& key) {
  const water::KeyEvidence* said = evidence_of(type, key);
  return said ? said->tag : type.evidence;
}

/// "  [memory]", or "  [flow memory; pressure derived]" where keys differ.
std::string tags(const water::HeadType& type, const std::vector<std::string>& keys) {
  std::string each;
  bool alike = true;
  for (const std::string& key : keys) {
    each += fmt::format("{}{} {}", each.empty() ? "" : "; ", key, tag_of(type, key));
    alike = alike && tag_of(type, key) == tag_of(type, keys.front());
  }
  return fmt::format("  [{}]", alike ? tag_of(type, keys.front()) : each);
}

/// What can hurt, by what the head is.
std::vector<std::string> cautions(const water::HeadType& type) {
  const auto limit = [](const char* text, Kind kind) {
    return scenario::read_quantity(text, kind, "limit").value;
  };
  // Far above any tap or well pump; and drops that shrink to breathable ones in flight.
  const double piercing_Pa = limit("20 bar", Kind::GaugePressure);
  const double breathable_m = limit("100 um", Kind::DropSize);
  std::vector<std::string> words;
  if (type.rated_pressure_Pa >= piercing_Pa) {
    words.emplace_back(
        "a jet at this pressure can pierce skin, an emergency: guards, rated tube, pressure off "
        "first");
  }
  if (type.dv10_m < breathable_m) {
    words.emplace_back(
        "fine drops are breathed in and may carry disease: clean water, nothing warm or standing");
  }
  if (type.needs.power_W > 0.0) {
    words.emplace_back(
        "electricity beside spray: extra-low voltage or a residual-current device; isolate first");
  }
  if (type.drive == water::Drive::CompressedAir) {
    words.emplace_back("compressed air stores energy: rated hose, let the pressure off first");
  }
  return words;
}

std::string litres_per_minute(double flow_m3_per_s) {
  return rounded(flow_m3_per_s, "L/min");
}

std::string needs_water_words(const water::HeadNeeds& needs) {
  std::string words = needs.water;
  const auto add = [&](const std::string& more) { words += (words.empty() ? "" : "; ") + more; };
  if (needs.filter_opening_m > 0.0)
    add("filter " + rounded(needs.filter_opening_m, "um") + " or finer");
  if (needs.hardness_kg_per_m3 > 0.0)
    add("hardness at most " + rounded(needs.hardness_kg_per_m3, "mg/L") + " as CaCO3");
  return words;
}

/// Rows on what the head asks for besides water at a pressure.
void add_needs(const water::HeadType& type, std::vector<Row>& rows) {
  const water::HeadNeeds& needs = type.needs;
  if (needs.power_W > 0.0) {
    const double litres_per_h =
        std::max(1, type.boom.heads) * type.rated_flow_m3_per_s * 1e3 * 3600.0;
    rows.push_back({"  power", fmt::format("{}, {} Wh/L{}", rounded(needs.power_W, "W"),
                                           rounded(needs.power_W / litres_per_h, "1", 2),
                                           tags(type, {"power"}))});
  }
  if (needs.compressed_air_m3_per_s > 0.0) {
    rows.push_back(
        {"  compressed air",
         fmt::format("{} of free air at {}{}", litres_per_minute(needs.compressed_air_m3_per_s),
                     pressure_words(needs.compressed_air_pressure_Pa),
                     tags(type, {"compressed_air", "compressed_air_pressure"}))});
  }
  const std::string water = needs_water_words(needs);
  std::vector<std::string> keys;
  if (!needs.water.empty()) keys.emplace_back("water_quality");
  if (needs.filter_opening_m > 0.0) keys.emplace_back("filter");
  if (needs.hardness_kg_per_m3 > 0.0) keys.emplace_back("hardness");
  if (!water.empty()) rows.push_back({"  water", water + tags(type, keys)});
}

void add_boom(const water::HeadType& type, std::vector<Row>& rows) {
  if (type.boom.heads == 0) return;
  rows.push_back(
      {"  travels",
       fmt::format("{} heads over {} at {}: {} ({} mL/m2) a pass{}", type.boom.heads,
                   rounded(type.boom.width_m, "m"), rounded(type.boom.speed_m_per_s, "m/s"),
                   rounded(water::boom_dose_m(type), "mm"),
                   rounded(water::boom_dose_m(type) * 1e6, "1"),
                   tags(type, {"boom_heads", "boom_speed", "boom_width"}))});
}

/// The wetted circle: as stated where the drops reach it, else what they do instead.
std::string circle_words(const water::HeadType& type, const droplet::Throw& thrown) {
  const std::string stated = rounded(type.wetted_diameter_m, "m");
  if (droplet::is_fog(type)) return "; it floats, and no wetted circle is asked of it";
  if (thrown.floats)
    return fmt::format("; its own jet carries it away: nothing of the {} stated", stated);
  if (thrown.reached)
    return fmt::format(", wetting {} ({}) across", stated, rounded(type.wetted_diameter_m, "ft"));
  const double reach_m = 2 * thrown.reach_m;
  return fmt::format(", throws {} {} the {} stated", rounded(reach_m, "m"),
                     reach_m < type.wetted_diameter_m ? "of" : "instead of", stated);
}

std::string block(const water::HeadType& type) {
  const auto um = [](double diameter_m) { return rounded(diameter_m, "um"); };
  const std::string speed =
      type.launch_speed_m_per_s > 0.0
          ? fmt::format(", leaving at {} at most", rounded(type.launch_speed_m_per_s, "m/s"))
          : "";
  const droplet::Throw thrown = droplet::fit_throw(type);
  std::vector<Row> rows{
      {"  flow",
       fmt::format("{} ({}) at {}{}", rounded(type.rated_flow_m3_per_s, "L/h"),
                   rounded(type.rated_flow_m3_per_s, "gal/h"),
                   pressure_words(type.rated_pressure_Pa), tags(type, {"flow", "pressure"}))},
      {"  works between",
       fmt::format("{} and {}{}", pressure_words(type.working_pressure_low_Pa),
                   pressure_words(type.working_pressure_high_Pa),
                   tags(type, {"working_pressure_low", "working_pressure_high"}))},
      {"  drops",
       fmt::format("{}, {}, {} (a tenth, half, nine tenths of the water below); about {}{}",
                   um(type.dv10_m), um(type.dv50_m), um(type.dv90_m), category_of(type.dv50_m),
                   tags(type, {"dv10", "dv50", "dv90"}))},
      {"  throws", pattern_words(type.launch) + circle_words(type, thrown) + speed +
                       (droplet::is_fog(type) ? tags(type, {"launch"})
                                              : tags(type, {"launch", "wetted_diameter"}))},
  };
  if (type.check_valve) {
    rows.push_back({"  check valve",
                    fmt::format("opens at {}, shuts at {}{}", pressure_words(type.check_opens_Pa),
                                pressure_words(type.check_closes_Pa),
                                tags(type, {"check_opens", "check_closes"}))});
  }
  add_boom(type, rows);
  add_needs(type, rows);
  for (const std::string& words : cautions(type)) rows.push_back({"  caution", words});
  return scenario::visible_line(type.name) + '\n' + aligned(rows);
}

std::string evidence_json(const water::HeadType& type) {
  std::vector<std::string> items;
  for (const scenario::Key& key : scenario::keys()) {
    if (std::string_view(key.table) != "head_type") continue;
    const water::KeyEvidence* said = evidence_of(type, key.name);
    if (!said) continue;
    JsonObject one;
    one.text("key", said->key);
    one.text("tag", said->tag);
    one.text("why", said->why);
    items.push_back(one.str());
  }
  return json_array(items);
}

void needs_json(const water::HeadType& type, JsonObject& object) {
  const auto known = [&](const char* name, double value) {
    if (value > 0.0) {
      object.number(name, value);
    } else {
      object.none(name);
    }
  };
  known("launch_speed_m_s", type.launch_speed_m_per_s);
  known("power_w", type.needs.power_W);
  known("compressed_air_m3_s", type.needs.compressed_air_m3_per_s);
  known("compressed_air_pressure_pa", type.needs.compressed_air_pressure_Pa);
  known("filter_um", type.needs.filter_opening_m * 1e6);
  known("hardness_mg_l", type.needs.hardness_kg_per_m3 * 1e3);
  object.text("water_quality", type.needs.water);
  object.whole("boom_heads", type.boom.heads);
  known("boom_dose_mm", water::boom_dose_m(type) * 1e3);
  std::vector<std::string> words;
  for (const std::string& one : cautions(type)) words.push_back(json_text(one));
  object.raw("cautions", json_array(words));
}

std::string json(const water::HeadType& type) {
  JsonObject object;
  object.text("name", type.name);
  object.text("drive", drive_words(type.drive));
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
  const droplet::Throw thrown = droplet::fit_throw(type);
  if (thrown.floats) {
    object.none("thrown_diameter_m");
  } else {
    object.number("thrown_diameter_m", 2 * thrown.reach_m);
  }
  object.flag("check_valve", type.check_valve);
  needs_json(type, object);
  object.text("evidence", type.evidence);
  object.raw("key_evidence", evidence_json(type));
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
  scenario::Reading reading;
  reading.directory = folder.string();
  reading.source = std::make_shared<const scenario::SourceText>(folder.string(), "");
  // Not written as text: names of files hold quotes and whatever else.
  scenario::Value types;
  types.type = scenario::Value::Type::Table;
  for (const std::string& name : names) {
    const std::string file = name + ".toml";
    scenario::Span at;
    at.source = std::make_shared<const scenario::SourceText>((folder / file).string(), "");
    scenario::Value path;
    path.text = file;
    path.at = at;
    scenario::Value type;
    type.type = scenario::Value::Type::Table;
    type.entries.push_back({"file", at, path});
    types.entries.push_back({name, at, type});
  }
  scenario::Value root;
  root.type = scenario::Value::Type::Table;
  root.entries.push_back({"head_type", scenario::Span{}, types});
  scenario::read_head_types(reading, root);
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
  const bool failed = scenario::any_error(problems);
  // With --json the answer is the one object; warnings are for people.
  if (failed || (!manners.json && !manners.quiet && !problems.empty())) tell(manners, problems);
  if (failed) return scenario::exit_status(problems);
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
  if (!manners.quiet) {
    fmt::print(
        "\nIn brackets: where numbers come from (why: heads --json). Cautions are short; local "
        "codes and licensed people come first.\n");
  }
  return done;
}

}  // namespace mistwright::app
