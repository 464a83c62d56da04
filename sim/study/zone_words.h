#pragma once
// What `mistwright split` prints: how many zones, which heads in each, through which pipes, in
// which order, and what stands in the way.
#include <string>
#include <vector>

#include "sim/house/house.h"
#include "sim/study/zones.h"

namespace mistwright::study {

/// Heads by name, numbers that follow one another drawn together: "east 1 to 3, west 2".
[[nodiscard]] std::string heads_words(const House& house, const std::vector<std::uint32_t>& heads);

/// How many zones, and why no fewer, in a sentence or two.
[[nodiscard]] std::string split_findings(const House& house, const Split& split);

[[nodiscard]] std::string split_words(const House& house, const Split& split);

}  // namespace mistwright::study
