#include "sim/house/clock_part.h"

#include <algorithm>

#include "sim/house/water_part.h"

namespace mistwright {

std::optional<engine::Wake> ClockPart::next_event(SimTime now) {
  const SimTime from = std::max(now, fired_ + SimDuration{1});
  std::optional<SimTime> first;
  for (const control::Programme& programme : clock_.programmes) {
    const auto next = control::next_burst(programme, shared_.house.civil.time_of_day_us(from));
    if (!next) continue;
    const SimTime at = from + SimDuration{next->wait_us};
    if (!first || at < *first) first = at;
  }
  if (!first) return std::nullopt;
  return engine::Wake{*first, engine::Rank::Controller, 0};
}

void ClockPart::on_event(const engine::Event& event, engine::Effects& effects) {
  for (const control::Programme& programme : clock_.programmes) {
    const auto next =
        control::next_burst(programme, shared_.house.civil.time_of_day_us(event.time));
    if (!next || next->wait_us != 0) continue;
    effects.post(water_part, {event.time, engine::Rank::Device, WaterPart::Open,
                              static_cast<double>(next->burst_us) * 1e-6,
                              static_cast<double>(programme.valve)});
  }
  fired_ = event.time;
}

void ClockPart::state(engine::StateVisitor& visitor) {
  visitor.value(fired_);
}

}  // namespace mistwright
