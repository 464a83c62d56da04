#pragma once
// Where is there air, on a uniform staggered grid over the house's bounding box?
// Pressure and sources live in cell centres, speeds on the faces (Harlow and Welch 1965). A cell is
// fluid when its centre lies below the roof and outside every box, and belongs to the largest
// connected body of air; closed pockets are filled in. Curved roofs become steps one cell high.
// Left out: cut cells, stretched grids.
#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "models/flow/enclosure.h"

namespace mistwright::flow {

/// Uniform grid of nx * ny * nz cells; x runs fastest in every array.
struct Grid {
  std::size_t nx = 0, ny = 0, nz = 0;
  double dx_m = 0.0, dy_m = 0.0, dz_m = 0.0;
  std::vector<std::uint8_t> fluid;  ///< 1 where there is air, for each cell

  [[nodiscard]] std::size_t cells() const { return nx * ny * nz; }
  [[nodiscard]] std::size_t cell(std::size_t i, std::size_t j, std::size_t k) const {
    return (k * ny + j) * nx + i;
  }
  /// The i, j, k of a cell.
  [[nodiscard]] std::array<std::size_t, 3> place(std::size_t cell) const {
    return {cell % nx, cell / nx % ny, cell / (nx * ny)};
  }
  /// How far apart neighbours along an axis lie in arrays of cells.
  [[nodiscard]] std::size_t stride(std::size_t axis) const {
    return axis == 0 ? 1 : axis == 1 ? nx : nx * ny;
  }
  /// Face between cells i-1 and i; i in 0..nx. Likewise v_face and w_face along y and z.
  [[nodiscard]] std::size_t u_face(std::size_t i, std::size_t j, std::size_t k) const {
    return (k * ny + j) * (nx + 1) + i;
  }
  [[nodiscard]] std::size_t v_face(std::size_t i, std::size_t j, std::size_t k) const {
    return (k * (ny + 1) + j) * nx + i;
  }
  [[nodiscard]] std::size_t w_face(std::size_t i, std::size_t j, std::size_t k) const {
    return (k * ny + j) * nx + i;
  }
  [[nodiscard]] std::size_t u_faces() const { return (nx + 1) * ny * nz; }
  [[nodiscard]] std::size_t v_faces() const { return nx * (ny + 1) * nz; }
  [[nodiscard]] std::size_t w_faces() const { return nx * ny * (nz + 1); }
  [[nodiscard]] double cell_volume_m3() const { return dx_m * dy_m * dz_m; }
  /// Area of a face across x, y, z (axis 0, 1, 2).
  [[nodiscard]] double face_area_m2(std::size_t axis) const {
    return axis == 0 ? dy_m * dz_m : axis == 1 ? dx_m * dz_m : dx_m * dy_m;
  }
  /// The cell that holds a point; points outside count to the nearest cell.
  [[nodiscard]] std::size_t cell_at(double x_m, double y_m, double z_m) const {
    return cell(slot(x_m, dx_m, nx), slot(y_m, dy_m, ny), slot(z_m, dz_m, nz));
  }
  [[nodiscard]] double x_centre_m(std::size_t i) const {
    return (static_cast<double>(i) + 0.5) * dx_m;
  }
  [[nodiscard]] double y_centre_m(std::size_t j) const {
    return (static_cast<double>(j) + 0.5) * dy_m;
  }
  [[nodiscard]] double z_centre_m(std::size_t k) const {
    return (static_cast<double>(k) + 0.5) * dz_m;
  }

 private:
  static std::size_t slot(double at_m, double step_m, std::size_t count) {
    const double s = at_m / step_m;
    return s <= 0.0 ? 0 : std::min(static_cast<std::size_t>(s), count - 1);
  }
};

/// The number nearest to length over cell that is 1, 3 or 5 times a power of two: coarser grids of
/// such a row are the same seen from either end, so that mirrored houses have mirrored bits.
std::size_t even_divisions(double length_m, double cell_m);
/// The whole number nearest to length over cell, at least 1.
std::size_t divisions(double length_m, double cell_m);

/// Divides the house into cells whose edges are near `cell_m` and divide its lengths exactly.
/// Along and across by even_divisions(), upwards by divisions().
/// @param enclosure  lengths above zero
/// @param cell_m     wished edge, above zero
/// @throws ContractError when no cell is fluid
Grid make_grid(const Enclosure& enclosure, double cell_m);

/// True when the cell's centre lies below the roof: what is not fluid there is a box.
bool below_roof(const Enclosure& enclosure, const Grid& grid, std::size_t j, std::size_t k);

}  // namespace mistwright::flow
