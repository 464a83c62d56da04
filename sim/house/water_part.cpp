#include "sim/house/water_part.h"

#include <algorithm>
#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/contracts.h"
#include "models/units.h"

namespace mistwright {

Waterworks::Waterworks(const House& house) : house_(house) {
  for (const PlacedHead& head : house.heads) {
    heads_.push_back({head.node, &house.head_types[head.type], head.z_m});
  }
}

water::Hydraulics Waterworks::solve(const std::vector<bool>& open) const {
  return water::solve(house_.network, heads_, open, house_.network.supply.temperature_K);
}

ZoneAlone Waterworks::alone(std::uint32_t valve, double burst_s) const {
  std::vector<bool> open(house_.network.valves.size(), false);
  open[valve] = true;
  ZoneAlone zone;
  zone.hydraulics = solve(open);
  zone.burst_s = burst_s;
  zone.windows = water::spray_windows(house_.network, heads_, valve, zone.hydraulics, burst_s);
  return zone;
}

double longest_burst_s(const House& house, std::uint32_t valve) {
  std::int64_t longest = 0;
  for (const Clock& clock : house.clocks) {
    for (const auto& programme : clock.programmes) {
      if (programme.valve != valve) continue;
      for (const auto& band : programme.bands) longest = std::max(longest, band.burst_us);
    }
  }
  return static_cast<double>(longest) * 1e-6;
}

droplet::Launch head_launch(Airflow& airflow, const House& house, std::uint32_t head,
                            double pressure_Pa) {
  const PlacedHead& placed = house.heads[head];
  const water::HeadType& type = house.head_types[placed.type];
  return droplet::launch_at(type, pressure_Pa, airflow.thrown(type),
                            {placed.x_m, placed.y_m, placed.z_m}, airflow.drop_air(),
                            induced_air_lasts_s);
}

std::vector<Sprayed> typical_burst(Airflow& airflow, const Waterworks& works, std::uint32_t valve,
                                   const droplet::SizeClasses& classes) {
  const House& house = works.house();
  const ZoneAlone zone = works.alone(valve, longest_burst_s(house, valve));
  std::vector<Sprayed> sprayed;
  for (std::uint32_t h = 0; h < house.heads.size(); ++h) {
    if (house.heads[h].valve != valve || zone.hydraulics.head_flow_m3_per_s[h] <= 0.0) continue;
    const double pressure = zone.hydraulics.head_pressure_Pa[h];
    Sprayed one{h,
                head_launch(airflow, house, h, pressure),
                zone.windows[h].spray_s(),
                class_shares(house.head_types[house.heads[h].type], pressure, classes),
                {}};
    one.enough_noise_ratio = class_noise(one.class_kg, house.numerics.deposit_noise_ratio);
    const double mass =
        zone.hydraulics.head_flow_m3_per_s[h] * water_density_kg_per_m3 * one.spray_s;
    for (double& share : one.class_kg) share *= mass;
    sprayed.push_back(std::move(one));
  }
  return sprayed;
}

WaterPart::WaterPart(Shared& shared, const Waterworks& works, droplet::SizeClasses classes)
    : shared_(shared), works_(works), classes_(std::move(classes)) {
  const std::size_t heads = shared.house.heads.size();
  valves_.resize(shared.house.network.valves.size());
  for (auto* list : {&head_flow_m3_per_s_, &launch_pressure_Pa_, &head_start_s_, &head_stop_s_}) {
    list->assign(heads, 0.0);
  }
  sprayed_kg_.assign(heads * classes_.count(), 0.0);
  shares_.resize(heads);
  ledger_.fate_by_class_kg.assign(water_fates, std::vector<engine::Sum>(classes_.count()));
  for (auto& map : ledger_.leaves_by_size_kg)
    map.assign(size_groups * shared.plan.benches.cells.size(), 0.0);
}

/// Adds what the heads sprayed since last asked, at the flows that held.
void WaterPart::spray_until(SimTime now) {
  const double from_s = seconds(sprayed_until_ - run_start);
  const double to_s = seconds(now - run_start);
  for (std::size_t h = 0; h < head_flow_m3_per_s_.size(); ++h) {
    if (valves_[shared_.house.heads[h].valve].open == 0) continue;
    const double spray_s = std::min(to_s, head_stop_s_[h]) - std::max(from_s, head_start_s_[h]);
    if (spray_s <= 0.0 || head_flow_m3_per_s_[h] <= 0.0) continue;
    const double mass = head_flow_m3_per_s_[h] * water_density_kg_per_m3 * spray_s;
    for (std::size_t k = 0; k < classes_.count(); ++k) {
      sprayed_kg_[h * classes_.count() + k] += mass * shares_[h][k];
    }
    ledger_.sprayed_kg.add(mass);
    ledger_.drawn_kg.add(mass);
  }
  sprayed_until_ = now;
}

void WaterPart::solve_network() {
  std::vector<bool> open(valves_.size());
  for (std::size_t v = 0; v < valves_.size(); ++v) open[v] = valves_[v].open != 0;
  const water::Hydraulics hydraulics = works_.solve(open);
  head_flow_m3_per_s_ = hydraulics.head_flow_m3_per_s;
  for (std::size_t h = 0; h < head_flow_m3_per_s_.size(); ++h) {
    if (head_flow_m3_per_s_[h] <= 0.0) continue;
    shares_[h] = class_shares(shared_.house.head_types[shared_.house.heads[h].type],
                              hydraulics.head_pressure_Pa[h], classes_);
  }
}

void WaterPart::open(std::uint32_t valve, double burst_s, SimTime now, engine::Effects& effects) {
  spray_until(now);
  if (valves_[valve].open != 0)
    return;  // a burst that overtakes the last one of its own valve is swallowed
  valves_[valve] = {1, now, burst_s};
  ++shared_.valves_spraying;
  ++bursts_;
  solve_network();
  const ZoneAlone zone = works_.alone(valve, burst_s);
  double last_s = 0.0;
  for (std::size_t h = 0; h < shared_.house.heads.size(); ++h) {
    if (shared_.house.heads[h].valve != valve) continue;
    launch_pressure_Pa_[h] = zone.hydraulics.head_pressure_Pa[h];
    head_start_s_[h] = seconds(now - run_start) + zone.windows[h].start_s;
    head_stop_s_[h] =
        seconds(now - run_start) + std::max(zone.windows[h].start_s, zone.windows[h].stop_s);
    last_s = std::max(last_s, zone.windows[h].stop_s);
  }
  last_s = std::max(last_s, burst_s + shared_.house.network.valves[valve].closing_delay_s);
  effects.post(water_part, {now + duration_up(last_s), engine::Rank::Deposition, Shut, 0.0,
                            static_cast<double>(valve)});
  effects.touch(devices_part);
}

void WaterPart::shut(std::uint32_t valve, SimTime now, engine::Effects& effects) {
  spray_until(now);
  const double burst_s = valves_[valve].told_s;
  std::vector<Sprayed> sprayed;
  double total_kg = 0.0;
  for (std::uint32_t h = 0; h < shared_.house.heads.size(); ++h) {
    if (shared_.house.heads[h].valve != valve) continue;
    const auto first = sprayed_kg_.begin() + static_cast<std::ptrdiff_t>(h * classes_.count());
    const auto last = first + static_cast<std::ptrdiff_t>(classes_.count());
    double mass = 0.0;
    for (auto it = first; it != last; ++it) mass += *it;
    if (mass <= 0.0) continue;
    total_kg += mass;
    // Launched as the zone does by itself: pressure changes in the burst count in flow and
    // spectrum.
    sprayed.push_back({h, head_launch(shared_.airflow, shared_.house, h, launch_pressure_Pa_[h]),
                       head_stop_s_[h] - head_start_s_[h], std::vector<double>(first, last),
                       class_noise(shares_[h], shared_.house.numerics.deposit_noise_ratio)});
    std::fill(first, last, 0.0);
  }
  valves_[valve].open = 0;
  --shared_.valves_spraying;
  shared_.last_spray_end = now;
  const double drained_kg =
      water::wasted_m3(shared_.house.network, works_.heads(), valve, burst_s) *
      water_density_kg_per_m3;
  ledger_.drawn_kg.add(drained_kg);
  ledger_.drained_lines_kg.add(drained_kg);
  solve_network();
  if (!sprayed.empty()) {
    const Landed landed = land(shared_, classes_, sprayed);
    book(landed);
    ledger_.misted_s.resize(shared_.slots.size());
    ledger_.misted_s[shared_.slot].add(burst_s);
    give_to_air(landed, total_kg);
    shared_.deposit.add(landed);
    effects.post(crop_part, {now, engine::Rank::Deposition, 0});
  }
  effects.touch(devices_part);
}

namespace {

RegimeSpray& of_regime(std::vector<RegimeSpray>& sprays, std::uint64_t key) {
  const auto it = std::find_if(sprays.begin(), sprays.end(),
                               [&](const RegimeSpray& spray) { return spray.regime == key; });
  if (it != sprays.end()) return *it;
  sprays.push_back({key});
  return sprays.back();
}

}  // namespace

void WaterPart::book(const Landed& landed) {
  for (std::size_t fate = 0; fate < water_fates; ++fate) {
    for (std::size_t k = 0; k < classes_.count(); ++k) {
      ledger_.fate_by_class_kg[fate][k].add(landed.fate_by_class_kg[fate][k]);
    }
  }
  const auto& fans = shared_.devices.fan_on;
  const std::size_t blown = std::any_of(fans.begin(), fans.end(), [](auto on) { return on != 0; });
  ++ledger_.bursts_landed[blown];
  for (std::size_t i = 0; i < landed.leaves_by_size_kg.size(); ++i)
    ledger_.leaves_by_size_kg[blown][i] += landed.leaves_by_size_kg[i];
  RegimeSpray& flown = of_regime(ledger_.by_regime, shared_.devices.key());
  for (const auto& fate : landed.fate_by_class_kg)
    for (const double kg : fate) flown.sprayed_kg += kg;
  flown.drying_kg_m2_per_s += landed.drying_kg_m2_per_s;
  for (const double kg : landed.evaporated_kg) ledger_.evaporated_kg.add(kg);
  for (const double kg : landed.layer_kg) ledger_.to_leaves_kg.add(kg);
  for (const double kg : landed.medium_kg) ledger_.to_medium_kg.add(kg);
  ledger_.out_kg.add(landed.out_kg);
  ledger_.surfaces_kg.add(landed.floor_kg + landed.wall_kg + landed.cover_kg);
  ledger_.worst_dense_correction_fraction =
      std::max(ledger_.worst_dense_correction_fraction, landed.last_correction_fraction);
  ledger_.worst_deposit_noise_ratio =
      std::max(ledger_.worst_deposit_noise_ratio, landed.noise_ratio);
}

namespace {

double wet_bulb_K(const Shared& shared, std::size_t cell) {
  const double pressure_Pa = shared.plan.fixed.pressure_Pa;
  const double temperature_K = kelvin(shared.air[air::state_index(cell, air::CellState::Air)]);
  const double full = air::humidity_ratio(air::saturation_pressure_Pa(temperature_K), pressure_Pa);
  const double humidity = shared.air[air::state_index(cell, air::CellState::Humidity)];
  return air::wet_bulb_K({temperature_K, std::clamp(humidity, 0.0, full), pressure_Pa});
}

/// Water of a burst in one cell's air.
struct InAir {
  double mass_kg = 0.0, dried_kg = 0.0;
  double temperature_C = 0.0;  ///< at the heads
};

/// Heat that water takes from a cell's air besides the balance's own latent heat: it comes to the
/// wet bulb, dries there, and its vapour warms to the air. The balance keeps the heat capacity and
/// the latent heat of one state; with what these miss the air moves along moist air's enthalpy
/// (ASHRAE 2017 chapter 1 equation 30).
double taken_from_air_J(const Shared& shared, std::size_t cell, const InAir& water) {
  const air::HouseFixed& fixed = shared.plan.fixed;
  const double air_K = kelvin(shared.air[air::state_index(cell, air::CellState::Air)]);
  const double bulb_K = wet_bulb_K(shared, cell);
  const double taken_J =
      water.mass_kg * heat_capacity_water_J_per_kg_K * (celsius(bulb_K) - water.temperature_C) +
      water.dried_kg *
          (air::latent_heat_J_per_kg(bulb_K) + heat_capacity_vapour_J_per_kg_K * (air_K - bulb_K));
  const double humidity = shared.air[air::state_index(cell, air::CellState::Humidity)] +
                          water.dried_kg / fixed.air_mass_kg[cell];
  const double capacity_J_per_kg_K =
      heat_capacity_dry_air_J_per_kg_K + humidity * heat_capacity_vapour_J_per_kg_K;
  return taken_J * fixed.heat_capacity_air_J_per_kg_K / capacity_J_per_kg_K -
         water.dried_kg * fixed.latent_heat_J_per_kg;
}

}  // namespace

/// Vapour, and the heat that brings the water to the temperature of what it meets.
void WaterPart::give_to_air(const Landed& landed, double sprayed_kg) {
  const air::HouseFixed& fixed = shared_.plan.fixed;
  const double water_C = celsius(shared_.house.network.supply.temperature_K);
  double floor = 0.0;
  double cover = 0.0;
  double benches = 0.0;
  for (std::size_t c = 0; c < fixed.cells; ++c) {
    floor += fixed.floor_area_m2[c];
    cover += fixed.cover_area_m2[c];
    benches += fixed.bench_area_m2[c];
  }
  double medium_kg = 0.0;
  for (const double kg : landed.medium_kg) medium_kg += kg;
  const double in_air_kg = sprayed_kg - medium_kg;
  for (std::size_t c = 0; c < fixed.cells; ++c) {
    shared_.impulse.vapour_kg[c] += landed.evaporated_kg[c];
    // A drop of 0.15 mm comes to its wet bulb within half a second of flight, with heat of the air.
    const double air_share = fixed.bench_area_m2[c] / benches;
    shared_.impulse.air_heat_J[c] +=
        taken_from_air_J(shared_, c, {air_share * in_air_kg, landed.evaporated_kg[c], water_C});
    if (fixed.bench_area_m2[c] > 0.0) {
      shared_.impulse.medium_heat_J[c] +=
          air_share * medium_kg * heat_capacity_water_J_per_kg_K *
          (shared_.air[air::state_index(c, air::CellState::Medium)] - water_C);
    }
    shared_.impulse.cover_water_kg[c] +=
        (landed.cover_kg + landed.wall_kg) * fixed.cover_area_m2[c] / cover;
    shared_.impulse.floor_water_kg[c] += landed.floor_kg * fixed.floor_area_m2[c] / floor;
  }
  shared_.impulse_waiting = true;
  shared_.coefficients_stale = true;
}

void WaterPart::on_event(const engine::Event& event, engine::Effects& effects) {
  const auto valve = static_cast<std::uint32_t>(event.second);
  if (event.kind == Open) {
    open(valve, event.first, event.time, effects);
  } else {
    shut(valve, event.time, effects);
  }
}

void WaterPart::state(engine::StateVisitor& visitor) {
  for (auto* sum :
       {&ledger_.drawn_kg, &ledger_.sprayed_kg, &ledger_.drained_lines_kg, &ledger_.evaporated_kg,
        &ledger_.out_kg, &ledger_.surfaces_kg, &ledger_.to_leaves_kg, &ledger_.to_medium_kg}) {
    sum->state(visitor);
  }
  for (auto& row : ledger_.fate_by_class_kg) {
    for (auto& sum : row) sum.state(visitor);
  }
  visitor.value(ledger_.worst_dense_correction_fraction);
  visitor.value(ledger_.worst_deposit_noise_ratio);
  for (auto& map : ledger_.leaves_by_size_kg) visitor.values(map);
  for (auto& bursts : ledger_.bursts_landed) visitor.value(bursts);
  ledger_.misted_s.resize(shared_.slots.size());
  for (auto& sum : ledger_.misted_s) sum.state(visitor);
  visitor.values(ledger_.by_regime);
  for (Burst& burst : valves_) {
    visitor.value(burst.open);
    visitor.value(burst.command);
    visitor.value(burst.told_s);
  }
  for (auto* list :
       {&head_flow_m3_per_s_, &launch_pressure_Pa_, &head_start_s_, &head_stop_s_, &sprayed_kg_}) {
    visitor.values(*list);
  }
  for (auto& list : shares_) visitor.values(list);
  visitor.value(sprayed_until_);
  visitor.value(bursts_);
  visitor.value(shared_.valves_spraying);
  visitor.value(shared_.last_spray_end);
  // A run may be saved between a valve's closing and the leaves' taking its water.
  visitor.values(shared_.deposit.layer_kg);
  visitor.values(shared_.deposit.medium_kg);
}

}  // namespace mistwright
