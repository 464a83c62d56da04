#pragma once
// What would the air do, were each jet alone in the open?
// Every inlet and every stirring fan blows a free jet (jets.h) along its axis; speeds add as
// vectors. A stirring fan's jet begins one diameter behind its blades, so that the later projection
// leaves the speed at the blades as it is (a bare start would lose half of it to the suction side).
#include <array>
#include <vector>

#include "models/flow/enclosure.h"
#include "models/flow/grid.h"
#include "models/flow/jets.h"
#include "models/flow/projection.h"
#include "models/flow/regime_field.h"

namespace mistwright::flow {

/// A jet in the house.
struct PlacedJet {
  JetMouth mouth;
  std::array<double, 3> origin_m{};
  std::array<double, 3> axis{};  ///< unit vector
  double start_m = 0.0;  ///< along the axis; below zero when the jet begins behind its mouth
  double flow_m3_per_s = 0.0;
};

/// The jets of all ports with inflow and of all stirrers, in that order.
std::vector<PlacedJet> placed_jets(const Enclosure& enclosure, const std::vector<PortFlow>& ports,
                                   double finest_m);

/// Speed of one jet at a point [m/s], along its axis.
double placed_speed_m_per_s(const PlacedJet& jet, const std::array<double, 3>& point_m);

/// Adds all jets to the faces between fluid cells.
void add_jets(const Grid& grid, const std::vector<PlacedJet>& jets, double strength_ratio,
              FaceField& field);

}  // namespace mistwright::flow
