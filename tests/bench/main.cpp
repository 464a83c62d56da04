// Benchmarks: one day by the engine and by other solvers, how cost grows, and single parts.
// `--peak LEAVES` runs one day of a whole house and prints the peak memory of the process instead.
#include <benchmark/benchmark.h>
#include <fmt/format.h>
#include <sys/resource.h>

#include <cstdlib>
#include <map>
#include <string>

#include "tests/bench/bench.h"

using namespace mistwright;
using namespace mistwright::bench;

int main(int argc, char** argv) {
  if (argc == 3 && std::string(argv[1]) == "--peak") {
    const House house = demonstration({.leaves_number = std::atof(argv[2])});
    HouseRun run(house, 1);
    run.engine().advance_to(run.end());
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    fmt::print("{{\"leaves\": {}, \"peak_kB\": {}}}\n", run.plan().leaves.count(), usage.ru_maxrss);
    return 0;
  }
  benchmark::Initialize(&argc, argv);
  if (benchmark::ReportUnrecognizedArguments(argc, argv)) return 2;
  add_days();
  add_growth();
  add_parts();
  add_airflow();
  add_footprints();
  benchmark::RunSpecifiedBenchmarks();
  return 0;
}
