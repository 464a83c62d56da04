#pragma once
// What share of the ideal flow does an opening of a given kind let through?
// Discharge coefficients of plain openings, doors, louvres, hinged flaps and insect screens, all
// referred to the whole hole in the wall (width times height), so that flow is
// Cd width height sqrt(2 dp / rho) whatever stands in it. Left out: wind along the wall, which
// takes up to a third off, the pressure of wind on a raised flap, the fall of a screen's
// coefficient at low speed.
namespace mistwright::flow {

/// A rectangular hole with sharp edges: 0.6 (ASHRAE Handbook-Fundamentals, Ventilation and
/// Infiltration, from memory: 0.6 to 0.65).
constexpr double plain_discharge_coefficient = 0.6;

/// An open door through which air goes both ways: 0.40 + 0.0045 dT, at most 0.65, the coefficient
/// of one-way flow (Kiel and Wilson 1989, in ASHRAE Handbook-Fundamentals; from memory).
/// @param temperature_step_K between its two sides, at least 0; stated for 0.5 to 40 K
double door_discharge_coefficient(double temperature_step_K);

/// Thin blades that close the hole at angle 0 and stand along the flow at a right angle: slots with
/// the free share sin(angle), each with sharp edges. Derived; within a third of the coefficients
/// measured by Iqbal et al. 2023 with blades from 60 degrees up.
/// @param angle_rad of the blades from shut, 0 to pi/2
double louvre_discharge_coefficient(double angle_rad);

/// A flap hinged along one side: [1.75 + 0.7 exp(-w / (32.5 h sin a))]^-1/2 of the gap w h sin(a)
/// (Bot 1983, from memory), here referred to w h. Air past the flap's two ends is left out: for
/// flaps as short as they are wide the coefficient is too low at small angles.
/// @param angle_rad        from shut, 0 to pi/2
/// @param width_to_tall_ratio of the flap: along the hinge over away from it, above 0
double flap_discharge_coefficient(double angle_rad, double width_to_tall_ratio);

/// Two resistances one behind the other in one hole: 1 / Cd^2 adds up.
double in_series_coefficient(double first_coefficient, double second_coefficient);

/// Insect screens alone at 0.25 m/s, measured in a wind tunnel at porosities of 0.35, 0.263 and
/// 0.36 (Lopez et al. 2016, Sensors 16:690; read in its abstract).
constexpr double usual_screen_coefficient = 0.207, tightest_screen_coefficient = 0.151,
                 widest_screen_coefficient = 0.325;

}  // namespace mistwright::flow
