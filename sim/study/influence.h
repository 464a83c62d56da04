#pragma once
// Where would a head bring most to the leaves that are dry longest? For the driest tenth of the
// benches, the share of the water let go at each place of the plan, at the heads' height, that
// comes down on it: the adjoint of the cloud of drops (models/droplet/concentration.h), a mean over
// five drop sizes with a fifth of the water each, in the air in which most misting is done. A head
// does not let its water go, it throws it: so the map is laid over with the rings on which its
// water comes down in still air. Left out: the induced air of the heads, how the wind bends a
// throw, that leaves can be full already. The map chooses what is worth running; runs decide.
#include <string>
#include <vector>

#include "sim/house/assemble.h"
#include "sim/record/record.h"

namespace mistwright::study {

/// Share of the benches' area that counts as driest.
inline constexpr double driest_share_fraction = 0.1;

struct Influence {
  std::size_t type = 0;         ///< index of the head type: the one with the most flow
  double height_m = 0.0;        ///< at which most heads of that type stand
  std::string air;              ///< what runs and stands open
  double misted_s = 0.0;        ///< of all bursts in that air
  double other_misted_s = 0.0;  ///< and in any other
  /// Share of what lands that the clouds are likely to misplace, mean of the sizes let go at a
  /// head: see droplet::cloud_error_fraction().
  double misplaced_fraction = 0.0;
  std::vector<double> weight_number;    ///< by bench cell: how much of it is of the driest tenth
  std::vector<double> x_m, y_m;         ///< centres of an even grid over the whole plan
  std::vector<double> let_go_fraction;  ///< [y][x] landing of water let go at rest
  std::vector<double> thrown_fraction;  ///< [y][x] landing of a head's water, by rings
  /// Of a head's water, between the grid's places; beyond them the nearest.
  [[nodiscard]] double share_at_fraction(double x_m, double y_m) const;
};

/// How much of each bench cell belongs to the driest tenth: cells are taken by dry time, those
/// alike by how little mist they get.
/// @return 0 to 1, by bench cell
[[nodiscard]] std::vector<double> driest_cells(const record::Record& record);

/// @param building  of the house that was run to this record
/// @param threads   to use; the result is the same
[[nodiscard]] Influence influence(const House& house, Building& building,
                                  const record::Record& record, int threads);

}  // namespace mistwright::study
