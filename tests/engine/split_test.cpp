#include "tests/engine/parts.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::engine;

namespace {

constexpr SimTime end{std::chrono::minutes{5}};

std::uint64_t straight_hash() {
  Engine engine = test::waterworks();
  engine.advance_to(end);
  return engine.state_hash();
}

}  // namespace

TEST_CASE("engine: a run split at a thousand instants ends in the same bits", "[engine][same]") {
  const std::uint64_t straight = straight_hash();
  Engine split = test::waterworks();
  Random random(4, stream_of("splits"));
  SimTime t = run_start;
  for (int i = 0; i < 1000; ++i) {
    // To the end: differences in the last digit would die out in quiet minutes.
    t = run_start + SimDuration{299'900} * i +
        SimDuration{static_cast<std::int64_t>(200'000.0 * random.uniform())};
    split.advance_to(t);
  }
  REQUIRE(t < end);
  CHECK(split.state_hash() != straight);
  split.advance_to(end);
  CHECK(split.state_hash() == straight);
  CHECK(split.events() > 300);
}

TEST_CASE("engine: saved and restored at any event a run ends in the same bits", "[engine][same]") {
  const std::uint64_t straight = straight_hash();
  for (int stop = 1; stop < 300; stop += 7) {
    Engine first = test::waterworks();
    int seen = 0;
    // Stops inside instants too: the rest of the instant is then in the queue.
    REQUIRE_FALSE(first.advance_to(end, [&](SimTime) { return ++seen < stop; }));
    StateWriter writer;
    first.state(writer);
    Engine second = test::waterworks();
    StateReader reader(writer.buffer());
    second.state(reader);
    CHECK(reader.at_end());
    CHECK(second.state_hash() == first.state_hash());
    second.advance_to(end);
    CHECK(second.state_hash() == straight);
  }
}

TEST_CASE("engine: a saved state that ends too early is refused", "[engine][input]") {
  Engine engine = test::waterworks();
  engine.advance_to(end);
  StateWriter writer;
  engine.state(writer);
  std::vector<std::uint8_t> bytes = writer.buffer();
  bytes.pop_back();
  Engine other = test::waterworks();
  StateReader reader(bytes);
  CHECK_THROWS_WITH(other.state(reader), "the saved state ends too early");
}

TEST_CASE("engine: a crossing is rounded up so that it has happened when its event runs",
          "[engine][exact]") {
  // Each event of kind 0 of a tank finds its level at or below 1, one microsecond's fall at most.
  std::vector<std::unique_ptr<Part>> parts;
  auto tank = std::make_unique<test::Tank>();
  const test::Tank* watched = tank.get();
  auto looker = std::make_unique<test::Scripted>();
  double level = 0.0;
  looker->move = [&](SimTime, SimTime) { level = watched->level(); };
  parts.push_back(std::move(tank));
  parts.push_back(std::move(looker));
  Engine engine(std::move(parts));
  int crossings = 0;
  engine.observer = [&](const Event& event) {
    if (event.part != 0) return;
    ++crossings;
    CHECK(level <= 1.0 + 1e-14);
    CHECK(level > 1.0 - 2e-6 / test::Tank::e_folding_s);
  };
  engine.advance_to(end);
  CHECK(crossings > 20);
}
