#pragma once
// Sections through the air flow of a regime: arrows for direction, colour for speed.
#include <string>

#include "sim/record/record.h"
#include "sim/report/bench_map.h"

namespace mistwright::report {

struct FlowPictures {
  std::string plan, side;      ///< SVG
  double plan_height_m = 0.0;  ///< of the plan's layer of cells above the floor
  double side_y_m = 0.0;       ///< of the side section across the house
  double mean_speed_m_per_s = 0.0, top_speed_m_per_s = 0.0;  ///< in the plan
  MapScale scale;  ///< of the colours, in m/s, the same for both
};

/// @param flow a group of the layout's kind `flow_...`
/// @param height_m,y_m where to cut; the nearest layers of cells are shown
[[nodiscard]] FlowPictures draw_flow(const record::Group& flow, const Places& places,
                                     double height_m, double y_m);

}  // namespace mistwright::report
