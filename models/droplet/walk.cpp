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
double mean_around(const flow::RegimeField& field, const Slot& slot) {
  const flow::Grid& grid = field.grid;
  const auto from = [](std::size_t at) { return at == 0 ? at : at - 1; };
  const auto to = [](std::size_t at, std::size_t count) { return std::min(at + 2, count); };
  double sum = 0.0;
  int count = 0;
  for (std::size_t k = from(slot.k); k < to(slot.k, grid.nz); ++k)
    for (std::size_t j = from(slot.j); j < to(slot.j, grid.ny); ++j)
      for (std::size_t i = from(slot.i); i < to(slot.i, grid.nx); ++i) {
        const std::size_t cell = grid.cell(i, j, k);
        if (grid.fluid[cell] == 0) continue;
        sum += field.sigma_m_per_s[cell];
        ++count;
      }
  return count > 0 ? sum / count : field.sigma_m_per_s[grid.cell(slot.i, slot.j, slot.k)];
}

/// Gives each solid cell the mean of its fluid neighbours, so that turbulence does not end half a
/// cell short of a wall.
std::vector<double> carried_into_solids(const flow::RegimeField& field) {
  const flow::Grid& grid = field.grid;
  std::vector<double> sigma = field.sigma_m_per_s;
  for (std::size_t k = 0; k < grid.nz; ++k)
    for (std::size_t j = 0; j < grid.ny; ++j)
      for (std::size_t i = 0; i < grid.nx; ++i)
        if (grid.fluid[grid.cell(i, j, k)] == 0)
          sigma[grid.cell(i, j, k)] = mean_around(field, {i, j, k});
  return sigma;
}

}  // namespace

FieldSeen::FieldSeen(const flow::RegimeField& field)
    : field_(field),
      sigma_m_per_s_(carried_into_solids(field)),
      leak_per_s_(field.grid.cells(), 0.0),
      cell_edge_m_(std::min({field.grid.dx_m, field.grid.dy_m, field.grid.dz_m})),
      x_cells_per_m_(1.0 / field.grid.dx_m),
      y_cells_per_m_(1.0 / field.grid.dy_m),
      z_cells_per_m_(1.0 / field.grid.dz_m) {
  const double volume = field.grid.cell_volume_m3();
  for (std::size_t c = 0; c < field.leak_in_m3_per_s.size(); ++c)
    leak_per_s_[c] = std::max(0.0, -field.leak_in_m3_per_s[c]) / volume;
}

Seen FieldSeen::at(double x_m, double y_m, double z_m) const {
  const flow::Grid& g = field_.grid;
  const double x = x_m * x_cells_per_m_, y = y_m * y_cells_per_m_, z = z_m * z_cells_per_m_;
  using flow::detail::between;
  using flow::detail::trilinear;
  const auto xf = between(x, g.nx + 1), xc = between(x - 0.5, g.nx);
  const auto yf = between(y, g.ny + 1), yc = between(y - 0.5, g.ny);
  const auto zf = between(z, g.nz + 1), zc = between(z - 0.5, g.nz);
  const std::size_t cell =
      g.cell(std::min(xf.low, g.nx - 1), std::min(yf.low, g.ny - 1), std::min(zf.low, g.nz - 1));
  const double* s = sigma_m_per_s_.data();
  const std::size_t row = g.nx, layer = g.nx * g.ny;
  const std::size_t base = zc.low * layer + yc.low * row;
  const std::size_t up = (zc.high - zc.low) * layer, side = (yc.high - yc.low) * row;
  const auto edge = [&](std::size_t at) {
    return std::pair{s[at + xc.low], s[at + xc.high] - s[at + xc.low]};
  };
  const auto [a00, d00] = edge(base);
  const auto [a01, d01] = edge(base + side);
  const auto [a10, d10] = edge(base + up);
  const auto [a11, d11] = edge(base + up + side);
  const double p00 = a00 + xc.share * d00, p01 = a01 + xc.share * d01;
  const double p10 = a10 + xc.share * d10, p11 = a11 + xc.share * d11;
  const double low = p00 + yc.share * (p01 - p00), high = p10 + yc.share * (p11 - p10);
  const double slope_low = d00 + yc.share * (d01 - d00), slope_high = d10 + yc.share * (d11 - d10);
  // Within half a cell of the bounding box the value is held, so its slope across the wall is zero.
  const auto inside = [](double at, std::size_t count) {
    return at > 0.0 && at < static_cast<double>(count - 1) ? 1.0 : 0.0;
  };
  return {
      trilinear(field_.u_m_per_s.data(), g.nx + 1, g.ny, xf, yc, zc),
      trilinear(field_.v_m_per_s.data(), g.nx, g.ny + 1, xc, yf, zc),
      trilinear(field_.w_m_per_s.data(), g.nx, g.ny, xc, yc, zf),
      low + zc.share * (high - low),
      inside(x - 0.5, g.nx) * x_cells_per_m_ * (slope_low + zc.share * (slope_high - slope_low)),
      inside(y - 0.5, g.ny) * y_cells_per_m_ * (p01 - p00 + zc.share * ((p11 - p10) - (p01 - p00))),
      inside(z - 0.5, g.nz) * z_cells_per_m_ * (high - low),
      field_.timescale_s[cell],
      cell};
}

}  // namespace mistwright::droplet
