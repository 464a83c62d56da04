#pragma once
// The demonstration house made small enough to run in seconds: six hours about noon, coarse grids,
// few parcels. What is checked on it does not lean on how fine they are, or says so.
#include <memory>
#include <numeric>
#include <stdexcept>
#include <string>
#include <vector>

#include "sim/house/assemble.h"
#include "sim/scenario/read.h"

namespace mistwright::test {

/// @param more  settings laid over the small house's own
inline House small_house(const std::vector<std::string>& more = {}) {
  std::vector<std::string> settings = {
      "span.start=2025-06-03T09:00:00", "span.length=6 h",
      "numerics.parcels_per_class=100", "numerics.size_classes=12",
      "numerics.flow_cell=0.3 m",       "numerics.bench_cell=0.3 m"};
  settings.insert(settings.end(), more.begin(), more.end());
  auto read = scenario::read_file(MISTWRIGHT_SOURCE_DIR "/scenarios/demo.toml", settings);
  if (!read.house) throw std::runtime_error("the demonstration house does not read");
  return *std::move(read.house);
}

inline std::unique_ptr<HouseRun> run_whole(const House& house, int threads = 1,
                                           std::shared_ptr<Building> building = {}) {
  auto run = std::make_unique<HouseRun>(house, threads, std::move(building));
  run->engine().advance_to(run->end());
  return run;
}

inline double mean(const std::vector<double>& values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

/// The last of the maps of one kind.
inline std::vector<double> last_map(const HouseRun& run, const std::vector<double>& maps) {
  const auto cells = static_cast<std::ptrdiff_t>(run.plan().benches.cells.size());
  return {maps.end() - cells, maps.end()};
}

}  // namespace mistwright::test
