#pragma once
// The benches' tops divided into small rectangles, on which landed water is counted.
#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

namespace mistwright::droplet {

struct BenchRect {
  double x0_m = 0.0, y0_m = 0.0, x1_m = 0.0, y1_m = 0.0;
  double height_m = 0.0;
};

struct BenchGrid {
  struct Cell {
    std::uint32_t bench = 0;
    double x_m = 0.0, y_m = 0.0;  ///< centre
    double area_m2 = 0.0;
  };
  /// Where a bench's cells begin and how they lie: cell first + j * nx + i.
  struct Block {
    BenchRect rect;
    std::size_t first = 0, nx = 0, ny = 0;
  };
  std::vector<Cell> cells;
  std::vector<Block> blocks;  ///< one for each bench, in order
  double edge_m = 0.0;        ///< wished edge of a cell

  /// The cell of a bench under a point of its plan; points outside count to the nearest.
  [[nodiscard]] std::size_t cell_on(std::size_t bench, double x_m, double y_m) const;
  /// The cell under a point of the plan; none off the benches. The first bench wins where two
  /// overlap.
  [[nodiscard]] std::optional<std::size_t> cell_at(double x_m, double y_m) const;
  /// The cell onto which what floats at a place settles; none off the benches and below them.
  [[nodiscard]] std::optional<std::size_t> cell_below(double x_m, double y_m, double z_m) const;
};

/// Divides each bench into whole cells whose edges are nearest to the wished one.
/// @param edge_m  above zero
[[nodiscard]] BenchGrid make_bench_grid(const std::vector<BenchRect>& benches, double edge_m);

}  // namespace mistwright::droplet
