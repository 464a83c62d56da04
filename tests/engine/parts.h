#pragma once
// Small parts with which the engine's rules are tried.
#include <cmath>
#include <functional>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "models/random.h"
#include "sim/engine/engine.h"

namespace mistwright::test {

/// A part that answers as it is told.
struct Scripted final : engine::Part {
  std::function<std::optional<engine::Wake>(SimTime)> ask;
  std::function<void(SimTime, SimTime)> move;
  std::function<void(const engine::Event&, engine::Effects&)> act;
  std::string called = "scripted";

  std::optional<engine::Wake> next_event(SimTime now) override {
    return ask ? ask(now) : std::nullopt;
  }
  void advance(SimTime from, SimTime to) override {
    if (move) move(from, to);
  }
  void on_event(const engine::Event& event, engine::Effects& effects) override {
    if (act) act(event, effects);
  }
  void state(engine::StateVisitor&) override {}
  [[nodiscard]] const char* name() const override { return called.c_str(); }
};

/// Wakes once, at an instant from the start on.
inline std::optional<engine::Wake> once(SimTime now, SimTime at, engine::Rank rank) {
  if (now > run_start) return std::nullopt;
  return engine::Wake{at, rank, 0};
}

/// A store that empties by exp(-t / 7 s), tells when it falls through 1 and is then filled anew by
/// an amount of chance; others may pour into it.
class Tank final : public engine::Part {
 public:
  static constexpr double e_folding_s = 7.0;

  std::optional<engine::Wake> next_event(SimTime now) override {
    const SimDuration wait =
        level_ > 1.0 ? duration_up(e_folding_s * std::log(level_)) : SimDuration{1};
    return engine::Wake{now + wait, engine::Rank::Climate, 0};
  }
  void advance(SimTime from, SimTime to) override {
    level_ *= std::exp(-seconds(to - from) / e_folding_s);
    moved_ = to;
  }
  void on_event(const engine::Event& event, engine::Effects&) override {
    level_ += event.kind == 0 ? 1.0 + 3.0 * chance(fillings_++) : event.first;
  }
  void state(engine::StateVisitor& visitor) override {
    visitor.value(level_);
    visitor.value(fillings_);
    visitor.value(moved_);
  }
  [[nodiscard]] const char* name() const override { return "a tank"; }
  [[nodiscard]] double level() const { return level_; }

 private:
  static double chance(std::uint64_t draw) { return Random(1, draw).uniform(); }

  double level_ = 2.0;
  std::uint64_t fillings_ = 0;
  SimTime moved_{};
};

/// Acts every so often: touches one part and posts a pouring, some time later, to another.
class Pourer final : public engine::Part {
 public:
  Pourer(SimDuration period, std::uint32_t touched, std::uint32_t poured_into)
      : period_(period), touched_(touched), into_(poured_into) {}

  std::optional<engine::Wake> next_event(SimTime) override {
    return engine::Wake{next_, engine::Rank::Controller, 0};
  }
  void advance(SimTime, SimTime) override {}
  void on_event(const engine::Event& event, engine::Effects& effects) override {
    next_ = event.time + period_;
    effects.touch(touched_);
    effects.post(into_, {event.time + period_ / 3, engine::Rank::Device, 1, 0.25});
  }
  void state(engine::StateVisitor& visitor) override { visitor.value(next_); }
  [[nodiscard]] const char* name() const override { return "a pourer"; }

 private:
  SimDuration period_;
  std::uint32_t touched_, into_;
  SimTime next_{std::chrono::seconds{1}};
};

/// Two tanks and two pourers that disturb one another.
inline engine::Engine waterworks() {
  std::vector<std::unique_ptr<engine::Part>> parts;
  parts.push_back(std::make_unique<Tank>());
  parts.push_back(std::make_unique<Tank>());
  parts.push_back(std::make_unique<Pourer>(SimDuration{1'370'000}, 0, 1));
  parts.push_back(std::make_unique<Pourer>(SimDuration{2'110'003}, 1, 0));
  return engine::Engine(std::move(parts));
}

}  // namespace mistwright::test
