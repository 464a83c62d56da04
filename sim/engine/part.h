#pragma once
// What the engine asks of a part of the house that lives in simulated time: four questions. Parts
// never see the queue.
#include <cstdint>
#include <optional>
#include <vector>

#include "sim/engine/event.h"
#include "sim/engine/state.h"

namespace mistwright::engine {

/// When a part will act of itself, and as what.
struct Wake {
  SimTime time{};
  Rank rank = Rank::Weather;
  std::uint32_t kind = 0;
  double first = 0.0, second = 0.0;
};

/// What an event did besides changing its own part: events for others, parts whose inputs changed.
class Effects {
 public:
  void post(std::uint32_t part, const Wake& wake) { posted_.push_back({part, wake}); }
  void touch(std::uint32_t part) { touched_.push_back(part); }

  struct Posted {
    std::uint32_t part;
    Wake wake;
  };
  [[nodiscard]] const std::vector<Posted>& posted() const { return posted_; }
  [[nodiscard]] const std::vector<std::uint32_t>& touched() const { return touched_; }
  void clear() {
    posted_.clear();
    touched_.clear();
  }

 private:
  std::vector<Posted> posted_;
  std::vector<std::uint32_t> touched_;
};

class Part {
 public:
  Part() = default;
  Part(const Part&) = delete;
  Part& operator=(const Part&) = delete;
  virtual ~Part() = default;

  /// If nothing else happens: when do you act next, after now? Never: nullopt.
  [[nodiscard]] virtual std::optional<Wake> next_event(SimTime now) = 0;
  /// Move your state in closed form. No event of yours lies strictly inside (from, to).
  virtual void advance(SimTime from, SimTime to) = 0;
  /// Act at the event's instant.
  virtual void on_event(const Event& event, Effects& effects) = 0;
  /// Walk all that changes.
  virtual void state(StateVisitor& visitor) = 0;
  /// For messages.
  [[nodiscard]] virtual const char* name() const = 0;
};

}  // namespace mistwright::engine
