#include "models/droplet/cloud_air.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"

namespace mistwright::droplet {

namespace {

/// Lines nearer to one another than this share of a cell are one.
constexpr double least_gap_ratio = 0.4;

/// Places of faces: the wished ones, the earlier first where two are too near, and even steps
/// between.
std::vector<double> lines_m(const std::vector<double>& wished_m, double end_m, double cell_m) {
  std::vector<double> kept_m = {0.0, end_m};
  for (const double place : wished_m) {
    const bool free = std::all_of(kept_m.begin(), kept_m.end(), [&](double other) {
      return std::abs(other - place) > least_gap_ratio * cell_m;
    });
    if (free && place > 0.0 && place < end_m) kept_m.push_back(place);
  }
  std::sort(kept_m.begin(), kept_m.end());
  std::vector<double> edges_m;
  for (std::size_t n = 0; n + 1 < kept_m.size(); ++n) {
    const double gap_m = kept_m[n + 1] - kept_m[n];
    const auto steps = static_cast<int>(std::max(1.0, std::round(gap_m / cell_m)));
    for (int i = 0; i < steps; ++i) edges_m.push_back(kept_m[n] + gap_m * i / steps);
  }
  edges_m.push_back(end_m);
  return edges_m;
}

std::array<std::vector<double>, 3> edges(const FootprintCase& a_case, double cell_m) {
  std::array<std::vector<double>, 3> wished;
  for (const auto& block : a_case.benches.blocks) {
    const BenchRect& r = block.rect;
    wished[0].insert(wished[0].end(), {r.x0_m, r.x1_m});
    wished[1].insert(wished[1].end(), {r.y0_m, r.y1_m});
    wished[2].push_back(r.height_m);
  }
  for (const auto& box : a_case.house.boxes) {
    wished[0].insert(wished[0].end(), {box.x0_m, box.x1_m});
    wished[1].insert(wished[1].end(), {box.y0_m, box.y1_m});
    wished[2].insert(wished[2].end(), {box.z1_m, box.z0_m});
  }
  for (const auto& sheet : a_case.house.sheets) {
    wished[sheet.axis].push_back(sheet.place_m);
    wished[2].insert(wished[2].end(), {sheet.z0_m, sheet.z1_m});
  }
  return {lines_m(wished[0], a_case.house.length_m, cell_m),
          lines_m(wished[1], a_case.house.width_m, cell_m),
          lines_m(wished[2], a_case.house.ridge_height_m, cell_m)};
}

bool in_air(const flow::Enclosure& house, const Point& p) {
  if (p.z_m >= house.roof_height_m(p.y_m)) return false;
  return std::none_of(house.boxes.begin(), house.boxes.end(), [&](const flow::Box& b) {
    return p.x_m > b.x0_m && p.x_m < b.x1_m && p.y_m > b.y0_m && p.y_m < b.y1_m && p.z_m > b.z0_m &&
           p.z_m < b.z1_m;
  });
}

/// Coordinate of the middle of a cell; beyond the ends the mirrored one.
double middle_m(const std::vector<double>& edges_m, std::ptrdiff_t n) {
  const auto count = static_cast<std::ptrdiff_t>(edges_m.size()) - 1;
  const auto mean = [&](std::ptrdiff_t i) {
    const auto slot = static_cast<std::size_t>(i);
    return 0.5 * (edges_m[slot] + edges_m[slot + 1]);
  };
  if (n < 0) return 2.0 * edges_m.front() - mean(0);
  return n < count ? mean(n) : 2.0 * edges_m.back() - mean(count - 1);
}

double& along(Point& p, std::size_t axis) {
  return axis == 0 ? p.x_m : axis == 1 ? p.y_m : p.z_m;
}

}  // namespace

CloudAir::CloudAir(const FootprintCase& a_case, double wished_m)
    : cell_m(wished_m),
      edge_m(edges(a_case, wished_m)),
      bench_cells(a_case.benches.cells.size()),
      air_cells(a_case.air.count()),
      the_case(a_case) {
  EXPECT(wished_m > 0.0);
  for (std::size_t a = 0; a < 3; ++a) cells[a] = edge_m[a].size() - 1;
  stride = {1, cells[0] + 2 * margin, (cells[0] + 2 * margin) * (cells[1] + 2 * margin)};
  size = stride[2] * (cells[2] + 2 * margin);
  first = at(0, 0, 0);
  last = at(cells[0] - 1, cells[1] - 1, cells[2] - 1) + 1;
  air.assign(size, 0);
  air_cell.assign(size, 0);
  volume_m3 = sigma_m_per_s = timescale_s = leak_per_s = std::vector<double>(size, 0.0);
  for (auto& widths : across_m) widths.assign(size, 0.0);
  const FieldSeen seen(a_case.field);
  const Surroundings around(a_case.house, a_case.benches, a_case.field);
  sample(seen);
  for (std::size_t a = 0; a < 3; ++a) {
    speed_m_per_s[a].assign(size, 0.0);
    open[a].assign(size, 0);
    const std::array<std::size_t, 3> faces = {cells[0] + (a == 0), cells[1] + (a == 1),
                                              cells[2] + (a == 2)};
    for (std::size_t k = 0; k < faces[2]; ++k)
      for (std::size_t j = 0; j < faces[1]; ++j)
        for (std::size_t i = 0; i < faces[0]; ++i) face(a, {i, j, k}, seen, around);
  }
}

std::array<std::size_t, 3> CloudAir::place(std::size_t cell) const {
  return {cell % stride[1] - margin, cell % stride[2] / stride[1] - margin,
          cell / stride[2] - margin};
}

Point CloudAir::centre(std::size_t cell) const {
  const auto slot = place(cell);
  return {middle_m(edge_m[0], static_cast<std::ptrdiff_t>(slot[0])),
          middle_m(edge_m[1], static_cast<std::ptrdiff_t>(slot[1])),
          middle_m(edge_m[2], static_cast<std::ptrdiff_t>(slot[2]))};
}

std::size_t CloudAir::cell_at(const Point& point) const {
  const auto slot = [&](std::size_t axis, double at_m) {
    const auto& e = edge_m[axis];
    const auto above = std::upper_bound(e.begin() + 1, e.end() - 1, at_m);
    return static_cast<std::size_t>(above - e.begin()) - 1;
  };
  const std::size_t i = slot(0, point.x_m), j = slot(1, point.y_m), k = slot(2, point.z_m);
  for (std::size_t away = 0; away < cells[2]; ++away) {
    if (k + away < cells[2] && air[at(i, j, k + away)] != 0) return at(i, j, k + away);
    if (k >= away && air[at(i, j, k - away)] != 0) return at(i, j, k - away);
  }
  return at(i, j, k);
}

void CloudAir::sample(const FieldSeen& seen) {
  for (std::size_t k = 0; k < cells[2]; ++k)
    for (std::size_t j = 0; j < cells[1]; ++j)
      for (std::size_t i = 0; i < cells[0]; ++i) {
        const std::size_t c = at(i, j, k);
        const Point p = centre(c);
        if (!in_air(the_case.house, p)) continue;
        air[c] = 1;
        across_m[0][c] = width_m(0, i);
        across_m[1][c] = width_m(1, j);
        across_m[2][c] = width_m(2, k);
        volume_m3[c] = across_m[0][c] * across_m[1][c] * across_m[2][c];
        const Seen here = seen.at(p.x_m, p.y_m, p.z_m);
        sigma_m_per_s[c] = here.sigma_m_per_s;
        timescale_s[c] = here.timescale_s;
        leak_per_s[c] = seen.leak_per_s(here.cell);
        air_cell[c] = the_case.air.cell_of_grid[here.cell];
      }
}

void CloudAir::face(std::size_t axis, const std::array<std::size_t, 3>& slot, const FieldSeen& seen,
                    const Surroundings& around) {
  const std::size_t c = at(slot[0], slot[1], slot[2]), below = c - stride[axis];
  if (air[c] == 0 && air[below] == 0) return;
  std::array<double, 3> middle{};
  for (std::size_t a = 0; a < 3; ++a)
    middle[a] = middle_m(edge_m[a], static_cast<std::ptrdiff_t>(slot[a]));
  const Point high{middle[0], middle[1], middle[2]};
  Point low = high, on = high;
  along(low, axis) = middle_m(edge_m[axis], static_cast<std::ptrdiff_t>(slot[axis]) - 1);
  along(on, axis) = edge_m[axis][slot[axis]];
  const Seen met = seen.at(on.x_m, on.y_m, on.z_m);
  const double speed = axis == 0 ? met.u_m_per_s : axis == 1 ? met.v_m_per_s : met.w_m_per_s;
  const auto down = air[c] != 0 ? around.first_contact(high, low) : std::nullopt;
  const auto up = air[below] != 0 ? around.first_contact(low, high) : std::nullopt;
  if (air[c] != 0 && air[below] != 0 && !down && !up) {
    open[axis][c] = 1;
    speed_m_per_s[axis][c] = speed;
    return;
  }
  const Contact wall{Surface::Wall, 0.0, {}, 0};
  if (air[c] != 0) touch(c, axis, down.value_or(wall), on, -speed);
  if (air[below] != 0) touch(below, axis, up.value_or(wall), on, speed);
}

void CloudAir::touch(std::size_t cell, std::size_t axis, const Contact& contact, const Point& on,
                     double out_m_per_s) {
  const auto slot = place(cell);
  Touch t;
  t.cell = cell;
  t.surface = contact.surface;
  t.level = contact.surface == Surface::BenchTop || contact.surface == Surface::Floor ||
            contact.surface == Surface::BoxTop;
  t.area_per_volume_1_per_m = 1.0 / width_m(axis, slot[axis]);
  t.out_m_per_s = out_m_per_s;
  t.first_share = shares.size();
  if (contact.surface == Surface::BenchTop) {
    // A face may lie over several cells of a bench: sixteen points of it are asked.
    constexpr int points = 4;
    for (int n = 0; n < points * points; ++n) {
      const int row = n / points;
      const double x = on.x_m + ((n % points + 0.5) / points - 0.5) * width_m(0, slot[0]);
      const double y = on.y_m + ((row + 0.5) / points - 0.5) * width_m(1, slot[1]);
      shares.push_back({the_case.benches.cell_on(contact.bench, x, y), 1.0 / (points * points)});
    }
  }
  t.last_share = shares.size();
  touches.push_back(t);
}

}  // namespace mistwright::droplet
