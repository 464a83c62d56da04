#include "models/flow/house_case.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "models/flow/boundary.h"
#include "models/flow/sheets.h"
#include "models/flow/turbulence.h"
#include "models/units.h"

namespace mistwright::flow {
namespace {

/// Drag coefficient of leaves in a canopy (Wilson and Shaw 1977: 0.2).
constexpr double leaf_drag_coefficient = 0.2;
/// Roughness length of a stand over its height (common practice: a tenth).
constexpr double roughness_per_height = 0.1;

/// The lattice's index of a boundary face.
std::size_t face_of(const Lattice& g, const Grid& grid, const BoundaryFace& face) {
  const std::size_t cell = g.of(grid, face.cell);
  return face.inward_factor > 0.0 ? cell : cell + g.stride[face.axis];
}

/// Shuts the faces of all sheets: they stay known, and nothing passes them.
void hang_sheets(const Enclosure& enclosure, const Grid& grid, Lattice& g) {
  for (const SheetFace& face : sheet_faces(enclosure, grid)) {
    const std::size_t at = g.of(grid, face.cell);
    g.open[face.axis][at] = 0.0;
    g.shut[face.axis].push_back(at);
  }
}

void open_port(const Enclosure& enclosure, const Grid& grid, const PortFlow& flow,
               const HouseTerms& terms, HouseFlow& house) {
  const Port& port = enclosure.ports.at(flow.port);
  const Lattice& g = house.problem.lattice;
  const double true_speed = std::fabs(flow.inflow_m3_per_s) / port.free_m2();
  for (const BoundaryFace& face : port_faces(enclosure, grid, port)) {
    const std::size_t at = face_of(g, grid, face);
    const double through = face.share_fraction * flow.inflow_m3_per_s;
    const double speed = through / g.face_m2[face.axis];
    house.state.speed_m_per_s[face.axis][at] += face.inward_factor * speed;
    if (flow.inflow_m3_per_s <= 0.0) continue;
    const double rms = terms.mouth_intensity_fraction * true_speed;
    const double k = 1.5 * rms * rms, length_m = 0.1 * std::min(port.width_m, port.tall_m);
    house.problem.mouths.push_back({face.axis, at, true_speed, k, k * std::sqrt(k) / length_m});
    // The first open face inside takes the momentum that the boundary's mean speed lacks.
    const std::size_t cell = g.of(grid, face.cell);
    const std::size_t inside = face.inward_factor > 0.0 ? cell + g.stride[face.axis] : cell;
    if (g.open[face.axis][inside] > 0.0)
      house.problem.force_m4_per_s2[face.axis][inside] +=
          face.inward_factor * through * std::max(0.0, true_speed - speed);
  }
}

/// Gives a point's unit weight to the eight faces around it by nearness.
void weigh_point(const Lattice& g, std::size_t axis, const std::array<double, 3>& at_m,
                 Values& weight) {
  std::size_t corner = 0;
  std::array<double, 3> share{};
  for (std::size_t d = 0; d < 3; ++d) {
    const double s = at_m[d] / g.step_m[d] - (d == axis ? 0.0 : 0.5);
    const double low = std::clamp(std::floor(s), -1.0, static_cast<double>(g.cells[d]));
    corner += static_cast<std::size_t>(low + static_cast<double>(Lattice::margin)) * g.stride[d];
    share[d] = std::clamp(s - low, 0.0, 1.0);
  }
  for (unsigned which = 0; which < 8; ++which) {
    std::size_t c = corner;
    double part = 1.0;
    for (std::size_t d = 0; d < 3; ++d) {
      const bool high = (which >> d & 1U) != 0;
      if (high) c += g.stride[d];
      part *= high ? share[d] : 1.0 - share[d];
    }
    weight[c] += part * g.open[axis][c];
  }
}

/// Weights of the open faces about a fan's disc.
Values disc_weights(const Lattice& g, std::size_t axis, const Stirrer& fan) {
  constexpr int points = 12;
  const double radius_m = fan.diameter_m / 2.0;
  Values weight = g.zeros();
  for (int a = 0; a < points; ++a)
    for (int b = 0; b < points; ++b) {
      const double aside_m = fan.diameter_m * ((a + 0.5) / points - 0.5);
      const double above_m = fan.diameter_m * ((b + 0.5) / points - 0.5);
      if (std::hypot(aside_m, above_m) > radius_m) continue;
      weigh_point(g, axis,
                  {fan.x_m - aside_m * std::sin(fan.bearing_rad),
                   fan.y_m + aside_m * std::cos(fan.bearing_rad), fan.z_m + above_m},
                  weight);
    }
  return weight;
}

/// Shares a fan's thrust over the open faces about its disc.
void stir(const Stirrer& fan, FlowCase& problem) {
  const Lattice& g = problem.lattice;
  const double disc_m2 = pi / 4.0 * fan.diameter_m * fan.diameter_m;
  const double thrust_m4_per_s2 = fan.flow_m3_per_s * std::fabs(fan.flow_m3_per_s) / disc_m2;
  const std::array<double, 2> along{std::cos(fan.bearing_rad), std::sin(fan.bearing_rad)};
  for (std::size_t axis = 0; axis < 2; ++axis) {
    const Values weight = disc_weights(g, axis, fan);
    double total = 0.0;
    for (const double part : weight) total += part;
    if (total <= 0.0) continue;
    for (std::size_t c = g.first; c < g.last; ++c)
      problem.force_m4_per_s2[axis][c] += thrust_m4_per_s2 * along[axis] * weight[c] / total;
  }
}

double common_m(double a0, double a1, double b0, double b1) {
  return std::max(0.0, std::min(a1, b1) - std::max(a0, b0));
}

/// Area of a cell's floor that lies under a box.
double under_m2(const Grid& grid, const Box& box, std::size_t i, std::size_t j) {
  const auto edge = [](std::size_t at, double step) { return static_cast<double>(at) * step; };
  return common_m(edge(i, grid.dx_m), edge(i + 1, grid.dx_m), box.x0_m, box.x1_m) *
         common_m(edge(j, grid.dy_m), edge(j + 1, grid.dy_m), box.y0_m, box.y1_m);
}

void plant_tall(const Grid& grid, const Foliage& leaves, FlowCase& problem) {
  const Box& box = leaves.box;
  for (std::size_t cell = 0; cell < grid.cells(); ++cell) {
    if (grid.fluid[cell] == 0) continue;
    const auto [i, j, k] = grid.place(cell);
    const double low_m = static_cast<double>(k) * grid.dz_m;
    const double volume =
        under_m2(grid, box, i, j) * common_m(low_m, low_m + grid.dz_m, box.z0_m, box.z1_m);
    problem.drag_m2[problem.lattice.of(grid, cell)] +=
        leaf_drag_coefficient * leaves.leaf_area_density_1_per_m * volume;
  }
}

/// The first air above the foot of leaves that no cell resolves takes all their drag. By the speed
/// there, far above them, they hold no more than a floor of their roughness would.
void plant_low(const Grid& grid, const Foliage& leaves, FlowCase& problem) {
  const Box& box = leaves.box;
  const double height_m = box.z1_m - box.z0_m;
  const double roughness_m = roughness_per_height * height_m;
  const double rough = karman_coefficient / std::log(1.0 + 0.5 * grid.dz_m / roughness_m);
  const double drag_per_m2 =
      std::min(leaf_drag_coefficient * leaves.leaf_area_density_1_per_m * height_m, rough * rough);
  for (std::size_t j = 0; j < grid.ny; ++j)
    for (std::size_t i = 0; i < grid.nx; ++i) {
      auto k = static_cast<std::size_t>(std::max(0.0, box.z0_m / grid.dz_m));
      while (k < grid.nz && grid.fluid[grid.cell(i, j, k)] == 0) ++k;
      if (k < grid.nz)
        problem.drag_m2[problem.lattice.at(i, j, k)] += drag_per_m2 * under_m2(grid, box, i, j);
    }
}

void plant(const Grid& grid, const Foliage& leaves, FlowCase& problem) {
  const double height_m = leaves.box.z1_m - leaves.box.z0_m;
  if (height_m < grid.dz_m)
    plant_low(grid, leaves, problem);
  else
    plant_tall(grid, leaves, problem);
}

}  // namespace

void warm_surfaces(const Enclosure& enclosure, const Grid& grid, const SurfaceHeat& heat,
                   FlowCase& problem) {
  const Lattice& g = problem.lattice;
  HeatCase& to = problem.heat;
  to.source_K_m3_per_s = g.zeros();
  to.loss_m3_per_s = g.zeros();
  to.expansion_1_per_K = 1.0 / heat.outside_temperature_K;
  const std::vector<double> cover_m2 = cover_area_m2(enclosure, grid);
  for (std::size_t cell = 0; cell < grid.cells(); ++cell) {
    if (grid.fluid[cell] == 0) continue;
    const auto [i, j, k] = grid.place(cell);
    const std::size_t c = g.of(grid, cell);
    const bool over_box = k > 0 && grid.fluid[grid.cell(i, j, k - 1)] == 0;
    const double W_per_m2 = k == 0 ? heat.floor_W_per_m2 : over_box ? heat.boxes_W_per_m2 : 0.0;
    to.source_K_m3_per_s[c] = W_per_m2 * g.face_m2[2] / air_heat_capacity_J_per_m3_K;
    to.loss_m3_per_s[c] = heat.cover_W_per_m2_K * cover_m2[cell] / air_heat_capacity_J_per_m3_K;
  }
}

HouseFlow house_flow(const Enclosure& enclosure, const Grid& grid,
                     const std::vector<PortFlow>& ports, const HouseTerms& terms) {
  FlowCase problem(grid);
  problem.sharpness_fraction = terms.sharpness_fraction;
  problem.slick = terms.slick;
  hang_sheets(enclosure, grid, problem.lattice);
  FlowState state(problem.lattice);
  HouseFlow house{std::move(problem), std::move(state)};
  if (!terms.leak_in_m3_per_s.empty())
    house.problem.leak_in_m3_per_s = house.problem.lattice.spread(grid, terms.leak_in_m3_per_s);
  for (const PortFlow& flow : ports) open_port(enclosure, grid, flow, terms, house);
  for (const Stirrer& fan : enclosure.stirrers) stir(fan, house.problem);
  for (const Foliage& leaves : enclosure.foliage) plant(grid, leaves, house.problem);
  if (terms.heat.floor_W_per_m2 > 0.0 || terms.heat.boxes_W_per_m2 > 0.0)
    warm_surfaces(enclosure, grid, terms.heat, house.problem);
  return house;
}

}  // namespace mistwright::flow
