#pragma once
// Which terms drive the air of one house: mouths, cracks, fans that stir, leaves, warm surfaces?
// A mouth's faces carry its flow; where they are wider than the mouth, the momentum that they lack
// is given to the air before them, so that a jet enters with the momentum of its true speed. A fan
// that stirs is a disc of thrust Q^2 / A, which drives a jet of speed Q / A downstream (Rankine's
// and Froude's actuator disc); leaves hold the air by Cd a |U| u (Wilson and Shaw 1977), and
// leaves lower than a cell as a rough floor does, for the speed half a cell above them.
// Left out: swirl of fans, the contraction of sharp-edged mouths.
#include <array>
#include <vector>

#include "models/flow/enclosure.h"
#include "models/flow/flow_case.h"
#include "models/flow/grid.h"
#include "models/flow/regime_field.h"

namespace mistwright::flow {

/// Heat that surfaces give to the air, and how easily it leaves through the cover.
struct SurfaceHeat {
  double floor_W_per_m2 = 0.0;    ///< from the floor, under hanging boxes too
  double boxes_W_per_m2 = 0.0;    ///< from the upper sides of boxes
  double cover_W_per_m2_K = 0.0;  ///< to the outside; 0 for none
  double outside_temperature_K = 293.15;
};

struct HouseTerms {
  std::vector<double> leak_in_m3_per_s;  ///< by cell of the grid; out is negative
  SurfaceHeat heat;
  /// Turbulence that comes in through mouths: rms over speed. 0.04 in Annex 20's slot; outside air
  /// brings more (0.1 to 0.2, common practice).
  double mouth_intensity_fraction = 0.1;
  double sharpness_fraction = 1.0;             ///< see FlowCase
  std::array<bool, 2> slick = {false, false};  ///< see FlowCase
};

/// A case and a state with the boundary speeds set.
struct HouseFlow {
  FlowCase problem;
  FlowState state;
};

/// @param ports  flows through the enclosure's ports; with the leaks they must add up to zero
HouseFlow house_flow(const Enclosure& enclosure, const Grid& grid,
                     const std::vector<PortFlow>& ports, const HouseTerms& terms);

/// Gives a case the heat of its surfaces, in place of what it had.
void warm_surfaces(const Enclosure& enclosure, const Grid& grid, const SurfaceHeat& heat,
                   FlowCase& problem);

/// Heat capacity of a volume of air [J/(m3 K)] at room temperature: 1.2 kg/m3 times 1006 J/(kg K).
inline constexpr double air_heat_capacity_J_per_m3_K = 1207.0;

}  // namespace mistwright::flow
