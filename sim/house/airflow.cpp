#include "sim/house/airflow.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <numeric>
#include <tuple>

#include "models/air/psychrometrics.h"
#include "models/flow/boundary.h"
#include "models/flow/house_case.h"
#include "models/parallel.h"
#include "models/random.h"
#include "models/units.h"
#include "sim/house/canopy.h"
#include "sim/house/kept_field.h"

namespace mistwright {

namespace {

/// Shares of the light above the leaves that floor and benches give to the air as heat, for the
/// lift in a regime's field (common practice: a bare floor half of what it takes up, wet benches
/// little).
constexpr double floor_heat_share_fraction = 0.35, bench_heat_share_fraction = 0.15;

/// That light is taken under a cloth which lets half through, whatever the house's own: houses that
/// differ in their cloth alone then share their fields, and Drive scales them to the heat there is.
constexpr double lift_shade_fraction = 0.5;

auto launch_tuple(const droplet::Launch& a) {
  return std::make_tuple(a.x_m, a.y_m, a.z_m, static_cast<int>(a.pattern), a.angle_rad,
                         a.spread_rad, a.speed_m_per_s, a.jet_momentum_m4_per_s2, a.jet_growth_m,
                         a.jet_lasts_s, a.down.sag_per_m2, a.down.sag_ends_m, a.down.column_m_per_s,
                         a.down.column_radius_m, a.down.column_height_m);
}

/// Names a footprint's draws by what it is, not by when it was asked for.
std::uint64_t stream_of_key(const SprayKey& key) {
  std::uint64_t hash = stream_of("footprint");
  const auto mix = [&hash](double value) {
    std::uint64_t bits = 0;
    static_assert(sizeof bits == sizeof value);
    std::memcpy(&bits, &value, sizeof bits);
    hash = (hash ^ bits) * 0x100000001b3ULL;
    hash ^= hash >> 29U;
  };
  // The regime and the evaporation node stay out: the same draws in each make their difference
  // plain.
  mix(key.launch.x_m);
  mix(key.launch.y_m);
  mix(key.launch.z_m);
  mix(key.diameter_m);
  return hash;
}

}  // namespace

std::uint64_t DeviceState::key() const {
  std::uint64_t bits = 0;
  std::uint64_t next = 1;
  for (const auto on : fan_on) {
    bits |= on != 0 ? next : 0;
    next <<= 1U;
  }
  for (const auto open : opening_open) {
    bits |= open != 0 ? next : 0;
    next <<= 1U;
  }
  return bits;
}

DeviceState DeviceState::from_key(std::uint64_t key, std::size_t fans, std::size_t openings) {
  DeviceState devices;
  for (std::size_t i = 0; i < fans + openings; ++i, key >>= 1U) {
    (i < fans ? devices.fan_on : devices.opening_open)
        .push_back(static_cast<std::uint8_t>(key & 1U));
  }
  return devices;
}

bool SprayKey::operator<(const SprayKey& other) const {
  return std::make_tuple(regime, launch_tuple(launch), diameter_m, evaporation_node,
                         enough_noise_ratio) <
         std::make_tuple(other.regime, launch_tuple(other.launch), other.diameter_m,
                         other.evaporation_node, other.enough_noise_ratio);
}

double Drive::speed_ratio(double flow_ratio, double lift_ratio) const {
  const double nominal = jets_m5_per_s3 + stirring_m5_per_s3 + lift_m5_per_s3;
  if (!(nominal > 0.0)) return flow_ratio;
  return std::cbrt((jets_m5_per_s3 * flow_ratio * flow_ratio * flow_ratio + stirring_m5_per_s3 +
                    lift_m5_per_s3 * lift_ratio) /
                   nominal);
}

Airflow::Airflow(const House& house, const Plan& plan, std::shared_ptr<FieldStore> store)
    : house_(house), plan_(plan), store_(std::move(store)) {
  leakage_at_1_Pa_m3_per_s_ =
      flow::leakage_at_1_Pa_m3_per_s(plan.enclosure, house.structure.leakage_air_changes_per_h);
  covering_ = flow::covering(plan.enclosure);
  // The regime's nominal flows are those of the span's mean wind, the house 3 K warmer than
  // outside.
  double east = 0.0;
  double north = 0.0;
  double speed = 0.0;
  double temperature = 0.0;
  for (const auto& row : house.weather.rows) {
    east += row.weather.wind_speed_m_per_s * std::sin(row.weather.wind_from_rad);
    north += row.weather.wind_speed_m_per_s * std::cos(row.weather.wind_from_rad);
    speed += row.weather.wind_speed_m_per_s;
    temperature += row.weather.temperature_K;
  }
  double sunlit_rows = 0.0;
  for (const auto& row : house.weather.rows) {
    if (row.weather.global_horizontal_W_per_m2 <= 0.0) continue;
    sunlit_W_per_m2_ += row.weather.global_horizontal_W_per_m2;
    sunlit_rows += 1.0;
  }
  sunlit_W_per_m2_ *= lift_shade_fraction * house.structure.cover.solar_transmittance_fraction /
                      std::max(1.0, sunlit_rows);
  const auto rows = static_cast<double>(std::max<std::size_t>(1, house.weather.rows.size()));
  reference_.outside_temperature_K = temperature / rows;
  reference_.inside_temperature_K = reference_.outside_temperature_K + 3.0;
  reference_.wind_speed_m_per_s =
      flow::wind_at_height_m_per_s(speed / rows, house.structure.ridge_height_m);
  reference_.pressure_Pa = plan.fixed.pressure_Pa;
  reference_wind_from_rad_ = std::atan2(east, north);
  double cover_m2 = 0.0, bench_m2 = 0.0;
  const std::vector<double> cover = flow::cover_area_m2(plan.enclosure, plan.grid);
  for (std::size_t c = 0; c < cover.size(); ++c) {
    cover_m2 += cover[c];
    heights_.cover_m += cover[c] * plan.grid.z_centre_m(plan.grid.place(c)[2]);
  }
  for (const Bench& bench : house.benches) {
    bench_m2 += bench.length_m * bench.width_m;
    heights_.bench_m += bench.length_m * bench.width_m * bench.height_m;
  }
  heights_.cover_m /= cover_m2;
  heights_.bench_m /= bench_m2;
}

flow::EnvelopeFlows Airflow::envelope(const DeviceState& devices, const flow::EnvelopeState& state,
                                      double wind_from_rad) const {
  const double orientation = house_.structure.orientation_rad;
  const double ratio = house_.structure.length_m / house_.structure.width_m;
  flow::Envelope envelope;
  envelope.volume_m3 = covering_.volume_m3;
  envelope.leakage_m3_per_s = leakage_at_1_Pa_m3_per_s_;
  envelope.leaks = flow::leak_paths(plan_.enclosure, covering_, wind_from_rad, orientation);
  for (std::size_t i = 0; i < house_.openings.size(); ++i) {
    const Opening& opening = house_.openings[i];
    const double area = devices.opening_open[i] != 0
                            ? opening.width_m * opening.tall_m * opening.open_fraction
                            : 0.0;
    const double coefficient =
        flow::pressure_coefficient(side_of(opening.wall), wind_from_rad, orientation, ratio);
    for (std::size_t half = 0; half < 2; ++half) {
      const flow::Port& port = plan_.enclosure.ports[plan_.opening_ports[i] + half];
      const double height =
          opening.wall == Wall::Roof ? house_.structure.ridge_height_m : port.height_m;
      envelope.openings.push_back({0.5 * area, opening.discharge_coefficient, height, coefficient});
    }
  }
  for (std::size_t i = 0; i < house_.fans.size(); ++i) {
    const Fan& fan = house_.fans[i];
    if (fan.kind != FanKind::Exhaust) continue;
    envelope.fans.push_back(
        {fan.curve, fan.height_m,
         flow::pressure_coefficient(side_of(fan.wall), wind_from_rad, orientation, ratio), true,
         devices.fan_on[i] != 0});
  }
  return flow::envelope_flows(envelope, state);
}

Drive Airflow::drive(const flow::Enclosure& enclosure, const std::vector<flow::PortFlow>& ports,
                     const flow::FieldOptions& options) const {
  Drive drive;
  for (const flow::PortFlow& flow : ports) {
    const flow::Port& port = enclosure.ports[flow.port];
    const double speed = flow.inflow_m3_per_s / port.free_m2();
    if (speed > 0.0) drive.jets_m5_per_s3 += 0.5 * flow.inflow_m3_per_s * speed * speed;
  }
  for (const flow::Stirrer& fan : enclosure.stirrers) {
    const double speed = fan.flow_m3_per_s / (pi / 4.0 * fan.diameter_m * fan.diameter_m);
    drive.stirring_m5_per_s3 += 0.5 * std::fabs(fan.flow_m3_per_s) * speed * speed;
  }
  const auto sum = [](const std::vector<double>& of) {
    return std::accumulate(of.begin(), of.end(), 0.0);
  };
  drive.lifted_W_m =
      options.floor_heat_W_per_m2 * sum(plan_.fixed.floor_area_m2) * heights_.cover_m +
      options.bench_heat_W_per_m2 * sum(plan_.fixed.bench_area_m2) *
          (heights_.cover_m - heights_.bench_m);
  drive.lift_m5_per_s3 = gravity_m_per_s2 / reference_.outside_temperature_K * drive.lifted_W_m /
                         flow::air_heat_capacity_J_per_m3_K;
  return drive;
}

std::unique_ptr<Regime> Airflow::compute(const DeviceState& devices) const {
  const flow::EnvelopeFlows flows = envelope(devices, reference_, reference_wind_from_rad_);
  std::vector<flow::PortFlow> ports;
  std::string words;
  for (std::size_t i = 0; i < house_.openings.size(); ++i) {
    for (std::size_t half = 0; half < 2; ++half) {
      const double in = flows.opening_in_m3_per_s[2 * i + half];
      if (in != 0.0) ports.push_back({plan_.opening_ports[i] + half, in});
    }
    words += house_.openings[i].name + (devices.opening_open[i] != 0 ? " open; " : " shut; ");
  }
  std::size_t exhaust = 0;
  flow::Enclosure enclosure = plan_.enclosure;
  enclosure.stirrers.clear();
  std::size_t stirrer = 0;
  for (std::size_t i = 0; i < house_.fans.size(); ++i) {
    const bool on = devices.fan_on[i] != 0;
    words += house_.fans[i].name + (on ? " running; " : " off; ");
    if (house_.fans[i].kind == FanKind::Exhaust) {
      const double out = flows.fan_out_m3_per_s[exhaust++];
      if (out != 0.0) ports.push_back({plan_.fan_ports[i], -out});
    } else {
      if (on) enclosure.stirrers.push_back(plan_.enclosure.stirrers[stirrer]);
      ++stirrer;
    }
  }
  if (words.size() > 2) words.resize(words.size() - 2);
  auto regime = std::make_unique<Regime>();
  regime->key = devices.key();
  regime->words = words.empty() ? "no fan, no opening" : words;
  flow::FieldOptions options;
  options.cell_m = house_.numerics.flow_cell_m;
  options.uniform = house_.numerics.uniform_flow;
  options.model = house_.numerics.airflow;
  if (options.model == flow::AirflowModel::Momentum) {
    options.floor_heat_W_per_m2 = floor_heat_share_fraction * sunlit_W_per_m2_;
    options.bench_heat_W_per_m2 = bench_heat_share_fraction * sunlit_W_per_m2_;
  }
  // What leaks both ways at once; the balance of the ports leaks besides.
  const double crossing = std::min(flows.leakage_in_m3_per_s, flows.leakage_out_m3_per_s);
  regime->field = kept_field(store_.get(), {enclosure, ports, crossing, options});
  regime->exchanges = flow::exchanges(regime->field, plan_.air,
                                      flow::sheet_faces(plan_.enclosure, regime->field.grid));
  regime->nominal_inflow_m3_per_s = regime->field.inflow_m3_per_s;
  regime->drive = drive(enclosure, ports, options);
  regime->bench_air_speed_m_per_s = bench_air_speeds_m_per_s(house_, plan_, regime->field);
  double squares = 0.0;
  for (const double speed : regime->bench_air_speed_m_per_s) squares += speed * speed;
  const double still = options.background_turbulence_m_per_s;
  const auto places = static_cast<double>(regime->bench_air_speed_m_per_s.size());
  if (squares > 0.0)
    regime->still_share_fraction = std::min(1.0, 3.0 * still * still * places / squares);
  regime->bench_response = bench_response(house_, plan_, regime->field);
  regime->class_air_speed_m_per_s = class_air_speeds_m_per_s(plan_, *regime);
  return regime;
}

const Regime& Airflow::regime(const DeviceState& devices) {
  const std::lock_guard lock(guard_);
  auto& slot = regimes_[devices.key()];
  if (!slot) slot = compute(devices);
  return *slot;
}

void Airflow::ensure(const std::vector<SprayKey>& keys, int threads) {
  std::vector<SprayKey> missing;
  std::vector<const Regime*> air;
  {
    const std::lock_guard lock(guard_);
    for (const SprayKey& key : keys) {
      if (footprints_.count(key) == 0) missing.push_back(key);
    }
    std::sort(missing.begin(), missing.end());
    missing.erase(
        std::unique(missing.begin(), missing.end(),
                    [](const SprayKey& a, const SprayKey& b) { return !(a < b) && !(b < a); }),
        missing.end());
    for (const SprayKey& key : missing) air.push_back(regimes_.at(key.regime).get());
  }
  if (missing.empty()) return;
  std::vector<droplet::Outcome> outcomes(missing.size());
  parallel_for(missing.size(), threads, [&](std::size_t i, int) {
    const SprayKey& key = missing[i];
    const Regime& regime = *air[i];
    droplet::FootprintCase a_case{regime.field, plan_.enclosure, plan_.benches, plan_.air};
    a_case.state = plan_.drop_air;
    a_case.parcels = house_.numerics.parcels_per_class;
    // Far apart, so that draws anew are those of no seed that one would write.
    a_case.seed = house_.numerics.seed + 0x9e3779b97f4a7c15ULL * house_.numerics.drops_redrawn;
    a_case.enough_noise_ratio = key.enough_noise_ratio;
    outcomes[i] = droplet::footprint(a_case, key.launch, key.diameter_m,
                                     nodes_.K_m2_per_s[key.evaporation_node], stream_of_key(key));
  });
  const std::lock_guard lock(guard_);
  for (std::size_t i = 0; i < missing.size(); ++i) {
    footprints_.emplace(missing[i], std::move(outcomes[i]));
  }
}

const droplet::Outcome& Airflow::footprint(const SprayKey& key) const {
  const std::lock_guard lock(guard_);
  return footprints_.at(key);
}

droplet::Throw Airflow::thrown(const water::HeadType& type) {
  const std::vector<double> key = {type.rated_flow_m3_per_s,
                                   type.rated_pressure_Pa,
                                   type.flow_exponent,
                                   type.dv10_m,
                                   type.dv50_m,
                                   type.dv90_m,
                                   type.spectrum_pressure_Pa,
                                   type.spectrum_exponent,
                                   static_cast<double>(type.launch),
                                   type.launch_angle_rad,
                                   type.wetted_diameter_m,
                                   type.wetted_height_m,
                                   type.launch_speed_m_per_s,
                                   type.blown_air_m3_per_s};
  const std::lock_guard lock(guard_);
  auto it = throws_.find(key);
  if (it == throws_.end()) it = throws_.emplace(key, droplet::fit_throw(type)).first;
  return it->second;
}

std::size_t Airflow::footprints() const {
  const std::lock_guard lock(guard_);
  return footprints_.size();
}

}  // namespace mistwright
