#pragma once
// From what was noted down during a run to a Record: the only place that names the datasets of a
// run.
#include <string>

#include "sim/house/assemble.h"
#include "sim/record/record.h"

namespace mistwright::record {

/// What is known of a run besides its physics.
struct Provenance {
  std::string version, compiler, started, ended;
  double wall_seconds = 0.0;
  int threads = 1;
  std::vector<std::uint64_t> hourly_state_hash;  ///< at each hour's end and at the run's
};

/// WithDrops: group `drops` too, for which drops are flown anew.
enum class Detail { Numbers, WithDrops };

/// The record of a finished run, without its verdict.
[[nodiscard]] Record record_run(HouseRun& run, const Provenance& provenance,
                                Detail detail = Detail::Numbers);

}  // namespace mistwright::record
