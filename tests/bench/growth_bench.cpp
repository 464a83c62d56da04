// How the cost of a day grows with leaves, bursts, heads and days. Names: growth/WHAT/NUMBER. The
// days of the first three have their landings read from a record; the heads' are whole runs, whose
// fields and footprints are there already.
#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include <functional>

#include "tests/bench/bench.h"

namespace mistwright::bench {

namespace {

void count(benchmark::State& state, double number, double events) {
  state.counters["number"] = number;
  state.counters["events"] = events;
  state.counters["events_per_s"] =
      benchmark::Counter(events, benchmark::Counter::kIsIterationInvariantRate);
}

void add_recorded(const char* what, double number, const DayChoice& choice) {
  benchmark::RegisterBenchmark(fmt::format("growth/{}/{:.0f}", what, number).c_str(),
                               [=](benchmark::State& state) {
                                 const Day& day = recorded(choice);
                                 double events = 0.0;
                                 for (auto _ : state) {
                                   EngineDay run(day);
                                   run.run();
                                   events = static_cast<double>(run.engine().events());
                                 }
                                 count(state, number, events);
                               })
      ->Iterations(1)
      ->Unit(benchmark::kMillisecond);
}

void add_whole(const char* what, double number, const DayChoice& choice) {
  benchmark::RegisterBenchmark(fmt::format("growth/{}/{:.0f}", what, number).c_str(),
                               [=](benchmark::State& state) {
                                 const Day& day = recorded(choice);
                                 double events = 0.0;
                                 for (auto _ : state) {
                                   HouseRun run(day.house(), 1, day.building);
                                   run.engine().advance_to(run.end());
                                   events = static_cast<double>(run.engine().events());
                                 }
                                 count(state, number, events);
                               })
      ->Iterations(1)
      ->Unit(benchmark::kMillisecond);
}

}  // namespace

void add_growth() {
  for (const double leaves : {1e3, 1e4, 1e5, 1e6}) {
    add_recorded("leaves", leaves, {.leaves_number = leaves});
  }
  for (const double every_s : {1200.0, 600.0, 300.0, 150.0}) {
    add_recorded("bursts", 43200.0 / every_s, {.burst_every_s = every_s});
  }
  for (const double days : {1.0, 2.0, 4.0}) {
    add_recorded("days", days, {.span_s = 86400.0 * days});
  }
  for (const std::size_t more : {1U, 4U, 16U}) {
    add_whole("heads", 6.0 * static_cast<double>(more), {.heads_more = more});
  }
}

}  // namespace mistwright::bench
