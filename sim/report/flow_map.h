#pragma once
// Sections through the air flow of a regime: arrows for direction, colour for speed.
#include <string>

#include "sim/record/record.h"
#include "sim/report/bench_map.h"

namespace mistwright::report {

struct FlowPictures {
  std::string plan, side;      ///< SVG, each with its bar of colours
  double plan_height_m = 0.0;  ///< of the plan's layer of cells above the floor
  double side_y_m = 0.0;       ///< of the side section across the house
  double mean_speed_m_per_s = 0.0, top_speed_m_per_s = 0.0;  ///< in the plan
};

/// "0.18 m/s", below 2 cm/s "0.2 mm/s".
[[nodiscard]] std::string speed_words(double speed_m_per_s);

/// @param flow a group of the layout's kind `flow_...`
/// @param height_m,y_m where to cut; the nearest layers of cells are shown
[[nodiscard]] FlowPictures draw_flow(const record::Group& flow, const Plan& house, double height_m,
                                     double y_m);

}  // namespace mistwright::report
