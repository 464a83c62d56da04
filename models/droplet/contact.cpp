#include "models/droplet/contact.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "models/flow/boundary.h"
#include "models/units.h"

namespace mistwright::droplet {

namespace {

/// Whether air leaves through a port: through the faces of the grid that are its own. A shut one
/// has none that air passes, however the air beside it moves.
bool lets_air_out(const flow::Enclosure& house, const flow::Port& port,
                  const flow::RegimeField& field) {
  double in_m3_per_s = 0.0;
  for (const flow::BoundaryFace& face : flow::port_faces(house, field.grid, port)) {
    const auto& speed = face.axis == 0   ? field.u_m_per_s
                        : face.axis == 1 ? field.v_m_per_s
                                         : field.w_m_per_s;
    in_m3_per_s += face.inward_factor * face.share_fraction * speed[face.face] *
                   field.grid.face_area_m2(face.axis);
  }
  return in_m3_per_s < 0.0;
}

/// Share of the path at which it enters a box, and the face that it enters by.
std::optional<Contact> entry(const flow::Box& box, const Point& from, const Point& to) {
  if (!(to.x_m > box.x0_m && to.x_m < box.x1_m && to.y_m > box.y0_m && to.y_m < box.y1_m &&
        to.z_m > box.z0_m && to.z_m < box.z1_m))
    return std::nullopt;
  Contact contact{Surface::BoxTop, 0.0, {0.0, 0.0, 1.0}, 0};
  double latest = 0.0;
  const auto face = [&](double start, double end, double plane, Surface surface, Point normal) {
    const double share = (start - plane) / (start - end);
    if (share < latest) return;
    latest = share;
    contact = {surface, std::min(share, 1.0), normal, 0};
  };
  if (from.x_m <= box.x0_m) face(from.x_m, to.x_m, box.x0_m, Surface::BoxSide, {-1.0, 0.0, 0.0});
  if (from.x_m >= box.x1_m) face(from.x_m, to.x_m, box.x1_m, Surface::BoxSide, {1.0, 0.0, 0.0});
  if (from.y_m <= box.y0_m) face(from.y_m, to.y_m, box.y0_m, Surface::BoxSide, {0.0, -1.0, 0.0});
  if (from.y_m >= box.y1_m) face(from.y_m, to.y_m, box.y1_m, Surface::BoxSide, {0.0, 1.0, 0.0});
  if (from.z_m <= box.z0_m) face(from.z_m, to.z_m, box.z0_m, Surface::BoxSide, {0.0, 0.0, -1.0});
  if (from.z_m >= box.z1_m) face(from.z_m, to.z_m, box.z1_m, Surface::BoxTop, {0.0, 0.0, 1.0});
  return contact;
}

/// Where a path crosses a sheet. A drop on its plane counts to the side that the sheet encloses, so
/// that it can leave the plane on that side only and is stopped at once on its way to the other.
std::optional<Contact> sheet_contact(const flow::Sheet& sheet, const Point& from, const Point& to) {
  const bool x = sheet.axis == 0;
  const auto depth = [&](const Point& p) {
    return sheet.inward_factor * ((x ? p.x_m : p.y_m) - sheet.place_m);
  };
  const double start = depth(from), end = depth(to);
  if ((start >= 0.0) == (end >= 0.0)) return std::nullopt;
  const double share = std::clamp(start / (start - end), 0.0, 1.0);
  const Point at = between(from, to, share);
  const double aside_m = x ? at.y_m : at.x_m;
  if (aside_m < sheet.low_m || aside_m > sheet.high_m || at.z_m < sheet.z0_m || at.z_m > sheet.z1_m)
    return std::nullopt;
  const double back = start >= 0.0 ? sheet.inward_factor : -sheet.inward_factor;
  const Point normal = x ? Point{back, 0.0, 0.0} : Point{0.0, back, 0.0};
  return Contact{Surface::BoxSide, share, normal, 0};
}

std::optional<Contact> bench_contact(const BenchRect& r, std::size_t bench, const Point& from,
                                     const Point& to) {
  if (!(from.z_m >= r.height_m && to.z_m < r.height_m)) return std::nullopt;
  const double share = (from.z_m - r.height_m) / (from.z_m - to.z_m);
  const Point at = between(from, to, share);
  if (at.x_m < r.x0_m || at.x_m > r.x1_m || at.y_m < r.y0_m || at.y_m > r.y1_m) return std::nullopt;
  return Contact{Surface::BenchTop, share, {0.0, 0.0, 1.0}, bench};
}

/// Where a path that ends above the roof passes through it.
Contact roof_contact(const flow::Enclosure& house, const Point& from, const Point& to) {
  double low = 0.0, high = 1.0;
  for (int i = 0; i < 20; ++i) {
    const double middle = 0.5 * (low + high);
    const Point at = between(from, to, middle);
    (at.z_m > house.roof_height_m(at.y_m) ? high : low) = middle;
  }
  const double y = between(from, to, low).y_m, step = 1e-3 * house.width_m;
  const double slope =
      (house.roof_height_m(y + step) - house.roof_height_m(y - step)) / (2.0 * step);
  const double norm = std::hypot(slope, 1.0);
  return {Surface::Cover, low, {0.0, slope / norm, -1.0 / norm}, 0};
}

/// Lowers the clearance of the cells near a box to their distance from it.
void keep_off(std::vector<double>& clearance_m, const flow::Grid& g, const flow::Box& box) {
  constexpr double most_cells = 1.5;
  /// Where the box lies along one axis of so many cells.
  struct Span {
    double low_m, high_m, edge_m;
    std::size_t count;
    [[nodiscard]] double gap_m(std::size_t i) const {
      const double start = static_cast<double>(i) * edge_m;
      return std::max({0.0, low_m - start - edge_m, start - high_m});
    }
    [[nodiscard]] std::array<std::size_t, 2> range() const {
      const double last = static_cast<double>(count), more = most_cells + 1.0;
      return {static_cast<std::size_t>(std::clamp(std::floor(low_m / edge_m - more), 0.0, last)),
              static_cast<std::size_t>(std::clamp(std::ceil(high_m / edge_m + more), 0.0, last))};
    }
  };
  const Span x{box.x0_m, box.x1_m, g.dx_m, g.nx}, y{box.y0_m, box.y1_m, g.dy_m, g.ny},
      z{box.z0_m, box.z1_m, g.dz_m, g.nz};
  const auto [i0, i1] = x.range();
  const auto [j0, j1] = y.range();
  const auto [k0, k1] = z.range();
  for (std::size_t k = k0; k < k1; ++k)
    for (std::size_t j = j0; j < j1; ++j)
      for (std::size_t i = i0; i < i1; ++i) {
        double& here = clearance_m[g.cell(i, j, k)];
        here = std::min(here, std::max({x.gap_m(i), y.gap_m(j), z.gap_m(k)}));
      }
}

}  // namespace

std::vector<double> Surroundings::clearances_m(const flow::Grid& grid, double beside_m) const {
  const flow::Grid& g = grid;
  const double most_m = 1.5 * std::min({g.dx_m, g.dy_m, g.dz_m});
  // The roof is lowest at the ends of a stretch across the house.
  const auto clear_of_roof = [&](std::size_t j, std::size_t k, double by_m) {
    const double y = static_cast<double>(j) * g.dy_m;
    const double roof_m =
        std::min(house_.roof_height_m(y - by_m), house_.roof_height_m(y + g.dy_m + by_m));
    return static_cast<double>(k + 1) * g.dz_m + by_m < roof_m - roof_reach_m_;
  };
  std::vector<double> clearance_m(g.cells());
  for (std::size_t k = 0; k < g.nz; ++k)
    for (std::size_t j = 0; j < g.ny; ++j) {
      double most = most_m;
      if (!clear_of_roof(j, k, most)) most *= 0.5;
      if (!clear_of_roof(j, k, most)) most = 0.0;
      for (std::size_t i = 0; i < g.nx; ++i) clearance_m[g.cell(i, j, k)] = most;
    }
  for (const auto& block : benches_.blocks) {
    const BenchRect& r = block.rect;
    keep_off(clearance_m, g,
             {r.x0_m - beside_m, r.x1_m + beside_m, r.y0_m - beside_m, r.y1_m + beside_m,
              r.height_m, r.height_m});
  }
  for (const auto& box : house_.boxes) keep_off(clearance_m, g, box);
  for (const auto& sheet : house_.sheets) {
    const bool x = sheet.axis == 0;
    const double at = sheet.place_m;
    keep_off(clearance_m, g,
             {x ? at : sheet.low_m, x ? at : sheet.high_m, x ? sheet.low_m : at,
              x ? sheet.high_m : at, sheet.z0_m, sheet.z1_m});
  }
  return clearance_m;
}

Surroundings::Surroundings(const flow::Enclosure& house, const BenchGrid& benches,
                           const flow::RegimeField& field)
    : house_(house),
      benches_(benches),
      roof_watch_m_(house.ridge_height_m),
      roof_reach_m_(field.grid.dz_m) {
  for (const auto& block : benches.blocks) open_.low_m = std::max(open_.low_m, block.rect.height_m);
  for (const auto& box : house.boxes) open_.low_m = std::max(open_.low_m, box.z1_m);
  for (const auto& sheet : house.sheets) open_.low_m = std::max(open_.low_m, sheet.z1_m);
  for (const auto& port : house.ports) {
    if (!lets_air_out(house, port, field)) continue;
    const bool roof = port.side == flow::Side::Roof;
    const double up = roof ? 0.5 * house.width_m : port.height_m;
    exits_.push_back({port.side, port.along_m - 0.5 * port.width_m,
                      port.along_m + 0.5 * port.width_m, up - 0.5 * port.tall_m,
                      up + 0.5 * port.tall_m});
    if (roof) roof_watch_m_ = std::min(roof_watch_m_, house.eave_height_m - roof_reach_m_);
  }
  open_.eaves_m = std::min(house.eave_height_m, roof_watch_m_);
  if (open_.eaves_m == house.eave_height_m)
    open_.rise_ratio = 2.0 * (house.ridge_height_m - house.eave_height_m) / house.width_m;
}

Point Surroundings::inside(const Point& point) const {
  const double margin = 1e-6;
  const double x = std::clamp(point.x_m, margin, house_.length_m - margin);
  const double y = std::clamp(point.y_m, margin, house_.width_m - margin);
  return {x, y, std::clamp(point.z_m, margin, house_.roof_height_m(y) - margin)};
}

bool Surroundings::leaves(flow::Side side, const Point& at) const {
  for (const Exit& exit : exits_) {
    if (exit.side != side) continue;
    const bool ends = side == flow::Side::Front || side == flow::Side::Back;
    const double a = ends ? at.y_m : at.x_m;
    const double up = side == flow::Side::Roof ? at.y_m : at.z_m;
    if (a >= exit.along_low_m && a <= exit.along_high_m && up >= exit.up_low_m &&
        up <= exit.up_high_m)
      return true;
  }
  return false;
}

std::optional<Contact> Surroundings::search(const Point& from, const Point& to) const {
  First first;
  for (std::size_t b = 0; b < benches_.blocks.size(); ++b)
    first.offer(bench_contact(benches_.blocks[b].rect, b, from, to));
  for (const auto& box : house_.boxes) first.offer(entry(box, from, to));
  for (const auto& sheet : house_.sheets) first.offer(sheet_contact(sheet, from, to));
  if (to.z_m < 0.0) {
    const double share = std::clamp(from.z_m / (from.z_m - to.z_m), 0.0, 1.0);
    first.offer(Contact{Surface::Floor, share, {0.0, 0.0, 1.0}, 0});
  }
  walls(from, to, first);
  const bool under_roof = to.y_m > 0.0 && to.y_m < house_.width_m;
  if (to.z_m > roof_watch_m_ && under_roof &&
      to.z_m > house_.roof_height_m(to.y_m) - roof_reach_m_ && leaves(flow::Side::Roof, to))
    first.offer(Contact{Surface::Opening, 1.0, {0.0, 0.0, -1.0}, 0});
  if (to.z_m > house_.roof_height_m(to.y_m)) first.offer(roof_contact(house_, from, to));
  return first.contact;
}

void Surroundings::walls(const Point& from, const Point& to, First& first) const {
  const auto wall = [&](double start, double end, flow::Side side, Point normal) {
    if (end >= 0.0) return;  // both are depths inside the wall
    const double share = std::clamp(start / (start - end), 0.0, 1.0);
    const bool out = leaves(side, between(from, to, share));
    first.offer(Contact{out ? Surface::Opening : Surface::Wall, share, normal, 0});
  };
  const double length = house_.length_m, width = house_.width_m;
  wall(from.x_m, to.x_m, flow::Side::Front, {1.0, 0.0, 0.0});
  wall(length - from.x_m, length - to.x_m, flow::Side::Back, {-1.0, 0.0, 0.0});
  wall(from.y_m, to.y_m, flow::Side::Right, {0.0, 1.0, 0.0});
  wall(width - from.y_m, width - to.y_m, flow::Side::Left, {0.0, -1.0, 0.0});
}

double settled_fraction(double fall_speed_m_per_s, double sigma_m_per_s) {
  if (fall_speed_m_per_s <= 0.0) return 0.0;
  const double a = fall_speed_m_per_s / std::max(sigma_m_per_s, 1e-9);
  // Touches come at sigma (phi(a) + a Phi(a)) times the density of a Gaussian of mean -v_t; those
  // given back make up a share 1 - P of what moves up, so that P touches = v_t (1 - P (1 -
  // Phi(a))), solved for P.
  return a / (std::exp(-0.5 * a * a) / std::sqrt(2.0 * pi) + a);
}

double impacted_fraction(double approach_m_per_s, double relaxation_s) {
  const double St = std::max(0.0, approach_m_per_s) * relaxation_s / slow_air_depth_m;
  const double ratio = St / (St + 0.8);
  return ratio * ratio;
}

}  // namespace mistwright::droplet
