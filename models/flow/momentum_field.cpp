#include "models/flow/momentum_field.h"

#include <algorithm>
#include <cmath>

#include "models/flow/boundary.h"
#include "models/flow/house_case.h"
#include "models/flow/k_epsilon.h"
#include "models/flow/leaks.h"
#include "models/flow/steady_flow.h"
#include "models/flow/turbulence.h"

namespace mistwright::flow {
namespace {

/// Half of QUICK's correction: jets come to rest that flap with all of it.
constexpr double house_sharpness_fraction = 0.5;
constexpr double rest_fraction = 1e-4;

void take_turbulence(const Enclosure& enclosure, const HouseFlow& house, double background_m_per_s,
                     RegimeField& field) {
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
}

}  // namespace

Box thick_enough(const Box& box, double ridge_height_m, double cell_m) {
  const double layers = std::max(1.0, std::round(ridge_height_m / cell_m));
  const double step_m = ridge_height_m / layers;
  const double top = std::round(box.z1_m / step_m);
  if (top < 1.0) return box;
  Box thick = box;
  const double centre_m = (top - 0.5) * step_m;
  // The centre must lie truly inside, by more than round-off.
  const double hair_m = 1e-6 * step_m;
  thick.z0_m = std::min(box.z0_m, centre_m - hair_m);
  thick.z1_m = std::max(box.z1_m, centre_m + hair_m);
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
  HouseFlow house = house_flow(enclosure, grid, ports, terms);
  cold_start(house.problem, house.state);
  const SteadyReport report = settle(house.problem, {.rest_fraction = rest_fraction}, house.state);
  field.iterations = report.iterations;
  field.steady = report.steady;
  field.converged = report.imbalance_fraction <= 1e-12;
  const Lattice& g = house.problem.lattice;
  field.u_m_per_s = g.gather_faces(grid, house.state.speed_m_per_s[0], 0);
  field.v_m_per_s = g.gather_faces(grid, house.state.speed_m_per_s[1], 1);
  field.w_m_per_s = g.gather_faces(grid, house.state.speed_m_per_s[2], 2);
  take_turbulence(enclosure, house, options.background_turbulence_m_per_s, field);
  return field;
}

}  // namespace mistwright::flow
