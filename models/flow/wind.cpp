#include <cmath>

#include "models/contracts.h"
#include "models/flow/air_cells.h"
#include "models/flow/openings.h"
#include "models/units.h"

namespace mistwright::flow {
namespace {

/// Bearing of a wall's outward normal from that of +x; +y points to the left of +x.
double outward_bearing_rad(Side side) {
  switch (side) {
    case Side::Front:
      return pi;
    case Side::Back:
      return 0.0;
    case Side::Right:
      return pi / 2.0;
    case Side::Left:
      return -pi / 2.0;
    case Side::Roof:
      return 0.0;
  }
  return 0.0;
}

bool across_the_length(Side side) {
  return side == Side::Front || side == Side::Back;
}

/// Mean suction of a low roof of slight slope in any wind: Liddament 1986 (AIVC), tables for
/// low-rise buildings, -0.4 to -0.7 (from memory).
constexpr double roof_coefficient = -0.5;

/// Swami and Chandra 1988 (ASHRAE Transactions 94), low-rise walls; read in public copies.
double low_rise_wall_coefficient(double angle_rad, double side_ratio) {
  const double a = angle_rad;
  const double G = std::log(side_ratio);
  const double sine = std::sin(a);
  const double half_sine = std::sin(a / 2.0);
  const double half_cosine = std::cos(a / 2.0);
  const double turned = std::sin(2.0 * a * G);
  const double attenuation = 1.248 - 0.703 * half_sine - 1.175 * sine * sine +
                             0.131 * turned * turned * turned + 0.769 * half_cosine +
                             0.07 * G * G * half_sine * half_sine +
                             0.717 * half_cosine * half_cosine;
  return 0.6 * std::log(attenuation);
}

}  // namespace

Covering covering(const Enclosure& enclosure) {
  Grid one;
  one.nx = one.ny = one.nz = 1;
  one.dx_m = enclosure.length_m;
  one.dy_m = enclosure.width_m;
  one.dz_m = enclosure.ridge_height_m;
  one.fluid.assign(1, 1);
  const AirCells whole = make_air_cells(enclosure, one, 1, 1);
  const double side_m2 = enclosure.eave_height_m * enclosure.length_m;
  return {whole.roof_area_m2[0], (whole.wall_area_m2[0] - 2.0 * side_m2) / 2.0, side_m2,
          whole.volume_m3[0]};
}

double pressure_coefficient(Side side, double wind_from_rad, double house_orientation_rad,
                            double length_to_width_ratio) {
  EXPECT(length_to_width_ratio > 0.0);
  if (side == Side::Roof) return roof_coefficient;
  const double turn =
      std::remainder(wind_from_rad - house_orientation_rad - outward_bearing_rad(side), 2.0 * pi);
  // The ratio is that of the wall's own width to its neighbour's.
  const double ratio =
      across_the_length(side) ? 1.0 / length_to_width_ratio : length_to_width_ratio;
  return low_rise_wall_coefficient(std::fabs(turn), ratio);
}

double wind_at_height_m_per_s(double station_wind_m_per_s, double height_m) {
  EXPECT(height_m > 0.0);
  // ASHRAE Handbook-Fundamentals, Airflow Around Buildings, table of terrains (from memory): open
  // country exponent 0.14 and layer 270 m, both at the station and at the house.
  constexpr double exponent = 0.14, station_height_m = 10.0;
  return station_wind_m_per_s * std::pow(height_m / station_height_m, exponent);
}

std::vector<EnvelopeLeak> leak_paths(const Enclosure& enclosure, const Covering& cover,
                                     double wind_from_rad, double house_orientation_rad) {
  const double total_m2 = cover.roof_m2 + 2.0 * (cover.end_m2 + cover.side_m2);
  const double ratio = enclosure.length_m / enclosure.width_m;
  std::vector<EnvelopeLeak> leaks;
  for (const Side side : {Side::Front, Side::Back, Side::Right, Side::Left}) {
    const bool end = across_the_length(side);
    const double area_m2 = end ? cover.end_m2 : cover.side_m2;
    const double top_m = end ? enclosure.ridge_height_m : enclosure.eave_height_m;
    const double coefficient =
        pressure_coefficient(side, wind_from_rad, house_orientation_rad, ratio);
    for (const double level : {0.25, 0.75})
      leaks.push_back({area_m2 / 2.0 / total_m2, level * top_m, coefficient});
  }
  // Mean height of half an ellipse is pi/4 of its rise.
  const double roof_m =
      enclosure.eave_height_m + pi / 4.0 * (enclosure.ridge_height_m - enclosure.eave_height_m);
  leaks.push_back({cover.roof_m2 / total_m2, roof_m, roof_coefficient});
  return leaks;
}

double leakage_at_1_Pa_m3_per_s(const Enclosure& enclosure, double air_changes_per_h,
                                const LeakageReference& reference) {
  EXPECT(air_changes_per_h >= 0.0);
  constexpr int directions = 12;
  const Covering cover = covering(enclosure);
  const double volume_m3 = cover.volume_m3;
  const double outside_K = kelvin(10.0);
  double per_unit_m3_per_s = 0.0;
  for (int n = 0; n < directions; ++n) {
    const Envelope cracks{
        {}, {}, leak_paths(enclosure, cover, 2.0 * pi * n / directions, 0.0), 1.0, volume_m3};
    const EnvelopeFlows flows =
        envelope_flows(cracks, {outside_K + reference.temperature_step_K, outside_K,
                                reference.wind_speed_m_per_s, standard_pressure_Pa});
    per_unit_m3_per_s += flows.inflow_m3_per_s / directions;
  }
  return air_changes_per_h * volume_m3 / 3600.0 / per_unit_m3_per_s;
}

}  // namespace mistwright::flow
