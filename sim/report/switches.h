#pragma once
// When fans ran, vents stood open and the shade was drawn, and when the clock told a burst.
#include <string>
#include <vector>

#include "sim/report/day_series.h"

namespace mistwright::report {

/// A thing that is on or off, or how many of its kind are on, from each change to the next.
struct SwitchRow {
  std::string label;            ///< beside the row
  std::string none, one, many;  ///< "no fan runs", "1 fan runs", "# fans run"; # is the number
  std::vector<double> from_h, count_number;
  double on_h = 0.0;  ///< how long at least one was on
};

struct Switches {
  std::vector<SwitchRow> rows;
  std::vector<double> bursts_h;  ///< since the start of the series
  double told_s = 0.0;           ///< of all bursts together
};

[[nodiscard]] Switches switches_of(const record::Record& record, const Day& day);

/// Bars and ticks over the day, with their sentence and numbers; nothing when nothing is known.
[[nodiscard]] std::string switches_figure(const Switches& switches, const Day& day);

}  // namespace mistwright::report
