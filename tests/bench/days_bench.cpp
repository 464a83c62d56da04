// The same day by the engine, by CVODE in twelve settings and by a loop of one second, with errors
// against a run at a tight tolerance. Names: day/LEAVES/SOLVER.
#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include <functional>
#include <map>
#include <memory>
#include <tuple>

#include "tests/bench/bench.h"
#include "tests/bench/cvode_day.h"
#include "tests/bench/fixed_day.h"

namespace mistwright::bench {

const Day& recorded(const DayChoice& choice) {
  using Key = std::tuple<double, double, double, double, std::size_t, double>;
  static std::map<Key, Day> days;
  const Key key{choice.leaves_number, choice.span_s,     choice.start_hour,
                choice.burst_every_s, choice.heads_more, choice.air_step_s};
  const auto it = days.find(key);
  return it != days.end() ? it->second : days.emplace(key, record_day(choice)).first->second;
}

namespace {

/// A day, its equations and the answer that the others are held against.
struct Case {
  explicit Case(const DayChoice& choice) : day(recorded(choice)), ode(day) {
    reference = cvode_day(ode, reference_setting, true);
  }
  const Day& day;
  HouseOde ode;
  Answer reference;
  std::map<std::string, Errors> known;
};

Case& case_of(double leaves, double span_s) {
  static std::map<std::pair<double, double>, std::unique_ptr<Case>> cases;
  auto& one = cases[{leaves, span_s}];
  if (!one) {
    one = std::make_unique<Case>(DayChoice{
        .leaves_number = leaves, .span_s = span_s, .start_hour = span_s < 86400.0 ? 10.0 : 0.0});
  }
  return *one;
}

using Solve = std::function<Answer(Case&, bool observed)>;

void add(const std::string& name, double leaves, double span_s, const Solve& solve) {
  const char* group = span_s < 86400.0 ? "smallest" : "day";
  benchmark::RegisterBenchmark(fmt::format("{}/{:.0f}/{}", group, leaves, name).c_str(),
                               [=](benchmark::State& state) {
                                 Case& one = case_of(leaves, span_s);
                                 if (one.known.count(name) == 0)
                                   one.known[name] = errors(solve(one, true), one.reference);
                                 Answer answer;
                                 for (auto _ : state) answer = solve(one, false);
                                 const Errors& found = one.known[name];
                                 state.counters["air_rms_K"] = found.air_rms_K;
                                 state.counters["air_max_K"] = found.air_max_K;
                                 state.counters["film_max_um"] = found.film_max_m * 1e6;
                                 state.counters["film_mean_um"] = found.film_mean_m * 1e6;
                                 state.counters["dry_mean_s"] = found.dry_mean_s;
                                 state.counters["dry_max_s"] = found.dry_max_s;
                                 state.counters["switchings"] =
                                     static_cast<double>(answer.switchings);
                                 state.counters["steps"] = static_cast<double>(answer.steps);
                                 state.counters["evaluations"] = static_cast<double>(answer.rates);
                               })
      ->Iterations(1)
      ->Unit(benchmark::kMillisecond);
}

Answer by_engine(Case& one, bool observed) {
  if (observed) return engine_answer(one.day);
  EngineDay day(one.day);
  day.run();
  Answer answer;
  answer.switchings = day.switchings();
  answer.steps = answer.rates = day.shared().stretch_number;
  return answer;
}

}  // namespace

void add_days() {
  const auto by = [](const CvodeSetting& setting) {
    return [setting](Case& one, bool observed) { return cvode_day(one.ode, setting, observed); };
  };
  add("engine", 1000.0, 7200.0, by_engine);
  add(words({}), 1000.0, 7200.0, by({}));
  for (const double leaves : {1000.0, 20000.0}) {
    add("engine", leaves, 86400.0, by_engine);
    for (const CvodeSetting& setting : cvode_settings()) {
      add(words(setting), leaves, 86400.0, by(setting));
    }
    add("loop of 1 s in double", leaves, 86400.0,
        [](Case& one, bool observed) { return fixed_day<double>(one.ode, observed); });
    add("loop of 1 s in float", leaves, 86400.0,
        [](Case& one, bool observed) { return fixed_day<float>(one.ode, observed); });
  }
}

}  // namespace mistwright::bench
