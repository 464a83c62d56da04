#pragma once
// How do the speeds across one axis change, given pressure, eddies and the flow that carries them?
// Finite volumes about each face of the staggered grid (Patankar 1980): upwind differences taken
// implicitly, Leonard's (1979) QUICK as a deferred correction of them, central diffusion, drag of
// walls (wall_drag.h) and leaves, buoyancy. Under-relaxed, swept by Jacobi's method, so that a
// mirrored house gives mirrored bits. Left out: the turbulent stress's transposed part, which a
// uniform viscosity makes zero.
#include <array>

#include "models/flow/flow_case.h"

namespace mistwright::flow {

/// How strongly walls hold the air that slides along them.
struct WallDrag {
  FaceValues conductance_m3_per_s;  ///< per cell, by the axis that the walls stand across
};

class Momentum {
 public:
  explicit Momentum(const FlowCase& problem);

  /// Improves the speeds across one axis of `next` with all coefficients from `now`.
  void step(std::size_t axis, const FlowState& now, const WallDrag& walls, FaceValues& next);

  /// How far an open face's speed answers to a step of pressure across it [s/m], after SIMPLEC
  /// (Van Doormaal and Raithby 1984); of the last step of that axis.
  [[nodiscard]] const FaceValues& response() const { return response_; }

 private:
  void diffuse(std::size_t axis, const FlowState& now, const WallDrag& walls);
  void carry(std::size_t axis, const FlowState& now);
  void sharpen(std::size_t axis, const FlowState& now);
  void blunt_beside_sheets(std::size_t axis, std::size_t b, Values& extra) const;
  void force(std::size_t axis, const FlowState& now);
  void sweep(std::size_t axis, Values& speed);

  const FlowCase& problem_;
  double relaxation_factor_ = 0.9;
  FaceValues diffusion_;                 ///< conductance of each face of a cell
  std::array<FaceValues, 2> neighbour_;  ///< coefficients of the lower and upper neighbours by axis
  FaceValues flow_;                      ///< through the lower sides of the control volumes
  Values centre_, source_, spare_;
  FaceValues response_;
};

}  // namespace mistwright::flow
