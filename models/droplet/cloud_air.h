#pragma once
// The house as a cloud of drops meets it: cells of its own, finer than the airflow's, whose faces
// lie on the tops and edges of benches and boxes, and the air as parcels see it (walk.h) sampled on
// them. What a face touches is asked of the same surroundings as the parcels' (contact.h). Left
// out: the slope of the roof, which becomes steps; air that the sampling makes or loses in a cell.
#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "models/droplet/contact.h"
#include "models/droplet/footprint.h"
#include "models/droplet/walk.h"

namespace mistwright::droplet {

/// Values lie in memory along x, two cells of nothing about the house on all sides; the face below
/// a cell along an axis has that cell's index.
struct CloudAir {
  /// @param cell_m  wished edge of a cell, above zero
  CloudAir(const FootprintCase& a_case, double cell_m);

  static constexpr std::size_t margin = 2;

  /// A face at which drops leave the air.
  struct Touch {
    std::size_t cell = 0;
    Surface surface = Surface::Floor;
    bool level = false;                           ///< seen from above
    double area_per_volume_1_per_m = 0.0;         ///< the face's area over its cell's volume
    double out_m_per_s = 0.0;                     ///< mean air out through an opening
    std::size_t first_share = 0, last_share = 0;  ///< of `shares`, for the top of a bench
  };
  struct Share {
    std::size_t bench_cell = 0;
    double share_fraction = 0.0;
  };

  double cell_m;                              ///< as wished
  std::array<std::vector<double>, 3> edge_m;  ///< places of faces along each axis
  std::array<std::size_t, 3> cells{}, stride{};
  std::size_t size = 0, first = 0, last = 0;  ///< of arrays; flat range that holds all cells
  std::vector<std::uint8_t> air;
  std::vector<double> volume_m3;
  std::array<std::vector<double>, 3> across_m;  ///< widths of cells along each axis
  std::vector<double> sigma_m_per_s, timescale_s, leak_per_s;
  std::vector<std::uint16_t> air_cell;  ///< of flow::AirCells
  std::array<std::vector<double>, 3> speed_m_per_s;
  std::array<std::vector<std::uint8_t>, 3> open;
  std::vector<Touch> touches;
  std::vector<Share> shares;
  std::size_t bench_cells = 0, air_cells = 0;
  const FootprintCase the_case;

  [[nodiscard]] std::size_t at(std::size_t i, std::size_t j, std::size_t k) const {
    return i + margin + stride[1] * (j + margin) + stride[2] * (k + margin);
  }
  [[nodiscard]] double width_m(std::size_t axis, std::size_t n) const {
    return edge_m[axis][n + 1] - edge_m[axis][n];
  }
  /// A cell's three places. The cell belongs to the house.
  [[nodiscard]] std::array<std::size_t, 3> place(std::size_t cell) const;
  [[nodiscard]] Point centre(std::size_t cell) const;
  /// The cell of air that holds a point, or the nearest above or below it.
  [[nodiscard]] std::size_t cell_at(const Point& point) const;

 private:
  void sample(const FieldSeen& seen);
  void face(std::size_t axis, const std::array<std::size_t, 3>& slot, const FieldSeen& seen,
            const Surroundings& around);
  void touch(std::size_t cell, std::size_t axis, const Contact& contact, const Point& at,
             double out_m_per_s);
};

}  // namespace mistwright::droplet
