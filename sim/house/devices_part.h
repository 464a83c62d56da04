#pragma once
// Fans, vents, louvres and shade: thermostats on the mean air temperature, whose crossings are
// roots of the air's closed form; louvres that follow a fan; fans held off while mist is in the
// air.
#include <vector>

#include "sim/engine/part.h"
#include "sim/house/shared.h"

namespace mistwright {

class DevicesPart final : public engine::Part {
 public:
  explicit DevicesPart(Shared& shared);

  std::optional<engine::Wake> next_event(SimTime now) override;
  void advance(SimTime, SimTime) override {}
  void on_event(const engine::Event& event, engine::Effects& effects) override;
  void state(engine::StateVisitor& visitor) override;
  [[nodiscard]] const char* name() const override { return "fans and vents"; }

  enum Kind : std::uint32_t { Cross, Settle };
  [[nodiscard]] std::uint64_t switchings() const { return switchings_; }

 private:
  [[nodiscard]] const std::optional<control::Thermostat>& thermostat(std::size_t device) const;
  [[nodiscard]] std::size_t count() const;
  [[nodiscard]] bool held_off(std::size_t fan, SimTime now) const;
  void settle(SimTime now);
  [[nodiscard]] bool settled(SimTime now) const;
  [[nodiscard]] DeviceState wanted_state(SimTime now) const;

  Shared& shared_;
  air::Affine sensor_;
  std::vector<std::uint8_t>
      wanted_;  ///< by fan, opening, then the shade: what the thermostats ask for
  std::uint64_t switchings_ = 0;
};

}  // namespace mistwright
