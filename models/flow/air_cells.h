#pragma once
// Which large, well-mixed cells does the house's air fall into, and how much air do they exchange?
// The plan is divided into nx by ny columns from floor to roof whose boundaries lie on grid faces.
// Exchanges are the summed face fluxes of the regime's field, each direction on its own, so that
// air is conserved cell by cell; turbulent mixing adds D A / L with Taylor's (1921) D = sigma^2
// T_L. Left out: layers one above the other.
#include <cstddef>
#include <cstdint>
#include <vector>

#include "models/flow/enclosure.h"
#include "models/flow/grid.h"
#include "models/flow/regime_field.h"
#include "models/flow/sheets.h"

namespace mistwright::flow {

/// Columns of air; cell (i, j) has index j * nx + i. Volumes and areas are those of the true shape
/// (elliptic roof, boxes taken out), not of the grid's steps.
struct AirCells {
  std::size_t nx = 0, ny = 0;
  std::vector<double> volume_m3;
  std::vector<double> floor_area_m2;  ///< plan area
  std::vector<double> cover_area_m2;  ///< roof, side walls and end walls together
  std::vector<double> roof_area_m2, wall_area_m2;
  std::vector<double> x_m, y_m;             ///< centres in the plan
  std::vector<double> x_edge_m, y_edge_m;   ///< nx + 1 and ny + 1 boundaries
  std::vector<std::uint16_t> cell_of_grid;  ///< air cell of each grid cell, solid ones too

  [[nodiscard]] std::size_t count() const { return nx * ny; }
  /// The air cell over a point of the plan; points outside count to the nearest.
  [[nodiscard]] std::size_t cell_at(double x, double y) const;
};

/// @param nx, ny  columns along and across the house, at least 1 and at most the grid's cells
AirCells make_air_cells(const Enclosure& enclosure, const Grid& grid, std::size_t nx,
                        std::size_t ny);

/// Air that passes from one air cell into a neighbour.
struct Exchange {
  std::size_t from = 0, to = 0;
  double flow_m3_per_s = 0.0;  ///< above zero
  double back_m3_per_s = 0.0;  ///< from there to here at the same time, at least 0
};

struct Exchanges {
  std::vector<Exchange>
      between;                   ///< by the mean field; each direction apart, ordered by (from, to)
  std::vector<Exchange> mixing;  ///< by turbulence: as much each way; once a pair, from below to
  std::vector<double> inflow_m3_per_s, outflow_m3_per_s;  ///< from and to outside, leakage included
};

/// For every air cell: inflow + what comes in = outflow + what goes out, to round-off.
/// @param shut  faces of sheets, in order: no turbulence mixes the air of their sides
Exchanges exchanges(const RegimeField& field, const AirCells& cells,
                    const std::vector<SheetFace>& shut = {});

}  // namespace mistwright::flow
