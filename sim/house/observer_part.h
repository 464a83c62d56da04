#pragma once
// Notes down the house at set times: after everything else at that instant.
#include "sim/engine/part.h"
#include "sim/house/climate_part.h"
#include "sim/house/crop_part.h"
#include "sim/house/frames.h"
#include "sim/house/water_part.h"

namespace mistwright {

class ObserverPart final : public engine::Part {
 public:
  ObserverPart(const Shared& shared, const ClimatePart& climate, const CropPart& crop,
               const WaterPart& water, Frames& frames);

  std::optional<engine::Wake> next_event(SimTime now) override;
  void advance(SimTime, SimTime) override {}
  void on_event(const engine::Event& event, engine::Effects& effects) override;
  void state(engine::StateVisitor& visitor) override;
  [[nodiscard]] const char* name() const override { return "the recorder"; }

 private:
  void put(Series column, double value);
  void note_series(SimTime now);
  void note_air();
  void note_leaves();
  void note_surfaces();
  void note_maps(SimTime now);

  const Shared& shared_;
  const ClimatePart& climate_;
  const CropPart& crop_;
  const WaterPart& water_;
  Frames& frames_;
  SimTime next_series_ = run_start, next_map_ = run_start;
};

}  // namespace mistwright
