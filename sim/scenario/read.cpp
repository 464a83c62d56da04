#include "sim/scenario/read.h"

#include <fmt/core.h>

#include <algorithm>
#include <filesystem>
#include <string_view>

#include "sim/scenario/readers.h"
#include "sim/scenario/source.h"

namespace mistwright::scenario {
namespace {

/// Tables of a scenario beside the keys at its top.
bool is_table(std::string_view name) {
  for (const Key& key : keys()) {
    const std::string_view table = key.table;
    if (!table.empty() && table == name) return true;
  }
  return false;
}

void check_top(Reading& reading, const Value& root) {
  std::vector<std::string> tables;
  for (const Key& key : keys()) {
    const std::string table = key.table;
    const bool fresh = std::find(tables.begin(), tables.end(), table) == tables.end();
    if (!table.empty() && table.find('.') == std::string::npos && fresh) tables.push_back(table);
  }
  for (const Entry& entry : root.entries) {
    if (is_table(entry.key) || find_key("", entry.key)) continue;
    const bool heads_table =
        entry.value.type == Value::Type::Table || entry.value.type == Value::Type::List;
    Problem& p = reading.error("E0214", entry.key_at,
                               fmt::format("unknown {} `{}` at the top of the file",
                                           heads_table ? "table" : "key", entry.key));
    p.label = "not a key or table of a scenario";
    std::string near = nearest_key("", entry.key);
    if (near.empty()) near = nearest_word(tables, entry.key);
    const std::string elsewhere = belongs_in(entry.key);
    if (!near.empty()) {
      p.help = fmt::format("the nearest is `{}`", near);
      p.fix = Fix{entry.key_at, near};
    } else if (!elsewhere.empty()) {
      p.help = fmt::format("`{}` belongs in {}", entry.key, elsewhere);
    }
    std::string list;
    for (const auto& table : tables) list += fmt::format("{}{}", list.empty() ? "" : ", ", table);
    p.note = fmt::format("tables of a scenario: {}", list);
  }
}

ReadResult read_source(const std::shared_ptr<const SourceText>& source,
                       const std::string& directory, const std::vector<std::string>& overrides) {
  ReadResult result;
  result.problems = screen(source);
  if (any_error(result.problems)) return result;
  Parsed parsed = parse(source);
  result.problems.insert(result.problems.end(), parsed.problems.begin(), parsed.problems.end());
  for (const auto& setting : overrides) apply_override(parsed.root, setting, result.problems);
  if (any_error(result.problems)) return result;

  Reading reading;
  reading.source = source;
  reading.directory = directory;
  const Value& root = parsed.root;
  check_top(reading, root);
  read_site(reading, root);
  read_structure(reading, root);
  read_benches(reading, root);
  read_medium_and_crop(reading, root);
  const Names valves = read_water(reading, root);
  read_clocks(reading, root, valves);
  read_air(reading, root);
  read_span(reading, root);
  read_weather(reading, root);
  read_recording_and_numerics(reading, root);

  fold_repeats(reading.problems);
  result.problems = std::move(reading.problems);
  result.files = std::move(reading.files);
  if (!any_error(result.problems)) {
    reading.house.source = {source->name, source->text};
    result.house = std::move(reading.house);
  }
  return result;
}

}  // namespace

ReadResult read_text(const std::string& text, const std::string& name, const std::string& directory,
                     const std::vector<std::string>& overrides) {
  return read_source(without_mark(std::make_shared<const SourceText>(name, text)), directory,
                     overrides);
}

ReadResult read_file(const std::string& path, const std::vector<std::string>& overrides) {
  Loaded loaded = load(path);
  if (!loaded.source) return {std::nullopt, std::move(loaded.problems)};
  const std::filesystem::path parent = std::filesystem::path(path).parent_path();
  ReadResult result =
      read_source(without_mark(loaded.source), parent.empty() ? "." : parent.string(), overrides);
  result.files.push_back(path);
  return result;
}

}  // namespace mistwright::scenario
