#include "models/flow/momentum_field.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"
#include "models/flow/boundary.h"
#include "models/flow/from_coarser.h"
#include "models/flow/house_case.h"
#include "models/flow/k_epsilon.h"
#include "models/flow/leaks.h"
#include "models/flow/steady_flow.h"
#include "models/flow/transport.h"
#include "models/flow/turbulence.h"

namespace mistwright::flow {
namespace {

/// Half of QUICK's correction: jets come to rest that flap with all of it.
constexpr double house_sharpness_fraction = 0.5;
constexpr double rest_fraction = 1e-4;
/// Edge of the wider cells that are solved first.
constexpr double wider_ratio = 1.5;

/// @return diffusivity of the floor that thermal convection keeps up [m2/s]
double take_turbulence(const Enclosure& enclosure, const HouseFlow& house,
                       double background_m_per_s, RegimeField& field) {
  const Grid& grid = field.grid;
  const double background_time_s =
      lagrangian_timescale_s(room_mixing_length_m(enclosure.ridge_height_m), background_m_per_s);
  const double floor_m2_per_s = background_m_per_s * background_m_per_s * background_time_s;
  field.sigma_m_per_s.assign(grid.cells(), background_m_per_s);
  field.timescale_s.assign(grid.cells(), background_time_s);
  for (std::size_t cell = 0; cell < grid.cells(); ++cell) {
    if (grid.fluid[cell] == 0) continue;
    const std::size_t c = house.problem.lattice.of(grid, cell);
    const double k = house.state.k_m2_per_s2[c], eps = house.state.dissipation_m2_per_s3[c];
    const double rms = rms_m_per_s(k);
    const double sigma = std::hypot(background_m_per_s, rms);
    field.sigma_m_per_s[cell] = sigma;
    field.timescale_s[cell] =
        (rms * rms * eddy_timescale_s(k, eps) + floor_m2_per_s) / (sigma * sigma);
  }
  return floor_m2_per_s;
}

/// The carried warmth of one watt per square metre from the floor, and of one from boxes, in the
/// flow as it stands.
void take_responses(const Enclosure& enclosure, const HouseFlow& house, SurfaceHeat heat,
                    double floor_m2_per_s, RegimeField& field) {
  FlowCase carried = house.problem;
  FlowState state = house.state;
  for (std::size_t c = 0; c < state.viscosity_m2_per_s.size(); ++c)
    state.viscosity_m2_per_s[c] += carried.lattice.air[c] * eddy_prandtl_number * floor_m2_per_s;
  Transport transport(carried);
  transport.set(state, carried.viscosity_m2_per_s / air_prandtl_number, eddy_prandtl_number);
  const auto response = [&](double floor_W_per_m2, double boxes_W_per_m2) {
    heat.floor_W_per_m2 = floor_W_per_m2;
    heat.boxes_W_per_m2 = boxes_W_per_m2;
    warm_surfaces(enclosure, field.grid, heat, carried);
    Values warmth = carried.lattice.zeros();
    constexpr double balance_fraction = 1e-6;
    const bool solved = transport.solve(
        {carried.heat.source_K_m3_per_s, carried.heat.loss_m3_per_s}, balance_fraction, warmth);
    return solved ? carried.lattice.gather(field.grid, warmth) : std::vector<double>{};
  };
  field.floor_response_K_m2_per_W = response(1.0, 0.0);
  field.bench_response_K_m2_per_W = response(0.0, 1.0);
}

/// One solution of the house: its case, brought to rest.
struct Solved {
  GriddedFlow flow;
  SteadyReport report;
};

Solved solved(const Enclosure& enclosure, const Grid& grid, const std::vector<PortFlow>& ports,
              const HouseTerms& terms, const GriddedFlow* coarser) {
  Solved result{{grid, house_flow(enclosure, grid, ports, terms)}, {}};
  HouseFlow& house = result.flow.house;
  cold_start(house.problem, house.state);
  if (coarser != nullptr) start_from_coarser(*coarser, result.flow);
  result.report = settle(house.problem, {.rest_fraction = rest_fraction}, house.state);
  if (result.report.finite) return result;
  cold_start(house.problem, house.state);
  result.report =
      settle(house.problem, {.rest_fraction = rest_fraction, .gently = true}, house.state);
  if (!result.report.finite) throw ContractError("the airflow's iteration ran away");
  return result;
}

void take_speeds(const GriddedFlow& flow, RegimeField& field) {
  const Lattice& g = flow.house.problem.lattice;
  const FaceValues& speed = flow.house.state.speed_m_per_s;
  field.u_m_per_s = g.gather_faces(flow.grid, speed[0], 0);
  field.v_m_per_s = g.gather_faces(flow.grid, speed[1], 1);
  field.w_m_per_s = g.gather_faces(flow.grid, speed[2], 2);
}

/// Mean air speed a quarter of a metre above the boxes, or one metre above a floor without any.
double mean_speed_m_per_s(const Enclosure& enclosure, const GriddedFlow& flow) {
  RegimeField field;
  field.grid = flow.grid;
  take_speeds(flow, field);
  field.sigma_m_per_s.assign(flow.grid.cells(), 0.0);
  field.timescale_s.assign(flow.grid.cells(), 0.0);
  std::vector<Box> over = enclosure.boxes;
  constexpr double above_m = 0.25;
  if (over.empty())
    over.push_back({0.0, enclosure.length_m, 0.0, enclosure.width_m, 0.0, 1.0 - above_m});
  constexpr int points = 24;
  double sum = 0.0, area_m2 = 0.0;
  for (const Box& box : over) {
    double here = 0.0;
    for (int i = 0; i < points; ++i)
      for (int j = 0; j < points; ++j) {
        const AirSample air =
            field.sample(box.x0_m + (i + 0.5) / points * (box.x1_m - box.x0_m),
                         box.y0_m + (j + 0.5) / points * (box.y1_m - box.y0_m), box.z1_m + above_m);
        here += std::hypot(air.u_m_per_s, air.v_m_per_s, air.w_m_per_s);
      }
    const double box_m2 = (box.x1_m - box.x0_m) * (box.y1_m - box.y0_m);
    sum += box_m2 * here / (points * points);
    area_m2 += box_m2;
  }
  return area_m2 > 0.0 ? sum / area_m2 : 0.0;
}

/// Roache's (1994) index of two grids for the mean speed over the boxes.
double convergence_index(const Enclosure& enclosure, const GriddedFlow& fine,
                         const GriddedFlow& coarse) {
  // Of two grids alone; the differences are first-order where QUICK's correction is not whole.
  constexpr double safety_factor = 3.0, order = 1.0;
  const double ratio = std::cbrt(coarse.grid.cell_volume_m3() / fine.grid.cell_volume_m3());
  if (!(ratio > 1.0)) return std::nan("");
  const double of_fine = mean_speed_m_per_s(enclosure, fine);
  const double change = std::fabs(mean_speed_m_per_s(enclosure, coarse) - of_fine);
  return of_fine > 0.0 ? safety_factor * change / of_fine / (std::pow(ratio, order) - 1.0) : 0.0;
}

/// The house as a grid of wider cells holds it.
Enclosure made_thick(Enclosure enclosure, double cell_m) {
  for (Box& box : enclosure.boxes) box = thick_enough(box, enclosure.ridge_height_m, cell_m);
  return enclosure;
}

}  // namespace

Box thick_enough(const Box& box, double ridge_height_m, double cell_m) {
  const double layers = std::max(1.0, std::round(ridge_height_m / cell_m));
  const double step_m = ridge_height_m / layers;
  // A centre that lies at the top itself is not inside, nor may the top rise to hold it: what lands
  // on the bench would meet its box first.
  const double hair = 1e-6;
  const double top = std::floor(box.z1_m / step_m + 0.5 - hair);
  if (top < 1.0) return box;
  Box thick = box;
  thick.z0_m = std::min(box.z0_m, (top - 0.5 - hair) * step_m);
  return thick;
}

RegimeField momentum_field(const Enclosure& enclosure, const std::vector<PortFlow>& ports,
                           double leakage_m3_per_s, const FieldOptions& options) {
  RegimeField field;
  field.grid = make_grid(enclosure, options.cell_m);
  const Grid& grid = field.grid;
  const Leaks leaks = balancing_leaks(ports, leakage_m3_per_s);
  field.inflow_m3_per_s = total_inflow_m3_per_s(ports, leaks);
  field.leak_in_m3_per_s = leak_sources_m3_per_s(grid, cover_area_m2(enclosure, grid), leaks);
  HouseTerms terms;
  terms.leak_in_m3_per_s = field.leak_in_m3_per_s;
  terms.sharpness_fraction = house_sharpness_fraction;
  terms.heat.floor_W_per_m2 = options.floor_heat_W_per_m2;
  terms.heat.boxes_W_per_m2 = options.bench_heat_W_per_m2;
  terms.heat.cover_W_per_m2_K = options.cover_W_per_m2_K;
  // A grid of wider cells first: it gives the fine one its start, and how much the grid matters.
  const double wide_m = wider_ratio * options.cell_m;
  const Enclosure wide_enclosure = made_thick(enclosure, wide_m);
  const Grid wide_grid = make_grid(wide_enclosure, wide_m);
  HouseTerms wide_terms = terms;
  wide_terms.leak_in_m3_per_s =
      leak_sources_m3_per_s(wide_grid, cover_area_m2(wide_enclosure, wide_grid), leaks);
  const Solved wide = solved(wide_enclosure, wide_grid, ports, wide_terms, nullptr);
  const Solved fine = solved(enclosure, grid, ports, terms, &wide.flow);
  const HouseFlow& house = fine.flow.house;
  field.iterations = fine.report.iterations;
  field.steady = fine.report.steady;
  field.converged = fine.report.imbalance_fraction <= 1e-12;
  field.grid_convergence_index_fraction = convergence_index(enclosure, fine.flow, wide.flow);
  take_speeds(fine.flow, field);
  const double floor_m2_per_s =
      take_turbulence(enclosure, house, options.background_turbulence_m_per_s, field);
  take_responses(enclosure, house, terms.heat, floor_m2_per_s, field);
  return field;
}

}  // namespace mistwright::flow
