#pragma once
// Water hammer by hand formulas: how fast a pressure wave runs in a pipe, how far the pressure
// rises when a valve stops the water, whether the pipe holds it, and what would cure it.
// Left out here: friction, branches and gas in the water. Branches and gas mostly soften the blow.
// models/water/surge.h follows the wave itself along one pipe.
#include <optional>

#include "models/units.h"

namespace mistwright::water {

/// Bulk modulus of liquid water [Pa], density times the square of the speed of sound at 20 degC
/// (998.2 kg/m3, 1482.4 m/s: Marczak 1997). It is 1.97e9 at 0 degC and 2.27e9 at 30 degC, which
/// moves a wave speed by 6 % at most, and hardly at all in plastic.
inline constexpr double water_bulk_modulus_Pa = 2.19e9;

/// Vapour pressure of water at 15 degC [Pa], absolute: IAPWS R7-97.
inline constexpr double water_vapour_pressure_Pa = 1705.7;

/// Young's moduli of pipe [Pa], from memory: rigid PVC 2.5e9 to 3.0e9, polyethylene 0.6e9 to 1.1e9
/// under a quick load at 20 degC; both fall in the warmth.
inline constexpr double steel_modulus_Pa = 200e9;
inline constexpr double copper_modulus_Pa = 120e9;
inline constexpr double rigid_pvc_modulus_Pa = 2.8e9;
inline constexpr double polyethylene_modulus_Pa = 0.8e9;

/// What the wave feels of a pipe.
struct PipeWall {
  double diameter_m = 0.0;  ///< bore
  double wall_m = 0.0;
  double modulus_Pa = 0.0;  ///< Young's, of the wall under a quick load
  /// How the pipe is held along its length (Wylie and Streeter, from memory), with Poisson's ratio
  /// nu: 1 if it can slide everywhere, 1 - nu^2 if nowhere, 1 - nu/2 if held at one end alone.
  /// 0.5 to 1.5.
  double restraint_factor = 1.0;
};

/// What the wave feels of the water.
struct HammerWater {
  double density_kg_per_m3 = water_density_kg_per_m3;
  double bulk_modulus_Pa = water_bulk_modulus_Pa;
};

/// Speed of a pressure wave [m/s] in water that fills an elastic pipe.
/// @param wall  all above 0; the wall at most a quarter of the bore
/// Error: the wall is taken as thin. At a bore of 8 walls that puts the speed some 10 % high, which
/// is the safe side (factor for thick walls of Wylie and Streeter, from memory). A little free gas
/// slows the wave a lot.
/// Source: a = sqrt((K/rho) / (1 + c K D/(E e))), Korteweg 1878 and Joukowsky 1898 (from memory).
/// Checked in tests/water/hammer_test.cpp.
[[nodiscard]] double wave_speed_m_per_s(const PipeWall& wall, const HammerWater& water = {});

/// A column of water that a valve at its end stops.
struct WaterColumn {
  double length_m = 0.0;  ///< from the valve back to where pressure holds: a tank or a wide main
  double wave_speed_m_per_s = 0.0;
  double velocity_m_per_s = 0.0;  ///< before the valve moves, not negative
  double density_kg_per_m3 = water_density_kg_per_m3;
};

/// Seconds until the wave has been at the far end and back: 2 L/a.
[[nodiscard]] double echo_s(const WaterColumn& column);

/// Rise when the column is stopped within its echo time [Pa].
/// Source: rho a V, Joukowsky 1898 (from memory).
[[nodiscard]] double joukowsky_rise_Pa(const WaterColumn& column);

/// Rise when the column is stopped more slowly than its echo time [Pa].
/// @param closing_s  above 0: seconds in which the velocity falls evenly to nothing. A valve in
/// series with narrow heads throttles little until it is nearly shut, so this is only the last part
/// of its stroke.
/// Error: exact for an even fall of velocity. If it is the valve's opening that falls evenly, up to
/// 7 % low while the rise is below three times the loss across the open valve, and lower without
/// bound above that (by Allievi's equations; tests/water/surge_test.cpp holds it to the 7 %).
/// Source: 2 rho L V/tc, Michaud 1878 (from memory).
[[nodiscard]] double slow_closing_rise_Pa(const WaterColumn& column, double closing_s);

/// The smaller of the two [Pa]: the one which holds for this closing time.
/// @param closing_s  not negative; 0 is an instant closing
[[nodiscard]] double closing_rise_Pa(const WaterColumn& column, double closing_s);

/// Gas that stops the column at the valve.
struct ArrestorQuestion {
  double diameter_m = 0.0;         ///< bore of the column
  double still_pressure_Pa = 0.0;  ///< absolute, of the line at rest
  double greatest_pressure_Pa =
      0.0;  ///< absolute, the most that is let happen; above the still one
  /// n in p V^n = const, 1 (slow) to 1.4 (too quick for heat to leave; asks for the most gas).
  double polytropic_exponent = 1.4;
};

/// Volume of gas [m3], at the pressure of the line at rest, that a closed chamber beside the valve
/// needs so that an instant closing drives the pressure up to the greatest one and no further.
/// The gas takes up the kinetic energy of the column, rho A L V^2/2, and the work of the supply
/// that goes on pushing at the still pressure p0:
/// G = (rho A L V^2/2) / (p0 ((r^((n-1)/n) - 1)/(n - 1) - (1 - r^(-1/n)))), r the pressures' ratio.
/// Error: stiff water and no friction, both on the safe side; elastic water rises up to a fifth
/// less, most where little gas is asked for. The gas must be there: air that touches the water
/// dissolves within weeks unless the line drains (common practice).
/// Source: derived here. Checked in tests/water/hammer_test.cpp by integrating the motion.
[[nodiscard]] double arrestor_gas_m3(const WaterColumn& column, const ArrestorQuestion& question);

/// A valve, the pipe before it and what that pipe is rated for.
struct HammerQuestion {
  WaterColumn column;
  double diameter_m = 0.0;          ///< bore
  double static_pressure_Pa = 0.0;  ///< gauge, of the line at rest; not negative
  double pressure_rating_Pa = 0.0;  ///< gauge, of the weakest part
  double closing_s = 0.0;           ///< as in closing_rise_Pa
};

/// Each cures by itself with the rest unchanged, and each is a hair on the safe side of its limit.
struct HammerRemedies {
  double closing_s = 0.0;          ///< close no faster than this
  double velocity_m_per_s = 0.0;   ///< or let the water run no faster than this
  double arrestor_gas_m3 = 0.0;    ///< or hold this much gas, at the pressure of the line at rest
  double arrestor_empty_m3 = 0.0;  ///< the same as the size of a chamber full of air before the
                                   ///< line was filled
};

struct HammerVerdict {
  double echo_s = 0.0;
  bool quick = false;  ///< closes within the echo time: the full rise of Joukowsky
  double rise_Pa = 0.0;
  double peak_pressure_Pa = 0.0;  ///< gauge
  double least_pressure_Pa =
      0.0;                 ///< gauge, after the echo: the rise taken from the still pressure
  double margin_Pa = 0.0;  ///< rating less peak; negative if it exceeds the rating
  bool exceeds_rating = false;
  /// The least pressure lies below the vapour's: the column may part, and the blow when it meets
  /// again may exceed the peak above.
  bool column_may_part = false;
  /// What would cure it; none if nothing is wrong, and none if the still pressure alone is above
  /// the rating.
  std::optional<HammerRemedies> remedies;
};

/// Judges one valve. Peak is the static pressure and closing_rise_Pa.
[[nodiscard]] HammerVerdict judge_hammer(const HammerQuestion& question);

}  // namespace mistwright::water
