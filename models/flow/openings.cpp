#include "models/flow/openings.h"

#include <cmath>

#include "models/flow/envelope_network.h"

namespace mistwright::flow {
namespace {

/// The root of the orifice law is kept down to rest: one zone can be bracketed.
constexpr double no_linear_branch_Pa = 0.0;

EnvelopeNetwork one_zone(const Envelope& envelope, const EnvelopeState& state) {
  EnvelopeNetwork network;
  network.zones = {{state.inside_temperature_K, envelope.volume_m3}};
  network.paths.reserve(envelope.openings.size() + envelope.fans.size() + envelope.leaks.size());
  for (const auto& o : envelope.openings) {
    network.paths.push_back({outdoors, 0, o.height_m, o.pressure_coefficient,
                             Orifice{o.area_m2, o.discharge_coefficient, no_linear_branch_Pa}});
  }
  for (const auto& f : envelope.fans) {
    network.paths.push_back({f.exhaust ? 0 : outdoors, f.exhaust ? outdoors : 0, f.height_m,
                             f.pressure_coefficient, FanPath{f.curve, f.running}});
  }
  for (const auto& l : envelope.leaks) {
    network.paths.push_back({outdoors, 0, l.height_m, l.pressure_coefficient,
                             Crack{envelope.leakage_m3_per_s * l.share_fraction, Crack{}.exponent,
                                   no_linear_branch_Pa}});
  }
  return network;
}

}  // namespace

double fan_flow_m3_per_s(const EnvelopeFan& fan, double static_pressure_Pa) {
  return fan_flow(FanPath{fan.curve}, -static_pressure_Pa).flow_m3_per_s;
}

EnvelopeFlows envelope_flows(const Envelope& envelope, const EnvelopeState& state) {
  const EnvelopeNetwork network = one_zone(envelope, state);
  const NetworkFlows solved =
      solve(network, {state.outside_temperature_K, state.wind_speed_m_per_s, state.pressure_Pa});
  EnvelopeFlows flows;
  flows.inside_pressure_Pa = solved.zone_pressure_Pa[0];
  flows.imbalance_m3_per_s = solved.imbalance_m3_per_s[0];
  auto path = solved.path_flow_m3_per_s.begin();
  for (std::size_t n = 0; n < envelope.openings.size(); ++n) {
    flows.opening_in_m3_per_s.push_back(*path++);
    flows.inflow_m3_per_s += std::fmax(0.0, flows.opening_in_m3_per_s.back());
  }
  for (const auto& fan : envelope.fans) {
    const double moved = *path++;
    flows.fan_out_m3_per_s.push_back(fan.exhaust ? moved : -moved);
    flows.inflow_m3_per_s += std::fmax(0.0, -flows.fan_out_m3_per_s.back());
  }
  for (std::size_t n = 0; n < envelope.leaks.size(); ++n) {
    const double in = *path++;
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
