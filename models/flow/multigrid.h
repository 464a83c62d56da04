#pragma once
// What pressure makes the air of every cell balance?
// Geometric multigrid for sum of coupling * (x - neighbour's x) = rhs on cells of air (Wesseling
// 1992, cell-centred): coarse cells of two by two by two, couplings added up over common faces and
// divided by the longer way, residuals summed, corrections interpolated linearly towards coupled
// neighbours. Smoother: Chebyshev polynomials of the Jacobi matrix (Adams et al. 2003), whose
// operations are the same seen from either end of the house. One fixed order of operations.
#include <array>
#include <cstddef>
#include <vector>

#include "models/flow/lattice.h"

namespace mistwright::flow {

class Multigrid {
 public:
  /// @param lattice  must outlive this
  explicit Multigrid(const Lattice& lattice);

  /// Takes new couplings, one a face, at least 0; 0 wherever a face is not open.
  void set(const FaceValues& coupling);

  /// One V cycle: improves x. The right side must sum to zero over the air.
  void cycle(const Values& rhs, Values& x);

  /// Largest |rhs - A x| of a cell.
  [[nodiscard]] double residual(const Values& rhs, const Values& x) const;

 private:
  struct Level {
    std::array<std::size_t, 3> cells{}, stride{};
    std::array<bool, 3> halved{};                ///< by the next coarser level
    std::array<std::vector<double>, 3> width_m;  ///< of the cells along each axis
    std::size_t margin = 1, size = 0, first = 0, last = 0;
    FaceValues coupling;
    Values inverse_diagonal;
    Values x, rhs, change, spare;
    [[nodiscard]] std::size_t at(std::size_t i, std::size_t j, std::size_t k) const {
      return i + margin + stride[1] * (j + margin) + stride[2] * (k + margin);
    }
  };
  static void shape(Level& level, std::size_t margin);
  static Level coarser(Level& fine);
  static void add_couplings(const Level& fine, Level& coarse);
  static void invert_diagonal(Level& level);
  static void smooth(Level& level, const double* rhs, double* x, int degree, bool from_zero);
  static void restrict_residual(Level& fine, const double* rhs, const double* x, Level& coarse);
  static void prolong(const Level& coarse, const Level& fine, double* x);
  void descend(std::size_t level, const double* rhs, double* x, bool from_zero);

  std::vector<Level> levels_;
};

}  // namespace mistwright::flow
