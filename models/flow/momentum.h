#pragma once
// How do the speeds across one axis change, given pressure, eddies and the flow that carries them?
// Finite volumes about each face of the staggered grid (Patankar 1980): upwind differences taken
// implicitly, Leonard's (1979) QUICK as a deferred correction of them, central diffusion, drag of
// walls (wall_drag.h) and leaves, buoyancy. Under-relaxed, swept by Jacobi's method, so that a
// mirrored house gives mirrored bits. Left out: the turbulent stress's transposed part, which a
// uniform viscosity makes zero.
#include "models/flow/flow_case.h"
#include "models/flow/sweeps.h"

namespace mistwright::flow {

/// How strongly walls hold the air that slides along them.
struct WallDrag {
  FaceValues along_m3_per_s;  ///< conductance per cell, by the axis of the speeds that it holds
  Values flat_m3_per_s;       ///< part of walls across z
};

class Momentum {
 public:
  /// @param state  whose speeds on the boundary stay what they are
  /// @param relaxation_factor  share of each equation's own change that is made, above 0 to 1
  Momentum(const FlowCase& problem, const FlowState& state, double relaxation_factor);

  /// Improved speeds, with all coefficients from `now`.
  /// @param next  holds the boundary's speeds
  void step(const FlowState& now, const WallDrag& walls, FaceValues& next);

  /// How far an open face's speed answers to a step of pressure across it [s/m], after SIMPLEC
  /// (Van Doormaal and Raithby 1984); of the last step.
  [[nodiscard]] const FaceValues& response() const { return response_; }

 private:
  /// What is known of one axis before its sweeps.
  struct Given {
    const Values& force_m4_per_s2;
    const Values& wall_m3_per_s;
  };
  void find_blunt();
  void hold(const FlowState& now);
  const Values& given_forces(std::size_t axis, const FlowState& now, const WallDrag& walls);
  void pass_faces(std::size_t axis, std::size_t across, const FlowState& now, std::size_t k,
                  Range range);
  void first_round(std::size_t axis, const FlowState& now, const Given& given, std::size_t k,
                   Range range);

  const FlowCase& problem_;
  double relaxation_factor_;
  bool leaves_ = false;
  /// Sides beside sheets, in order, by the speeds' axis and the one across.
  std::array<std::array<std::vector<std::size_t>, 3>, 3> blunt_;
  std::array<Layers, 3> extra_;  ///< QUICK's correction of what is carried through the lower sides
  Equations equations_;
  Values hold_m3_per_s_;  ///< half of what leaves and air that leaks in at rest take in a cell
  Values given_m4_per_s2_;
  FaceValues other_, response_;
};

}  // namespace mistwright::flow
