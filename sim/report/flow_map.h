#pragma once
// Sections through the air of a regime: a quantity as colours, the flow as evenly spaced lines with
// arrowheads, and outlines of what stands in the house.
#include <string>
#include <vector>

#include "sim/record/record.h"
#include "sim/report/bench_map.h"
#include "sim/report/flow_marks.h"

namespace mistwright::report {

/// A layer of cells with the two components of the air speed that lie in it.
struct FlowLayer {
  std::vector<double> across_m, up_m;  ///< centres of columns and rows
  std::vector<double> across_m_per_s, up_m_per_s,
      speed_m_per_s;  ///< row by row; speed is of all three components
  double at_m = 0.0;  ///< height of a plan, distance from the right-hand wall of a side view
  std::vector<std::size_t> cells = {};  ///< where each value lies in the group's arrays
  [[nodiscard]] std::size_t at(std::size_t row, std::size_t column) const {
    return row * across_m.size() + column;
  }
};

/// Below it, speeds are told in mm/s.
inline constexpr double slow_m_per_s = 0.02;

/// "0.18 m/s", below 2 cm/s "0.2 mm/s".
[[nodiscard]] std::string speed_words(double speed_m_per_s);

/// @param flow a group of the layout's kind `flow_...`
/// @param height_m,y_m where to cut; the nearest layer of cells is taken
[[nodiscard]] FlowLayer layer_from_above(const record::Group& flow, double height_m);
[[nodiscard]] FlowLayer layer_from_side(const record::Group& flow, double y_m);

/// Values of another variable over the group's cells, in the layer's order.
[[nodiscard]] std::vector<double> layer_values(const FlowLayer& layer,
                                               const record::Variable& variable);

/// The layer's speed, with its colour bar.
[[nodiscard]] std::string draw(const FlowLayer& layer, const Plan& house,
                               const std::vector<FlowMark>& marks, const std::string& name);

/// Another quantity of the layer, in the unit of the scale, without the lines of flow.
[[nodiscard]] std::string draw(const FlowLayer& layer, const Plan& house,
                               const std::vector<FlowMark>& marks, const std::string& name,
                               const std::vector<double>& values, const MapScale& scale);

/// Ways of drops through a section [m, m].
struct Flights {
  std::vector<double> across_m, up_m;
};

/// Ways of drops in place of colours: each entry's own kind of line, c1 to c4.
[[nodiscard]] std::string draw(const FlowLayer& layer, const std::vector<FlowMark>& marks,
                               const std::string& name,
                               const std::vector<std::vector<Flights>>& by_kind);

}  // namespace mistwright::report
