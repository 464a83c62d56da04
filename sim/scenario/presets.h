#pragma once
// What a word such as "glass" or "conifer" stands for when its numbers are left out: one table of
// (group, word, key, value, honest range, evidence). Leaves out nothing that a scenario cannot
// override.
#include <string_view>

namespace mistwright::scenario {

struct Preset {
  const char* table = "";  ///< table of the key it fills
  const char* word = "";   ///< the choice that it belongs to
  const char* key = "";
  const char* value = "";
  const char* low = "";
  const char* high = "";
  const char* evidence = "";
};

/// The preset of a key for a word; none if the table has no row for them.
[[nodiscard]] const Preset* find_preset(std::string_view table, std::string_view word,
                                        std::string_view key);

}  // namespace mistwright::scenario
