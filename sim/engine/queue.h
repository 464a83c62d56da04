#pragma once
// The event queue: a binary heap in (time, rank, sequence) order. Posting and popping cost O(log
// n); an event costs 64 bytes. A part's prediction is cancelled lazily: it carries the generation
// in which it was made, and a popped prediction of an older generation is skipped by the engine.
#include <optional>
#include <vector>

#include "sim/engine/event.h"
#include "sim/engine/state.h"

namespace mistwright::engine {

class Queue {
 public:
  void push(const Event& event);
  [[nodiscard]] const Event* top() const { return heap_.empty() ? nullptr : &heap_.front(); }
  Event pop();
  [[nodiscard]] std::size_t size() const { return heap_.size(); }
  void state(StateVisitor& visitor);

 private:
  std::vector<Event> heap_;
};

}  // namespace mistwright::engine
