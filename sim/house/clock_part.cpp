#include "sim/house/clock_part.h"

#include <algorithm>

#include "sim/house/water_part.h"

namespace mistwright {
namespace {

/// The first moment after `from` and before `to` at which the wall clock is set forward or back.
std::optional<SimTime> clock_change(const CivilClock& civil, SimTime from, SimTime to) {
  if (!civil.daylight_saving) return std::nullopt;
  for (const std::int64_t utc_s : {civil.daylight_from_utc_s, civil.daylight_to_utc_s}) {
    const SimTime at = run_start + SimDuration{(utc_s - civil.start_utc_s) * 1'000'000};
    if (at > from && at < to) return at;
  }
  return std::nullopt;
}

}  // namespace

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
  // What was counted by the clock before it is set holds no longer after: look again there.
  if (const auto change = clock_change(shared_.house.civil, from, *first)) first = change;
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
