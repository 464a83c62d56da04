#include "models/flow/air_cells.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "models/contracts.h"

namespace mistwright::flow {
namespace {

struct Span {
  double low_m, high_m;
};

double common_m(const Span& a, const Span& b) {
  return std::max(0.0, std::min(a.high_m, b.high_m) - std::max(a.low_m, b.low_m));
}

/// Area under the roof's curve between two places across the house; exact for the half ellipse.
double section_area_m2(const Enclosure& enclosure, const Span& y) {
  const auto primitive = [](double s) {
    const double t = std::clamp(s, -1.0, 1.0);
    return 0.5 * (t * std::sqrt(1.0 - t * t) + std::asin(t));
  };
  const double half_m = enclosure.width_m / 2.0;
  const double rise_m = enclosure.ridge_height_m - enclosure.eave_height_m;
  return enclosure.eave_height_m * (y.high_m - y.low_m) +
         rise_m * half_m * (primitive(y.high_m / half_m - 1.0) - primitive(y.low_m / half_m - 1.0));
}

/// Length of the roof's curve between two places across the house, by chords of equal angle.
double roof_length_m(const Enclosure& enclosure, const Span& y) {
  constexpr int chords = 400;
  const double half_m = enclosure.width_m / 2.0;
  const double rise_m = enclosure.ridge_height_m - enclosure.eave_height_m;
  const auto angle = [&](double at_m) {
    return std::acos(std::clamp(1.0 - at_m / half_m, -1.0, 1.0));
  };
  const double from = angle(y.low_m), step = (angle(y.high_m) - from) / chords;
  double length_m = 0.0;
  for (int n = 0; n < chords; ++n) {
    const double a = from + n * step, b = a + step;
    length_m +=
        std::hypot(half_m * (std::cos(b) - std::cos(a)), rise_m * (std::sin(b) - std::sin(a)));
  }
  return length_m;
}

std::vector<std::size_t> snapped(std::size_t grid_cells, std::size_t parts) {
  std::vector<std::size_t> edges(parts + 1);
  for (std::size_t n = 0; n <= parts; ++n) edges[n] = (2 * n * grid_cells + parts) / (2 * parts);
  return edges;
}

std::size_t part_of(const std::vector<double>& edges_m, double at_m) {
  const auto above = std::upper_bound(edges_m.begin() + 1, edges_m.end() - 1, at_m);
  return static_cast<std::size_t>(above - edges_m.begin()) - 1;
}

void measure(const Enclosure& enclosure, AirCells& cells, std::size_t i, std::size_t j) {
  const Span x{cells.x_edge_m[i], cells.x_edge_m[i + 1]};
  const Span y{cells.y_edge_m[j], cells.y_edge_m[j + 1]};
  const double length_m = x.high_m - x.low_m;
  double volume_m3 = section_area_m2(enclosure, y) * length_m;
  for (const Box& box : enclosure.boxes)
    volume_m3 -= common_m(x, {box.x0_m, box.x1_m}) * common_m(y, {box.y0_m, box.y1_m}) *
                 (box.z1_m - box.z0_m);
  double wall_m2 = 0.0;
  if (i == 0) wall_m2 += section_area_m2(enclosure, y);
  if (i + 1 == cells.nx) wall_m2 += section_area_m2(enclosure, y);
  if (j == 0) wall_m2 += enclosure.eave_height_m * length_m;
  if (j + 1 == cells.ny) wall_m2 += enclosure.eave_height_m * length_m;
  const double roof_m2 = roof_length_m(enclosure, y) * length_m;
  cells.volume_m3.push_back(volume_m3);
  cells.floor_area_m2.push_back(length_m * (y.high_m - y.low_m));
  cells.roof_area_m2.push_back(roof_m2);
  cells.wall_area_m2.push_back(wall_m2);
  cells.cover_area_m2.push_back(roof_m2 + wall_m2);
  cells.x_m.push_back((x.low_m + x.high_m) / 2.0);
  cells.y_m.push_back((y.low_m + y.high_m) / 2.0);
}

using Pair = std::pair<std::size_t, std::size_t>;

/// Gathers face by face; ordered maps keep the results in one order.
struct Gatherer {
  const RegimeField& field;
  const AirCells& cells;
  const std::vector<SheetFace>& shut;
  std::map<Pair, double> between, mixing;
  Exchanges result{};

  /// A face from grid cell `low` to `high` along one axis; a solid or missing side is outside.
  void face(std::size_t axis, const std::size_t* low, const std::size_t* high,
            double speed_m_per_s) {
    const Grid& grid = field.grid;
    const bool from_air = low != nullptr && grid.fluid[*low] != 0;
    const bool to_air = high != nullptr && grid.fluid[*high] != 0;
    if (!from_air && !to_air) return;
    const double flow = speed_m_per_s * grid.face_area_m2(axis);
    if (from_air && to_air) {
      const std::size_t a = cells.cell_of_grid[*low], b = cells.cell_of_grid[*high];
      if (a == b) return;
      if (flow > 0.0) between[{a, b}] += flow;
      if (flow < 0.0) between[{b, a}] -= flow;
      if (!std::binary_search(shut.begin(), shut.end(), SheetFace{axis, *high}))
        mix(axis, {*low, *high});
      return;
    }
    const std::size_t cell = cells.cell_of_grid[from_air ? *low : *high];
    pass(cell, from_air ? -flow : flow);
  }

  /// The cell's lower faces, and its upper ones at the grid's end.
  void faces_of(std::size_t c) {
    const Grid& grid = field.grid;
    const auto [i, j, k] = grid.place(c);
    const std::size_t before[3] = {c - 1, c - grid.nx, c - grid.nx * grid.ny};
    face(0, i > 0 ? &before[0] : nullptr, &c, field.u_m_per_s[grid.u_face(i, j, k)]);
    face(1, j > 0 ? &before[1] : nullptr, &c, field.v_m_per_s[grid.v_face(i, j, k)]);
    face(2, k > 0 ? &before[2] : nullptr, &c, field.w_m_per_s[grid.w_face(i, j, k)]);
    if (i + 1 == grid.nx) face(0, &c, nullptr, field.u_m_per_s[grid.u_face(i + 1, j, k)]);
    if (j + 1 == grid.ny) face(1, &c, nullptr, field.v_m_per_s[grid.v_face(i, j + 1, k)]);
    if (k + 1 == grid.nz) face(2, &c, nullptr, field.w_m_per_s[grid.w_face(i, j, k + 1)]);
  }

  /// Air from outside, or to it when negative.
  void pass(std::size_t air_cell, double inward_m3_per_s) {
    auto& side = inward_m3_per_s > 0.0 ? result.inflow_m3_per_s : result.outflow_m3_per_s;
    side[air_cell] += std::fabs(inward_m3_per_s);
  }

  void mix(std::size_t axis, const Pair& sides) {
    const auto diffusivity = [&](std::size_t c) {
      return field.sigma_m_per_s[c] * field.sigma_m_per_s[c] * field.timescale_s[c];
    };
    const std::size_t a = cells.cell_of_grid[sides.first], b = cells.cell_of_grid[sides.second];
    const double apart_m =
        std::fabs(axis == 0 ? cells.x_m[a] - cells.x_m[b] : cells.y_m[a] - cells.y_m[b]);
    const double mean = (diffusivity(sides.first) + diffusivity(sides.second)) / 2.0;
    mixing[{std::min(a, b), std::max(a, b)}] += mean * field.grid.face_area_m2(axis) / apart_m;
  }
};

}  // namespace

std::size_t AirCells::cell_at(double x, double y) const {
  return part_of(y_edge_m, y) * nx + part_of(x_edge_m, x);
}

AirCells make_air_cells(const Enclosure& enclosure, const Grid& grid, std::size_t nx,
                        std::size_t ny) {
  EXPECT(nx >= 1 && ny >= 1 && nx <= grid.nx && ny <= grid.ny);
  AirCells cells;
  cells.nx = nx;
  cells.ny = ny;
  for (const std::size_t i : snapped(grid.nx, nx))
    cells.x_edge_m.push_back(i == grid.nx ? enclosure.length_m
                                          : static_cast<double>(i) * grid.dx_m);
  for (const std::size_t j : snapped(grid.ny, ny))
    cells.y_edge_m.push_back(j == grid.ny ? enclosure.width_m : static_cast<double>(j) * grid.dy_m);
  for (std::size_t j = 0; j < ny; ++j)
    for (std::size_t i = 0; i < nx; ++i) measure(enclosure, cells, i, j);
  cells.cell_of_grid.resize(grid.cells());
  for (std::size_t c = 0; c < grid.cells(); ++c)
    cells.cell_of_grid[c] = static_cast<std::uint16_t>(
        cells.cell_at(grid.x_centre_m(c % grid.nx), grid.y_centre_m(c / grid.nx % grid.ny)));
  return cells;
}

Exchanges exchanges(const RegimeField& field, const AirCells& cells,
                    const std::vector<SheetFace>& shut) {
  const Grid& grid = field.grid;
  EXPECT(cells.cell_of_grid.size() == grid.cells());
  Gatherer gather{field, cells, shut, {}, {}, {}};
  gather.result.inflow_m3_per_s.assign(cells.count(), 0.0);
  gather.result.outflow_m3_per_s.assign(cells.count(), 0.0);
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    gather.faces_of(c);
    gather.pass(cells.cell_of_grid[c], field.leak_in_m3_per_s[c]);
  }
  for (const auto& [pair, flow] : gather.between) {
    const auto back = gather.between.find({pair.second, pair.first});
    gather.result.between.push_back(
        {pair.first, pair.second, flow, back == gather.between.end() ? 0.0 : back->second});
  }
  for (const auto& [pair, flow] : gather.mixing)
    gather.result.mixing.push_back({pair.first, pair.second, flow, flow});
  return std::move(gather.result);
}

}  // namespace mistwright::flow
