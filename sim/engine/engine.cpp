#include "sim/engine/engine.h"

#include <string>

#include "models/contracts.h"

namespace mistwright::engine {

namespace {
constexpr std::uint32_t most_events_at_one_instant = 1000;
/// Of those, the last that are looked at for the names of the parts that wake each other.
constexpr std::uint32_t looked_at = 100;
}  // namespace

Engine::Engine(std::vector<std::unique_ptr<Part>> parts)
    : parts_(std::move(parts)), generation_(parts_.size(), 0) {
  for (std::uint32_t i = 0; i < parts_.size(); ++i) ask(i);
}

void Engine::ask(std::uint32_t part) {
  const std::uint32_t generation = ++generation_[part];
  const auto wake = parts_[part]->next_event(now_);
  if (!wake) return;
  ENSURE(wake->time >= now_);
  queue_.push({wake->time, wake->rank, next_sequence_++, part, wake->kind, generation, wake->first,
               wake->second});
}

void Engine::act(const Event& event) {
  effects_.clear();
  parts_[event.part]->on_event(event, effects_);
  for (const auto& [part, wake] : effects_.posted()) {
    ENSURE(wake.time >= now_);
    queue_.push(
        {wake.time, wake.rank, next_sequence_++, part, wake.kind, 0, wake.first, wake.second});
  }
  ask(event.part);
  for (std::size_t i = 0; i < effects_.touched().size(); ++i) {
    const std::uint32_t part = effects_.touched()[i];
    bool asked = part == event.part;
    for (std::size_t j = 0; j < i && !asked; ++j) asked = effects_.touched()[j] == part;
    if (!asked) ask(part);
  }
}

void Engine::stop_the_run() const {
  std::string names;
  for (const std::uint32_t part : busy_) {
    names += std::string(names.empty() ? "" : ", ") + parts_[part]->name();
  }
  throw EngineError("parts keep waking each other at " + std::to_string(seconds(now_ - run_start)) +
                    " s: " + names);
}

bool Engine::advance_to(SimTime end, const std::function<bool(SimTime)>& keep_going) {
  while (const Event* next = queue_.top()) {
    if (next->time > end) break;
    const Event event = queue_.pop();
    if (event.generation != 0 && event.generation != generation_[event.part]) continue;
    if (event.time > now_) {
      for (const auto& part : parts_) part->advance(now_, event.time);
      now_ = event.time;
      events_at_now_ = 0;
      busy_.clear();
    }
    if (++events_at_now_ > most_events_at_one_instant) stop_the_run();
    if (events_at_now_ + looked_at > most_events_at_one_instant) busy_.insert(event.part);
    act(event);
    ++events_;
    if (observer) observer(event);
    if (keep_going && !keep_going(now_)) return false;
  }
  return true;
}

void Engine::state(StateVisitor& visitor) {
  visitor.value(now_);
  visitor.value(next_sequence_);
  visitor.value(events_);
  visitor.value(events_at_now_);
  visitor.values(generation_);
  queue_.state(visitor);
  for (const auto& part : parts_) part->state(visitor);
}

std::uint64_t Engine::state_hash() {
  StateHash hash;
  state(hash);
  return hash.hash();
}

}  // namespace mistwright::engine
