// Single parts. Names: part/WHAT.
#include <benchmark/benchmark.h>

#include <cmath>
#include <vector>

#include "models/leaf/film.h"
#include "models/random.h"
#include "sim/engine/queue.h"
#include "tests/bench/bench.h"
#include "tests/bench/house_ode.h"

namespace mistwright::bench {

namespace {

constexpr std::size_t leaves = 20000;

std::vector<double> drawn(const char* what, double low, double high) {
  Random random(1, stream_of(what));
  std::vector<double> values(leaves);
  for (double& value : values) value = low + (high - low) * random.uniform();
  return values;
}

void film_law(benchmark::State& state) {
  const std::vector<double> depth_m = drawn("depths", 0.0, 70e-6);
  const std::vector<double> demand_m = drawn("demands", 0.0, 70e-6);
  std::vector<double> after_m(leaves);
  for (auto _ : state) {
    for (std::size_t i = 0; i < leaves; ++i) {
      after_m[i] = leaf::film_after(depth_m[i], demand_m[i], 10e-6);
    }
    benchmark::DoNotOptimize(after_m.data());
  }
  state.SetItemsProcessed(static_cast<std::int64_t>(leaves) * state.iterations());
}

void until_bare(benchmark::State& state) {
  const std::vector<double> depth_m = drawn("depths", 0.0, 70e-6);
  double sum = 0.0;
  for (auto _ : state) {
    for (const double depth : depth_m) sum += leaf::demand_to_bare_m(depth, 0.5, 10e-6);
    benchmark::DoNotOptimize(sum);
  }
  state.SetItemsProcessed(static_cast<std::int64_t>(leaves) * state.iterations());
}

/// Half a minute of the demonstration's air at noon, fan on.
void air_stretch(benchmark::State& state) {
  HouseOde ode(recorded({}));
  ode.set_fan(true);
  const std::vector<double> start = ode.start();
  ode.freeze(43200.0, start.data());
  const air::LinearSystem system = air::assemble(ode.fluxes(), ode.air_states());
  const std::vector<double> air(start.begin(),
                                start.begin() + static_cast<std::ptrdiff_t>(ode.air_states()));
  const std::vector<double> scale = air::state_scale(ode.day().building->plan.fixed);
  for (auto _ : state) {
    const air::Stretch stretch(system, air, scale, 30.0);
    benchmark::DoNotOptimize(stretch.at(30.0));
  }
}

void air_coefficients(benchmark::State& state) {
  HouseOde ode(recorded({}));
  const std::vector<double> start = ode.start();
  for (auto _ : state) {
    ode.freeze(43200.0, start.data());
    benchmark::DoNotOptimize(air::assemble(ode.fluxes(), ode.air_states()).entry.data());
  }
}

/// Parcels of the demonstration's head, 0.15 mm, in its field with the fan off.
void parcels(benchmark::State& state) {
  const Day& day = recorded({});
  const House& house = day.house();
  Airflow& airflow = day.building->airflow;
  const Plan& plan = day.building->plan;
  const Regime& regime = airflow.regime(DeviceState{{0}, {0}});
  const droplet::Launch launch = head_launch(airflow, house, 0, 2.8e5);
  constexpr int count = 500;
  const droplet::FootprintCase one{regime.field, plan.enclosure, plan.benches,
                                   plan.air,     count,          house.numerics.seed};
  for (auto _ : state) {
    benchmark::DoNotOptimize(droplet::footprint(one, launch, 150e-6, 0.0, 1));
  }
  state.SetItemsProcessed(count * state.iterations());
}

void network(benchmark::State& state) {
  const House& house = recorded({}).house();
  const Waterworks works(house);
  for (auto _ : state) {
    benchmark::DoNotOptimize(works.solve(std::vector<bool>(house.network.valves.size(), true)));
  }
}

/// Takes the first event and posts one a while later, with so many waiting.
void queue(benchmark::State& state) {
  engine::Queue queue;
  Random random(1, stream_of("queue"));
  std::uint64_t sequence = 0;
  const auto post = [&](SimTime after) {
    engine::Event event;
    event.time = after + SimDuration{static_cast<std::int64_t>(1e6 * random.uniform())};
    event.sequence = sequence++;
    queue.push(event);
  };
  for (std::int64_t i = 0; i < state.range(0); ++i) post(run_start);
  for (auto _ : state) post(queue.pop().time);
  state.SetItemsProcessed(state.iterations());
}

}  // namespace

void add_parts() {
  benchmark::RegisterBenchmark("part/film after a demand", film_law);
  benchmark::RegisterBenchmark("part/demand until bare", until_bare);
  benchmark::RegisterBenchmark("part/coefficients of the air", air_coefficients);
  benchmark::RegisterBenchmark("part/half a minute of the air", air_stretch);
  benchmark::RegisterBenchmark("part/parcels of 0.15 mm", parcels);
  benchmark::RegisterBenchmark("part/network of six heads", network);
  for (const std::int64_t waiting : {16, 1000, 100000}) {
    benchmark::RegisterBenchmark("part/queue", queue)->Arg(waiting);
  }
}

}  // namespace mistwright::bench
