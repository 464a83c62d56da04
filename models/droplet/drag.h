#pragma once
// How fast does a drop fall, and how soon does it take up the air's speed?
// Drag of a rigid sphere by Clift, Grace and Weber's piecewise standard curve; Cunningham's slip
// for the smallest; above 1.2 mm the flattening of a falling drop by Beard's relation between the
// Reynolds, Bond and property numbers, faded in until 1.6 mm. Left out: circulation inside the drop
// (below 1 % in air), oscillation, break-up (above 6 mm).

namespace mistwright::droplet {

/// The air around a drop.
struct AirState {
  double temperature_K = 0.0;
  double vapour_pressure_Pa = 0.0;
  double pressure_Pa = 0.0;
};

/// Air at 20 degC, half saturated, 1 atm: the state of Gunn and Kinzer's measurements.
inline constexpr AirState reference_air{293.15, 1169.7, 101325.0};

/// Larger drops break up as they fall; Pruppacher and Klett 1997, section 10.3.5 (from memory).
inline constexpr double largest_drop_m = 6e-3;

/// What drag needs to know of the air.
struct DragAir {
  double density_kg_per_m3 = 0.0;
  double viscosity_Pa_s = 0.0;
  double mean_free_path_m = 0.0;
};
[[nodiscard]] DragAir drag_air(const AirState& air);

/// Drag coefficient of a sphere.
/// @param reynolds_number  above 0, to 1.2e4
/// @throws RangeError above that
/// Source: Clift, Grace and Weber 1978, Bubbles, Drops and Particles, table 5.1. Its pieces meet
/// within 1 %. Checked in tests/droplet/drag_test.cpp.
[[nodiscard]] double drag_coefficient(double reynolds_number);

/// By how much drag exceeds Stokes's: Cd Re / 24, 1 at Reynolds number 0.
[[nodiscard]] double drag_factor(double reynolds_number);

/// Cunningham's slip factor, by which the drag of a small drop is divided: 1.017 at 10 um, 1.0002
/// at 1 mm. Source: 1 + Kn (1.257 + 0.4 exp(-1.1/Kn)), Kn = 2 l/d (Davies 1945); l = 0.066 um at 20
/// degC and 1 atm, scaled_number with temperature and pressure after Willeke 1976 (from memory).
[[nodiscard]] double slip_factor(double diameter_m, const DragAir& air);

/// Stokes's relaxation time with slip [s].
[[nodiscard]] double relaxation_time_s(double diameter_m, const DragAir& air);

/// Terminal speed of a water drop.
/// @param diameter_m  volume-equivalent, above 0, to 6 mm
/// @return speed [m/s]
/// @throws RangeError above 6 mm
/// Source: as this header's opening; Beard 1976, J. Atmos. Sci. 33:851 for large drops. Checked
/// against Gunn and Kinzer 1949 in tests/droplet/drag_test.cpp.
[[nodiscard]] double terminal_velocity_m_per_s(double diameter_m, const AirState& air);

/// The terminal speed of a rigid sphere of water, without flattening.
[[nodiscard]] double sphere_terminal_velocity_m_per_s(double diameter_m, const DragAir& air);

/// Surface tension of water against air [N/m], 273 to 373 K. Source: IAPWS R1-76(2014).
[[nodiscard]] double surface_tension_N_per_m(double temperature_K);

}  // namespace mistwright::droplet
