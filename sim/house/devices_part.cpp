#include "sim/house/devices_part.h"

#include "models/units.h"

namespace mistwright {

DevicesPart::DevicesPart(Shared& shared)
    : shared_(shared), sensor_(mean_air_temperature(shared.plan)) {
  wanted_.assign(count(), 1);
  const double temperature_K = shared.mean_air_temperature_K();
  for (std::size_t i = 0; i < count(); ++i) {
    if (thermostat(i)) wanted_[i] = thermostat(i)->next(false, temperature_K) ? 1 : 0;
  }
  settle(run_start);
  switchings_ = 0;
}

std::size_t DevicesPart::count() const {
  return shared_.house.fans.size() + shared_.house.openings.size() + 1;
}

const std::optional<control::Thermostat>& DevicesPart::thermostat(std::size_t device) const {
  const House& house = shared_.house;
  if (device < house.fans.size()) return house.fans[device].switched_by;
  device -= house.fans.size();
  if (device < house.openings.size()) return house.openings[device].opened_by;
  return house.structure.shade.drawn_by;
}

bool DevicesPart::held_off(std::size_t fan, SimTime now) const {
  const Fan& it = shared_.house.fans[fan];
  if (!it.off_while_misting) return false;
  if (shared_.valves_spraying > 0) return true;
  return shared_.last_spray_end > run_start &&
         now < shared_.last_spray_end + duration_up(it.off_after_burst_s);
}

DeviceState DevicesPart::wanted_state(SimTime now) const {
  const House& house = shared_.house;
  DeviceState devices;
  for (std::size_t i = 0; i < house.fans.size(); ++i) {
    devices.fan_on.push_back(wanted_[i] != 0 && !held_off(i, now) ? 1 : 0);
  }
  for (std::size_t i = 0; i < house.openings.size(); ++i) {
    const Opening& opening = house.openings[i];
    const bool open = opening.with_fan ? devices.fan_on[*opening.with_fan] != 0
                                       : wanted_[house.fans.size() + i] != 0;
    devices.opening_open.push_back(open ? 1 : 0);
  }
  return devices;
}

bool DevicesPart::settled(SimTime now) const {
  const DeviceState wanted = wanted_state(now);
  return wanted.fan_on == shared_.devices.fan_on &&
         wanted.opening_open == shared_.devices.opening_open &&
         (wanted_.back() != 0) == shared_.shade_drawn;
}

void DevicesPart::settle(SimTime now) {
  if (settled(now)) return;
  shared_.devices = wanted_state(now);
  shared_.shade_drawn = wanted_.back() != 0;
  shared_.coefficients_stale = true;
  ++switchings_;
}

std::optional<engine::Wake> DevicesPart::next_event(SimTime now) {
  if (!settled(now)) return engine::Wake{now, engine::Rank::Device, Settle};
  std::optional<engine::Wake> first;
  const auto offer = [&first](const engine::Wake& wake) {
    if (!first || wake.time < first->time) first = wake;
  };
  for (std::size_t i = 0; i < shared_.house.fans.size(); ++i) {
    const Fan& fan = shared_.house.fans[i];
    if (!fan.off_while_misting || shared_.valves_spraying > 0 ||
        shared_.last_spray_end == run_start)
      continue;
    const SimTime free = shared_.last_spray_end + duration_up(fan.off_after_burst_s);
    if (free > now) offer({free, engine::Rank::Device, Settle});
  }
  if (shared_.coefficients_stale || shared_.stretch.length_s() <= 0.0) return first;
  const double after_s = seconds(now - shared_.stretch_start);
  for (std::size_t i = 0; i < count(); ++i) {
    if (!thermostat(i)) continue;
    const bool on = wanted_[i] != 0;
    air::Affine over = sensor_;
    over.constant = -celsius(thermostat(i)->threshold_K(on));
    // A jump between stretches may have stepped over the threshold.
    const double now_value = over.value(shared_.air);
    if (on ? now_value <= 0.0 : now_value >= 0.0) {
      offer({now, engine::Rank::Device, Cross, static_cast<double>(i)});
      continue;
    }
    const auto t_s = shared_.stretch.crossing(over, !on, after_s);
    if (t_s) {
      offer({std::max(now, shared_.stretch_start + duration_up(*t_s)), engine::Rank::Device, Cross,
             static_cast<double>(i)});
    }
  }
  return first;
}

void DevicesPart::on_event(const engine::Event& event, engine::Effects& effects) {
  if (event.kind == Cross) {
    auto& wanted = wanted_[static_cast<std::size_t>(event.first)];
    wanted = wanted == 0 ? 1 : 0;
  }
  settle(event.time);
  effects.touch(climate_part);
}

void DevicesPart::state(engine::StateVisitor& visitor) {
  visitor.values(wanted_);
  visitor.value(switchings_);
  visitor.values(shared_.devices.fan_on);
  visitor.values(shared_.devices.opening_open);
  visitor.value(shared_.shade_drawn);
  visitor.value(shared_.coefficients_stale);
}

}  // namespace mistwright
