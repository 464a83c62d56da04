#pragma once
// A clock in civil time: asks its programmes when their next bursts start and tells the water.
#include "sim/engine/part.h"
#include "sim/house/shared.h"

namespace mistwright {

class ClockPart final : public engine::Part {
 public:
  ClockPart(const Shared& shared, std::size_t clock)
      : shared_(shared), clock_(shared.house.clocks[clock]) {}

  std::optional<engine::Wake> next_event(SimTime now) override;
  void advance(SimTime, SimTime) override {}
  void on_event(const engine::Event& event, engine::Effects& effects) override;
  void state(engine::StateVisitor& visitor) override;
  [[nodiscard]] const char* name() const override { return clock_.name.c_str(); }

 private:
  const Shared& shared_;
  const Clock& clock_;
  SimTime fired_ = run_start - SimDuration{1};  ///< bursts up to here have been started
};

}  // namespace mistwright
