#pragma once
// The machine that carries a house through time.
//
// One step of advance_to(end):
//   take the first event e of the queue; if e.time > end, stop (nothing moves: the state stays that
//     of the last event, so where a run is split leaves no trace in it)
//   if e is a prediction of an older generation, drop it and go on
//   if e.time > now: every part advances in closed form from now to e.time; now = e.time
//   e's part acts on e
//   events that it posted enter the queue, in the order of posting
//   e's part and every part that it touched are asked again when they act next: their generation is
//     raised, which makes earlier answers stale, and the new answer enters the queue
//
// Rules, each with a test in tests/engine:
// 1. The order is (time, rank, sequence); see Rank in event.h.
// 2. A part asked again has at most one live prediction.
// 3. A predicted crossing is rounded up to the next microsecond (duration_up in time.h), so that it
//    has happened when its event runs: triggers hold on (t0, t1].
// 4. More than 1,000 events at one instant stop the run with the names of the parts that keep
//    waking each other.
// 5. Only the thread that calls advance_to touches the queue. Threads work inside one advance or
//    one on_event, and across runs.
#include <cstdint>
#include <functional>
#include <memory>
#include <set>
#include <stdexcept>
#include <vector>

#include "sim/engine/part.h"
#include "sim/engine/queue.h"

namespace mistwright::engine {

/// The run cannot go on: a fault of ours, with the part and the time.
class EngineError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

class Engine {
 public:
  /// Parts are numbered in the order given. Each is asked for its first event at the run's start.
  explicit Engine(std::vector<std::unique_ptr<Part>> parts);

  /// Runs every event up to and including `end`.
  /// @param keep_going asked between events; false stops the run after the present event
  /// @return whether the end was reached
  bool advance_to(SimTime end, const std::function<bool(SimTime)>& keep_going = {});

  [[nodiscard]] SimTime now() const { return now_; }
  [[nodiscard]] std::uint64_t events() const { return events_; }
  [[nodiscard]] std::size_t queued() const { return queue_.size(); }
  [[nodiscard]] Part& part(std::size_t index) { return *parts_[index]; }

  /// Everything that changes, for checkpoint, resume and hash.
  void state(StateVisitor& visitor);
  [[nodiscard]] std::uint64_t state_hash();

  /// Called with each event after it has run: for tests and the journal of events.
  std::function<void(const Event&)> observer;

 private:
  void ask(std::uint32_t part);
  void act(const Event& event);
  [[noreturn]] void stop_the_run() const;

  std::vector<std::unique_ptr<Part>> parts_;
  std::vector<std::uint32_t> generation_;
  Queue queue_;
  Effects effects_;
  SimTime now_ = run_start;
  std::uint64_t next_sequence_ = 0;
  std::uint64_t events_ = 0;
  std::uint32_t events_at_now_ = 0;
  std::set<std::uint32_t> busy_;  ///< who acted last at a crowded instant; for the message alone
};

}  // namespace mistwright::engine
