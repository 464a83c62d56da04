#include "models/droplet/flight.h"

#include <cmath>
#include <limits>

#include "models/air/properties.h"
#include "models/air/psychrometrics.h"
#include "models/contracts.h"
#include "models/units.h"

namespace mistwright::droplet {

namespace {

/// Vapour density at the drop's surface less that of the air [kg/m3], each at its own temperature.
double vapour_density_step_kg_per_m3(const AirState& air, double drop_K) {
  return (air::saturation_pressure_Pa(drop_K) / drop_K -
          air.vapour_pressure_Pa / air.temperature_K) /
         gas_constant_vapour_J_per_kg_K;
}

}  // namespace

double drop_temperature_K(const AirState& air) {
  EXPECT(air.vapour_pressure_Pa >= 0.0);
  if (air.vapour_pressure_Pa >= air::saturation_pressure_Pa(air.temperature_K))
    return air.temperature_K;
  // Conducted heat less latent heat falls as the drop warms: one root below the air's temperature.
  double low = air.temperature_K - 60.0, high = air.temperature_K;
  for (int i = 0; i < 60 && high - low > 1e-9; ++i) {
    const double drop_K = 0.5 * (low + high);
    const double film_K = 0.5 * (air.temperature_K + drop_K);
    const double heat = air::thermal_conductivity_W_per_m_K(film_K) * (air.temperature_K - drop_K);
    const double latent = air::latent_heat_J_per_kg(drop_K) *
                          air::vapour_diffusivity_m2_per_s(film_K, air.pressure_Pa) *
                          vapour_density_step_kg_per_m3(air, drop_K);
    (heat > latent ? low : high) = drop_K;
  }
  return 0.5 * (low + high);
}

double evaporation_constant_m2_per_s(const AirState& air) {
  const double drop_K = drop_temperature_K(air);
  const double step = vapour_density_step_kg_per_m3(air, drop_K);
  if (step <= 0.0 || drop_K >= air.temperature_K) return 0.0;
  const double film_K = 0.5 * (air.temperature_K + drop_K);
  return 8.0 * air::vapour_diffusivity_m2_per_s(film_K, air.pressure_Pa) * step /
         water_density_kg_per_m3;
}

double ventilation_factor(double reynolds_number, double schmidt_number) {
  EXPECT(reynolds_number >= 0.0 && schmidt_number > 0.0);
  return 1.0 + 0.3 * std::sqrt(reynolds_number) * std::cbrt(schmidt_number);
}

double schmidt_number(const AirState& air) {
  const DragAir drag = drag_air(air);
  return drag.viscosity_Pa_s / drag.density_kg_per_m3 /
         air::vapour_diffusivity_m2_per_s(air.temperature_K, air.pressure_Pa);
}

double lifetime_s(double diameter_m, const AirState& air) {
  EXPECT(diameter_m > 0.0);
  const double K = evaporation_constant_m2_per_s(air);
  return K > 0.0 ? diameter_m * diameter_m / K : std::numeric_limits<double>::infinity();
}

namespace {

/// Rates of a falling drop of squared diameter q.
struct Rates {
  double speed_m_per_s;       ///< of fall
  double shrinkage_m2_per_s;  ///< -dq/dt
};

struct FallModel {
  const AirState& air;
  DragAir drag;
  double K_m2_per_s;
  double Sc;

  [[nodiscard]] Rates at(double q_m2) const {
    const double d = std::sqrt(q_m2);
    const double v = terminal_velocity_m_per_s(d, air);
    const double Re = drag.density_kg_per_m3 * v * d / drag.viscosity_Pa_s;
    return {v, K_m2_per_s * ventilation_factor(Re, Sc)};
  }
};

/// Time and depth fallen while q shrinks by a step, by Simpson's rule on dt = dq/rate, dz = v dt.
struct Stretch {
  double time_s, depth_m;
};

Stretch shrink(const FallModel& model, double q_m2, double step_m2) {
  const Rates a = model.at(q_m2), b = model.at(q_m2 - 0.5 * step_m2), c = model.at(q_m2 - step_m2);
  const double sixth = step_m2 / 6.0;
  return {sixth * (1.0 / a.shrinkage_m2_per_s + 4.0 / b.shrinkage_m2_per_s +
                   1.0 / c.shrinkage_m2_per_s),
          sixth * (a.speed_m_per_s / a.shrinkage_m2_per_s +
                   4.0 * b.speed_m_per_s / b.shrinkage_m2_per_s +
                   c.speed_m_per_s / c.shrinkage_m2_per_s)};
}

}  // namespace

Fall fall(double diameter_m, double height_m, double wind_m_per_s, const AirState& air) {
  EXPECT(diameter_m > 0.0 && height_m >= 0.0);
  const FallModel model{air, drag_air(air), evaporation_constant_m2_per_s(air),
                        schmidt_number(air)};
  Fall result;
  result.lifetime_s = lifetime_s(diameter_m, air);
  if (model.K_m2_per_s <= 0.0) {
    result.fall_time_s = height_m / terminal_velocity_m_per_s(diameter_m, air);
    // Without a floor the fall never ends; calm air still carries nothing anywhere.
    result.drift_m = wind_m_per_s == 0.0 ? 0.0 : wind_m_per_s * result.fall_time_s;
    result.landing_diameter_m = diameter_m;
    return result;
  }
  const double q0 = diameter_m * diameter_m;
  const double tiny = 1e-6 * q0;  // what a drop a thousandth as wide still falls is nothing
  const int steps = 400;
  double q = q0, depth = 0.0, time = 0.0;
  for (int i = 0; i < steps; ++i) {
    const double step = (q0 - tiny) / steps;
    const Stretch s = shrink(model, q, step);
    if (depth + s.depth_m >= height_m) {
      double low = 0.0, high = 1.0;
      for (int k = 0; k < 50; ++k) {
        const double share = 0.5 * (low + high);
        (depth + shrink(model, q, share * step).depth_m < height_m ? low : high) = share;
      }
      time += shrink(model, q, high * step).time_s;
      q -= high * step;
      result.landing_diameter_m = std::sqrt(q);
      break;
    }
    q -= step;
    depth += s.depth_m;
    time += s.time_s;
  }
  if (result.landing_diameter_m == 0.0) time += q / model.K_m2_per_s;
  result.fall_time_s = time;
  result.drift_m = wind_m_per_s * time;
  const double left = result.landing_diameter_m / diameter_m;
  result.evaporated_fraction = 1.0 - left * left * left;
  return result;
}

}  // namespace mistwright::droplet
