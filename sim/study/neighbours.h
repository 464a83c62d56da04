#pragma once
// The same house with one thing changed: the few fixed changes that every verdict tries.
#include <string>
#include <vector>

#include "sim/house/house.h"

namespace mistwright::study {

struct Change {
  std::string words;  ///< what was changed, with its numbers
  House house;
  bool clock_only = false;  ///< costs nothing
};

/// Longer bursts, shorter intervals, larger heads, more shade, fans later; those that the house has
/// no use for (no fan with a thermostat) are left out.
[[nodiscard]] std::vector<Change> neighbours(const House& house);

/// The house with its programmes told in whole minutes; `words` such as "1 min every 40 min".
[[nodiscard]] Change in_whole_minutes(const House& house);

/// The house with a film capacity at the low or the high end of its honest range.
[[nodiscard]] House with_impaction_doubt(const House& house, double ratio);
[[nodiscard]] House with_film_capacity(const House& house, double capacity_m);

/// The band with most bursts in it over all programmes; nothing if no programme bursts.
[[nodiscard]] const control::Band* busiest_band(const House& house);

/// "6 s every 10 min".
[[nodiscard]] std::string band_words(const control::Band& band);

}  // namespace mistwright::study
