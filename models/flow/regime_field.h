#pragma once
// How does the air move through the house in one regime of fans, vents and doors?
// Either by the equations of motion (momentum_field.h), or, for a quick look, by free jets made to
// balance: a target of jets (inlets and stirring fans; target_field.h) is projected onto the
// mass-conserving fields with the openings' flows as exact boundary fluxes (projection.h): the
// nearest field, in weighted mean square, that neither makes nor loses air. Flow towards a fan is
// then the potential flow of a sink. Turbulence: turbulence.h. Judged by the Annex 20 room: a
// slot's jet is right to a tenth of its speed one room height from the slot; the air's return below
// it is spread over the section and up to four times too slow. The jets leave out: lift, jets that
// bend, wakes behind the benches. A field is stored for one set of flows and scaled: the mean field
// grows in proportion to all flows together, the turbulent part less its floor likewise.
#include <algorithm>
#include <cstddef>
#include <limits>
#include <vector>

#include "models/flow/enclosure.h"
#include "models/flow/grid.h"

namespace mistwright::flow {

/// The flow through one port of the enclosure.
struct PortFlow {
  std::size_t port = 0;          ///< index into Enclosure::ports
  double inflow_m3_per_s = 0.0;  ///< into the house; out of it is negative
};

/// Air motion at a point.
struct AirSample {
  double u_m_per_s = 0.0, v_m_per_s = 0.0, w_m_per_s = 0.0;  ///< mean velocity
  double sigma_m_per_s = 0.0;                                ///< rms of each turbulent component
  double timescale_s = 0.0;                                  ///< Lagrangian time scale
};

/// A steady field; face arrays are laid out as Grid says.
struct RegimeField {
  using Sample = AirSample;

  Grid grid;
  std::vector<double> u_m_per_s, v_m_per_s, w_m_per_s;  ///< speed normal to each face
  std::vector<double> sigma_m_per_s;     ///< rms turbulent speed of each component, per cell
  std::vector<double> timescale_s;       ///< Lagrangian time scale, per cell
  std::vector<double> leak_in_m3_per_s;  ///< air leaking into each cell; out is negative
  /// How much warmer than outside air each cell is for each watt that a square metre of bare floor,
  /// or of benches, gives to the air; empty where the model does not tell.
  std::vector<double> floor_response_K_m2_per_W, bench_response_K_m2_per_W;
  double inflow_m3_per_s = 0.0;  ///< total through ports and leaks
  /// Uncertainty by the grid of the mean speed over the benches, as a share of it (Roache 1994,
  /// from this grid and one of cells half as wide again); not a number where none was computed.
  double grid_convergence_index_fraction = std::numeric_limits<double>::quiet_NaN();
  int iterations = 0;      ///< of the pressure solve
  bool converged = false;  ///< its residual reached 1e-12 of the flows
  bool steady = true;      ///< false: a mean over a flow that does not come to rest

  /// Velocity by trilinear interpolation between faces, turbulence of the cell. Points outside the
  /// bounding box are moved to its wall; within half a cell of the box the speeds along it are
  /// constant.
  [[nodiscard]] Sample sample(double x_m, double y_m, double z_m) const;

  /// The air in the middle of a cell: means of its faces' speeds.
  [[nodiscard]] Sample in_cell(std::size_t cell) const;

  /// Largest |outflow - leakage| of a fluid cell over its volume [1/s]: zero up to round-off.
  [[nodiscard]] double worst_divergence_per_s() const;
};

/// How a regime's air is computed.
enum class AirflowModel {
  Jets,     ///< free jets made to balance: target_field.h
  Momentum  ///< Reynolds' equations: momentum_field.h
};

struct FieldOptions {
  AirflowModel model = AirflowModel::Jets;
  double cell_m = 0.2;   ///< wished edge of the grid
  bool uniform = false;  ///< plug flow along x of the same total, for comparison only
  /// Turbulence that thermal convection keeps up with every fan off: 0.02 to 0.1, common practice.
  double background_turbulence_m_per_s = 0.04;
  /// Heat that lifts the air, by the model of momentum: what the sun-warmed floor and benches give,
  /// at least 0, and what the cover passes on to the outside.
  double floor_heat_W_per_m2 = 0.0, bench_heat_W_per_m2 = 0.0;
  double cover_W_per_m2_K = 4.0;    ///< from inside air to outside; above zero
  double jet_strength_ratio = 1.0;  ///< scales the jets' target speeds; 0 leaves potential flow
};

/// The field of one regime.
/// @param ports  flows through ports; what they leave unbalanced leaks through walls and roof
/// @param leakage_m3_per_s  air that leaks in (low in the walls) and out (high, and through the
/// roof) at
///        the same time, besides that balance; at least 0
RegimeField solve_field(const Enclosure& enclosure, const std::vector<PortFlow>& ports,
                        double leakage_m3_per_s, const FieldOptions& options = {});

namespace detail {

/// A point between two neighbouring values along one axis.
struct Between {
  std::size_t low, high;
  double share;  ///< of the high one
};

inline Between between(double at, std::size_t count) {
  const double last = static_cast<double>(count - 1);
  const double s = std::min(std::max(at, 0.0), last);
  const auto low = std::min(static_cast<std::size_t>(s), count - 1);
  const std::size_t high = low + 1 < count ? low + 1 : low;
  return {low, high, s - static_cast<double>(low)};
}

/// Trilinear interpolation in an array of nx by ny by any number of values.
inline double trilinear(const double* values, std::size_t nx, std::size_t ny, const Between& x,
                        const Between& y, const Between& z) {
  const auto row = [&](std::size_t j, std::size_t k) {
    const double* line = values + (k * ny + j) * nx;
    return line[x.low] + x.share * (line[x.high] - line[x.low]);
  };
  const double low = row(y.low, z.low) + y.share * (row(y.high, z.low) - row(y.low, z.low));
  const double high = row(y.low, z.high) + y.share * (row(y.high, z.high) - row(y.low, z.high));
  return low + z.share * (high - low);
}

}  // namespace detail

inline AirSample RegimeField::sample(double x_m, double y_m, double z_m) const {
  const double x = x_m / grid.dx_m;
  const double y = y_m / grid.dy_m;
  const double z = z_m / grid.dz_m;
  const auto xf = detail::between(x, grid.nx + 1), xc = detail::between(x - 0.5, grid.nx);
  const auto yf = detail::between(y, grid.ny + 1), yc = detail::between(y - 0.5, grid.ny);
  const auto zf = detail::between(z, grid.nz + 1), zc = detail::between(z - 0.5, grid.nz);
  const std::size_t cell = grid.cell(std::min(xf.low, grid.nx - 1), std::min(yf.low, grid.ny - 1),
                                     std::min(zf.low, grid.nz - 1));
  return {detail::trilinear(u_m_per_s.data(), grid.nx + 1, grid.ny, xf, yc, zc),
          detail::trilinear(v_m_per_s.data(), grid.nx, grid.ny + 1, xc, yf, zc),
          detail::trilinear(w_m_per_s.data(), grid.nx, grid.ny, xc, yc, zf), sigma_m_per_s[cell],
          timescale_s[cell]};
}

}  // namespace mistwright::flow
