#pragma once
// How do cells and faces lie in memory, so that every loop runs along x without a test?
// Two layers of solid surround the grid on all sides; cells and the faces below them along each
// axis share one index, so a neighbour is always a fixed stride away and masks stand in for
// questions. Loops run flat from the first cell of the grid to its last.
#include <array>
#include <cstddef>
#include <vector>

#include "models/flow/grid.h"

namespace mistwright::flow {

/// One value a cell, or one a face: the face between a cell and its lower neighbour along an axis
/// has that cell's index.
using Values = std::vector<double>;
using FaceValues = std::array<Values, 3>;

/// A flat range of indices.
struct Range {
  std::size_t first = 0, last = 0;
};

struct Lattice {
  explicit Lattice(const Grid& grid);

  static constexpr std::size_t margin = 2;

  std::array<std::size_t, 3> cells{};   ///< of the grid, along x, y, z
  std::array<double, 3> step_m{};       ///< edges of a cell
  std::array<double, 3> face_m2{};      ///< area of a face across each axis
  double cell_m3 = 0.0;                 ///< volume of a cell
  std::array<std::size_t, 3> stride{};  ///< to the next cell along each axis
  std::size_t size = 0;                 ///< of every array, margins included
  std::size_t first = 0, last = 0;      ///< flat range that holds all cells of the grid

  Values air;        ///< 1 in cells with air, else 0
  FaceValues open;   ///< 1 on faces between two cells of air, else 0
  FaceValues known;  ///< 1 on faces that touch a cell of air: open ones, walls, mouths
  /// Faces between two cells of air that a sheet shuts, by the axis across them.
  std::array<std::vector<std::size_t>, 3> shut;
  [[nodiscard]] bool has_sheets() const {
    return !shut[0].empty() || !shut[1].empty() || !shut[2].empty();
  }

  /// Index of a cell by its place in the grid.
  [[nodiscard]] std::size_t at(std::size_t i, std::size_t j, std::size_t k) const {
    return i + margin + stride[1] * (j + margin) + stride[2] * (k + margin);
  }
  /// Where a horizontal layer begins, and which of the places from there on hold all its cells.
  [[nodiscard]] std::size_t layer(std::size_t k) const { return stride[2] * (k + margin); }
  [[nodiscard]] Range in_layer() const {
    return {at(0, 0, 0) - layer(0), at(cells[0] - 1, cells[1] - 1, 0) + 1 - layer(0)};
  }
  /// Index of a cell by its number in the grid.
  [[nodiscard]] std::size_t of(const Grid& grid, std::size_t cell) const {
    const auto [i, j, k] = grid.place(cell);
    return at(i, j, k);
  }
  [[nodiscard]] Values zeros() const { return Values(size, 0.0); }
  [[nodiscard]] FaceValues face_zeros() const { return {zeros(), zeros(), zeros()}; }

  /// From and to the arrays of Grid.
  [[nodiscard]] Values spread(const Grid& grid, const std::vector<double>& of_grid) const;
  [[nodiscard]] std::vector<double> gather(const Grid& grid, const Values& of_lattice) const;
  [[nodiscard]] Values spread_faces(const Grid& grid, const std::vector<double>& of_grid,
                                    std::size_t axis) const;
  [[nodiscard]] std::vector<double> gather_faces(const Grid& grid, const Values& of_lattice,
                                                 std::size_t axis) const;
};

/// Sum over the cells of the grid, in an order that is the same seen from either end and side.
/// @param value  called with a cell's index
template <class Value>
auto even_sum(const Lattice& g, const Value& value) {
  double sum = 0.0;
  const std::size_t nx = g.cells[0], ny = g.cells[1];
  const auto ends = [&](std::size_t i, std::size_t j, std::size_t k) {
    const std::size_t other = nx - 1 - i;
    return other == i ? value(g.at(i, j, k)) : value(g.at(i, j, k)) + value(g.at(other, j, k));
  };
  for (std::size_t k = 0; k < g.cells[2]; ++k)
    for (std::size_t j = 0; 2 * j < ny; ++j)
      for (std::size_t i = 0; 2 * i < nx; ++i) {
        const std::size_t other = ny - 1 - j;
        sum += other == j ? ends(i, j, k) : ends(i, j, k) + ends(i, other, k);
      }
  return sum;
}

/// Net outflow of each cell of air for speeds on faces [m3/s].
Values net_outflow_m3_per_s(const Lattice& lattice, const FaceValues& speed_m_per_s);

}  // namespace mistwright::flow
