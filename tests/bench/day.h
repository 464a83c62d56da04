#pragma once
// One day of the demonstration house with any number of leaves, cut so that several solvers can be
// given the very same work: what the bursts land is recorded once from a whole run and handed to
// each of them, so that flying drops, airflow and pipes are in nobody's time.
#include <cstddef>
#include <memory>
#include <vector>

#include "sim/house/assemble.h"

namespace mistwright::bench {

/// What a burst gives at the instant its valve has shut.
struct Landing {
  SimTime time{};
  Deposit deposit;
  Impulse impulse;
};

struct Day {
  std::shared_ptr<Building> building;
  std::vector<Landing> landings;
  [[nodiscard]] const House& house() const { return building->house; }
  [[nodiscard]] double span_s() const { return seconds(house().span); }
};

/// How a day departs from the demonstration's.
struct DayChoice {
  double leaves_number = 20000.0;  ///< cuttings are added and leaves made smaller: the area stays
  double span_s = 86400.0;
  double start_hour = 0.0;     ///< on the demonstration's date
  double burst_every_s = 0.0;  ///< 0: as in the demonstration
  std::size_t heads_more = 1;  ///< heads in the place of each one
  double air_step_s = 0.0;     ///< 0: as in the demonstration
  bool fan_rests = false;      ///< its thermostat is set hotter than it ever gets
};

/// The house alone. Few parcels: where drops land is not what is measured.
[[nodiscard]] House demonstration(const DayChoice& choice);

/// Runs the house once for its landings.
[[nodiscard]] Day record_day(const DayChoice& choice);

/// What a solver says of the day.
struct Answer {
  std::vector<double> air_K;    ///< mean air temperature, every minute
  std::vector<double> dry_s;    ///< by leaf, in the plan's order
  std::vector<double> depth_m;  ///< [half hour][leaf]
  std::size_t switchings = 0;   ///< of the fan
  std::size_t steps = 0;        ///< of the solver; stretches of the engine
  std::size_t rates = 0;        ///< evaluations of the balances' coefficients
};
inline constexpr double sample_every_s = 60.0;
inline constexpr double map_every_s = 1800.0;

/// The house's own parts for air, leaves and fan, with the landings read from the record in place
/// of the water part. No ledger, no series.
class EngineDay {
 public:
  /// @param sampled  whether the mean air temperature is looked at every minute
  explicit EngineDay(const Day& day, bool sampled = false);
  void run();
  /// The fan's switchings so far, and the temperatures seen.
  [[nodiscard]] std::size_t switchings() const { return devices_->switchings(); }
  [[nodiscard]] const std::vector<double>& air_K() const { return air_K_; }
  [[nodiscard]] const Shared& shared() const { return shared_; }
  [[nodiscard]] const CropPart& crop() const { return *crop_; }
  [[nodiscard]] const ClimatePart& climate() const { return *climate_; }
  [[nodiscard]] engine::Engine& engine() { return *engine_; }

 private:
  Shared shared_;
  ClimatePart* climate_ = nullptr;
  CropPart* crop_ = nullptr;
  DevicesPart* devices_ = nullptr;
  std::unique_ptr<engine::Engine> engine_;
  std::vector<double> air_K_;
};

/// The engine's answer: films and dry times from a run of its own, temperatures from one that is
/// looked at every minute.
[[nodiscard]] Answer engine_answer(const Day& day);

/// How far an answer is from another of the same day.
struct Errors {
  double air_rms_K = 0.0, air_max_K = 0.0;
  double film_max_m = 0.0, film_mean_m = 0.0;  ///< over leaves and half hours
  double dry_mean_s = 0.0, dry_max_s = 0.0;    ///< over leaves
};
[[nodiscard]] Errors errors(const Answer& answer, const Answer& reference);

}  // namespace mistwright::bench
