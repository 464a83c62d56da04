#pragma once
// From the description to something that runs: the plan, the airflow, the parts and the engine.
#include <memory>

#include "sim/engine/engine.h"
#include "sim/house/climate_part.h"
#include "sim/house/crop_part.h"
#include "sim/house/devices_part.h"
#include "sim/house/frames.h"
#include "sim/house/shared.h"
#include "sim/house/water_part.h"

namespace mistwright {

/// A building whose airflow and footprints several runs may share.
struct Building {
  /// @param store  where the airflow's fields are kept between runs; null: nowhere
  explicit Building(const House& described, std::shared_ptr<FieldStore> store = {});
  Building(const Building&) = delete;
  Building& operator=(const Building&) = delete;

  House house;  ///< a copy: what the airflow is computed from must not change
  Plan plan;
  Airflow airflow;
};

/// Whether two houses have the same walls, benches, openings, fans, crop, grid and reference wind,
/// so that one's airflow serves the other. Clocks, thermostats, heads, supply and shade may differ.
[[nodiscard]] bool same_building(const House& a, const House& b);

class HouseRun {
 public:
  /// @param building of a house for which same_building() holds; absent: made anew
  HouseRun(const House& described, int threads, std::shared_ptr<Building> building = {});
  HouseRun(const HouseRun&) = delete;
  HouseRun& operator=(const HouseRun&) = delete;

  engine::Engine& engine() { return *engine_; }
  [[nodiscard]] const House& house() const { return house_; }
  [[nodiscard]] const Plan& plan() const { return building_->plan; }
  [[nodiscard]] Airflow& airflow() { return building_->airflow; }
  [[nodiscard]] const std::shared_ptr<Building>& building() const { return building_; }
  [[nodiscard]] const Frames& frames() const { return frames_; }
  [[nodiscard]] const Shared& shared() const { return shared_; }
  [[nodiscard]] const CropPart& crop() const { return *crop_; }
  [[nodiscard]] const WaterPart& water() const { return *water_; }
  [[nodiscard]] const ClimatePart& climate() const { return *climate_; }
  [[nodiscard]] const Waterworks& works() const { return works_; }
  [[nodiscard]] SimTime end() const { return run_start + house_.span; }

  /// The whole state as bytes, and back. What was noted down so far (frames) stays as it is.
  [[nodiscard]] std::vector<std::uint8_t> save();
  void restore(const std::vector<std::uint8_t>& bytes);

 private:
  House house_;
  std::shared_ptr<Building> building_;
  Waterworks works_;
  Frames frames_;
  Shared shared_;
  ClimatePart* climate_ = nullptr;
  CropPart* crop_ = nullptr;
  WaterPart* water_ = nullptr;
  std::unique_ptr<engine::Engine> engine_;
};

}  // namespace mistwright
