#pragma once
// Which mass-conserving field lies nearest, in mean square, to a wished one?
// Minimise the integral of |u - u*|^2 with div u = source and given boundary fluxes: u = u* - grad
// p with a Poisson equation for p (Chorin 1968; as mass-consistent wind models use it, Sherman
// 1978). The seven-point equations on fluid cells are solved by conjugate gradients with a modified
// incomplete Cholesky factor (Gustafsson 1978) as preconditioner, in one fixed order of operations.
#include <vector>

#include "models/flow/grid.h"

namespace mistwright::flow {

/// Speeds on faces, laid out as Grid says.
struct FaceField {
  std::vector<double> u_m_per_s, v_m_per_s, w_m_per_s;
};

/// A pure number for every face, in the same order.
struct FaceWeights {
  std::vector<double> u, v, w;
};

/// Every face alike.
FaceWeights even_weights(const Grid& grid);

struct ProjectionResult {
  bool converged = false;
  int iterations = 0;
  double residual_m3_per_s = 0.0;  ///< largest air made or lost in a cell
};

/// Changes the speeds on faces between two fluid cells so that each fluid cell's outflow equals its
/// source; faces with fewer than two fluid cells keep theirs.
/// @param stiffness_factor  per face, above zero: how much a change there counts
/// @param source_m3_per_s  per cell; with the boundary fluxes it must sum to zero
/// @param residual_m3_per_s  stop when no cell makes or loses more; 2000 iterations are the cap
[[nodiscard]] ProjectionResult project(const Grid& grid, const FaceWeights& stiffness_factor,
                                       const std::vector<double>& source_m3_per_s,
                                       double residual_m3_per_s, FaceField& field);

/// Net outflow of each fluid cell through its faces [m3/s]; zero in solid ones.
std::vector<double> outflow_m3_per_s(const Grid& grid, const FaceField& field);

}  // namespace mistwright::flow
