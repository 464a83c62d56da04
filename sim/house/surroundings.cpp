#include "sim/house/surroundings.h"

#include <algorithm>
#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/sky/radiation.h"
#include "models/sky/sun.h"
#include "models/units.h"

namespace mistwright {

using air::CellState;
using air::state_index;

namespace {

/// Share of the light that a clear film absorbs and so warms itself by (0.02 to 0.08, from memory).
constexpr double cover_absorptance_fraction = 0.05;
/// Dark wet rooting medium: 0.75 to 0.9, from memory.
constexpr double medium_absorptance_fraction = 0.8;
/// On a curved roof some part always faces the sun: incidence beyond this is not met.
constexpr double steepest_incidence_rad = pi / 3.0;
/// Water that a floor holds before it runs off [kg/m2] (common practice: gravel or weed cloth 0.5
/// to 2).
constexpr double floor_capacity_kg_per_m2 = 1.0;

}  // namespace

Surroundings surroundings_at(const House& house, const Plan& plan, const sky::Weather& weather,
                             double utc_s, bool shade_drawn) {
  const sky::SunPosition sun = sky::sun_position({.utc_s = utc_s,
                                                  .latitude_rad = house.site.latitude_rad,
                                                  .longitude_rad = house.site.longitude_rad,
                                                  .altitude_m = house.site.altitude_m});
  const double beam = weather.direct_normal_W_per_m2 * std::max(0.0, std::cos(sun.zenith_rad));
  const double facing =
      sky::cover_incidence_factor(std::min(sun.zenith_rad, steepest_incidence_rad));
  const double shade = shade_drawn ? house.structure.shade.transmittance_fraction : 1.0;
  const double light = shade * house.structure.cover.solar_transmittance_fraction *
                       (beam * facing + weather.diffuse_horizontal_W_per_m2);
  Surroundings around;
  around.light_at_leaves_W_per_m2 = light;
  around.sky_temperature_K = air::sky_under_cloth_K(
      {.open_fraction = shade,
       .sun_W_per_m2 = beam + weather.diffuse_horizontal_W_per_m2,
       .outside_temperature_K = weather.temperature_K,
       .sky_temperature_K = sky::sky_temperature_K(
           {weather.temperature_K, weather.vapour_pressure_Pa, weather.cloud_fraction}),
       .wind_speed_m_per_s = weather.wind_speed_m_per_s});
  around.sun_on_floor_W_per_m2 = light * house.structure.floor_absorptance_fraction;
  around.sun_on_medium_W_per_m2 = light * plan.medium_sun_fraction * medium_absorptance_fraction;
  around.sun_on_cover_W_per_m2 =
      shade * cover_absorptance_fraction * (beam + weather.diffuse_horizontal_W_per_m2);
  around.outside_temperature_K = weather.temperature_K;
  around.outside_humidity_ratio =
      air::humidity_ratio(weather.vapour_pressure_Pa, plan.fixed.pressure_Pa);
  around.wind_speed_m_per_s = weather.wind_speed_m_per_s;
  around.wind_from_rad = weather.wind_from_rad;
  return around;
}

namespace {

/// Heat that floor and medium give to the air, times its way up to where it leaves the air. Air
/// over a cold floor lies still, but warm benches beside it may lift it. The leaves' heat is left
/// out.
double lifted_W_m(const Shared& shared, const std::vector<double>& state) {
  const air::HouseFixed& fixed = shared.plan.fixed;
  const HeatHeights& heights = shared.airflow.heat_heights();
  double lifted = 0.0;
  for (std::size_t c = 0; c < fixed.cells; ++c) {
    const double air_K = state[state_index(c, CellState::Air)];
    const auto given_W = [&](CellState which, double area_m2) {
      const double step_K = state[state_index(c, which)] - air_K;
      return area_m2 * air::inside_convection_W_per_m2_K(step_K) * step_K;
    };
    lifted +=
        given_W(CellState::Floor, fixed.floor_area_m2[c]) * heights.cover_m +
        given_W(CellState::Medium, fixed.bench_area_m2[c] * (1.0 + fixed.medium_bare_fraction)) *
            (heights.cover_m - heights.bench_m);
  }
  return lifted;
}

}  // namespace

AirThrough air_through(const Shared& shared, const DeviceState& devices, const Regime& regime,
                       const Surroundings& around, const std::vector<double>& state) {
  const air::HouseFixed& fixed = shared.plan.fixed;
  double warm = 0.0;
  for (std::size_t c = 0; c < fixed.cells; ++c) warm += state[state_index(c, CellState::Air)];
  const flow::EnvelopeFlows flows = shared.airflow.envelope(
      devices,
      {kelvin(warm / static_cast<double>(fixed.cells)), around.outside_temperature_K,
       flow::wind_at_height_m_per_s(around.wind_speed_m_per_s,
                                    shared.house.structure.ridge_height_m),
       fixed.pressure_Pa},
      around.wind_from_rad);
  AirThrough through;
  through.air_changes_per_h = flows.air_changes_per_h;
  if (regime.nominal_inflow_m3_per_s > 0.0)
    through.flow_ratio = flows.inflow_m3_per_s / regime.nominal_inflow_m3_per_s;
  const Drive& drive = regime.drive;
  const double lift_ratio =
      drive.lifted_W_m > 0.0 ? std::max(0.0, lifted_W_m(shared, state)) / drive.lifted_W_m : 0.0;
  through.speed_ratio = drive.speed_ratio(through.flow_ratio, lift_ratio);
  // What thermal convection keeps up at all times is not scaled.
  const double still = regime.still_share_fraction;
  through.bench_speed_ratio =
      std::sqrt((1.0 - still) * through.speed_ratio * through.speed_ratio + still);
  return through;
}

air::HouseNow house_now(const Plan& plan, const Regime& regime, const Surroundings& around,
                        const AirThrough& through) {
  air::HouseNow now;
  now.outside_temperature_K = around.outside_temperature_K;
  now.outside_humidity_ratio = around.outside_humidity_ratio;
  now.sky_temperature_K = around.sky_temperature_K;
  now.wind_speed_m_per_s = around.wind_speed_m_per_s;
  now.sun_on_floor_W_per_m2 = around.sun_on_floor_W_per_m2;
  now.sun_on_medium_W_per_m2 = around.sun_on_medium_W_per_m2;
  now.sun_on_cover_W_per_m2 = around.sun_on_cover_W_per_m2;
  const double density = plan.air_density_kg_per_m3;
  for (const auto& exchange : regime.exchanges.between) {
    const double to_and_fro = std::min(exchange.flow_m3_per_s, exchange.back_m3_per_s);
    now.moves.push_back({static_cast<std::uint32_t>(exchange.from),
                         static_cast<std::uint32_t>(exchange.to),
                         density * (through.flow_ratio * (exchange.flow_m3_per_s - to_and_fro) +
                                    through.speed_ratio * to_and_fro)});
  }
  for (const auto& mixing : regime.exchanges.mixing) {
    const auto a = static_cast<std::uint32_t>(mixing.from);
    const auto b = static_cast<std::uint32_t>(mixing.to);
    now.moves.push_back({a, b, density * mixing.flow_m3_per_s});
    now.moves.push_back({b, a, density * mixing.flow_m3_per_s});
  }
  for (std::size_t c = 0; c < plan.fixed.cells; ++c) {
    now.inflow_kg_per_s.push_back(density * through.flow_ratio *
                                  regime.exchanges.inflow_m3_per_s[c]);
    now.outflow_kg_per_s.push_back(density * through.flow_ratio *
                                   regime.exchanges.outflow_m3_per_s[c]);
  }
  return now;
}

CanopyNow canopy_now(const Surroundings& around, const AirThrough& through) {
  return {around.light_at_leaves_W_per_m2, around.sky_temperature_K,
          std::clamp(through.bench_speed_ratio, 0.1, 4.0)};
}

Overflow drip(const air::HouseFixed& fixed, const Cover& cover, std::size_t cell,
              double& cover_water_kg, double& floor_water_kg) {
  Overflow over;
  const double holds = cover.condensate_capacity_kg_per_m2 * fixed.cover_area_m2[cell];
  if (cover_water_kg > holds) {
    const double falls = cover_water_kg - holds;
    over.on_benches_kg =
        falls * std::min(1.0, fixed.bench_area_m2[cell] / fixed.floor_area_m2[cell]);
    cover_water_kg -= falls;
    floor_water_kg += falls - over.on_benches_kg;
    over.fell = true;
  }
  const double floor_holds = floor_capacity_kg_per_m2 * fixed.floor_area_m2[cell];
  if (floor_water_kg > floor_holds) {
    over.off_floor_kg = floor_water_kg - floor_holds;
    floor_water_kg = floor_holds;
    over.fell = true;
  }
  return over;
}

}  // namespace mistwright
