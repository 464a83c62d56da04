#pragma once
// What a map says in numbers and words: its least, middle and greatest value, the parts of its
// benches, and how even it is.
#include <string>
#include <vector>

#include "sim/report/bench_map.h"

namespace mistwright::report {

struct Spread {
  double low = 0.0, median_number = 0.0, high = 0.0;  ///< in the unit of the values
  std::size_t low_place = 0, high_place = 0;          ///< where the least and the greatest are
};

/// Of all finite values; zeros when there are none.
[[nodiscard]] Spread spread_of(const std::vector<double>& values);

/// "least 0.21, median 0.88, most 1.50 mm a day"
[[nodiscard]] std::string spread_words(const Spread& spread, int decimals, const std::string& unit);

/// A third of a bench along the house, and the cells in it.
struct Third {
  std::string words;
  double x_m = 0.0, y_m = 0.0;  ///< where a number for it stands: low in its middle
  double length_m = 0.0;
  std::vector<std::size_t> cells;
};
[[nodiscard]] std::vector<Third> thirds_of(const Plan& plan);

[[nodiscard]] double mean_number(const std::vector<double>& values);
[[nodiscard]] double mean_number(const std::vector<double>& values,
                                 const std::vector<std::size_t>& cells, std::size_t first = 0);

/// Mean of the lowest quarter over the mean of all (models/droplet/uniformity.h); 0 of nothing.
[[nodiscard]] double low_quarter_ratio(const std::vector<double>& values);

/// The end of a ramp: the next round number above the largest value.
[[nodiscard]] double round_high_number(const std::vector<double>& values, double least_number);

[[nodiscard]] std::vector<double> scaled(const std::vector<double>& values, double factor);

/// The mean of each third, to be written on it.
[[nodiscard]] std::vector<MapLabel> third_labels(const std::vector<Third>& thirds,
                                                 const std::vector<double>& values, int decimals,
                                                 std::size_t first = 0);

}  // namespace mistwright::report
