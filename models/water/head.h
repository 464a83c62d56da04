#pragma once
// The water room answers: with these valves open, what pressure and flow has each head, and for how
// many seconds of a burst does it truly spray?
// Equations: q = k p^x at a head; Darcy-Weisbach with Hagen-Poiseuille, a smooth bridge and
// Colebrook in pipes; K v^2/2 at fittings; the supply's falling curve; Newton on potentials and
// flows (global gradient method, Todini and Pilati 1987); volumes for line fill and drain; hammer
// in one pipe (Joukowsky, and the wave along its characteristics). Left out: air trapped in lines,
// wear and clogging of heads, a supply that recovers or runs down, backflow devices other than as a
// loss coefficient.
//
// This header: heads, their flow and droplet size against pressure.
#include <string>
#include <vector>

namespace mistwright::water {

enum class LaunchPattern { Disc, FullCone, HollowCone, Upward, Downward };

/// What makes a head's drops and throws them: the pressure of its line, compressed air, a motor or
/// a crystal, or a hand on a bottle.
enum class Drive { LinePressure, CompressedAir, Electricity, Hand };

/// What a head asks for besides water at a pressure. Data for people; no model reads it. Zero or
/// empty where it asks for nothing or nothing is known.
struct HeadNeeds {
  double power_W = 0.0;                     ///< electric, while it sprays
  double compressed_air_m3_per_s = 0.0;     ///< of free air
  double compressed_air_pressure_Pa = 0.0;  ///< gauge
  double filter_opening_m = 0.0;            ///< widest mesh before it
  double hardness_kg_per_m3 = 0.0;          ///< hardest water, as CaCO3
  std::string water;                        ///< the quality of water in words
};

/// A row of heads that travels over a bench: a pass takes the place of a burst. heads 0: it stands.
struct Boom {
  int heads = 0;
  double speed_m_per_s = 0.0;
  double width_m = 0.0;  ///< of the strip that one pass wets
};

/// Where one key's value comes from.
struct KeyEvidence {
  std::string key;  ///< as in a scenario: "flow", "dv50"
  std::string tag;  ///< source, memory, common practice, derived, invented
  std::string why;  ///< in words; may be empty
};

/// A kind of head: q = k p^x, and a droplet spectrum that grows finer with pressure.
struct HeadType {
  std::string name;
  double rated_flow_m3_per_s = 0.0;                 ///< at rated_pressure_Pa
  double rated_pressure_Pa = 0.0;                   ///< gauge
  double flow_exponent = 0.5;                       ///< x
  double dv10_m = 0.0, dv50_m = 0.0, dv90_m = 0.0;  ///< volume percentiles at spectrum_pressure_Pa
  double spectrum_pressure_Pa = 0.0;
  double spectrum_exponent = 0.3;  ///< n in Dv0.5 ~ p^-n (Lefebvre's form)
  LaunchPattern launch = LaunchPattern::Disc;
  double launch_angle_rad = 0.0;   ///< Disc: elevation of the sheet above level; cones: half angle
  double wetted_diameter_m = 0.0;  ///< in still air, from its riser height
  double wetted_height_m = 0.6;    ///< height above the catch plane at which that was measured
  double working_pressure_low_Pa = 0.0, working_pressure_high_Pa = 0.0;
  bool check_valve = false;
  double check_opens_Pa = 0.0, check_closes_Pa = 0.0;
  Drive drive = Drive::LinePressure;
  /// Highest speed at which drops leave; zero: that of the line's pressure, sqrt(2 p / rho).
  double launch_speed_m_per_s = 0.0;
  double blown_air_m3_per_s = 0.0;  ///< air that leaves with the drops at their speed
  HeadNeeds needs;
  Boom boom;
  std::string evidence;  ///< tag of the whole: source, memory, common practice, derived, invented
  std::vector<KeyEvidence> key_evidence;  ///< of single values, where they differ or say why
};

/// Water that one pass of a boom lays down [m, as kg/m2 over a thousand]: heads x flow over speed x
/// width. Zero for a head that stands.
/// Source: conservation of volume; drift and drops dried in flight are left out.
[[nodiscard]] double boom_dose_m(const HeadType& type);

/// The steepest that the network takes a flow law: heads with a smaller exponent, whose flow does
/// not follow the line's pressure, are solved with this one. A pressure off by half then moves
/// their flow by 0.8 %.
inline constexpr double least_flow_exponent = 0.02;

/// Flow [m3/s] at a gauge pressure; zero at and below zero. The check valve is the network's
/// affair.
/// @param pressure_Pa  gauge pressure at the head
/// Source: q = k p^x, the form in which data sheets state flow (common practice), with k from the
/// rated flow and pressure.
[[nodiscard]] double head_flow_m3_per_s(const HeadType& type, double pressure_Pa);

/// Dv0.5 [m] at a gauge pressure. A head that passes nothing has no drops, so none may be asked
/// for.
/// @param pressure_Pa  above zero
/// Source: Dv0.5 ~ p^-n, Lefebvre 1989, Atomization and Sprays (form, from memory).
[[nodiscard]] double head_dv50_m(const HeadType& type, double pressure_Pa);

/// A plain hole, for heads of which only the orifice is known.
struct Orifice {
  double diameter_m = 0.0;
  double discharge_coefficient = 0.6;  ///< sharp-edged, common practice
};

/// Flow [m3/s] through an orifice into air.
/// @param pressure_Pa  gauge pressure upstream; zero flow at and below zero
/// Source: q = Cd A sqrt(2 p / rho), Bernoulli, at the density of water near 20 degC.
[[nodiscard]] double orifice_flow_m3_per_s(const Orifice& orifice, double pressure_Pa);

}  // namespace mistwright::water
