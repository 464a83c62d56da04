#include "models/droplet/bench_grid.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"

namespace mistwright::droplet {

namespace {

std::size_t slot(double along_m, double length_m, std::size_t count) {
  const double s = along_m / length_m * static_cast<double>(count);
  return s <= 0.0 ? 0 : std::min(static_cast<std::size_t>(s), count - 1);
}

std::size_t pieces(double length_m, double edge_m) {
  return static_cast<std::size_t>(std::max(1.0, std::round(length_m / edge_m)));
}

}  // namespace

std::size_t BenchGrid::cell_on(std::size_t bench, double x_m, double y_m) const {
  const Block& b = blocks[bench];
  return b.first + slot(y_m - b.rect.y0_m, b.rect.y1_m - b.rect.y0_m, b.ny) * b.nx +
         slot(x_m - b.rect.x0_m, b.rect.x1_m - b.rect.x0_m, b.nx);
}

std::optional<std::size_t> BenchGrid::cell_at(double x_m, double y_m) const {
  for (std::size_t b = 0; b < blocks.size(); ++b) {
    const BenchRect& r = blocks[b].rect;
    if (x_m >= r.x0_m && x_m <= r.x1_m && y_m >= r.y0_m && y_m <= r.y1_m)
      return cell_on(b, x_m, y_m);
  }
  return std::nullopt;
}

std::optional<std::size_t> BenchGrid::cell_below(double x_m, double y_m, double z_m) const {
  const auto cell = cell_at(x_m, y_m);
  return cell && z_m >= blocks[cells[*cell].bench].rect.height_m ? cell : std::nullopt;
}

BenchGrid make_bench_grid(const std::vector<BenchRect>& benches, double edge_m) {
  EXPECT(edge_m > 0.0);
  BenchGrid grid;
  grid.edge_m = edge_m;
  for (std::size_t b = 0; b < benches.size(); ++b) {
    const BenchRect& r = benches[b];
    EXPECT(r.x1_m > r.x0_m && r.y1_m > r.y0_m);
    const std::size_t nx = pieces(r.x1_m - r.x0_m, edge_m), ny = pieces(r.y1_m - r.y0_m, edge_m);
    grid.blocks.push_back({r, grid.cells.size(), nx, ny});
    const double dx = (r.x1_m - r.x0_m) / static_cast<double>(nx);
    const double dy = (r.y1_m - r.y0_m) / static_cast<double>(ny);
    for (std::size_t j = 0; j < ny; ++j)
      for (std::size_t i = 0; i < nx; ++i)
        grid.cells.push_back({static_cast<std::uint32_t>(b),
                              r.x0_m + (static_cast<double>(i) + 0.5) * dx,
                              r.y0_m + (static_cast<double>(j) + 0.5) * dy, dx * dy});
  }
  return grid;
}

}  // namespace mistwright::droplet
