#pragma once
// From a scenario file to a checked house. The scenario room answers: is this house described whole
// and sensibly, in units people use, and if not, what would be right? All errors of a file are
// found at once; nothing is guessed; every default used is listed in House::assumed. Leaves out
// whether the supply can feed the zones (that takes the network's solution) and everything about
// results.
#include <optional>
#include <string>
#include <vector>

#include "sim/house/house.h"
#include "sim/scenario/problem.h"

namespace mistwright::scenario {

struct ReadResult {
  std::optional<House> house = {};      ///< absent when there is any error
  std::vector<Problem> problems = {};   ///< errors and warnings, in the order of the file's parts
  std::vector<std::string> files = {};  ///< that were read: the scenario's and those it names
};

/// Reads and checks a scenario.
/// @param path       as the user gave it; named so in messages
/// @param overrides  each `table.key=value`, laid over the file before it is checked
[[nodiscard]] ReadResult read_file(const std::string& path,
                                   const std::vector<std::string>& overrides = {});

/// The same from a text in memory.
/// @param name       for messages
/// @param directory  in which files named by the scenario are looked for; empty: none can be read
[[nodiscard]] ReadResult read_text(const std::string& text, const std::string& name,
                                   const std::string& directory = {},
                                   const std::vector<std::string>& overrides = {});

}  // namespace mistwright::scenario
