#pragma once
// Curves over the day on one pair of axes.
#include <functional>
#include <string>
#include <vector>

#include "sim/report/svg.h"

namespace mistwright::report {

struct Curve {
  std::string label;
  std::vector<double> values;
  std::vector<double> low = {},
                      high = {};  ///< a band about the values, as long as they are; none if empty
};

struct LinePlot {
  std::string name;               ///< for screen readers
  std::string value_words;        ///< what the upright axis counts, with its unit
  std::vector<double> elapsed_h;  ///< hours since the run's start
  double end_h = 0.0;             ///< where the axis ends
  double first_hour_h = 0.0;      ///< hour of the day of the first value
  std::vector<Curve> curves;      ///< at most five, told apart by colour and by dashes
  bool from_zero = false;
  /// Words added to a tick, such as the same in other units; none if empty.
  std::function<std::string(double tick)> second_unit = {};
};

[[nodiscard]] std::string draw(const LinePlot& plot);

/// Upright lines at round hours, or at midnights of a long run, and their words below.
struct HourGrid {
  double first_hour_h = 0.0;
  Scale x;  ///< from hours since the start
  double top_px = 0.0, bottom_px = 0.0;
};
void draw_hours(Svg& svg, const HourGrid& grid);

}  // namespace mistwright::report
