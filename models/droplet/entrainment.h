#pragma once
// What air does a spray drag along, and how far does it carry the drops?
// The liquid's momentum flux rho_w q v passes to the air over the drops' stopping length, and the
// air that carries it is a self-similar turbulent jet whose momentum flux stays the same from there
// on: a radial jet about the sheet of a deflector head, a round jet as wide as the spray about a
// cone. So induced air goes with the root of flow times the root of pressure. The share of the
// liquid's momentum that the jet carries is the one constant fitted, to the wetted diameter that
// the head's maker states; launch never exceeds sqrt(2 p / rho). A sheet's drops weigh on its jet
// and on the air below (downdraught.h). Left out: jets that meet walls, heads whose jets feel one
// another, the single gusts of a jet's own turbulence. Against runs in which spray and air drive
// each other it holds to ten points of the landed share for fine mist, medium mist and coarse heads
// in a closed house and in a wind (DEVELOPERS.md).
#include "models/droplet/downdraught.h"
#include "models/droplet/drag.h"
#include "models/water/head.h"

namespace mistwright::droplet {

/// Half-width over distance of a free turbulent round jet, where the mean speed is half the axis's.
/// Source: Hussein, Capp and George 1994, J. Fluid Mech. 258:31 (0.094; from memory).
inline constexpr double round_jet_spread_ratio = 0.094;

struct Velocity {
  double u_m_per_s = 0.0, v_m_per_s = 0.0, w_m_per_s = 0.0;
};
struct Offset {
  double x_m = 0.0, y_m = 0.0, z_m = 0.0;
};

/// How water leaves a head, and the air it drags along. Disc: a sheet all round, angle_rad above
/// level. Upward: a hollow cone about +z. FullCone, HollowCone, Downward (full): cones about -z.
/// Cones have angle_rad as half angle.
struct Launch {
  double x_m = 0.0, y_m = 0.0, z_m = 0.0;
  water::LaunchPattern pattern = water::LaunchPattern::Disc;
  double angle_rad = 0.0;
  double spread_rad = 0.0;  ///< launch directions spread evenly this far to either side of a sheet
  double speed_m_per_s = 0.0;
  double jet_momentum_m4_per_s2 = 0.0;  ///< momentum flux of the induced air over its density
  double jet_growth_m = 0.0;  ///< e-folding distance over which drops hand over their momentum
  double jet_lasts_s =
      0.0;  ///< age of a drop at which the induced air has died down (a burst's length)
  Downdraught down;
};

/// Velocity of the induced air at a point relative to the head, while the head sprays. Free of
/// divergence but about a sheet that rises, where up to 7 % of the flow through a sphere is missing
/// at 34 degrees and 0.3 % at 11: the inflow that feeds the jet is part of it. Source: Gaussian
/// similarity profiles with constant momentum flux; radial jet: Heskestad 1966; round jet: Ricou
/// and Spalding 1961 for the entrained flow; a spray as a momentum jet of its own cone angle:
/// Medrano, Fukumoto, Velte and Hodzic 2016, arXiv:1605.08036 (abstract read).
[[nodiscard]] Velocity induced_air(const Launch& launch, const Offset& from_head);

/// Air flow through the whole section of the jet at a distance along it [m3/s]; of a sheet, of its
/// Gaussian profile alone: its field carries a fifth less, which turns off before its axis.
[[nodiscard]] double induced_flow_m3_per_s(const Launch& launch, double distance_m);

/// Distance over which a drop thrown at a speed loses all but 1/e of it in still air.
[[nodiscard]] double stopping_length_m(double diameter_m, double speed_m_per_s, const DragAir& air);

/// The same without any induced air.
[[nodiscard]] Launch without_induced_air(Launch launch);

/// The two numbers that make a head throw as far as stated.
struct Throw {
  double entrainment_fraction =
      0.0;  ///< share of the momentum flux sent out that the jet carries, 0 to 1
  double velocity_coefficient = 1.0;  ///< launch speed over the fastest, 0.15 to 1
  double reach_m = 0.0;               ///< radius that holds 95 % of the landed water
  bool reached = false;               ///< reach_m is half the stated wetted diameter within 1 %
  bool floats = false;                ///< fog that its jet carries away: no circle to fit
};

/// What is thrown further than this counts as carried away.
inline constexpr double farthest_reach_m = 20.0;

/// Whether half of a head's water takes longer than 15 s to fall its wetted height at its rated
/// pressure: our line between mist and fog, 37 um at 0.6 m.
[[nodiscard]] bool is_fog(const water::HeadType& type);

/// The lower bound of the launch speed in the fit.
inline constexpr double lowest_velocity_coefficient = 0.15;
/// The least share of the liquid's momentum that a fit leaves to a sheet's jet: ours, since drops
/// lose theirs to nothing but the air, whatever circle is stated. Against the two-way runs a coarse
/// head whose jet had none landed 25 points too much.
inline constexpr double least_entrainment_fraction = 0.4;

/// Launch speed over the fastest before any fit. A head of its own launch speed: 1. Cones: 0.9, for
/// a plain small orifice (0.85 to 0.97, common practice). Discs: 0.63, since a jet that strikes a
/// plate loses 20 to 60 % of its energy, small nozzles the most. Source: Robles Rovelo, Zapata
/// Ruiz, Burguete Tolosa, Felix Felix and Latorre 2019, Water 11:1684 (abstract read).
[[nodiscard]] double usual_velocity_coefficient(const water::HeadType& type);

/// The speed that no drop of the head exceeds at a gauge pressure: the head's own, or sqrt(2 p /
/// rho).
[[nodiscard]] double fastest_launch_m_per_s(const water::HeadType& type, double pressure_Pa);

/// How a head in its place launches at a gauge pressure. A head of its own launch speed keeps it at
/// any pressure; air that it blows out adds its momentum to the liquid's.
/// @param pressure_Pa  above zero
/// @param air_state    of the air that it drags along: the thinner, the faster
/// @param burst_s      how long the spray lasts, and with it the induced air
[[nodiscard]] Launch launch_at(const water::HeadType& type, double pressure_Pa, const Throw& thrown,
                               const Offset& place, const AirState& air_state = reference_air,
                               double burst_s = 5.0);

/// Radius around a head at its wetted height, spraying on and on in still saturated air, that holds
/// a share of the water that lands within two minutes; 20 m when less than half does.
[[nodiscard]] double reach_m(const water::HeadType& type, double pressure_Pa, const Throw& thrown,
                             double share_fraction = 0.95);

/// Fits the entrainment, and only when its bounds (a sheet's: least_entrainment_fraction and 1)
/// throw too far or too short, the launch speed, by bisection at the head's rated pressure until 95
/// % of the landed water falls within half the stated wetted diameter. When the bounds do not let
/// it, the nearest, with reached false. Fog (is_fog) keeps its whole momentum and the usual speed,
/// with floats true and nothing fitted; so does finer mist that its own jet carries away, so that
/// less than half lands within two minutes, when no share of that momentum meets the circle.
[[nodiscard]] Throw fit_throw(const water::HeadType& type);

}  // namespace mistwright::droplet
