#pragma once
// What someone read in catch cups: a heading, then one cup a line with its reading, as a volume or
// a depth in any unit: "A1,12 mL", or "12" under the heading "reading [mL]". Every fault is told
// with line and caret. Leaves out what the readings mean.
#include <string>
#include <vector>

#include "sim/scenario/problem.h"

namespace mistwright::scenario {

inline constexpr double deepest_cup_m = 0.5;  ///< no cup is read deeper

struct CupReading {
  std::size_t cup = 0;   ///< index into the names
  double depth_m = 0.0;  ///< over the cup's mouth
};

struct CupReadings {
  std::vector<CupReading> readings;
  std::vector<Problem> problems;  ///< none: all is right
};

/// @param names     of the cups that stand on the benches
/// @param mouth_m2  turns volumes into depths, above 0
[[nodiscard]] CupReadings read_cups(const std::string& path, const std::vector<std::string>& names,
                                    double mouth_m2);

}  // namespace mistwright::scenario
