// Footprints by parcels and by clouds in an invented hoop house, its fan on, drops let go over a
// bench. Names: footprint/WAY, DIAMETER. Counters: L1, what the cells of benches differ by
// from a large run of points over the deposit, and that run's own noise. Ratios in one run.
#include <benchmark/benchmark.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <functional>
#include <map>
#include <vector>

#include "models/droplet/concentration.h"
#include "tests/bench/bench.h"
#include "tests/droplet/fields.h"

namespace mistwright::bench {

namespace {

using namespace droplet;

const test::Setting& place() {
  static const test::Setting kept = test::hoop_house(0.15);
  return kept;
}

Launch let_go() {
  return test::let_go(3.1, 0.8, 1.35);
}

/// Fog floats for minutes: a tenth of the parcels of mist.
const Outcome& large(double diameter_m) {
  static std::map<double, Outcome> kept;
  const auto found = kept.find(diameter_m);
  if (found != kept.end()) return found->second;
  const int parcels = diameter_m < 50e-6 ? 1'000'000 : 10'000'000;
  FootprintCase points = place().with(parcels);
  points.patches = false;
  return kept.emplace(diameter_m, footprint(points, let_go(), diameter_m, 0.0, 99)).first->second;
}

void compare(benchmark::State& state, const Outcome& mine, double diameter_m) {
  const Outcome& right = large(diameter_m);
  double apart = 0.0;
  for (std::size_t i = 0; i < mine.bench.size(); ++i)
    apart += std::abs(mine.bench[i] - right.bench[i]);
  state.counters["L1"] = apart / right.bench_fraction();
  state.counters["noise"] = mine.noise_ratio;
  state.counters["noise_of_large"] = right.noise_ratio;
}

constexpr double wished_noise = 0.02;

/// Parcels that plain counting needs: drops that know nothing of each other, each wholly in one
/// cell, so that a cell's noise is binomial; rms over the cells that hold 95 % of the deposit.
double plainly_counted(const Outcome& right) {
  std::vector<double> cells = right.bench;
  std::sort(cells.begin(), cells.end(), std::greater<>());
  double held = 0.0, sum = 0.0, count = 0.0;
  for (const double share : cells) {
    if (held >= 0.95 * right.bench_fraction()) break;
    held += share;
    sum += (1.0 - share) / share;
    count += 1.0;
  }
  return sum / count / (wished_noise * wished_noise);
}

/// As many as bring the noise to 2 %.
void parcels(benchmark::State& state, double diameter_m) {
  FootprintCase quiet = place().with(10'000'000);
  quiet.enough_noise_ratio = wished_noise * std::sqrt(large(diameter_m).bench_fraction());
  Outcome outcome;
  for (auto _ : state) outcome = footprint(quiet, let_go(), diameter_m, 0.0, 1);
  const auto followed = static_cast<double>(outcome.parcels);
  state.counters["parcels"] = followed;
  state.counters["plain_parcels"] = plainly_counted(large(diameter_m));
  state.counters["saved"] = plainly_counted(large(diameter_m)) / followed;
  compare(state, outcome, diameter_m);
}

void cloud(benchmark::State& state, double diameter_m, double cell_m) {
  const CloudAir air(place().with(1), cell_m);
  Outcome outcome;
  for (auto _ : state) outcome = cloud_footprint(air, let_go(), {diameter_m, 0.0}, 1);
  compare(state, outcome, diameter_m);
}

/// Steps a second of the mist head's parcels side by side over one by one, the same paths.
double side_by_side_ratio(benchmark::State& state, double diameter_m) {
  static const Launch launch =
      launch_at(test::mist_head(), 2.8e5, fit_throw(test::mist_head()), {3.1, 0.8, 1.35});
  const int parcels = 4000;
  std::array<double, 2> best_s = {1e300, 1e300};
  FootprintCase a_case = place().with(parcels);
  std::uint64_t steps = 0;
  // The quickest of some turns each, one after the other: what else the machine does slows both.
  for (int turn = 0; turn < 10; ++turn)
    for (const std::size_t way : {0U, 1U}) {
      a_case.side_by_side = way == 0 ? 1 : 16;
      const auto began = std::chrono::steady_clock::now();
      steps = footprint(a_case, launch, diameter_m, 0.0, 1).steps;
      const std::chrono::duration<double> took = std::chrono::steady_clock::now() - began;
      best_s[way] = std::min(best_s[way], took.count());
    }
  state.counters["Msteps_per_s"] = 1e-6 * static_cast<double>(steps) / best_s[1];
  return best_s[0] / best_s[1];
}

void side_by_side(benchmark::State& state, const std::vector<double>& diameters_m) {
  double log_ratio = 0.0;
  for (auto _ : state)
    for (const double diameter_m : diameters_m)
      log_ratio += std::log(side_by_side_ratio(state, diameter_m));
  state.counters["ratio"] = std::exp(log_ratio / static_cast<double>(diameters_m.size()));
}

void adjoint(benchmark::State& state, double diameter_m, double cell_m) {
  const CloudAir air(place().with(1), cell_m);
  std::vector<double> one(air.bench_cells, 0.0);
  one[one.size() / 2] = 1.0;
  for (auto _ : state) benchmark::DoNotOptimize(landing_shares(air, {diameter_m, 0.0}, one).data());
}

}  // namespace

void add_footprints() {
  const auto add = [](const std::string& name, const auto& run) {
    benchmark::RegisterBenchmark(("footprint/" + name).c_str(), run)
        ->Iterations(1)
        ->Unit(benchmark::kMillisecond);
  };
  add("steps side by side over one by one, 30 to 250 um, geometric mean",
      [](benchmark::State& state) {
        side_by_side(state, {30e-6, 60e-6, 120e-6, 250e-6});
      });
  for (const int um : {30, 60, 120, 250})
    add("steps side by side over one by one, " + std::to_string(um) + " um",
        [=](benchmark::State& state) { side_by_side(state, {1e-6 * um}); });
  for (const int um : {20, 30, 60, 120, 250}) {
    const double d = 1e-6 * um, cell_m = um < 50 ? 0.15 : 0.1;
    const std::string size = std::to_string(um) + " um";
    add("parcels, " + size, [=](benchmark::State& state) { parcels(state, d); });
    add("cloud, " + size, [=](benchmark::State& state) { cloud(state, d, cell_m); });
    add("adjoint of one cell, " + size,
        [=](benchmark::State& state) { adjoint(state, d, cell_m); });
  }
}

}  // namespace mistwright::bench
