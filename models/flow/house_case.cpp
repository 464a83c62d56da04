#include "models/flow/house_case.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"
#include "models/flow/boundary.h"
#include "models/units.h"

namespace mistwright::flow {
namespace {

/// Drag coefficient of leaves in a canopy (Wilson and Shaw 1977: 0.2).
constexpr double leaf_drag_coefficient = 0.2;

/// The lattice's index of a boundary face.
std::size_t face_of(const Lattice& g, const Grid& grid, const BoundaryFace& face) {
  const std::size_t cell = g.of(grid, face.cell);
  return face.inward_factor > 0.0 ? cell : cell + g.stride[face.axis];
}

void open_port(const Enclosure& enclosure, const Grid& grid, const PortFlow& flow,
               const HouseTerms& terms, HouseFlow& house) {
  const Port& port = enclosure.ports.at(flow.port);
  const Lattice& g = house.problem.lattice;
  const double true_speed = std::fabs(flow.inflow_m3_per_s) / (port.width_m * port.tall_m);
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

/// Shares a thrust over the open faces about a disc: points of the disc give to the eight faces
/// around them by nearness.
void stir(const Grid& grid, const Stirrer& fan, FlowCase& problem) {
  const Lattice& g = problem.lattice;
  const double area = pi / 4.0 * fan.diameter_m * fan.diameter_m;
  const double thrust = fan.flow_m3_per_s * std::fabs(fan.flow_m3_per_s) / area;
  const double along[3] = {std::cos(fan.bearing_rad), std::sin(fan.bearing_rad), 0.0};
  constexpr int points = 12;
  for (std::size_t axis = 0; axis < 2; ++axis) {
    if (std::fabs(along[axis]) < 1e-12) continue;
    Values weight = g.zeros();
    double total = 0.0;
    for (int a = 0; a < points; ++a)
      for (int b = 0; b < points; ++b) {
        const double aside = fan.diameter_m * ((a + 0.5) / points - 0.5);
        const double above = fan.diameter_m * ((b + 0.5) / points - 0.5);
        if (aside * aside + above * above > 0.25 * fan.diameter_m * fan.diameter_m) continue;
        const double at_m[3] = {fan.x_m - aside * along[1], fan.y_m + aside * along[0],
                                fan.z_m + above};
        std::size_t low[3];
        double share[3];
        for (std::size_t d = 0; d < 3; ++d) {
          const double s = at_m[d] / g.step_m[d] - (d == axis ? 0.0 : 0.5);
          const double floor = std::clamp(std::floor(s), -1.0, static_cast<double>(g.cells[d]));
          low[d] = static_cast<std::size_t>(floor + static_cast<double>(Lattice::margin));
          share[d] = std::clamp(s - floor, 0.0, 1.0);
        }
        for (unsigned corner = 0; corner < 8; ++corner) {
          std::size_t c = 0;
          double part = 1.0;
          for (std::size_t d = 0; d < 3; ++d) {
            const bool high = (corner >> d & 1U) != 0;
            c += (low[d] + (high ? 1 : 0)) * g.stride[d];
            part *= high ? share[d] : 1.0 - share[d];
          }
          weight[c] += part * g.open[axis][c];
          total += part * g.open[axis][c];
        }
      }
    if (total <= 0.0) continue;
    for (std::size_t c = g.first; c < g.last; ++c)
      problem.force_m4_per_s2[axis][c] += thrust * along[axis] * weight[c] / total;
  }
  static_cast<void>(grid);
}

double common_m(double a0, double a1, double b0, double b1) {
  return std::max(0.0, std::min(a1, b1) - std::max(a0, b0));
}

void plant(const Grid& grid, const Foliage& leaves, FlowCase& problem) {
  const Lattice& g = problem.lattice;
  const Box& box = leaves.box;
  for (std::size_t cell = 0; cell < grid.cells(); ++cell) {
    if (grid.fluid[cell] == 0) continue;
    const auto [i, j, k] = grid.place(cell);
    const auto edge = [](std::size_t at, double step) { return static_cast<double>(at) * step; };
    const double volume = common_m(edge(i, grid.dx_m), edge(i + 1, grid.dx_m), box.x0_m, box.x1_m) *
                          common_m(edge(j, grid.dy_m), edge(j + 1, grid.dy_m), box.y0_m, box.y1_m) *
                          common_m(edge(k, grid.dz_m), edge(k + 1, grid.dz_m), box.z0_m, box.z1_m);
    problem.drag_m2[g.of(grid, cell)] +=
        leaf_drag_coefficient * leaves.leaf_area_density_1_per_m * volume;
  }
}

void warm(const Enclosure& enclosure, const Grid& grid, const SurfaceHeat& heat,
          FlowCase& problem) {
  if (heat.floor_W_per_m2 == 0.0 && heat.boxes_W_per_m2 == 0.0) return;
  const Lattice& g = problem.lattice;
  HeatCase& to = problem.heat;
  to.source_K_m3_per_s = g.zeros();
  to.loss_m3_per_s = g.zeros();
  to.expansion_1_per_K = heat.moves_air ? 1.0 / heat.outside_temperature_K : 0.0;
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

}  // namespace

HouseFlow house_flow(const Enclosure& enclosure, const Grid& grid,
                     const std::vector<PortFlow>& ports, const HouseTerms& terms) {
  FlowCase problem(grid);
  problem.sharpness_fraction = terms.sharpness_fraction;
  problem.slice = terms.slice;
  HouseFlow house{std::move(problem), FlowState(Lattice(grid))};
  if (!terms.leak_in_m3_per_s.empty())
    house.problem.leak_in_m3_per_s = house.problem.lattice.spread(grid, terms.leak_in_m3_per_s);
  for (const PortFlow& flow : ports) open_port(enclosure, grid, flow, terms, house);
  for (const Stirrer& fan : enclosure.stirrers) stir(grid, fan, house.problem);
  for (const Foliage& leaves : terms.foliage) plant(grid, leaves, house.problem);
  warm(enclosure, grid, terms.heat, house.problem);
  return house;
}

}  // namespace mistwright::flow
