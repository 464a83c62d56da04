#include <algorithm>
#include <tuple>

#include "sim/engine/queue.h"
#include "tests/engine/parts.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::engine;
using mistwright::test::Scripted;

namespace {

/// 6 instants and all the ranks, several events at each: kind tells them apart.
std::vector<Wake> crowd(std::uint64_t seed) {
  std::vector<Wake> wakes;
  Random random(seed, stream_of("crowd"));
  for (std::uint32_t kind = 0; kind < 200; ++kind) {
    const auto instant = static_cast<std::int64_t>(6.0 * random.uniform());
    const auto rank = static_cast<Rank>(static_cast<int>(8.0 * random.uniform()));
    wakes.push_back({SimTime{SimDuration{1000 + instant}}, rank, kind});
  }
  return wakes;
}

}  // namespace

TEST_CASE(
    "engine: the queue gives events by time then rank then sequence whatever order they came in",
    "[engine][law]") {
  std::vector<Event> events;
  const std::vector<Wake> wakes = crowd(1);
  for (std::size_t i = 0; i < wakes.size(); ++i) {
    events.push_back({.time = wakes[i].time, .rank = wakes[i].rank, .sequence = i});
  }
  const auto key = [](const Event& e) { return std::make_tuple(e.time, e.rank, e.sequence); };
  std::vector<Event> sorted = events;
  std::sort(sorted.begin(), sorted.end(),
            [&](const Event& a, const Event& b) { return key(a) < key(b); });
  Random random(2, stream_of("shuffle"));
  for (int shuffle = 0; shuffle < 50; ++shuffle) {
    for (std::size_t i = events.size() - 1; i > 0; --i) {
      std::swap(events[i],
                events[static_cast<std::size_t>(static_cast<double>(i + 1) * random.uniform())]);
    }
    Queue queue;
    for (const Event& event : events) queue.push(event);
    std::size_t wrong = 0;
    for (const Event& expected : sorted) wrong += key(queue.pop()) == key(expected) ? 0 : 1;
    CHECK(wrong == 0);
    CHECK(queue.size() == 0);
  }
}

TEST_CASE("engine: posted events run by time then rank then order of posting and none is lost",
          "[engine][law]") {
  for (std::uint64_t seed = 0; seed < 20; ++seed) {
    const std::vector<Wake> wakes = crowd(seed);
    auto poster = std::make_unique<Scripted>();
    poster->ask = [](SimTime now) {
      return test::once(now, SimTime{SimDuration{1}}, Rank::Weather);
    };
    poster->act = [&](const Event&, Effects& effects) {
      for (const Wake& wake : wakes) effects.post(1, wake);
    };
    std::vector<Event> ran;
    auto taker = std::make_unique<Scripted>();
    taker->act = [&](const Event& event, Effects&) { ran.push_back(event); };
    std::vector<std::unique_ptr<Part>> parts;
    parts.push_back(std::move(poster));
    parts.push_back(std::move(taker));
    Engine engine(std::move(parts));
    engine.advance_to(SimTime{SimDuration{2000}});

    std::vector<Wake> expected = wakes;
    std::stable_sort(expected.begin(), expected.end(), [](const Wake& a, const Wake& b) {
      return std::tie(a.time, a.rank) < std::tie(b.time, b.rank);
    });
    REQUIRE(ran.size() == expected.size());
    std::size_t wrong = 0;
    for (std::size_t i = 0; i < ran.size(); ++i) {
      wrong += ran[i].kind == expected[i].kind && ran[i].time == expected[i].time ? 0 : 1;
    }
    CHECK(wrong == 0);
    CHECK(engine.queued() == 0);
    CHECK(engine.events() == wakes.size() + 1);
  }
}

TEST_CASE("engine: of two events at one instant the one who acts comes before the one acted upon",
          "[engine][exact]") {
  std::vector<Rank> ran;
  std::vector<std::unique_ptr<Part>> parts;
  // Given in the opposite order.
  for (const Rank rank : {Rank::Record, Rank::Ledger, Rank::Climate, Rank::Deposition,
                          Rank::Hydraulics, Rank::Device, Rank::Controller, Rank::Weather}) {
    auto part = std::make_unique<Scripted>();
    part->ask = [rank](SimTime now) { return test::once(now, SimTime{SimDuration{5}}, rank); };
    part->act = [rank, &ran](const Event&, Effects&) { ran.push_back(rank); };
    parts.push_back(std::move(part));
  }
  Engine engine(std::move(parts));
  engine.advance_to(SimTime{SimDuration{5}});
  CHECK(ran == std::vector<Rank>{Rank::Weather, Rank::Controller, Rank::Device, Rank::Hydraulics,
                                 Rank::Deposition, Rank::Climate, Rank::Ledger, Rank::Record});
}
