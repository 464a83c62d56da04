#include "models/flow/openings.h"

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <cstdint>

#include "models/contracts.h"
#include "models/units.h"

namespace mistwright::flow {
namespace {

/// Exponent of leakage through cracks: 0.65, ASHRAE Handbook-Fundamentals, Ventilation and
/// Infiltration (from memory).
constexpr double leakage_exponent = 0.65;

/// A fan curve that ends above rest is carried on to no flow at this many times its highest
/// pressure.
constexpr double closed_ratio = 1.1;

struct Air {
  double outside_kg_per_m3, inside_kg_per_m3;
};

Air densities(const EnvelopeState& state) {
  EXPECT(state.inside_temperature_K > 0.0 && state.outside_temperature_K > 0.0);
  const double p_over_R = state.pressure_Pa / gas_constant_dry_air_J_per_kg_K;
  return {p_over_R / state.outside_temperature_K, p_over_R / state.inside_temperature_K};
}

/// Pressure that drives air in at a height, over the inside pressure at the floor.
struct Drive {
  Air air;
  double wind_pressure_Pa;

  [[nodiscard]] double outside_Pa(double height_m, double pressure_coefficient) const {
    return pressure_coefficient * wind_pressure_Pa -
           (air.outside_kg_per_m3 - air.inside_kg_per_m3) * gravity_m_per_s2 * height_m;
  }
};

double opening_in(const EnvelopeOpening& opening, const Drive& drive, double inside_Pa) {
  const double dp_Pa = drive.outside_Pa(opening.height_m, opening.pressure_coefficient) - inside_Pa;
  const double flow = opening.discharge_coefficient * opening.area_m2 *
                      std::sqrt(2.0 * std::fabs(dp_Pa) / drive.air.outside_kg_per_m3);
  return std::copysign(flow, dp_Pa);
}

double fan_out(const EnvelopeFan& fan, const Drive& drive, double inside_Pa) {
  if (!fan.running) return 0.0;
  const double dp_Pa = drive.outside_Pa(fan.height_m, fan.pressure_coefficient) - inside_Pa;
  return fan.exhaust ? fan_flow_m3_per_s(fan, dp_Pa) : -fan_flow_m3_per_s(fan, -dp_Pa);
}

double leak_in(const Envelope& envelope, const EnvelopeLeak& leak, const Drive& drive,
               double inside_Pa) {
  const double dp_Pa = drive.outside_Pa(leak.height_m, leak.pressure_coefficient) - inside_Pa;
  const double flow = envelope.leakage_m3_per_s * leak.share_fraction *
                      std::pow(std::fabs(dp_Pa), leakage_exponent);
  return std::copysign(flow, dp_Pa);
}

double net_inflow(const Envelope& envelope, const Drive& drive, double inside_Pa) {
  double sum = 0.0;
  for (const auto& opening : envelope.openings) sum += opening_in(opening, drive, inside_Pa);
  for (const auto& leak : envelope.leaks) sum += leak_in(envelope, leak, drive, inside_Pa);
  for (const auto& fan : envelope.fans) sum -= fan_out(fan, drive, inside_Pa);
  return sum;
}

struct Bracket {
  double low_Pa, high_Pa;
};

/// Widest inside pressures at which nothing more can change its direction.
Bracket bracket(const Envelope& envelope, const Drive& drive) {
  Bracket b{0.0, 0.0};
  const auto widen = [&](double at_Pa) {
    b.low_Pa = std::min(b.low_Pa, at_Pa);
    b.high_Pa = std::max(b.high_Pa, at_Pa);
  };
  for (const auto& o : envelope.openings)
    widen(drive.outside_Pa(o.height_m, o.pressure_coefficient));
  for (const auto& l : envelope.leaks) widen(drive.outside_Pa(l.height_m, l.pressure_coefficient));
  for (const auto& f : envelope.fans) {
    if (f.curve.empty()) continue;
    const double outside_Pa = drive.outside_Pa(f.height_m, f.pressure_coefficient);
    const double most_Pa = closed_ratio * f.curve.front().second;
    widen(f.exhaust ? outside_Pa - most_Pa : outside_Pa + most_Pa);
  }
  return {b.low_Pa - 1.0, b.high_Pa + 1.0};
}

/// The net inflow falls as the inside pressure grows. Near rest the orifice law's slope is not
/// bounded, which rules a bare Newton step out; the method keeps the zero between two ends until
/// they are neighbouring numbers (Alefeld, Potra and Shi 1995, TOMS algorithm 748, of Boost.Math).
double balanced_pressure_Pa(const Envelope& envelope, const Drive& drive) {
  const auto net = [&](double inside_Pa) { return net_inflow(envelope, drive, inside_Pa); };
  const Bracket ends = bracket(envelope, drive);
  const double low_net = net(ends.low_Pa);
  const double high_net = net(ends.high_Pa);
  // Without a crack or an opening the air rests: at any pressure, or where a fan's curve ends.
  if (low_net <= 0.0 && high_net >= 0.0) return 0.0;
  if (low_net <= 0.0) return ends.low_Pa;
  if (high_net >= 0.0) return ends.high_Pa;
  std::uintmax_t evaluations = 200;
  const auto [low_Pa, high_Pa] =
      boost::math::tools::toms748_solve(net, ends.low_Pa, ends.high_Pa, low_net, high_net,
                                        boost::math::tools::eps_tolerance<double>(), evaluations);
  return std::fabs(net(low_Pa)) <= std::fabs(net(high_Pa)) ? low_Pa : high_Pa;
}

}  // namespace

double fan_flow_m3_per_s(const EnvelopeFan& fan, double static_pressure_Pa) {
  const auto& curve = fan.curve;
  if (curve.empty()) return 0.0;
  // Points come with pressure falling: the first is the closed outlet, the last the free one.
  if (static_pressure_Pa >= curve.front().second) {
    const double end_Pa = closed_ratio * curve.front().second;
    if (curve.front().first <= 0.0 || static_pressure_Pa >= end_Pa) return 0.0;
    return curve.front().first * (end_Pa - static_pressure_Pa) / (end_Pa - curve.front().second);
  }
  for (std::size_t n = 1; n < curve.size(); ++n) {
    const auto& [flow_high, pressure_low] = curve[n];
    const auto& [flow_low, pressure_high] = curve[n - 1];
    if (static_pressure_Pa < pressure_low) continue;
    const double share = (pressure_high - static_pressure_Pa) / (pressure_high - pressure_low);
    return flow_low + share * (flow_high - flow_low);
  }
  return curve.back().first;
}

EnvelopeFlows envelope_flows(const Envelope& envelope, const EnvelopeState& state) {
  const Air air = densities(state);
  const Drive drive{
      air, 0.5 * air.outside_kg_per_m3 * state.wind_speed_m_per_s * state.wind_speed_m_per_s};
  EnvelopeFlows flows;
  flows.inside_pressure_Pa = balanced_pressure_Pa(envelope, drive);
  flows.imbalance_m3_per_s = net_inflow(envelope, drive, flows.inside_pressure_Pa);
  for (const auto& opening : envelope.openings) {
    flows.opening_in_m3_per_s.push_back(opening_in(opening, drive, flows.inside_pressure_Pa));
    flows.inflow_m3_per_s += std::fmax(0.0, flows.opening_in_m3_per_s.back());
  }
  for (const auto& fan : envelope.fans) {
    flows.fan_out_m3_per_s.push_back(fan_out(fan, drive, flows.inside_pressure_Pa));
    flows.inflow_m3_per_s += std::fmax(0.0, -flows.fan_out_m3_per_s.back());
  }
  for (const auto& leak : envelope.leaks) {
    const double in = leak_in(envelope, leak, drive, flows.inside_pressure_Pa);
    (in > 0.0 ? flows.leakage_in_m3_per_s : flows.leakage_out_m3_per_s) += std::fabs(in);
  }
  flows.inflow_m3_per_s += flows.leakage_in_m3_per_s;
  if (envelope.volume_m3 > 0.0)
    flows.air_changes_per_h = flows.inflow_m3_per_s * 3600.0 / envelope.volume_m3;
  return flows;
}

std::array<EnvelopeOpening, 2> halves(const EnvelopeOpening& opening, double tall_m) {
  EnvelopeOpening lower = opening;
  lower.area_m2 = opening.area_m2 / 2.0;
  EnvelopeOpening upper = lower;
  lower.height_m -= tall_m / 4.0;
  upper.height_m += tall_m / 4.0;
  return {lower, upper};
}

}  // namespace mistwright::flow
