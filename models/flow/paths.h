#pragma once
// How much air passes one opening, crack or fan for a given fall of pressure?
// Orifice law Q = Cd A sqrt(2 dp / rho), crack law Q = C dp^n (ASHRAE Handbook-Fundamentals,
// Ventilation and Infiltration; from memory), fan by its curve, straight between points. Roots have
// no finite slope at rest; below a small pressure the first two can go on as a straight line
// through rest that meets the law there (Walton 1989, the laminar branch of airflow elements; from
// memory). Left out: two-way flow in one opening, flow backwards through a fan.
#include <span>
#include <utility>
#include <variant>

namespace mistwright::flow {

struct PathFlow {
  double flow_m3_per_s = 0.0;      ///< from the path's start to its end; backwards is negative
  double slope_m3_per_s_Pa = 0.0;  ///< its derivative by the fall of pressure, at least 0
};

/// A pressure below which openings and cracks of a network may be taken as linear without a trace
/// in any flow of note: the value recommended in public libraries of multizone airflow.
constexpr double usual_linear_below_Pa = 0.01;

struct Orifice {
  double area_m2 = 0.0;  ///< open area; 0 when shut
  double discharge_coefficient = 0.6;
  double linear_below_Pa = usual_linear_below_Pa;  ///< 0: the root goes on to rest
};

struct Crack {
  double flow_at_1_Pa_m3_per_s = 0.0;
  double exponent = 0.65;  ///< 0.5 to 1; 0.65 is ASHRAE's (from memory)
  double linear_below_Pa = usual_linear_below_Pa;
};

/// A fan that moves air from the path's start to its end; its curve is kept by the caller.
struct FanPath {
  std::span<const std::pair<double, double>>
      curve;            ///< (flow [m3/s], static pressure [Pa]), pressure falling
  bool running = true;  ///< at rest it is shut by its flap
};

using PathLaw = std::variant<Orifice, Crack, FanPath>;

/// @param fall_Pa           pressure at the start less that at the end, at the path's height
/// @param density_kg_per_m3 of the air that the law is stated for, above 0
PathFlow orifice_flow(const Orifice& orifice, double fall_Pa, double density_kg_per_m3);
PathFlow crack_flow(const Crack& crack, double fall_Pa);
/// Linear between the curve's points; its free flow when helped by the pressure; none above its
/// highest pressure, to which a curve that ends above rest is carried on over a tenth more.
PathFlow fan_flow(const FanPath& fan, double fall_Pa);
PathFlow path_flow(const PathLaw& law, double fall_Pa, double density_kg_per_m3);

/// A static pressure at and above which a fan surely moves nothing [Pa]: a tenth above its highest;
/// 0 without a curve.
double closing_pressure_Pa(const FanPath& fan);

/// Whether air can move at all.
bool passes(const PathLaw& law);

}  // namespace mistwright::flow
