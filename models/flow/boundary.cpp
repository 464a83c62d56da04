#include "models/flow/boundary.h"

#include <cmath>
#include <limits>
#include <optional>

#include "models/contracts.h"

namespace mistwright::flow {
namespace {

/// A candidate face of a wall with the place of its centre on that wall and its edges' lengths.
struct WallFace {
  BoundaryFace face;
  double across_m, up_m, across_step_m, up_step_m;
};

/// The port's rectangle in the wall's own two coordinates.
struct Window {
  double across_m, up_m, width_m, tall_m;
};

Window window_of(const Enclosure& enclosure, const Port& port) {
  const double up_m = port.side == Side::Roof ? enclosure.width_m / 2.0 : port.height_m;
  return {port.along_m, up_m, port.width_m, port.tall_m};
}

std::vector<WallFace> end_wall(const Grid& grid, bool front) {
  std::vector<WallFace> faces;
  const std::size_t i = front ? 0 : grid.nx - 1;
  for (std::size_t k = 0; k < grid.nz; ++k)
    for (std::size_t j = 0; j < grid.ny; ++j) {
      if (grid.fluid[grid.cell(i, j, k)] == 0) continue;
      const BoundaryFace face{0, grid.u_face(front ? 0 : grid.nx, j, k), grid.cell(i, j, k),
                              front ? 1.0 : -1.0, 0.0};
      faces.push_back({face, grid.y_centre_m(j), grid.z_centre_m(k), grid.dy_m, grid.dz_m});
    }
  return faces;
}

std::vector<WallFace> side_wall(const Grid& grid, bool right) {
  std::vector<WallFace> faces;
  const std::size_t j = right ? 0 : grid.ny - 1;
  for (std::size_t k = 0; k < grid.nz; ++k)
    for (std::size_t i = 0; i < grid.nx; ++i) {
      if (grid.fluid[grid.cell(i, j, k)] == 0) continue;
      const BoundaryFace face{1, grid.v_face(i, right ? 0 : grid.ny, k), grid.cell(i, j, k),
                              right ? 1.0 : -1.0, 0.0};
      faces.push_back({face, grid.x_centre_m(i), grid.z_centre_m(k), grid.dx_m, grid.dz_m});
    }
  return faces;
}

std::optional<std::size_t> highest_fluid(const Grid& grid, std::size_t i, std::size_t j) {
  for (std::size_t k = grid.nz; k-- > 0;)
    if (grid.fluid[grid.cell(i, j, k)] != 0) return k;
  return std::nullopt;
}

std::vector<WallFace> roof(const Grid& grid) {
  std::vector<WallFace> faces;
  for (std::size_t j = 0; j < grid.ny; ++j)
    for (std::size_t i = 0; i < grid.nx; ++i) {
      const auto k = highest_fluid(grid, i, j);
      if (!k) continue;
      const BoundaryFace face{2, grid.w_face(i, j, *k + 1), grid.cell(i, j, *k), -1.0, 0.0};
      faces.push_back({face, grid.x_centre_m(i), grid.y_centre_m(j), grid.dx_m, grid.dy_m});
    }
  return faces;
}

std::vector<WallFace> wall_faces(const Grid& grid, Side side) {
  switch (side) {
    case Side::Front:
      return end_wall(grid, true);
    case Side::Back:
      return end_wall(grid, false);
    case Side::Right:
      return side_wall(grid, true);
    case Side::Left:
      return side_wall(grid, false);
    case Side::Roof:
      return roof(grid);
  }
  return {};
}

/// A stretch of a wall.
struct Stretch {
  double centre_m, length_m;
};

double common_length_m(const Stretch& a, const Stretch& b) {
  const double low = std::fmax(a.centre_m - a.length_m / 2.0, b.centre_m - b.length_m / 2.0);
  const double high = std::fmin(a.centre_m + a.length_m / 2.0, b.centre_m + b.length_m / 2.0);
  return std::fmax(0.0, high - low);
}

}  // namespace

std::vector<BoundaryFace> port_faces(const Enclosure& enclosure, const Grid& grid,
                                     const Port& port) {
  const std::vector<WallFace> wall = wall_faces(grid, port.side);
  EXPECT(!wall.empty());
  const Window window = window_of(enclosure, port);
  std::vector<BoundaryFace> faces;
  double total_m2 = 0.0, nearest = std::numeric_limits<double>::max();
  BoundaryFace closest = wall.front().face;
  for (const WallFace& w : wall) {
    const double common_m2 = round_area_m2(
        common_length_m({w.across_m, w.across_step_m}, {window.across_m, window.width_m}) *
        common_length_m({w.up_m, w.up_step_m}, {window.up_m, window.tall_m}));
    // Slivers of round-off where the port ends on a face's edge would split hairs, not flow.
    if (common_m2 > 1e-9 * w.across_step_m * w.up_step_m) {
      faces.push_back(w.face);
      faces.back().share_fraction = common_m2;
      total_m2 += common_m2;
    }
    const double away = std::hypot(w.across_m - window.across_m, w.up_m - window.up_m);
    if (away < nearest) {
      closest = w.face;
      nearest = away;
    }
  }
  if (faces.empty()) {
    faces.push_back(closest);
    faces.back().share_fraction = total_m2 = 1.0;
  }
  for (BoundaryFace& face : faces) face.share_fraction /= total_m2;
  return faces;
}

std::vector<double> cover_area_m2(const Enclosure& enclosure, const Grid& grid) {
  std::vector<double> area(grid.cells(), 0.0);
  for (std::size_t k = 0; k < grid.nz; ++k)
    for (std::size_t j = 0; j < grid.ny; ++j)
      for (std::size_t i = 0; i < grid.nx; ++i) {
        const std::size_t c = grid.cell(i, j, k);
        if (grid.fluid[c] == 0) continue;
        const auto add = [&](bool outside, std::size_t axis) {
          if (outside) area[c] += round_area_m2(grid.face_area_m2(axis));
        };
        add(i == 0, 0);
        add(i + 1 == grid.nx, 0);
        add(j == 0 || !below_roof(enclosure, grid, j - 1, k), 1);
        add(j + 1 == grid.ny || !below_roof(enclosure, grid, j + 1, k), 1);
        add(k + 1 == grid.nz || !below_roof(enclosure, grid, j, k + 1), 2);
      }
  return area;
}

}  // namespace mistwright::flow
