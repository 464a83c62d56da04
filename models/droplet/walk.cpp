#include "models/droplet/walk.h"

#include <algorithm>

namespace mistwright::droplet {

namespace {

/// A cell by its three places in the grid.
struct Slot {
  std::size_t i, j, k;
};

/// Mean over the fluid cells that touch a cell, corners too; what the cell itself holds when there
/// is none.
double mean_around(const flow::Grid& grid, const std::vector<double>& values, const Slot& slot) {
  const auto from = [](std::size_t at) { return at == 0 ? at : at - 1; };
  const auto to = [](std::size_t at, std::size_t count) { return std::min(at + 2, count); };
  double sum = 0.0;
  int count = 0;
  for (std::size_t k = from(slot.k); k < to(slot.k, grid.nz); ++k)
    for (std::size_t j = from(slot.j); j < to(slot.j, grid.ny); ++j)
      for (std::size_t i = from(slot.i); i < to(slot.i, grid.nx); ++i) {
        const std::size_t cell = grid.cell(i, j, k);
        if (grid.fluid[cell] == 0) continue;
        sum += values[cell];
        ++count;
      }
  return count > 0 ? sum / count : values[grid.cell(slot.i, slot.j, slot.k)];
}

/// Gives each solid cell the mean of its fluid neighbours, so that turbulence does not end half a
/// cell short of a wall.
std::vector<double> carried_into_solids(const flow::Grid& grid, const std::vector<double>& values) {
  std::vector<double> carried = values;
  for (std::size_t k = 0; k < grid.nz; ++k)
    for (std::size_t j = 0; j < grid.ny; ++j)
      for (std::size_t i = 0; i < grid.nx; ++i)
        if (grid.fluid[grid.cell(i, j, k)] == 0)
          carried[grid.cell(i, j, k)] = mean_around(grid, values, {i, j, k});
  return carried;
}

}  // namespace

FieldSeen::Pair FieldSeen::pair_of(double first, double second) {
  constexpr std::uint64_t half = 0x80000000U;
  return (std::bit_cast<std::uint64_t>(first) + half) >> 32U |
         ((std::bit_cast<std::uint64_t>(second) + half) & 0xFFFFFFFF00000000U);
}

/// @param row  values along x, of which the last is paired with itself
std::vector<FieldSeen::Pair> FieldSeen::pairs_along_x(const std::vector<double>& values,
                                                      std::size_t row) {
  std::vector<Pair> pairs(values.size());
  for (std::size_t i = 0; i < values.size(); ++i)
    pairs[i] = pair_of(values[i], values[i % row + 1 < row ? i + 1 : i]);
  return pairs;
}

FieldSeen::FieldSeen(const flow::RegimeField& field)
    : u_(pairs_along_x(field.u_m_per_s, field.grid.nx + 1)),
      v_(pairs_along_x(field.v_m_per_s, field.grid.nx)),
      w_(pairs_along_x(field.w_m_per_s, field.grid.nx)),
      turbulence_(field.grid.cells()),
      cells_{static_cast<std::int32_t>(field.grid.nx), static_cast<std::int32_t>(field.grid.ny),
             static_cast<std::int32_t>(field.grid.nz)},
      leak_per_s_(field.grid.cells(), 0.0),
      cell_edge_m_(std::min({field.grid.dx_m, field.grid.dy_m, field.grid.dz_m})),
      x_cells_per_m_(1.0 / field.grid.dx_m),
      y_cells_per_m_(1.0 / field.grid.dy_m),
      z_cells_per_m_(1.0 / field.grid.dz_m) {
  const std::vector<double> sigma = carried_into_solids(field.grid, field.sigma_m_per_s);
  const std::vector<double> time = carried_into_solids(field.grid, field.timescale_s);
  for (std::size_t c = 0; c < turbulence_.size(); ++c) turbulence_[c] = pair_of(sigma[c], time[c]);
  const double volume = field.grid.cell_volume_m3();
  for (std::size_t c = 0; c < field.leak_in_m3_per_s.size(); ++c)
    leak_per_s_[c] = std::max(0.0, -field.leak_in_m3_per_s[c]) / volume;
}

}  // namespace mistwright::droplet
