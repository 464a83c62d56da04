#pragma once
// Where one footprint's water went, and what happens to a parcel where its path meets a surface: it
// is shared between what stays and what flies on; a patch over a bench's edge is shared between the
// cells that it covers and what falls beside.
#include <optional>
#include <vector>

#include "models/droplet/footprint.h"
#include "models/droplet/parcel.h"
#include "models/droplet/touch.h"
#include "models/random.h"

namespace mistwright::droplet {

/// What a parcel takes along to a surface, and the lots that it draws there.
struct Passing {
  Approach approach;
  Random& random;
};

class Arrivals {
 public:
  explicit Arrivals(const FootprintCase& a_case);

  /// Moves a parcel to where its step would end, sharing it between surfaces on the way and what
  /// goes on; nothing is left of its mass when its path ends.
  /// @param touch  the first contact on the way
  void travel(Parcel& p, Point to, std::optional<Contact> touch, const Passing& passing);

  void evaporate(std::size_t grid_cell, double mass_fraction) {
    outcome.evaporated_fraction += mass_fraction;
    outcome.evaporated_by_air_cell[case_.air.cell_of_grid[grid_cell]] += mass_fraction;
  }
  /// What still floats at the end.
  void give_up(const Parcel& p, bool drying);

  /// Whether a step may pass down beside a bench.
  [[nodiscard]] bool sinks_past_a_bench(double from_z_m, double to_z_m) const {
    for (const double height : bench_heights_m_)
      if (from_z_m >= height && to_z_m < height) return true;
    return false;
  }

  Surroundings surroundings;
  Outcome outcome;              ///< in parcels, not yet in shares
  std::vector<double>* landed;  ///< on each bench cell, of the parcel's own batch

 private:
  struct Divided;
  [[nodiscard]] bool is_point(const Parcel& p) const;
  double landed_beside_fraction(std::size_t bench, const Parcel& p, const Point& at,
                                double mass_fraction);
  void deposit(const Contact& touch, double mass_fraction);
  [[nodiscard]] Point drawn_from_patch(const Point& centre, double width_m, const BenchRect& bench,
                                       bool over, Random& random) const;
  void go_on(Parcel& p, const Divided& rest, const Point& at, Random& random);
  bool passes_beside(Parcel& p, const Point& to, const Contact* touch, const Passing& passing);
  bool touches(Parcel& p, const Contact& touch, const Point& at, const Passing& passing);

  const FootprintCase& case_;
  std::vector<double> bench_heights_m_;  ///< each once
  Shares along_, across_;
};

}  // namespace mistwright::droplet
