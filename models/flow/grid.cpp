#include "models/flow/grid.h"

#include <cmath>

#include "models/contracts.h"

namespace mistwright::flow {
namespace {

/// A centre on a face of the box is outside, whatever its last digits say.
bool inside(const Box& box, double x_m, double y_m, double z_m) {
  constexpr double hair_m = 1e-9;
  const auto between = [](double at, double low, double high) {
    return at > low + hair_m && at < high - hair_m;
  };
  return between(x_m, box.x0_m, box.x1_m) && between(y_m, box.y0_m, box.y1_m) &&
         between(z_m, box.z0_m, box.z1_m);
}

/// Cells joined to `start` through faces between fluid cells get the label; returns their number.
std::size_t flood(const Grid& grid, std::size_t start, std::uint32_t label,
                  std::vector<std::uint32_t>& labels) {
  std::vector<std::size_t> stack{start};
  labels[start] = label;
  std::size_t reached = 0;
  const auto visit = [&](std::size_t cell) {
    if (grid.fluid[cell] == 0 || labels[cell] != 0) return;
    labels[cell] = label;
    stack.push_back(cell);
  };
  while (!stack.empty()) {
    const std::size_t cell = stack.back();
    stack.pop_back();
    ++reached;
    const std::size_t i = cell % grid.nx;
    const std::size_t j = cell / grid.nx % grid.ny;
    const std::size_t k = cell / (grid.nx * grid.ny);
    if (i > 0) visit(cell - 1);
    if (i + 1 < grid.nx) visit(cell + 1);
    if (j > 0) visit(cell - grid.nx);
    if (j + 1 < grid.ny) visit(cell + grid.nx);
    if (k > 0) visit(cell - grid.nx * grid.ny);
    if (k + 1 < grid.nz) visit(cell + grid.nx * grid.ny);
  }
  return reached;
}

/// A closed pocket has no way to lose what leaks into it: the pressure there would be undetermined.
void keep_largest_body(Grid& grid) {
  std::vector<std::uint32_t> labels(grid.cells(), 0);
  std::uint32_t label = 0, largest = 0;
  std::size_t most = 0;
  for (std::size_t cell = 0; cell < grid.cells(); ++cell) {
    if (grid.fluid[cell] == 0 || labels[cell] != 0) continue;
    const std::size_t reached = flood(grid, cell, ++label, labels);
    if (reached > most) {
      most = reached;
      largest = label;
    }
  }
  EXPECT(most > 0);
  for (std::size_t cell = 0; cell < grid.cells(); ++cell)
    grid.fluid[cell] = labels[cell] == largest ? 1 : 0;
}

}  // namespace

std::size_t even_divisions(double length_m, double cell_m) {
  const double wished = length_m / cell_m;
  double best = 1.0;
  const auto away = [wished](double count) { return std::fabs(std::log(count / wished)); };
  for (const double odd : {1.0, 3.0, 5.0}) {
    double count = odd;
    while (count < 2.0 * wished) {
      if (away(count) < away(best)) best = count;
      count *= 2.0;
    }
  }
  return static_cast<std::size_t>(best);
}

std::size_t divisions(double length_m, double cell_m) {
  return static_cast<std::size_t>(std::max(1L, std::lround(length_m / cell_m)));
}

bool below_roof(const Enclosure& enclosure, const Grid& grid, std::size_t j, std::size_t k) {
  return grid.z_centre_m(k) < enclosure.roof_height_m(grid.y_centre_m(j));
}

Grid make_grid(const Enclosure& enclosure, double cell_m) {
  EXPECT(enclosure.length_m > 0.0 && enclosure.width_m > 0.0 && enclosure.ridge_height_m > 0.0);
  EXPECT(cell_m > 0.0);
  Grid grid;
  grid.nx = even_divisions(enclosure.length_m, cell_m);
  grid.ny = even_divisions(enclosure.width_m, cell_m);
  grid.nz = divisions(enclosure.ridge_height_m, cell_m);
  grid.dx_m = enclosure.length_m / static_cast<double>(grid.nx);
  grid.dy_m = enclosure.width_m / static_cast<double>(grid.ny);
  grid.dz_m = enclosure.ridge_height_m / static_cast<double>(grid.nz);
  grid.fluid.assign(grid.cells(), 0);
  for (std::size_t k = 0; k < grid.nz; ++k)
    for (std::size_t j = 0; j < grid.ny; ++j) {
      if (!below_roof(enclosure, grid, j, k)) continue;
      for (std::size_t i = 0; i < grid.nx; ++i) {
        const double x_m = grid.x_centre_m(i);
        const double y_m = grid.y_centre_m(j);
        const double z_m = grid.z_centre_m(k);
        const bool solid = std::any_of(enclosure.boxes.begin(), enclosure.boxes.end(),
                                       [&](const Box& box) { return inside(box, x_m, y_m, z_m); });
        grid.fluid[grid.cell(i, j, k)] = solid ? 0 : 1;
      }
    }
  keep_largest_body(grid);
  return grid;
}

}  // namespace mistwright::flow
