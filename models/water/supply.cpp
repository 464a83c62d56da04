#include "models/water/supply.h"

#include <cmath>

#include "models/contracts.h"

namespace mistwright::water {

double supply_loss_Pa_s2_per_m6(const Supply& supply) {
  const double flow = supply.bucket_flow_m3_per_s;
  if (flow <= 0.0) return 0.0;
  EXPECT(supply.static_pressure_Pa >= supply.bucket_pressure_Pa);
  return (supply.static_pressure_Pa - supply.bucket_pressure_Pa) / (flow * flow);
}

Drop supply_drop(const Supply& supply, double flow_m3_per_s) {
  const auto& curve = supply.curve;
  if (curve.empty()) {
    const double loss = supply_loss_Pa_s2_per_m6(supply);
    return {.drop_Pa = loss * flow_m3_per_s * std::abs(flow_m3_per_s) - supply.static_pressure_Pa,
            .slope_Pa_s_per_m3 = 2.0 * loss * std::abs(flow_m3_per_s)};
  }
  EXPECT(curve.size() >= 2);
  std::size_t i = 1;
  while (i + 1 < curve.size() && flow_m3_per_s > curve[i].first) ++i;
  const auto& [flow_a, pressure_a] = curve[i - 1];
  const auto& [flow_b, pressure_b] = curve[i];
  EXPECT(flow_b > flow_a && pressure_b < pressure_a);
  const double slope = (pressure_a - pressure_b) / (flow_b - flow_a);
  return {.drop_Pa = slope * (flow_m3_per_s - flow_a) - pressure_a, .slope_Pa_s_per_m3 = slope};
}

double supply_pressure_Pa(const Supply& supply, double flow_m3_per_s) {
  return -supply_drop(supply, flow_m3_per_s).drop_Pa;
}

}  // namespace mistwright::water
