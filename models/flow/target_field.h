#pragma once
// What would each jet do in this house, were it alone?
// Every inlet and every stirring fan blows a free jet (jets.h) along its axis. Walls beside it act
// as mirrors: the squares of the jet and of its images add (Reichardt's 1942 superposition of
// momentum), which turns a mouth at a wall into the wall jet of twice the momentum on its half. A
// jet keeps its momentum until its outline fills 0.24 of the room's cross-section, the first
// critical section of confined jets, and has given it up where it fills the whole. Jets add as
// vectors. A stirring fan draws its air from behind once the field is projected.
// Left out: jets that bend; a jet's shadow behind a box; mirrors beside an oblique jet.
#include <array>
#include <vector>

#include "models/flow/enclosure.h"
#include "models/flow/grid.h"
#include "models/flow/jets.h"
#include "models/flow/projection.h"
#include "models/flow/regime_field.h"

namespace mistwright::flow {

/// The room on the two sides of a jet's axis, as seen from its mouth.
struct JetRoom {
  double low_m = 0.0, high_m = 0.0;  ///< places of the walls: at most 0 and at least 0
  bool mirrors = true;
};

/// A jet in the house.
struct PlacedJet {
  JetMouth mouth;
  std::array<double, 3> origin_m{};
  std::array<double, 3> axis{};  ///< unit vector
  JetRoom aside, above;
  double flow_m3_per_s = 0.0;
};

/// The jets of all ports with inflow and of all stirrers, in that order.
/// @param finest_m  least half-width of a jet, for the grid's sake
std::vector<PlacedJet> placed_jets(const Enclosure& enclosure, const std::vector<PortFlow>& ports,
                                   double finest_m);

/// One jet at a point.
struct JetThere {
  double speed_m_per_s = 0.0;  ///< along the jet's axis
  double core_fraction = 0.0;  ///< 1 on the axis, falling to 0 outside
};

JetThere placed_jet_at(const PlacedJet& jet, const std::array<double, 3>& point_m);

/// Adds all jets to the faces between fluid cells, and stiffens these faces ten times on a jet's
/// axis: a jet keeps its own flow and the air around it makes room (Sherman's 1978 weights; the ten
/// is ours).
void add_jets(const Grid& grid, const std::vector<PlacedJet>& jets, double strength_ratio,
              FaceField& field, FaceWeights& stiffness_factor);

}  // namespace mistwright::flow
