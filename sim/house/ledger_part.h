#pragma once
// Strikes the balances every hour and at the end: liquid water, films, medium, what the heads
// sprayed, vapour, heat, and the leaves' loss against what the air was given.
#include "sim/engine/part.h"
#include "sim/house/climate_part.h"
#include "sim/house/crop_part.h"
#include "sim/house/frames.h"
#include "sim/house/water_part.h"

namespace mistwright {

class LedgerPart final : public engine::Part {
 public:
  LedgerPart(const Shared& shared, ClimatePart& climate, const CropPart& crop,
             const WaterPart& water, Frames& frames)
      : shared_(shared), climate_(climate), crop_(crop), water_(water), frames_(frames) {}

  std::optional<engine::Wake> next_event(SimTime now) override;
  void advance(SimTime, SimTime) override {}
  void on_event(const engine::Event& event, engine::Effects& effects) override;
  void state(engine::StateVisitor& visitor) override;
  [[nodiscard]] const char* name() const override { return "the ledger"; }

 private:
  [[nodiscard]] std::vector<engine::Balance> strike() const;
  [[nodiscard]] std::vector<engine::Balance> strike_water() const;
  [[nodiscard]] std::vector<engine::Balance> strike_air() const;
  [[nodiscard]] double line(air::Line which) const;

  const Shared& shared_;
  ClimatePart& climate_;
  const CropPart& crop_;
  const WaterPart& water_;
  Frames& frames_;
  SimTime struck_ = run_start;
};

}  // namespace mistwright
