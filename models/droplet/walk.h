#pragma once
// The turbulent air that a drop meets: a Langevin walk that keeps well-mixed what is well mixed,
// though the turbulence differs from place to place. Equations: Thomson 1987, J. Fluid Mech.
// 180:529, for isotropic Gaussian turbulence; written for the speed over its local rms it reads d
// omega = -omega dt/T + grad sigma dt + sqrt(2/T) dW. A falling drop leaves eddies sooner: T
// shortened after Csanady 1963, J. Atmos. Sci. 20:201. Left out: shear stress (the three components
// are independent), lighter time scales across than along the fall.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "models/flow/regime_field.h"
#include "models/random.h"

namespace mistwright::droplet {

/// Three numbers a step with mean 0 and variance 1 from a counter: sums of four bytes each, for a
/// weak scheme of first order needs the first three moments alone (Kloeden and Platen 1992,
/// section 14.1).
class Shaker {
 public:
  Shaker(std::uint64_t seed, std::uint64_t stream)
      : key_{static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32U)},
        stream_{static_cast<std::uint32_t>(stream), static_cast<std::uint32_t>(stream >> 32U)} {}

  std::array<double, 3> draw() {
    const PhiloxBlock block = philox4x32({draw_++, 1U, stream_[0], stream_[1]}, key_);
    return {scaled_number(block[0]), scaled_number(block[1]), scaled_number(block[2])};
  }

 private:
  static double scaled_number(std::uint32_t bits) {
    const std::uint32_t pairs = (bits & 0x00FF00FFU) + ((bits >> 8U) & 0x00FF00FFU);
    const auto sum = static_cast<double>((pairs & 0xFFFFU) + (pairs >> 16U));
    return (sum - 510.0) * (1.0 / 147.80054127099805);  // root of 4 (256^2 - 1)/12
  }
  std::array<std::uint32_t, 2> key_;
  std::array<std::uint32_t, 2> stream_;
  std::uint32_t draw_ = 0;
};

/// What one step does to one component of the walk.
struct WalkStep {
  double steps_ratio = 0.0;  ///< dt/T; from 2 on the new value has nothing of the old
  double drift_ratio = 0.0;  ///< slope of sigma along this axis times dt
  double shake_ratio = 0.0;  ///< mean 0, variance 1
};

/// Share of an eddy's speed that a step leaves. Rational, not exponential: whatever its value below
/// 1, variance stays 1 exactly.
/// @param steps_ratio  dt/T; from 2 on nothing is left
inline double memory_ratio(double steps_ratio) {
  const double half = 0.5 * steps_ratio;
  return std::max(0.0, (1.0 - half) / (1.0 + half));
}

/// One step of one component of the walk.
/// @param omega_ratio  turbulent speed over its rms
inline double walk_step_ratio(double omega_ratio, const WalkStep& step) {
  const double decay = memory_ratio(step.steps_ratio);
  return decay * omega_ratio + step.drift_ratio + std::sqrt(1.0 - decay * decay) * step.shake_ratio;
}

/// Time scale seen by a drop that moves through the air at a relative speed.
inline double crossing_time_s(double timescale_s, double relative_speed_m_per_s,
                              double sigma_m_per_s) {
  const double ratio = relative_speed_m_per_s / sigma_m_per_s;
  return timescale_s / std::sqrt(1.0 + ratio * ratio);
}

/// What a drop meets at a point.
struct Seen {
  double u_m_per_s, v_m_per_s, w_m_per_s;
  double sigma_m_per_s;
  double slope_x_per_s, slope_y_per_s, slope_z_per_s;  ///< gradient of sigma
  double timescale_s;
  std::size_t cell;
};

/// A regime's field made ready for drops: turbulence continuous in place (linear between cell
/// centres, carried on into solids), so that its gradient exists; and the share of a cell's air
/// that leaks out each second.
class FieldSeen {
 public:
  explicit FieldSeen(const flow::RegimeField& field);
  [[nodiscard]] Seen at(double x_m, double y_m, double z_m) const;
  [[nodiscard]] double leak_per_s(std::size_t cell) const { return leak_per_s_[cell]; }
  [[nodiscard]] double cell_edge_m() const { return cell_edge_m_; }
  /// Rate at which the mean air of a cell draws what floats in it apart, level: half of what it
  /// loses in height.
  [[nodiscard]] double level_strain_per_s(std::size_t cell) const {
    const std::size_t above = cell + field_.grid.nx * field_.grid.ny;
    return -0.5 * (field_.w_m_per_s[above] - field_.w_m_per_s[cell]) * z_cells_per_m_;
  }

 private:
  const flow::RegimeField& field_;
  std::vector<double> sigma_m_per_s_;
  std::vector<double> leak_per_s_;
  double cell_edge_m_;  ///< the smallest
  double x_cells_per_m_, y_cells_per_m_, z_cells_per_m_;
};

}  // namespace mistwright::droplet
