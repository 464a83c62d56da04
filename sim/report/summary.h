#pragma once
// A run in a handful of numbers, all computed from its record: what the verdict speaks of and what
// runs are compared by. Amounts of a run longer than a day are means per day.
#include <array>
#include <optional>
#include <string>

#include "sim/record/record.h"

namespace mistwright::report {

/// Where the water that left the heads ended.
enum class Fate { Leaves, Medium, Floor, Walls, Cover, Air, Out };
inline constexpr std::size_t fate_count = 7;

/// A cell of the bench map and how long its leaves were dry, mean over them.
struct Corner {
  std::string words;
  double x_m = 0.0, y_m = 0.0;
  double dry_s = 0.0;
};

struct LastHead {
  std::string name;
  double pressure_Pa = 0.0, working_low_Pa = 0.0, working_high_Pa = 0.0;
  double told_s = 0.0, sprays_s = 0.0;  ///< of a usual burst
};

struct Summary {
  std::string house_name;
  double days_number = 1.0;    ///< one for a run that is shorter
  double part_of_day_s = 0.0;  ///< the length of a run shorter than a day; else 0
  bool by_days = false;        ///< longer than a day: hours are told with their day
  double outside_hottest_K = 0.0;

  Corner worst, best;
  /// Its longest dry stretch, hours since the midnight before the run as all hours here; equal when
  /// the worst corner never dries.
  double worst_from_h = 0.0, worst_to_h = 0.0;
  double mean_dry_s = 0.0;               ///< over the benches
  double dry_leaf_share_fraction = 0.0;  ///< leaves dry for longer than `counts_from_s`

  double peak_loss_hour_h = 0.0;     ///< start of the hour in which leaves ask for most
  double peak_loss_kg_per_m2 = 0.0;  ///< per bench area in that hour
  double mist_then_kg_per_m2 = 0.0;  ///< mist that lands on the bench in that hour
  /// Mist on the worst corner's leaves over the mean of the benches; absent where none landed.
  std::optional<double> worst_gets_ratio;

  std::optional<LastHead> last_head;

  double water_kg = 0.0;  ///< that left the heads
  std::array<double, fate_count> fate_fraction{};
  double medium_gets_kg_per_m2 = 0.0;  ///< per bench area
  double soggy_s = 0.0;                ///< mean over the benches
  double soggiest_s = 0.0;             ///< wettest cell

  double hottest_leaf_K = 0.0, hottest_hour_h = 0.0;
  double driest_air_Pa = 0.0;               ///< greatest vapour pressure deficit in the house
  double worst_audit_relative_ratio = 0.0;  ///< largest residual over what came in
};

/// @param counts_from_s a leaf counts as dry when it was for longer than this a day
/// @throws std::out_of_range  see expect_needed
[[nodiscard]] Summary summarise(const record::Record& record, double counts_from_s = 600.0);

/// Hours since the midnight before the run, by the wall clock, for a time variable in microseconds
/// since an instant (UTC); the clock's offset is what `provenance` keeps as `local_offset_s`.
[[nodiscard]] std::vector<double> hours_since_midnight(const record::Record& record,
                                                       const record::Variable& time);

/// The same as hours of the day, 0 to 24.
[[nodiscard]] std::vector<double> local_hours(const record::Record& record,
                                              const record::Variable& time);

}  // namespace mistwright::report
