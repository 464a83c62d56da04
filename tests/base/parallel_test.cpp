#include "models/parallel.h"

#include <atomic>
#include <chrono>
#include <cmath>
#include <set>
#include <stdexcept>
#include <thread>
#include <vector>

#include "models/random.h"
#include "tests/support/catch.h"

using namespace mistwright;

namespace {

std::vector<double> work(int threads) {
  std::vector<double> slots(257);
  parallel_for(slots.size(), threads, [&](std::size_t i, int) {
    Random random(5, i);
    double total = 0.0;
    for (int k = 0; k < 500; ++k) total += std::sin(random.normal());
    slots[i] = total;
  });
  return slots;
}

}  // namespace

TEST_CASE("base: parallel work gives the same bits with 1 and 2 and 7 threads", "[base][same]") {
  const auto one = work(1);
  CHECK(work(2) == one);
  CHECK(work(7) == one);
}

TEST_CASE("base: two workers and more take part when two are asked for", "[base][same]") {
  constexpr int threads = 3;
  std::vector<std::atomic<int>> seen(threads);
  std::atomic<int> workers{0};
  const auto deadline = std::chrono::steady_clock::now() + std::chrono::seconds(60);
  // Whoever comes first holds its index until a second worker has come.
  parallel_for(64, threads, [&](std::size_t, int worker) {
    if (seen[static_cast<std::size_t>(worker)]++ == 0) ++workers;
    while (workers < 2 && std::chrono::steady_clock::now() < deadline) std::this_thread::yield();
  });
  CHECK(workers >= 2);
  int calls = 0;
  for (const auto& count : seen) calls += count;
  CHECK(calls == 64);
}

TEST_CASE("base: each index is visited once and worker names stay below the thread count",
          "[base][law]") {
  for (const int threads : {1, 2, 7}) {
    std::vector<std::atomic<int>> visits(1000);
    std::atomic<int> strangers{0};
    parallel_for(visits.size(), threads, [&](std::size_t i, int worker) {
      ++visits[i];
      if (worker < 0 || worker >= threads) ++strangers;
    });
    CAPTURE(threads);
    CHECK(strangers == 0);
    int wrong = 0;
    for (const auto& count : visits) wrong += count == 1 ? 0 : 1;
    CHECK(wrong == 0);
  }
  int calls = 0;
  parallel_for(0, 4, [&](std::size_t, int) { ++calls; });
  CHECK(calls == 0);
}

TEST_CASE("base: a fault in a worker reaches the caller", "[base][law]") {
  for (const int threads : {1, 4}) {
    CHECK_THROWS_AS(parallel_for(100, threads,
                                 [](std::size_t i, int) {
                                   if (i == 57) throw std::runtime_error("57");
                                 }),
                    std::runtime_error);
  }
}
