#pragma once
// The bench maps that follow the slider: their markup, hidden until the script runs, and its data.
#include <string>
#include <vector>

#include "sim/report/bench_map.h"

namespace mistwright::report {

/// One quantity on the benches over the day.
struct LiveMap {
  std::string id, name;
  MapScale scale;
  std::vector<double> values;              ///< [frame][cell], in the unit shown
  int decimals = 2;                        ///< of the numbers on the thirds
  std::vector<std::string> words, shorts;  ///< for each frame: a sentence, and numbers in short
};

/// Instants of the maps.
struct Frames {
  std::vector<double> elapsed_h;   ///< since the start of the run
  std::vector<std::string> clock;  ///< "13:00", in a long run "day 2, 13:00"
  std::vector<std::size_t> still;  ///< those that stand on paper
  std::size_t first_shown = 0;
};

[[nodiscard]] std::string live_maps(const Plan& plan, const std::vector<LiveMap>& maps,
                                    const Frames& frames);

/// A slider with its label, what it says, and buttons to step and to play; `id` begins all ids.
[[nodiscard]] std::string time_row(const std::string& id, const std::string& label,
                                   std::size_t steps, std::size_t start);

}  // namespace mistwright::report
