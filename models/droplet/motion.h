#pragma once
// One drop's step through moving air: drag and gravity, exactly exponential while the drag rate is
// held.
#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstddef>
#include <cstdint>

#include "models/droplet/drag.h"
#include "models/units.h"

namespace mistwright::droplet {

/// drag_factor by linear interpolation on a grid of sixteen nodes an octave, within 1e-3 of it
/// but for the step of its pieces at a Reynolds number of 20, which it bridges: 7e-3 just below.
class DragTable {
 public:
  DragTable() {
    for (std::size_t i = 0; i < value_.size(); ++i)
      value_[i] = drag_factor(node_reynolds_number(i));
    slope_factor_ = (value_[0] - 1.0) / lowest_number;
  }
  /// @param reynolds_number  0 to 8,191; above, as at 8,191
  [[gnu::always_inline]] [[nodiscard]] double factor(double reynolds_number) const {
    // A double's bits read as a whole number are piecewise linear in its logarithm, linear within
    // an octave.
    const double Re = std::min(std::max(reynolds_number, lowest_number), 8191.0);
    const std::uint64_t steps =
        std::bit_cast<std::uint64_t>(Re) - std::bit_cast<std::uint64_t>(lowest_number);
    const auto i = static_cast<std::size_t>(steps >> 48U);
    const double share =
        std::bit_cast<double>(((steps & 0xFFFFFFFFFFFFU) << 4U) | 0x3FF0000000000000U) - 1.0;
    const double below = lowest_number - std::min(reynolds_number, lowest_number);
    return value_[i] + share * (value_[i + 1] - value_[i]) - below * slope_factor_;
  }

 private:
  static constexpr double lowest_number = 1.0 / 128.0;
  static constexpr std::size_t octaves = 20;
  static double node_reynolds_number(std::size_t i) {
    return lowest_number *
           std::ldexp(1.0 + static_cast<double>(i % 16) / 16.0, static_cast<int>(i / 16));
  }

  std::array<double, octaves * 16 + 1> value_{};
  double slope_factor_ = 0.0;
};

/// What the motion of drops needs of air and water, computed once.
struct Motion {
  explicit Motion(const AirState& state)
      : air(drag_air(state)),
        reynolds_s_per_m2(air.density_kg_per_m3 / air.viscosity_Pa_s),
        stokes_rate_m2_per_s(18.0 * air.viscosity_Pa_s / water_density_kg_per_m3),
        weight_m_per_s2(gravity_m_per_s2 *
                        (1.0 - air.density_kg_per_m3 / water_density_kg_per_m3)) {}

  /// Rate [1/s] at which a drop takes up the air's speed.
  [[gnu::always_inline]] [[nodiscard]] double drag_rate_per_s(double diameter_m, double slip_ratio,
                                                              double reynolds_number) const {
    return stokes_rate_m2_per_s / (diameter_m * diameter_m * slip_ratio) *
           table.factor(reynolds_number);
  }

  DragAir air;
  DragTable table;
  double reynolds_s_per_m2;
  double stokes_rate_m2_per_s;
  double weight_m_per_s2;
};

/// e to a power between -700 and 700, within 3e-16 of itself: plain arithmetic, so that loops over
/// it need no call and every machine gives the same bits. Taylor's series about the nearest whole
/// power of two.
[[gnu::always_inline]] inline double exp_factor(double power_number) {
  constexpr double per_ln2 = 1.4426950408889634, round = 0x1.8p52;
  constexpr double ln2_high = 0x1.62e42fefa0000p-1, ln2_low = 0x1.cf79abc9e3b39p-40;
  const double shifted = power_number * per_ln2 + round;
  const double twos = shifted - round;
  const double r = (power_number - twos * ln2_high) - twos * ln2_low;
  const double r2 = r * r, r4 = r2 * r2;
  const double a = 1.0 + r + r2 * (1.0 / 2.0 + r * (1.0 / 6.0));
  const double b = 1.0 / 24.0 + r * (1.0 / 120.0) + r2 * (1.0 / 720.0 + r * (1.0 / 5040.0));
  const double c = 1.0 / 40320.0 + r * (1.0 / 362880.0) +
                   r2 * (1.0 / 3628800.0 + r * (1.0 / 39916800.0)) + r4 * (1.0 / 479001600.0);
  const double series = a + r4 * (b + r4 * c);
  const std::uint64_t exponent = (std::bit_cast<std::uint64_t>(shifted) + 1023U) << 52U;
  return series * std::bit_cast<double>(exponent);
}

/// How a velocity v moves in a step towards a drift speed a at a rate k, and how far the drop goes:
/// v' = a + (v - a) decay; path = a dt + (v - a) reach_s.
struct Relaxation {
  double decay_factor;
  double reach_s;

  [[gnu::always_inline]] static Relaxation over(double dt_s, double rate_per_s) {
    const double kdt = rate_per_s * dt_s;
    const double decay = exp_factor(-std::min(kdt, 600.0));
    const double whole_s = (1.0 - decay) / rate_per_s, short_s = dt_s * (1.0 - 0.5 * kdt);
    return {decay, kdt > 1e-3 ? whole_s : short_s};
  }
};

}  // namespace mistwright::droplet
