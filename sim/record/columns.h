#pragma once
// How the recorder fills a group: variables with their meaning and units, counters, times.
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "sim/house/assemble.h"
#include "sim/record/record.h"

namespace mistwright::record {

/// "2026-05-28T05:00:00Z"
[[nodiscard]] std::string utc_text(std::int64_t utc_s);

/// Adds variables to one group.
class Columns {
 public:
  explicit Columns(Group& group) : group_(group) {}

  Variable& add(const std::string& name, const std::string& meaning, const std::string& units,
                std::vector<std::string> dimensions, std::vector<double> values) {
    group_.variables.push_back({.name = name,
                                .long_name = meaning,
                                .units = units,
                                .dimensions = std::move(dimensions),
                                .values = std::move(values)});
    return group_.variables.back();
  }
  Variable& whole(const std::string& name, const std::string& meaning,
                  std::vector<std::string> dimensions, std::vector<double> values,
                  std::vector<std::string> flags = {}) {
    Variable& variable = add(name, meaning, "1", std::move(dimensions), std::move(values));
    variable.whole = true;
    variable.flag_meanings = std::move(flags);
    return variable;
  }

 private:
  Group& group_;
};

/// value(0), value(1), ...
[[nodiscard]] std::vector<double> made(std::size_t count,
                                       const std::function<double(std::size_t)>& value);

/// 0, 1, 2, ...
[[nodiscard]] std::vector<double> counting(std::size_t count);

/// A time coordinate from microseconds since the run's start.
void add_time(Columns& columns, HouseRun& run, const std::string& name,
              const std::vector<double>& time_us);

// The groups of a run, each by what it holds.
[[nodiscard]] Group bench_group(HouseRun& run);
[[nodiscard]] Group deposit_group(HouseRun& run);
/// Nothing when no head sprayed.
[[nodiscard]] std::optional<Group> drops_group(HouseRun& run);
[[nodiscard]] Group leaves_group(HouseRun& run);
[[nodiscard]] Group heads_group(HouseRun& run);
[[nodiscard]] Group network_group(HouseRun& run);
[[nodiscard]] Group water_group(HouseRun& run);

}  // namespace mistwright::record
