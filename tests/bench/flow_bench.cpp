// Airflow by momentum on 64 by 32 by 24 cells. Names: airflow/WHAT. Ratios in one run: a multigrid
// cycle over one pass of its data; a steady regime over one projection step of plain loops; a warm
// start over a cold one.
#include <benchmark/benchmark.h>

#include <cmath>

#include "models/flow/house_case.h"
#include "models/flow/multigrid.h"
#include "models/flow/steady_flow.h"
#include "tests/bench/bench.h"

namespace mistwright::bench {

namespace {

using namespace flow;

constexpr double fan_m3_per_s = 2.0;

/// A fan house of our own: two benches, a slot along one side, a louvre in front, a fan behind.
Enclosure house() {
  Enclosure enclosure;
  enclosure.length_m = 12.8;
  enclosure.width_m = 6.4;
  enclosure.eave_height_m = 2.4;
  enclosure.ridge_height_m = 4.8;
  enclosure.boxes = {{2.0, 11.0, 0.8, 2.4, 0.6, 0.8}, {2.0, 11.0, 4.0, 5.6, 0.6, 0.8}};
  enclosure.ports = {{"slot", Side::Right, 6.4, 0.3, 9.6, 0.6},
                     {"louvre", Side::Front, 3.2, 1.4, 1.2, 0.8},
                     {"fan", Side::Back, 3.2, 2.2, 0.8, 0.8}};
  return enclosure;
}

/// @param louvre_fraction  of the air that comes in through the louvre, the rest through the slot
HouseFlow fan_house(double speed_ratio, double louvre_fraction) {
  const Enclosure enclosure = house();
  const Grid grid = make_grid(enclosure, 0.2);
  const double all = speed_ratio * fan_m3_per_s;
  HouseTerms terms;
  terms.sharpness_fraction = 0.5;
  return house_flow(enclosure, grid,
                    {{0, (1.0 - louvre_fraction) * all}, {1, louvre_fraction * all}, {2, -all}},
                    terms);
}

SteadyReport rest(const FlowCase& problem, FlowState& state) {
  return settle(problem, {.iteration_cap = 1000, .rest_fraction = 1e-4}, state);
}

FaceValues even_coupling(const Lattice& g) {
  FaceValues coupling = g.face_zeros();
  for (std::size_t axis = 0; axis < 3; ++axis)
    for (std::size_t c = g.first; c < g.last; ++c)
      coupling[axis][c] = g.open[axis][c] * g.face_m2[axis] / g.step_m[axis];
  return coupling;
}

/// Every number that a cycle touches on the finest grid, read once and one of them written.
void pass(benchmark::State& state) {
  const HouseFlow air = fan_house(1.0, 0.0);
  const Lattice& g = air.problem.lattice;
  const Singles a(g.size, 1.0F), b(g.size, 2.0F), c(g.size, 3.0F), d(g.size, 4.0F), e(g.size, 5.0F),
      f(g.size, 6.0F), h(g.size, 7.0F);
  Singles to(g.size, 0.0F);
  for (auto _ : state) {
    for (std::size_t i = g.first; i < g.last; ++i)
      to[i] = ((a[i] + b[i]) + (c[i] + d[i])) + ((e[i] + f[i]) + 0.5F * h[i]);
    benchmark::DoNotOptimize(to.data());
    benchmark::ClobberMemory();
  }
}

void cycle(benchmark::State& state) {
  const HouseFlow air = fan_house(1.0, 0.0);
  const Lattice& g = air.problem.lattice;
  Multigrid pressure(g);
  pressure.set(even_coupling(g));
  const Values out = net_outflow_m3_per_s(g, air.state.speed_m_per_s);
  Singles left(g.size);
  for (std::size_t c = 0; c < g.size; ++c) left[c] = static_cast<float>(-out[c]);
  for (auto _ : state) benchmark::DoNotOptimize(pressure.cycle(left).data());
}

/// How fast an open face's speed changes: upwind, one eddy viscosity.
double plain_rate_m_per_s2(const Lattice& g, const FaceValues& was, std::size_t axis,
                           std::size_t c) {
  constexpr double viscosity_m2_per_s = 0.01;
  double rate = 0.0;
  for (std::size_t b = 0; b < 3; ++b) {
    const std::size_t t = g.stride[b];
    const double h = g.step_m[b], v = was[b][c];
    const double back = was[axis][c] - was[axis][c - t];
    const double ahead = was[axis][c + t] - was[axis][c];
    rate += viscosity_m2_per_s * (ahead - back) / (h * h) - v * (v > 0.0 ? back : ahead) / h;
  }
  return rate;
}

/// One multigrid cycle's worth of balance.
void project_once(const Lattice& g, Multigrid& pressure, FaceValues& u) {
  const Values out = net_outflow_m3_per_s(g, u);
  Singles left(g.size);
  for (std::size_t c = 0; c < g.size; ++c) left[c] = static_cast<float>(-out[c]);
  const Singles& p = pressure.cycle(left);
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const std::size_t s = g.stride[axis];
    for (std::size_t c = g.first; c < g.last; ++c)
      u[axis][c] += g.open[axis][c] * static_cast<double>(p[c - s] - p[c]) / g.step_m[axis];
  }
}

/// One explicit step of plain loops, then a projection by two multigrid cycles.
void plain_step(benchmark::State& state) {
  HouseFlow air = fan_house(1.0, 0.0);
  const Lattice& g = air.problem.lattice;
  Multigrid pressure(g);
  pressure.set(even_coupling(g));
  constexpr double step_s = 0.02;
  FaceValues& u = air.state.speed_m_per_s;
  for (auto _ : state) {
    const FaceValues was = u;
    for (std::size_t axis = 0; axis < 3; ++axis)
      for (std::size_t c = g.first; c < g.last; ++c)
        if (g.open[axis][c] > 0.0) u[axis][c] += step_s * plain_rate_m_per_s2(g, was, axis, c);
    project_once(g, pressure, u);
    project_once(g, pressure, u);
    benchmark::DoNotOptimize(u[0].data());
  }
}

void cold(benchmark::State& state) {
  SteadyReport report;
  for (auto _ : state) {
    HouseFlow air = fan_house(1.0, 0.0);
    cold_start(air.problem, air.state);
    report = rest(air.problem, air.state);
  }
  state.counters["iterations"] = report.iterations;
  state.counters["steady"] = report.steady ? 1.0 : 0.0;
}

/// Takes a state at rest for another flow of the same house, sped up in proportion.
void warm(benchmark::State& state, double speed_ratio, double louvre_fraction) {
  HouseFlow from = fan_house(speed_ratio, louvre_fraction);
  cold_start(from.problem, from.state);
  rest(from.problem, from.state);
  SteadyReport report;
  for (auto _ : state) {
    HouseFlow air = fan_house(1.0, 0.0);
    warm_start(air.problem, from.state, 1.0 / speed_ratio, air.state);
    report = rest(air.problem, air.state);
  }
  state.counters["iterations"] = report.iterations;
  state.counters["steady"] = report.steady ? 1.0 : 0.0;
}

}  // namespace

void add_airflow() {
  benchmark::RegisterBenchmark("airflow/pass", pass);
  benchmark::RegisterBenchmark("airflow/cycle", cycle);
  benchmark::RegisterBenchmark("airflow/plain step", plain_step);
  benchmark::RegisterBenchmark("airflow/steady, cold", cold)->Iterations(1);
  const auto add_warm = [](const char* name, double speed_ratio, double louvre_fraction) {
    benchmark::RegisterBenchmark(name, [=](benchmark::State& state) {
      warm(state, speed_ratio, louvre_fraction);
    })->Iterations(1);
  };
  add_warm("airflow/steady, from 0.8 of the fan", 0.8, 0.0);
  add_warm("airflow/steady, from a tenth through the louvre", 1.0, 0.1);
  add_warm("airflow/steady, from all through the louvre", 1.0, 1.0);
}

}  // namespace mistwright::bench
