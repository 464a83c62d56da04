#include "sim/engine/queue.h"

#include <algorithm>

namespace mistwright::engine {

namespace {
bool later(const Event& a, const Event& b) {
  return before(b, a);
}
}  // namespace

void Queue::push(const Event& event) {
  heap_.push_back(event);
  std::push_heap(heap_.begin(), heap_.end(), later);
}

Event Queue::pop() {
  std::pop_heap(heap_.begin(), heap_.end(), later);
  const Event event = heap_.back();
  heap_.pop_back();
  return event;
}

void Queue::state(StateVisitor& visitor) {
  // Field by field: an Event has padding, whose bytes are not part of the state.
  auto count = static_cast<std::uint64_t>(heap_.size());
  visitor.value(count);
  if (visitor.loading()) heap_.resize(count);
  for (Event& event : heap_) {
    visitor.value(event.time);
    visitor.value(event.rank);
    visitor.value(event.sequence);
    visitor.value(event.part);
    visitor.value(event.kind);
    visitor.value(event.generation);
    visitor.value(event.first);
    visitor.value(event.second);
  }
}

}  // namespace mistwright::engine
