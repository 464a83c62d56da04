#pragma once
// How much air passes each opening, fan and crack of the house, given wind and temperatures?
// The house as one zone of the envelope network (envelope_network.h), its paths by the laws of
// paths.h: wind pressure Cp rho u^2 / 2 and stack pressure (rho_out - rho_in) g z (ASHRAE
// Handbook-Fundamentals, Ventilation and Infiltration). Flows are volumes at the outdoor density,
// which is also the density of the orifice law (Boussinesq). Left out: gusts, two-way flow in one
// opening (split it: halves()), wind shelter by neighbours.
#include <array>
#include <cstddef>
#include <utility>
#include <vector>

#include "models/flow/enclosure.h"

namespace mistwright::flow {

struct EnvelopeOpening {
  double area_m2 = 0.0;  ///< open area; 0 when shut
  double discharge_coefficient = 0.6;
  double height_m = 0.0;              ///< of its centre above the floor
  double pressure_coefficient = 0.0;  ///< of the wind on its wall
};

struct EnvelopeFan {
  std::vector<std::pair<double, double>>
      curve;  ///< (flow [m3/s], static pressure [Pa]), pressure falling
  double height_m = 0.0;
  double pressure_coefficient = 0.0;
  bool exhaust = true;  ///< false blows into the house
  bool running = true;  ///< a fan at rest is shut by its flap
};

/// Cracks at one height of one side.
struct EnvelopeLeak {
  double share_fraction = 0.0;  ///< of the house's whole leakage
  double height_m = 0.0;
  double pressure_coefficient = 0.0;
};

struct Envelope {
  std::vector<EnvelopeOpening> openings;
  std::vector<EnvelopeFan> fans;
  std::vector<EnvelopeLeak> leaks;
  double leakage_m3_per_s = 0.0;  ///< through all cracks together at 1 Pa
  double volume_m3 = 0.0;
};

struct EnvelopeState {
  double inside_temperature_K = 293.15;  ///< virtual temperature where moisture should count
  double outside_temperature_K = 293.15;
  double wind_speed_m_per_s = 0.0;  ///< at the height of the eaves
  double pressure_Pa = 101325.0;    ///< of the atmosphere
};

struct EnvelopeFlows {
  std::vector<double> opening_in_m3_per_s;  ///< into the house; out is negative
  std::vector<double> fan_out_m3_per_s;     ///< out of the house; a supply fan's is negative
  double leakage_in_m3_per_s = 0.0, leakage_out_m3_per_s = 0.0;  ///< both at least 0
  double inflow_m3_per_s = 0.0;                                  ///< all air that comes in
  double air_changes_per_h = 0.0;   ///< of that inflow; 0 without a volume
  double inside_pressure_Pa = 0.0;  ///< at the floor, above the undisturbed outside
  double imbalance_m3_per_s = 0.0;  ///< what the solver left
};

/// Solves the inside pressure until the net inflow gets no nearer to nothing. Flows are continuous
/// in wind speed, temperatures and areas.
EnvelopeFlows envelope_flows(const Envelope& envelope, const EnvelopeState& state);

/// Volume that a fan moves against a static pressure rise [m3/s]: linear between the curve's
/// points, its free flow below them, none above.
double fan_flow_m3_per_s(const EnvelopeFan& fan, double static_pressure_Pa);

/// Upper and lower half of an opening, so that warm air can leave above while cool air enters
/// below.
std::array<EnvelopeOpening, 2> halves(const EnvelopeOpening& opening, double tall_m);

/// Mean wind pressure coefficient of one side of a low building (Swami and Chandra 1988); of the
/// roof a single suction (Liddament 1986).
/// @param wind_from_rad          bearing from which the wind blows, clockwise from north
/// @param house_orientation_rad  bearing of +x (from the front wall to the back)
/// @param length_to_width_ratio  of the house's plan
double pressure_coefficient(Side side, double wind_from_rad, double house_orientation_rad,
                            double length_to_width_ratio = 2.0);

/// Wind at a height in open country with scattered obstacles from the wind of a weather station (10
/// m).
double wind_at_height_m_per_s(double station_wind_m_per_s, double height_m);

/// What leakage is stated at: the rate of air changes holds for this wind and temperature step.
struct LeakageReference {
  double wind_speed_m_per_s = 4.0;
  double temperature_step_K = 10.0;
};

/// What covers a house: where cracks lie, and what they air.
struct Covering {
  double roof_m2 = 0.0;
  double end_m2 = 0.0;     ///< each end wall
  double side_m2 = 0.0;    ///< each side wall
  double volume_m3 = 0.0;  ///< under the roof, boxes taken out
};
Covering covering(const Enclosure& enclosure);

/// Cracks spread over walls and roof by area, in two heights a wall, for one wind direction.
/// @param cover                  covering(enclosure), which costs more than all the rest
/// @param house_orientation_rad  as in pressure_coefficient
std::vector<EnvelopeLeak> leak_paths(const Enclosure& enclosure, const Covering& cover,
                                     double wind_from_rad, double house_orientation_rad);

/// Leakage of all cracks at 1 Pa [m3/s] such that the house changes its air as often as stated at
/// the reference, averaged over twelve wind directions.
double leakage_at_1_Pa_m3_per_s(const Enclosure& enclosure, double air_changes_per_h,
                                const LeakageReference& reference = {});

}  // namespace mistwright::flow
