#include "models/flow/sheets.h"

#include <algorithm>
#include <cmath>

namespace mistwright::flow {
namespace {

/// Centres of the grid's cells along x or y.
struct Centres {
  double step_m;
  std::size_t count;
  /// How many lie before a place, and on it where `or_on`.
  [[nodiscard]] std::size_t before(double place_m, bool or_on) const {
    std::size_t n = 0;
    const auto at_m = [&] { return (static_cast<double>(n) + 0.5) * step_m; };
    while (n < count && (at_m() < place_m || (or_on && at_m() == place_m))) ++n;
    return n;
  }
};

/// A run of cells along one axis.
struct Run {
  std::size_t from = 0, to = 0;
};

/// Layers that a sheet covers from the face nearest to its foot to the one nearest to its top.
Run layers(const Sheet& sheet, const Grid& grid) {
  // Half-way between two faces the upper one is taken, whatever the round-off.
  constexpr double hair = 1e-6;
  const auto nearest = [&](double z_m) {
    const double face = std::floor(std::max(0.0, z_m) / grid.dz_m + 0.5 + hair);
    return std::min(grid.nz, static_cast<std::size_t>(face));
  };
  Run run{nearest(sheet.z0_m), nearest(sheet.z1_m)};
  if (sheet.z1_m - sheet.z0_m > 0.5 * grid.dz_m)
    run.to = std::min(grid.nz, std::max(run.to, run.from + 1));
  return run;
}

void add_faces(const Sheet& sheet, const Grid& grid, std::vector<SheetFace>& faces) {
  const Centres x{grid.dx_m, grid.nx}, y{grid.dy_m, grid.ny};
  const Centres& across = sheet.axis == 0 ? x : y;
  const Centres& along = sheet.axis == 0 ? y : x;
  const std::size_t face = across.before(sheet.place_m, sheet.inward_factor > 0.0);
  if (face == 0 || face == across.count) return;  // on a wall
  const Run span{along.before(sheet.low_m, true), along.before(sheet.high_m, false)};
  const Run up = layers(sheet, grid);
  const std::size_t back = grid.stride(sheet.axis), layer = grid.stride(2);
  const auto under_air = [&](std::size_t cell, std::size_t k) {
    return grid.fluid[cell] != 0 && k + 1 < grid.nz && grid.fluid[cell + layer] != 0;
  };
  for (std::size_t k = up.from; k < up.to; ++k)
    for (std::size_t n = span.from; n < span.to; ++n) {
      const std::size_t cell = sheet.axis == 0 ? grid.cell(face, n, k) : grid.cell(n, face, k);
      if (under_air(cell, k) && under_air(cell - back, k)) faces.push_back({sheet.axis, cell});
    }
}

}  // namespace

std::vector<SheetFace> sheet_faces(const Enclosure& enclosure, const Grid& grid) {
  std::vector<SheetFace> faces;
  for (const Sheet& sheet : enclosure.sheets) add_faces(sheet, grid, faces);
  std::sort(faces.begin(), faces.end());
  faces.erase(std::unique(faces.begin(), faces.end()), faces.end());
  return faces;
}

}  // namespace mistwright::flow
