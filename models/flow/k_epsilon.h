#pragma once
// How strong are the eddies, and how well do they mix?
// The standard k-epsilon model (Launder and Spalding 1974) with wall functions: eddy viscosity
// Cmu k^2 / epsilon; both quantities carried upwind, spread by it, made by shear and eaten by each
// other. Beside a wall the logarithmic law gives the wall's drag, what the shear makes there and
// epsilon. Known: round jets spread up to 1.4 times too fast (Pope 1978). Left out: what buoyancy
// makes or damps.
#include <vector>

#include "models/flow/flow_case.h"
#include "models/flow/momentum.h"
#include "models/flow/transport.h"

namespace mistwright::flow {

/// Constants of the model, Launder and Spalding 1974.
inline constexpr double eddy_coefficient = 0.09;  ///< Cmu

/// Rms of each velocity component of isotropic turbulence.
double rms_m_per_s(double k_m2_per_s2);

/// Lagrangian time scale for which a parcel's dispersion sigma^2 T_L is the model's own eddy
/// diffusivity at a turbulent Schmidt number of 0.85: T_L = 0.159 k / epsilon.
double eddy_timescale_s(double k_m2_per_s2, double dissipation_m2_per_s3);

class KEpsilon {
 public:
  explicit KEpsilon(const FlowCase& problem);

  /// First guess from the speeds that come in.
  void start(FlowState& state) const;
  /// One step of both quantities, then eddy viscosity and wall drag.
  void step(FlowState& state);
  /// Wall drag and viscosity for the state as it is; all there is to do in laminar flow.
  void refresh(FlowState& state);
  [[nodiscard]] const WallDrag& walls() const { return walls_; }

 private:
  void centre_speeds(const FlowState& state);
  void make_and_eat(const FlowState& state);
  void near_walls(const FlowState& state);
  void by_walls(const FlowState& state);
  void hold_by_walls(const FlowState& state);
  void mix(FlowState& state) const;
  void bring_in(const FlowState& state);

  const FlowCase& problem_;
  Transport carried_;
  WallDrag walls_;
  std::vector<std::size_t> wall_cells_;
  std::vector<double> nearest_m_;                 ///< of the walls beside a wall cell
  std::vector<double> friction_m_per_s_, slope_;  ///< of the last wall drag; slope in wall units
  FaceValues sides_;     ///< number of walls beside a cell that hold the air, by axis
  FaceValues no_shear_;  ///< 1 where walls take over what the shear across an axis makes
  FaceValues centre_speed_m_per_s_;
  Values k_made_, k_loss_, dissipation_made_, dissipation_loss_;
};

}  // namespace mistwright::flow
