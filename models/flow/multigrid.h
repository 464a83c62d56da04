#pragma once
// What pressure makes the air of every cell balance?
// Geometric multigrid for sum of coupling * (x - neighbour's x) = rhs on cells of air (Wesseling
// 1992, cell-centred): coarse cells of two by two by two, couplings added up over common faces and
// divided by the longer way, residuals summed, corrections interpolated linearly towards coupled
// neighbours. Smoother: Chebyshev polynomials of the Jacobi matrix (Adams et al. 2003), whose
// operations are the same seen from either end of the house. One fixed order of operations.
// A cycle gives a correction from nothing, in single precision, and smooths on the way up only: who
// wants more digits asks again for what is left, measured in double precision.
#include <array>
#include <cstddef>
#include <vector>

#include "models/flow/lattice.h"

namespace mistwright::flow {

using Singles = std::vector<float>;

class Multigrid {
 public:
  explicit Multigrid(const Lattice& lattice);

  /// Takes new couplings, one a face, at least 0; 0 wherever a face is not open.
  /// @param factor  on the couplings of each axis
  void set(const FaceValues& coupling, const std::array<double, 3>& factor = {1.0, 1.0, 1.0});

  /// One V cycle from zero. Of the lattice's size; 0 outside the air.
  /// @param rhs  of the lattice's size; sums to zero over the air and is 0 outside it
  const Singles& cycle(const Singles& rhs);

 private:
  struct Level {
    std::array<std::size_t, 3> cells{}, stride{};
    std::array<bool, 3> halved{};                ///< by the next coarser level
    std::array<std::vector<double>, 3> width_m;  ///< of the cells along each axis
    std::array<Singles, 3> shorter;  ///< way between the finer level's cells over that between ours
    std::size_t margin = 1, size = 0, first = 0, last = 0;
    std::array<Singles, 3> coupling;
    std::array<Singles, 3>
        lean;  ///< share of a step to a coupled neighbour that a finer cell takes
    Singles inverse_diagonal;
    Singles rhs, x, other, row, line;
    [[nodiscard]] std::size_t at(std::size_t i, std::size_t j, std::size_t k) const {
      return i + margin + stride[1] * (j + margin) + stride[2] * (k + margin);
    }
    [[nodiscard]] Range layer(std::size_t k) const {
      return {at(0, 0, k), at(cells[0] - 1, cells[1] - 1, k) + 1};
    }
  };
  /// One step of the smoother: what it keeps of the last change and gains by the residual.
  struct Step {
    float keep = 0.0F, gain = 0.0F;
  };
  static void shape(Level& level, std::size_t margin);
  static bool halves(const Level& level, std::size_t axis);
  static Level coarser(Level& fine);
  static void add_couplings(const Level& fine, Level& coarse);
  static void finish(Level& level);
  static void smooth(const Level& level, const float* rhs, Step step, Range range,
                     const Singles& now, Singles& before);
  static void add_right_sides(const Level& fine, const float* rhs, Level& coarse);
  static void prolong_layer(Level& coarse, Level& fine, std::size_t k);
  static void ascend(Level& coarse, Level& fine, const float* rhs, const std::vector<Step>& steps);
  void settle(Level& coarsest) const;
  static std::vector<Step> chebyshev(std::size_t count, double least);

  std::vector<Level> levels_;
  std::vector<Step> settling_;  ///< of the coarsest level
};

}  // namespace mistwright::flow
