#include "models/flow/lattice.h"

#include "models/contracts.h"

namespace mistwright::flow {
namespace {

/// Visits every cell of the grid with its number there and its index here.
template <class Visit>
void each_cell(const Lattice& lattice, const Visit& visit) {
  std::size_t cell = 0;
  for (std::size_t k = 0; k < lattice.cells[2]; ++k)
    for (std::size_t j = 0; j < lattice.cells[1]; ++j)
      for (std::size_t i = 0; i < lattice.cells[0]; ++i) visit(cell++, lattice.at(i, j, k));
}

/// Visits every face across an axis with its number in the grid and its index here.
template <class Visit>
void each_face(const Lattice& lattice, std::size_t axis, const Visit& visit) {
  const auto extra = [axis](std::size_t which) { return which == axis ? 1U : 0U; };
  std::size_t face = 0;
  for (std::size_t k = 0; k < lattice.cells[2] + extra(2); ++k)
    for (std::size_t j = 0; j < lattice.cells[1] + extra(1); ++j)
      for (std::size_t i = 0; i < lattice.cells[0] + extra(0); ++i)
        visit(face++, lattice.at(i, j, k));
}

}  // namespace

Lattice::Lattice(const Grid& grid)
    : cells{grid.nx, grid.ny, grid.nz},
      step_m{grid.dx_m, grid.dy_m, grid.dz_m},
      face_m2{grid.face_area_m2(0), grid.face_area_m2(1), grid.face_area_m2(2)},
      cell_m3(grid.cell_volume_m3()) {
  stride = {1, grid.nx + 2 * margin, (grid.nx + 2 * margin) * (grid.ny + 2 * margin)};
  size = stride[2] * (grid.nz + 2 * margin);
  first = at(0, 0, 0);
  last = at(grid.nx - 1, grid.ny - 1, grid.nz - 1) + 1;
  air = zeros();
  open = face_zeros();
  known = face_zeros();
  each_cell(*this, [&](std::size_t cell, std::size_t c) { air[c] = grid.fluid[cell]; });
  for (std::size_t axis = 0; axis < 3; ++axis)
    for (std::size_t c = stride[axis]; c < size; ++c) {
      const double both = air[c] + air[c - stride[axis]];
      open[axis][c] = both > 1.5 ? 1.0 : 0.0;
      known[axis][c] = both > 0.5 ? 1.0 : 0.0;
    }
}

Values Lattice::spread(const Grid& grid, const std::vector<double>& of_grid) const {
  EXPECT(of_grid.size() == grid.cells());
  Values result = zeros();
  each_cell(*this, [&](std::size_t cell, std::size_t c) { result[c] = of_grid[cell]; });
  return result;
}

std::vector<double> Lattice::gather(const Grid& grid, const Values& of_lattice) const {
  EXPECT(of_lattice.size() == size);
  std::vector<double> result(grid.cells());
  each_cell(*this, [&](std::size_t cell, std::size_t c) { result[cell] = of_lattice[c]; });
  return result;
}

Values Lattice::spread_faces(const Grid& grid, const std::vector<double>& of_grid,
                             std::size_t axis) const {
  EXPECT(of_grid.size() == (axis == 0   ? grid.u_faces()
                            : axis == 1 ? grid.v_faces()
                                        : grid.w_faces()));
  Values result = zeros();
  each_face(*this, axis, [&](std::size_t face, std::size_t c) { result[c] = of_grid[face]; });
  return result;
}

std::vector<double> Lattice::gather_faces(const Grid& grid, const Values& of_lattice,
                                          std::size_t axis) const {
  EXPECT(of_lattice.size() == size);
  std::vector<double> result(axis == 0   ? grid.u_faces()
                             : axis == 1 ? grid.v_faces()
                                         : grid.w_faces());
  each_face(*this, axis, [&](std::size_t face, std::size_t c) { result[face] = of_lattice[c]; });
  return result;
}

Values net_outflow_m3_per_s(const Lattice& lattice, const FaceValues& speed_m_per_s) {
  Values out = lattice.zeros();
  const auto [sx, sy, sz] = lattice.stride;
  const double *u = speed_m_per_s[0].data(), *v = speed_m_per_s[1].data(),
               *w = speed_m_per_s[2].data(), *air = lattice.air.data();
  for (std::size_t c = lattice.first; c < lattice.last; ++c)
    out[c] = air[c] *
             ((u[c + sx] - u[c]) * lattice.face_m2[0] + (v[c + sy] - v[c]) * lattice.face_m2[1] +
              (w[c + sz] - w[c]) * lattice.face_m2[2]);
  return out;
}

}  // namespace mistwright::flow
