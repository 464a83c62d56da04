#pragma once
// What drives one steady flow, and what it is at present: the terms of Reynolds' equations for air
// of constant density (Boussinesq), per unit density, on a lattice. Who turns a house into such a
// case: house_case.h; who solves it: steady_flow.h.
#include <array>
#include <vector>

#include "models/flow/lattice.h"

namespace mistwright::flow {

/// Turbulence that a mouth brings in through one face on the boundary.
struct MouthFace {
  std::size_t axis = 0, face = 0;
  double speed_m_per_s = 0.0;  ///< true one of the air in the mouth; at least 0
  double k_m2_per_s2 = 0.0, dissipation_m2_per_s3 = 0.0;
};

/// Heat carried by the air, in the steady state. Temperatures count from that of the outside air.
struct HeatCase {
  Values source_K_m3_per_s;  ///< heat given to each cell over the air's heat capacity per volume
  Values loss_m3_per_s;      ///< of each cell to the outside, through the cover: area times U
                             ///< over the same
  double expansion_1_per_K = 0;  ///< of air; 0 when heat does not move it
};

/// Boundary speeds stand in the state's faces that are not open; everything else is here.
struct FlowCase {
  explicit FlowCase(const Grid& grid)
      : lattice(grid),
        leak_in_m3_per_s(lattice.zeros()),
        force_m4_per_s2(lattice.face_zeros()),
        drag_m2(lattice.zeros()) {}

  Lattice lattice;
  double viscosity_m2_per_s = 1.5e-5;  ///< kinematic, of air at room temperature
  bool turbulent = true;               ///< false: laminar, walls hold the air by viscosity alone
  double sharpness_fraction = 1.0;     ///< of QUICK's correction over upwind differences
  /// Walls across x and across y that hold no air: planes of symmetry, or the sides of a slice.
  std::array<bool, 2> slick = {false, false};
  double lid_speed_m_per_s = 0.0;  ///< of the upper wall along x; for the cavity with a lid

  Values leak_in_m3_per_s;     ///< air that comes into a cell without momentum; out is negative
  FaceValues force_m4_per_s2;  ///< on the air about an open face, over its density
  Values drag_m2;              ///< of leaves in a cell: drag coefficient times leaf area
  std::vector<MouthFace> mouths;
  HeatCase heat;  ///< empty sources: no heat is carried
};

/// A flow on its way to rest, or there.
struct FlowState {
  explicit FlowState(const Lattice& lattice)
      : speed_m_per_s(lattice.face_zeros()),
        pressure_m2_per_s2(lattice.zeros()),
        viscosity_m2_per_s(lattice.zeros()),
        k_m2_per_s2(lattice.zeros()),
        dissipation_m2_per_s3(lattice.zeros()),
        warmth_K(lattice.zeros()) {}

  FaceValues speed_m_per_s;
  Values pressure_m2_per_s2;  ///< over density, hydrostatic part left out
  Values viscosity_m2_per_s;  ///< molecular and eddy viscosity together
  Values k_m2_per_s2, dissipation_m2_per_s3;
  Values warmth_K;  ///< above the outside air
};

}  // namespace mistwright::flow
