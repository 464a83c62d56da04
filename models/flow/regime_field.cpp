#include "models/flow/regime_field.h"

#include <cmath>

#include "models/contracts.h"
#include "models/flow/boundary.h"
#include "models/flow/leaks.h"
#include "models/flow/momentum_field.h"
#include "models/flow/projection.h"
#include "models/flow/target_field.h"
#include "models/flow/turbulence.h"

namespace mistwright::flow {
namespace {

std::vector<double>& component(FaceField& field, std::size_t axis) {
  return axis == 0 ? field.u_m_per_s : axis == 1 ? field.v_m_per_s : field.w_m_per_s;
}

void let_in(const Grid& grid, const std::vector<BoundaryFace>& faces, double inflow_m3_per_s,
            FaceField& field) {
  for (const BoundaryFace& face : faces)
    component(field, face.axis)[face.face] +=
        face.inward_factor * face.share_fraction * inflow_m3_per_s / grid.face_area_m2(face.axis);
}

double place_m(const Enclosure& enclosure, const Port& port) {
  if (port.side == Side::Front) return 0.0;
  return port.side == Side::Back ? enclosure.length_m : port.along_m;
}

/// Inlets and outlets of a plug flow are the whole end walls; air runs from where more of it
/// enters.
void open_end_walls(const Enclosure& enclosure, const Grid& grid,
                    const std::vector<PortFlow>& ports, FaceField& field) {
  double in = 0.0, out = 0.0, in_place = 0.0, out_place = 0.0;
  for (const PortFlow& flow : ports) {
    const double at_m = place_m(enclosure, enclosure.ports.at(flow.port));
    (flow.inflow_m3_per_s > 0.0 ? in : out) += flow.inflow_m3_per_s;
    (flow.inflow_m3_per_s > 0.0 ? in_place : out_place) += flow.inflow_m3_per_s * at_m;
  }
  const double middle_m = enclosure.length_m / 2.0;
  const double from_m = in > 0.0 ? in_place / in : middle_m;
  const double to_m = out < 0.0 ? out_place / out : middle_m;
  const bool forward = to_m >= from_m;
  const Port front{"front",
                   Side::Front,
                   enclosure.width_m / 2.0,
                   enclosure.ridge_height_m / 2.0,
                   enclosure.width_m,
                   enclosure.ridge_height_m};
  Port back = front;
  back.side = Side::Back;
  let_in(grid, port_faces(enclosure, grid, forward ? front : back), in, field);
  let_in(grid, port_faces(enclosure, grid, forward ? back : front), out, field);
}

/// A level speed on all inner faces: the nearest mass-conserving field keeps it but for the
/// benches.
void fill_plug(const Enclosure& enclosure, const Grid& grid, const std::vector<PortFlow>& ports,
               FaceField& field) {
  open_end_walls(enclosure, grid, ports, field);
  double net = 0.0, section_m2 = 0.0;
  for (std::size_t k = 0; k < grid.nz; ++k)
    for (std::size_t j = 0; j < grid.ny; ++j) {
      if (below_roof(enclosure, grid, j, k)) section_m2 += grid.face_area_m2(0);
      net += (field.u_m_per_s[grid.u_face(0, j, k)] + field.u_m_per_s[grid.u_face(grid.nx, j, k)]) /
             2.0 * grid.face_area_m2(0);
    }
  for (std::size_t k = 0; k < grid.nz; ++k)
    for (std::size_t j = 0; j < grid.ny; ++j)
      for (std::size_t i = 1; i < grid.nx; ++i)
        if (grid.fluid[grid.cell(i, j, k)] != 0 && grid.fluid[grid.cell(i - 1, j, k)] != 0)
          field.u_m_per_s[grid.u_face(i, j, k)] = net / section_m2;
}

}  // namespace

AirSample RegimeField::in_cell(std::size_t cell) const {
  const auto [i, j, k] = grid.place(cell);
  return {0.5 * (u_m_per_s[grid.u_face(i, j, k)] + u_m_per_s[grid.u_face(i + 1, j, k)]),
          0.5 * (v_m_per_s[grid.v_face(i, j, k)] + v_m_per_s[grid.v_face(i, j + 1, k)]),
          0.5 * (w_m_per_s[grid.w_face(i, j, k)] + w_m_per_s[grid.w_face(i, j, k + 1)]),
          sigma_m_per_s[cell], timescale_s[cell]};
}

double RegimeField::worst_divergence_per_s() const {
  const std::vector<double> out = outflow_m3_per_s(grid, {u_m_per_s, v_m_per_s, w_m_per_s});
  double worst = 0.0;
  for (std::size_t c = 0; c < grid.cells(); ++c)
    if (grid.fluid[c] != 0) worst = std::fmax(worst, std::fabs(out[c] - leak_in_m3_per_s[c]));
  return worst / grid.cell_volume_m3();
}

RegimeField solve_field(const Enclosure& enclosure, const std::vector<PortFlow>& ports,
                        double leakage_m3_per_s, const FieldOptions& options) {
  EXPECT(leakage_m3_per_s >= 0.0);
  if (options.model == AirflowModel::Momentum && !options.uniform)
    return momentum_field(enclosure, ports, leakage_m3_per_s, options);
  RegimeField result;
  result.grid = make_grid(enclosure, options.cell_m);
  const Grid& grid = result.grid;
  FaceField field{std::vector<double>(grid.u_faces(), 0.0),
                  std::vector<double>(grid.v_faces(), 0.0),
                  std::vector<double>(grid.w_faces(), 0.0)};
  const Leaks leaks = balancing_leaks(ports, leakage_m3_per_s);
  double scale_m3_per_s = leakage_m3_per_s;
  for (const PortFlow& flow : ports) scale_m3_per_s += std::fabs(flow.inflow_m3_per_s);
  result.inflow_m3_per_s = total_inflow_m3_per_s(ports, leaks);
  result.leak_in_m3_per_s = leak_sources_m3_per_s(grid, cover_area_m2(enclosure, grid), leaks);

  // Half-widths below 0.8 of a cell would be sampled with more than 2 % error in their momentum.
  const double finest_m = 0.8 * std::max({grid.dx_m, grid.dy_m, grid.dz_m});
  const std::vector<PlacedJet> jets = placed_jets(enclosure, ports, finest_m);
  FaceWeights stiffness = even_weights(grid);
  if (options.uniform) {
    fill_plug(enclosure, grid, ports, field);
  } else {
    for (const PortFlow& flow : ports)
      let_in(grid, port_faces(enclosure, grid, enclosure.ports.at(flow.port)), flow.inflow_m3_per_s,
             field);
    add_jets(grid, jets, options.jet_strength_ratio, field, stiffness);
    for (const Stirrer& fan : enclosure.stirrers) scale_m3_per_s += std::fabs(fan.flow_m3_per_s);
  }
  const ProjectionResult solved =
      project(grid, stiffness, result.leak_in_m3_per_s, 1e-12 * scale_m3_per_s, field);
  result.iterations = solved.iterations;
  result.converged = solved.converged;
  result.u_m_per_s = std::move(field.u_m_per_s);
  result.v_m_per_s = std::move(field.v_m_per_s);
  result.w_m_per_s = std::move(field.w_m_per_s);
  Turbulence stirred =
      turbulence(enclosure, grid, jets, options.background_turbulence_m_per_s, !options.uniform);
  result.sigma_m_per_s = std::move(stirred.sigma_m_per_s);
  result.timescale_s = std::move(stirred.timescale_s);
  return result;
}

}  // namespace mistwright::flow
