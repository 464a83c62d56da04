#pragma once
// How long one film lasts in steady air: the whole of this room asked one question.
// The leaf's balance is solved with its saturation curve and free convection as they are (no
// straight lines), then the film law turns the demand into moments. The demand is that of the wet
// leaf throughout: how dry patches warm the rest is left out. Net radiation is taken as given, at
// the leaf's own temperature, so no long-wave is added.

namespace mistwright::leaf {

/// A film and its air.
struct FilmQuery {
  double depth_m = 0.0;                     ///< at least 0
  double temperature_K = 0.0;               ///< of the air, 273.16 to 333
  double relative_humidity_fraction = 0.0;  ///< 0 to 1
  double air_speed_m_per_s = 0.0;           ///< at the leaf, 0 to 20
  double net_radiation_W_per_m2 = 0.0;      ///< per one-side area, both sides together
  double leaf_length_m = 0.0;               ///< along the wind, above 0
  double break_depth_m = 10e-6;             ///< above 0
  double pressure_Pa = 101325.0;
};

/// What becomes of it. Under dew (evaporation at or below zero) both times are infinite.
struct FilmDrying {
  double evaporation_kg_per_m2_s = 0.0;  ///< of the wholly wet leaf
  double time_to_half_bare_s = 0.0;
  double time_to_dry_s = 0.0;
  double leaf_temperature_K = 0.0;
  double boundary_conductance_m_per_s = 0.0;  ///< for vapour, one side
};

/// Solves the wet leaf's balance by bisection to 1e-10 K and reads the film law.
/// @throws RangeError where the saturation curve ends
/// Checked in tests/leaf/drying_test.cpp.
[[nodiscard]] FilmDrying film_drying(const FilmQuery& query);

}  // namespace mistwright::leaf
