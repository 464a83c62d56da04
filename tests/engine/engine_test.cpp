#include "sim/engine/engine.h"

#include <set>

#include "models/contracts.h"
#include "tests/engine/parts.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::engine;
using Catch::Matchers::Contains;
using mistwright::test::Scripted;

namespace {

SimTime at_us(std::int64_t us) {
  return SimTime{SimDuration{us}};
}

template <class... Parts>
Engine engine_of(std::unique_ptr<Parts>... given) {
  std::vector<std::unique_ptr<Part>> parts;
  (parts.push_back(std::move(given)), ...);
  return Engine(std::move(parts));
}

/// Writes down everything it is asked.
std::unique_ptr<Scripted> told(const std::string& name, std::vector<std::string>& log) {
  auto part = std::make_unique<Scripted>();
  part->called = name;
  part->ask = [&log, name](SimTime) -> std::optional<Wake> {
    log.push_back("ask " + name);
    return std::nullopt;
  };
  part->move = [&log, name](SimTime from, SimTime to) {
    log.push_back("move " + name + " " + std::to_string(from.time_since_epoch().count()) + " " +
                  std::to_string(to.time_since_epoch().count()));
  };
  part->act = [&log, name](const Event& event, Effects&) {
    log.push_back("act " + name + " " + std::to_string(event.kind));
  };
  return part;
}

}  // namespace

TEST_CASE("engine: one step moves all parts then acts then asks the actor and whom it touched once",
          "[engine][exact]") {
  std::vector<std::string> log;
  auto a = told("a", log);
  auto b = told("b", log);
  auto c = told("c", log);
  a->ask = [&log](SimTime now) {
    log.push_back("ask a");
    return test::once(now, at_us(7), Rank::Weather);
  };
  a->act = [&log](const Event&, Effects& effects) {
    log.push_back("act a");
    effects.post(2, {at_us(7), Rank::Record, 1});
    effects.touch(2);
    effects.touch(0);
    effects.touch(2);
    effects.post(2, {at_us(9), Rank::Weather, 2});
  };
  Engine engine = engine_of(std::move(a), std::move(b), std::move(c));
  CHECK(log == std::vector<std::string>{"ask a", "ask b", "ask c"});
  log.clear();
  engine.advance_to(at_us(8));
  CHECK(log == std::vector<std::string>{"move a 0 7", "move b 0 7", "move c 0 7", "act a", "ask a",
                                        "ask c", "act c 1", "ask c"});
  CHECK(engine.now() == at_us(7));  // not 8: where a run is split leaves no trace
  log.clear();
  engine.advance_to(at_us(9));
  CHECK(log ==
        std::vector<std::string>{"move a 7 9", "move b 7 9", "move c 7 9", "act c 2", "ask c"});
}

TEST_CASE("engine: a touched part has one live prediction and its older ones never run",
          "[engine][law]") {
  // The late part puts its wake off each time it is asked; touched every 10 us until 100 us.
  int asked = 0;
  std::vector<std::int64_t> woke;
  auto late = std::make_unique<Scripted>();
  late->ask = [&](SimTime now) -> std::optional<Wake> {
    ++asked;
    return Wake{now + SimDuration{25}, Rank::Climate, 0};
  };
  late->act = [&](const Event& event, Effects&) {
    woke.push_back(event.time.time_since_epoch().count());
  };
  auto toucher = std::make_unique<Scripted>();
  toucher->ask = [](SimTime now) -> std::optional<Wake> {
    if (now >= at_us(100)) return std::nullopt;
    return Wake{now + SimDuration{10}, Rank::Controller, 0};
  };
  toucher->act = [](const Event&, Effects& effects) { effects.touch(0); };
  Engine engine = engine_of(std::move(late), std::move(toucher));
  engine.advance_to(at_us(180));
  CHECK(woke == std::vector<std::int64_t>{125, 150, 175});
  CHECK(asked == 1 + 10 + 3);
  CHECK(engine.queued() == 1);
}

TEST_CASE("engine: no part is moved over an event of its own", "[engine][law]") {
  constexpr std::size_t count = 6;
  std::vector<std::multiset<SimTime>> posted(count);
  std::vector<std::optional<SimTime>> live(count);
  std::size_t crossed = 0, moves = 0;
  Random random(3, stream_of("parts"));
  const auto wait = [&random] {
    return SimDuration{1 + static_cast<int>(400.0 * random.uniform())};
  };
  std::vector<std::unique_ptr<Part>> parts;
  for (std::size_t i = 0; i < count; ++i) {
    auto part = std::make_unique<Scripted>();
    part->ask = [&, i](SimTime now) -> std::optional<Wake> {
      live[i] = now + wait();
      return Wake{*live[i], static_cast<Rank>(i), 0};
    };
    part->move = [&, i](SimTime from, SimTime to) {
      ++moves;
      CHECK(from < to);
      if (live[i] && *live[i] < to) ++crossed;
      if (!posted[i].empty() && *posted[i].begin() < to) ++crossed;
    };
    part->act = [&, i](const Event& event, Effects& effects) {
      if (event.generation == 0) posted[i].erase(posted[i].find(event.time));
      const auto other = static_cast<std::uint32_t>(count * random.uniform());
      if (random.uniform() < 0.5) effects.touch(other);
      if (random.uniform() < 0.3) {
        const SimTime when = event.time + wait();
        posted[other].insert(when);
        effects.post(other, {when, Rank::Device, 1});
      }
    };
    parts.push_back(std::move(part));
  }
  Engine engine(std::move(parts));
  engine.advance_to(at_us(200'000));
  CHECK(moves > 1000);
  CHECK(crossed == 0);
  for (const auto& left : posted) CHECK((left.empty() || *left.begin() > at_us(200'000)));
}

TEST_CASE("engine: a thousand events at one instant run and one more stops with the parts' names",
          "[engine][law]") {
  const auto ping_pong = [](int most) {
    auto left = std::make_shared<int>(most);
    std::vector<std::unique_ptr<Part>> parts;
    for (std::uint32_t i = 0; i < 2; ++i) {
      auto part = std::make_unique<Scripted>();
      part->called = i == 0 ? "the louvre" : "the thermostat";
      if (i == 0)
        part->ask = [](SimTime now) { return test::once(now, at_us(3'000'000), Rank::Device); };
      part->act = [left, i](const Event& event, Effects& effects) {
        if (--*left > 0) effects.post(1 - i, {event.time, Rank::Device, 1});
      };
      parts.push_back(std::move(part));
    }
    parts.push_back(std::make_unique<Scripted>());
    return Engine(std::move(parts));
  };
  Engine thousand = ping_pong(1000);
  CHECK(thousand.advance_to(at_us(4'000'000)));
  CHECK(thousand.events() == 1000);
  Engine more = ping_pong(1001);
  CHECK_THROWS_AS(more.advance_to(at_us(4'000'000)), EngineError);
  Engine again = ping_pong(1'000'000);
  CHECK_THROWS_WITH(again.advance_to(at_us(4'000'000)),
                    Contains("the louvre") && Contains("the thermostat") && Contains("3.0") &&
                        !Contains("scripted"));
}

TEST_CASE("engine: the count of events at an instant begins anew when time moves",
          "[engine][law]") {
  auto ticking = std::make_unique<Scripted>();
  ticking->ask = [](SimTime now) { return Wake{now + SimDuration{1}, Rank::Weather, 0}; };
  Engine engine = engine_of(std::move(ticking));
  CHECK(engine.advance_to(at_us(5000)));
  CHECK(engine.events() == 5000);
}

TEST_CASE("engine: a part that would act in the past is a fault of ours", "[engine][law]") {
  auto part = std::make_unique<Scripted>();
  part->ask = [](SimTime now) {
    return Wake{now == run_start ? at_us(5) : now - SimDuration{1}, Rank::Weather, 0};
  };
  Engine engine = engine_of(std::move(part));
  CHECK_THROWS_AS(engine.advance_to(at_us(10)), ContractError);
}

TEST_CASE("engine: told to stop it finishes the present event and goes on from there",
          "[engine][law]") {
  Engine straight = test::waterworks();
  CHECK(straight.advance_to(at_us(60'000'000)));

  Engine stopped = test::waterworks();
  int seen = 0;
  const auto five = [&seen](SimTime) { return ++seen < 5; };
  CHECK_FALSE(stopped.advance_to(at_us(60'000'000), five));
  CHECK(stopped.events() == 5);
  CHECK(stopped.now() < at_us(60'000'000));
  CHECK(stopped.advance_to(at_us(60'000'000)));
  CHECK(stopped.state_hash() == straight.state_hash());
}
