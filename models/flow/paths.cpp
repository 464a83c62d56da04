#include "models/flow/paths.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace mistwright::flow {
namespace {

/// A fan curve that ends above rest is carried on to no flow at this many times its highest
/// pressure.
constexpr double closed_ratio = 1.1;

/// A law without a linear branch has no finite slope at rest; its slope is that of this pressure.
constexpr double least_fall_Pa = 1e-12;

}  // namespace

PathFlow orifice_flow(const Orifice& orifice, double fall_Pa, double density_kg_per_m3) {
  const double area_m2 = orifice.discharge_coefficient * orifice.area_m2;
  const double size_Pa = std::fabs(fall_Pa);
  if (size_Pa < orifice.linear_below_Pa) {
    const double slope = area_m2 * std::sqrt(2.0 / (density_kg_per_m3 * orifice.linear_below_Pa));
    return {slope * fall_Pa, slope};
  }
  const double flow = area_m2 * std::sqrt(2.0 * size_Pa / density_kg_per_m3);
  const double slope = size_Pa > least_fall_Pa
                           ? 0.5 * flow / size_Pa
                           : 0.5 * area_m2 * std::sqrt(2.0 / density_kg_per_m3 / least_fall_Pa);
  return {std::copysign(flow, fall_Pa), slope};
}

PathFlow crack_flow(const Crack& crack, double fall_Pa) {
  const double size_Pa = std::fabs(fall_Pa);
  if (size_Pa < crack.linear_below_Pa) {
    const double slope =
        crack.flow_at_1_Pa_m3_per_s * std::pow(crack.linear_below_Pa, crack.exponent - 1.0);
    return {slope * fall_Pa, slope};
  }
  const double flow = crack.flow_at_1_Pa_m3_per_s * std::pow(size_Pa, crack.exponent);
  const double slope = size_Pa > least_fall_Pa ? crack.exponent * flow / size_Pa
                                               : crack.exponent * crack.flow_at_1_Pa_m3_per_s *
                                                     std::pow(least_fall_Pa, crack.exponent - 1.0);
  return {std::copysign(flow, fall_Pa), slope};
}

double closing_pressure_Pa(const FanPath& fan) {
  if (fan.curve.empty()) return 0.0;
  return closed_ratio * fan.curve.front().second;
}

PathFlow fan_flow(const FanPath& fan, double fall_Pa) {
  if (!fan.running || fan.curve.empty()) return {};
  const auto& curve = fan.curve;
  const double rise_Pa = -fall_Pa;
  // Points come with pressure falling: the first is the closed outlet, the last the free one.
  if (rise_Pa >= curve.front().second) {
    const double end_Pa = closing_pressure_Pa(fan);
    if (curve.front().first <= 0.0 || rise_Pa >= end_Pa) return {};
    const double slope = curve.front().first / (end_Pa - curve.front().second);
    return {slope * (end_Pa - rise_Pa), slope};
  }
  for (std::size_t n = 1; n < curve.size(); ++n) {
    const auto& [flow_high, pressure_low] = curve[n];
    const auto& [flow_low, pressure_high] = curve[n - 1];
    if (rise_Pa < pressure_low) continue;
    const double share = (pressure_high - rise_Pa) / (pressure_high - pressure_low);
    return {flow_low + share * (flow_high - flow_low),
            std::max(0.0, (flow_high - flow_low) / (pressure_high - pressure_low))};
  }
  return {curve.back().first, 0.0};
}

PathFlow path_flow(const PathLaw& law, double fall_Pa, double density_kg_per_m3) {
  if (const auto* orifice = std::get_if<Orifice>(&law))
    return orifice_flow(*orifice, fall_Pa, density_kg_per_m3);
  if (const auto* crack = std::get_if<Crack>(&law)) return crack_flow(*crack, fall_Pa);
  return fan_flow(*std::get_if<FanPath>(&law), fall_Pa);
}

bool passes(const PathLaw& law) {
  if (const auto* orifice = std::get_if<Orifice>(&law))
    return orifice->area_m2 * orifice->discharge_coefficient > 0.0;
  if (const auto* crack = std::get_if<Crack>(&law)) return crack->flow_at_1_Pa_m3_per_s > 0.0;
  const auto* fan = std::get_if<FanPath>(&law);
  return fan->running && !fan->curve.empty();
}

}  // namespace mistwright::flow
