#pragma once
// The turbulent air that a drop meets: a Langevin walk that keeps well-mixed what is well mixed,
// though the turbulence differs from place to place. Equations: Thomson 1987, J. Fluid Mech.
// 180:529, for isotropic Gaussian turbulence; written for the speed over its local rms it reads d
// omega = -omega dt/T + grad sigma dt + sqrt(2/T) dW. A falling drop leaves eddies sooner: T
// shortened after Csanady 1963, J. Atmos. Sci. 20:201. Left out: shear stress (the three components
// are independent), lighter time scales across than along the fall.
#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "models/flow/regime_field.h"
#include "models/random.h"

namespace mistwright::droplet {

/// A number with mean 0 and variance 1 from the lower 32 bits: the sum of four bytes, for a weak
/// scheme needs the first three moments alone (Kloeden and Platen 1992, section 14.1).
[[gnu::always_inline]] inline double shaken_ratio(std::uint64_t bits) {
  const std::uint64_t pairs = (bits & 0x00FF00FFU) + ((bits >> 8U) & 0x00FF00FFU);
  const auto sum = static_cast<std::int32_t>((pairs & 0xFFFFU) + (pairs >> 16U));
  return (static_cast<double>(sum) - 510.0) * (1.0 / 147.80054127099805);  // of 4 (256^2 - 1)/12
}

/// What one step does to one component of the walk.
struct WalkStep {
  double steps_ratio = 0.0;  ///< dt/T; from 2 on the new value has nothing of the old
  double drift_ratio = 0.0;  ///< slope of sigma along this axis times dt
  double shake_ratio = 0.0;  ///< mean 0, variance 1
};

/// Share of an eddy's speed that a step leaves. Rational, not exponential: whatever its value below
/// 1, variance stays 1 exactly.
/// @param steps_ratio  dt/T; from 2 on nothing is left
[[gnu::always_inline]] inline double memory_ratio(double steps_ratio) {
  const double half = 0.5 * steps_ratio;
  return std::max(0.0, (1.0 - half) / (1.0 + half));
}

/// How an eddy's speed over its rms changes in a step.
struct EddyTurn {
  double kept_ratio;        ///< memory_ratio() of the step
  double half_drift_ratio;  ///< half of the slope of sigma along this axis times dt
  double shake_ratio;       ///< mean 0, variance 1 - kept_ratio^2
};

/// Half the drift acts before the eddy changes and half after it.
[[gnu::always_inline]] inline double turned_eddy_ratio(double omega_ratio, EddyTurn by) {
  return by.kept_ratio * (omega_ratio + by.half_drift_ratio) + by.half_drift_ratio + by.shake_ratio;
}

/// One step of one component of the walk.
/// @param omega_ratio  turbulent speed over its rms
inline double walk_step_ratio(double omega_ratio, const WalkStep& step) {
  const double kept = memory_ratio(step.steps_ratio);
  return turned_eddy_ratio(
      omega_ratio, {kept, 0.5 * step.drift_ratio, std::sqrt(1.0 - kept * kept) * step.shake_ratio});
}

/// Time scale seen by a drop that moves through the air at a relative speed.
[[gnu::always_inline]] inline double crossing_time_s(double timescale_s,
                                                     double relative_speed_m_per_s,
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
  /// Rate at which the mean air draws what floats in it apart, level: half of what it loses in
  /// height.
  double level_strain_per_s;
  std::size_t cell;
};

/// A regime's field made ready for drops: turbulence and its time continuous in place (linear
/// between cell centres, carried on into solids), so that a gradient exists and no step jumps; and
/// the share of a cell's air that leaks out each second.
class FieldSeen {
 public:
  explicit FieldSeen(const flow::RegimeField& field);
  [[nodiscard]] inline Seen at(double x_m, double y_m, double z_m) const;
  [[nodiscard]] double leak_per_s(std::size_t cell) const { return leak_per_s_[cell]; }
  [[nodiscard]] double cell_edge_m() const { return cell_edge_m_; }

 private:
  /// Two numbers in one word, each the upper half of a double (20 bits of its fraction: 5e-7 of
  /// itself): what one look-up loads, not the sums it does, is what it costs.
  using Pair = std::uint64_t;
  static Pair pair_of(double first, double second);
  static std::vector<Pair> pairs_along_x(const std::vector<double>& values, std::size_t row);
  [[gnu::always_inline]] static double first(Pair pair) {
    return std::bit_cast<double>(pair << 32U);
  }
  [[gnu::always_inline]] static double second(Pair pair) {
    return std::bit_cast<double>(pair & 0xFFFFFFFF00000000U);
  }

  std::vector<Pair> u_, v_, w_;   ///< speed normal to a face and to the next along x
  std::vector<Pair> turbulence_;  ///< sigma and its time of each cell
  std::array<std::int32_t, 3> cells_;
  std::vector<double> leak_per_s_;
  double cell_edge_m_;  ///< the smallest
  double x_cells_per_m_, y_cells_per_m_, z_cells_per_m_;
};

/// A place between two neighbouring values along one axis of an array.
struct Stretch1 {
  std::int32_t low, step;  ///< the high one is `step` further: 0 at the last
  double share_fraction;   ///< of the high one
};

/// @param at     in cells
/// @param count  of values
[[gnu::always_inline]] inline Stretch1 stretch_at(double at, std::int32_t count) {
  const double last = count - 1;
  const double s = std::min(std::max(0.0, at), last);
  const auto low = static_cast<std::int32_t>(s);
  return {low, low < count - 1 ? 1 : 0, s - low};
}

[[gnu::always_inline]] inline Seen FieldSeen::at(double x_m, double y_m, double z_m) const {
  const double x = x_m * x_cells_per_m_, y = y_m * y_cells_per_m_, z = z_m * z_cells_per_m_;
  const std::int32_t nx = cells_[0], ny = cells_[1], nz = cells_[2];
  const Stretch1 xf = stretch_at(x, nx + 1), xc = stretch_at(x - 0.5, nx);
  const Stretch1 yf = stretch_at(y, ny + 1), yc = stretch_at(y - 0.5, ny);
  const Stretch1 zf = stretch_at(z, nz + 1), zc = stretch_at(z - 0.5, nz);
  const auto on = [](double share_fraction, double from, double to) {
    return from + share_fraction * (to - from);
  };
  const auto speed = [&](const Pair* pairs, std::int32_t row, std::int32_t layer,
                         const Stretch1& along, const Stretch1& across, const Stretch1& up) {
    const Pair* at = pairs + (up.low * layer + across.low * row + along.low);
    const std::int32_t side = across.step * row, above = up.step * layer;
    const auto edge = [&](std::int32_t from) {
      return on(along.share_fraction, first(at[from]), second(at[from]));
    };
    const double low = on(across.share_fraction, edge(0), edge(side));
    const double high = on(across.share_fraction, edge(above), edge(above + side));
    return std::array{on(up.share_fraction, low, high), high - low};
  };
  const std::int32_t layer = nx * ny;
  const auto u = speed(u_.data(), nx + 1, (nx + 1) * ny, xf, yc, zc);
  const auto v = speed(v_.data(), nx, nx * (ny + 1), xc, yf, zc);
  const auto w = speed(w_.data(), nx, layer, xc, yc, zf);
  const double xs = xc.share_fraction, ys = yc.share_fraction, zs = zc.share_fraction;
  const std::int32_t cell =
      std::min(zf.low, nz - 1) * layer + std::min(yf.low, ny - 1) * nx + std::min(xf.low, nx - 1);
  const Pair* here = turbulence_.data() + (zc.low * layer + yc.low * nx + xc.low);
  const std::int32_t side = yc.step * nx, up = zc.step * layer;
  const Pair c000 = here[0], c001 = here[xc.step], c010 = here[side], c011 = here[side + xc.step];
  const Pair c100 = here[up], c101 = here[up + xc.step], c110 = here[up + side],
             c111 = here[up + side + xc.step];
  const double d00 = first(c001) - first(c000), d01 = first(c011) - first(c010);
  const double d10 = first(c101) - first(c100), d11 = first(c111) - first(c110);
  const double p00 = first(c000) + xs * d00, p01 = first(c010) + xs * d01;
  const double p10 = first(c100) + xs * d10, p11 = first(c110) + xs * d11;
  const double low = on(ys, p00, p01), high = on(ys, p10, p11);
  const double time_s =
      on(zs, on(ys, on(xs, second(c000), second(c001)), on(xs, second(c010), second(c011))),
         on(ys, on(xs, second(c100), second(c101)), on(xs, second(c110), second(c111))));
  // Within half a cell of the bounding box the value is held, so its slope across the wall is zero.
  const auto inside = [](double at, std::int32_t count) {
    return (at > 0.0) & (at < count - 1) ? 1.0 : 0.0;
  };
  return {u[0],
          v[0],
          w[0],
          on(zs, low, high),
          inside(x - 0.5, nx) * x_cells_per_m_ * on(zs, on(ys, d00, d01), on(ys, d10, d11)),
          inside(y - 0.5, ny) * y_cells_per_m_ * on(zs, p01 - p00, p11 - p10),
          inside(z - 0.5, nz) * z_cells_per_m_ * (high - low),
          time_s,
          -0.5 * w[1] * z_cells_per_m_,
          static_cast<std::size_t>(cell)};
}

}  // namespace mistwright::droplet
