#pragma once
// The head types of scenarios/heads, as a scenario would read them.
#include <algorithm>
#include <filesystem>
#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

#include "models/water/head.h"
#include "sim/scenario/readers.h"
#include "tests/support/catch.h"

namespace mistwright::test {

inline std::filesystem::path heads_folder() {
  return std::filesystem::path(MISTWRIGHT_SOURCE_DIR) / "scenarios" / "heads";
}

/// @param names  of files without their ending
inline std::vector<water::HeadType> read_heads(const std::vector<std::string>& names) {
  std::string text;
  for (const auto& name : names) text += "[head_type." + name + "]\nfile = \"" + name + ".toml\"\n";
  scenario::Reading reading;
  reading.directory = heads_folder().string();
  reading.source = std::make_shared<const scenario::SourceText>("heads", text);
  scenario::read_head_types(reading, scenario::parse(reading.source).root);
  for (const auto& problem : reading.problems) UNSCOPED_INFO(scenario::render(problem));
  CHECK(reading.problems.empty());
  return reading.house.head_types;
}

/// All files of the folder.
inline std::vector<water::HeadType> head_files() {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(heads_folder()))
    names.push_back(entry.path().stem().string());
  std::sort(names.begin(), names.end());
  return read_heads(names);
}

}  // namespace mistwright::test
