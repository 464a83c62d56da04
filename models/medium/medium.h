#pragma once
// Water and air in the rooting medium, as one store of a stated depth.
// Water W [m, per area of bench] above container capacity drains with one e-folding time:
// dW/dt = -loss - max(W - W_c, 0)/tau; air space is porosity less water content, and the medium is
// soggy while it holds less air than its cuttings need. For a constant loss all of it is closed
// form: exponential above W_c, straight below, and W crosses any level once at most. Left out:
// layers within the pot (the foot of a pot is wetter than its mean), hysteresis, leaching.

namespace mistwright::medium {

/// A medium in its container.
struct MediumLaw {
  double depth_m = 0.0;                      ///< above 0
  double porosity_fraction = 0.0;            ///< all pore space, above container capacity
  double container_capacity_fraction = 0.0;  ///< water held after free drainage in this depth
  double needed_air_fraction = 0.0;          ///< below it the medium is soggy; 0 to porosity
  double drainage_time_s = 0.0;              ///< e-folding of the water above capacity, above 0

  [[nodiscard]] constexpr double capacity_m() const {
    return container_capacity_fraction * depth_m;
  }
  [[nodiscard]] constexpr double pores_m() const { return porosity_fraction * depth_m; }
  /// Water above which the medium is soggy [m].
  [[nodiscard]] constexpr double soggy_above_m() const {
    return (porosity_fraction - needed_air_fraction) * depth_m;
  }
  [[nodiscard]] constexpr double air_fraction(double water_m) const {
    return porosity_fraction - water_m / depth_m;
  }
};

/// What a span of time did. water before = water after + drained + lost, to rounding.
struct MediumStep {
  double water_m = 0.0;
  double drained_m = 0.0;
  double soggy_s = 0.0;  ///< time with less air than needed
  double lost_m = 0.0;   ///< evaporation met: less than asked when the medium ran out of water
};

/// Water after a span of constant loss, exactly: any split of the span gives the same.
/// @param water_m       0 to the pores
/// @param dt_s          at least 0
/// @param loss_m_per_s  evaporation and uptake; negative for water that seeps in
[[nodiscard]] MediumStep medium_after(double water_m, double dt_s, double loss_m_per_s,
                                      const MediumLaw& law);

/// What the medium keeps of water that arrives at once, and what runs through because its pores are
/// full.
struct MediumGain {
  double water_m = 0.0;
  double drained_m = 0.0;
};

/// @param added_m  at least 0
[[nodiscard]] MediumGain medium_gain(double water_m, double added_m, const MediumLaw& law);

}  // namespace mistwright::medium
