#pragma once
// Evenly spaced streamlines of a plane flow, by the method of B. Jobard and W. Lefer, "Creating
// evenly-spaced streamlines of arbitrary density", Visualization in Scientific Computing '97
// (from memory): each new line starts one spacing beside an old one, and ends where it would come
// nearer to another than the test distance.
#include <cstddef>
#include <vector>

namespace mistwright::report {

/// Speeds at the centres of equal cells, row by row; cell (0, 0) has its corner at (0, 0). Not a
/// number where there is no air.
struct PlaneFlow {
  std::size_t columns = 0, rows = 0;
  double dx_m = 0.0, dy_m = 0.0;
  std::vector<double> u_m_per_s, v_m_per_s;

  [[nodiscard]] bool has_air(double x_m, double y_m) const;  ///< false outside the cells too
};

struct Place {
  double x_m = 0.0, y_m = 0.0;
};

/// A line along the flow, downstream; its points are one step apart.
struct Streamline {
  std::vector<Place> points;
  bool closed = false;  ///< came back to its start, which is then its last point too
  double gap_m = 0.0;   ///< how far beside its start it came by, if closed
};

struct StreamlineOptions {
  double spacing_m = 0.2;         ///< between a line and those that start beside it; above 0
  double test_fraction = 0.5;     ///< nearest that lines may come, of the spacing
  double least_length_ratio = 2;  ///< of the spacing; shorter lines are left out
  double still_m_per_s = 0.0;     ///< lines end where the air is not faster
};

/// @throws ContractError when sizes do not agree or the spacing is not above 0
[[nodiscard]] std::vector<Streamline> streamlines(const PlaneFlow& flow,
                                                  const StreamlineOptions& options);

}  // namespace mistwright::report
