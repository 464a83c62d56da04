// Footprints by parcels and by clouds in an invented hoop house, its fan on, drops let go over a
// bench. Names: footprint/WAY, DIAMETER. Counters: share of the deposit on benches that lies
// elsewhere than a large run of parcels puts it, and that run's own noise. Ratios in one run.
#include <benchmark/benchmark.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>

#include "models/droplet/concentration.h"
#include "models/flow/regime_field.h"
#include "tests/bench/bench.h"

namespace mistwright::bench {

namespace {

using namespace droplet;

struct Place {
  flow::Enclosure house;
  flow::RegimeField field;
  BenchGrid benches;
  flow::AirCells air;

  [[nodiscard]] FootprintCase with(int parcels) const {
    return {field, house, benches, air, parcels, 1};
  }
};

const Place& place() {
  static const Place kept = [] {
    flow::Enclosure house;
    house.length_m = 7.2;
    house.width_m = 3.6;
    house.eave_height_m = 1.2;
    house.ridge_height_m = 2.4;
    house.boxes = {{1.8, 5.4, 0.2, 1.4, 0.6, 0.75}, {1.8, 5.4, 2.2, 3.4, 0.6, 0.75}};
    house.ports = {{"inlet", flow::Side::Front, 1.8, 1.0, 0.6, 0.6},
                   {"fan", flow::Side::Back, 1.8, 1.4, 0.6, 0.6}};
    Place made{house,
               flow::solve_field(house, {{0, 0.15}, {1, -0.15}}, 0.004, {.cell_m = 0.3}),
               make_bench_grid({{1.8, 0.2, 5.4, 1.4, 0.75}, {1.8, 2.2, 5.4, 3.4, 0.75}}, 0.3),
               {}};
    made.air = flow::make_air_cells(made.house, made.field.grid, 6, 2);
    return made;
  }();
  return kept;
}

Launch let_go() {
  Launch launch;
  launch.x_m = 3.1;
  launch.y_m = 0.8;
  launch.z_m = 1.35;
  launch.pattern = water::LaunchPattern::Downward;
  launch.speed_m_per_s = 1e-6;
  return launch;
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
  double misplaced = 0.0;
  for (std::size_t i = 0; i < mine.bench.size(); ++i)
    misplaced += std::abs(mine.bench[i] - right.bench[i]);
  state.counters["misplaced"] = misplaced / right.bench_fraction();
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
