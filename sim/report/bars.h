#pragma once
// Where the water went, and what pressure each head gets: bars and marks against a scale.
#include <string>
#include <vector>

namespace mistwright::report {

/// Water by its fate, all of it and by droplet size.
struct FateBars {
  std::vector<std::string> fates;            ///< words for the keys
  std::vector<double> diameters_um;          ///< of the size classes
  std::vector<std::vector<double>> mass_kg;  ///< for each fate, for each size class
};
[[nodiscard]] std::string draw(const FateBars& bars);

struct HeadMark {
  std::string name;
  double pressure_Pa = 0.0, low_Pa = 0.0, high_Pa = 0.0;
};
[[nodiscard]] std::string draw(const std::vector<HeadMark>& heads);

}  // namespace mistwright::report
