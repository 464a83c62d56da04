#include "models/control/clock.h"

#include <set>

#include "models/random.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::control;

namespace {

constexpr std::int64_t s = 1'000'000;
constexpr std::int64_t minute = 60 * s;
constexpr std::int64_t hour = 60 * minute;
constexpr std::int64_t day = 24 * hour;

Programme one_band(const Band& band) {
  return {.valve = 0, .bands = {band}};
}

/// Every start of one day, asked one after the other.
std::multiset<std::int64_t> starts_of_day(const Programme& programme) {
  std::multiset<std::int64_t> starts;
  std::int64_t t = 0;
  while (t < day) {
    const auto next = next_burst(programme, t);
    if (!next || t + next->wait_us >= day) break;
    starts.insert(t + next->wait_us);
    t += next->wait_us + 1;
  }
  return starts;
}

}  // namespace

TEST_CASE("control: bursts start at the band's start and every interval to the microsecond",
          "[control][exact]") {
  const Programme programme = one_band(
      {.from_us = 6 * hour, .to_us = 20 * hour, .burst_us = 6 * s, .interval_us = 10 * minute});
  CHECK(next_burst(programme, 0)->wait_us == 6 * hour);
  CHECK(next_burst(programme, 6 * hour)->wait_us == 0);
  CHECK(next_burst(programme, 6 * hour + 1)->wait_us == 10 * minute - 1);
  CHECK(next_burst(programme, 12 * hour + 10 * minute)->wait_us == 0);
  CHECK(next_burst(programme, 6 * hour)->burst_us == 6 * s);
  CHECK(starts_a_day(programme) == 84);
  CHECK(starts_of_day(programme).size() == 84);
}

TEST_CASE("control: the band's end belongs to the next band", "[control][exact]") {
  const Programme programme{
      .valve = 0,
      .bands = {
          {.from_us = 6 * hour, .to_us = 10 * hour, .burst_us = 5 * s, .interval_us = hour},
          {.from_us = 10 * hour, .to_us = 12 * hour, .burst_us = 9 * s, .interval_us = hour}}};
  const auto at_ten = next_burst(programme, 10 * hour);
  REQUIRE(at_ten);
  CHECK(at_ten->wait_us == 0);
  CHECK(at_ten->burst_us == 9 * s);
  CHECK(at_ten->band == 1);
  CHECK(starts_a_day(programme) == 6);
  // After the last one comes tomorrow's first.
  CHECK(next_burst(programme, 11 * hour + 1)->wait_us == 19 * hour - 1);
}

TEST_CASE("control: a burst at the very end of its band keeps its length", "[control][exact]") {
  const Programme programme = one_band({.from_us = 6 * hour,
                                        .to_us = 6 * hour + 10 * minute + 1,
                                        .burst_us = 30 * s,
                                        .interval_us = 10 * minute});
  const auto last = next_burst(programme, 6 * hour + 5 * minute);
  CHECK(last->wait_us == 5 * minute);
  CHECK(last->burst_us == 30 * s);
  CHECK(starts_a_day(programme) == 2);
}

TEST_CASE("control: a band over midnight goes on without a break", "[control][exact]") {
  const Programme programme = one_band(
      {.from_us = 22 * hour, .to_us = 2 * hour, .burst_us = 4 * s, .interval_us = 45 * minute});
  // 22:00, 22:45, 23:30, 00:15, 01:00, 01:45
  CHECK(starts_a_day(programme) == 6);
  CHECK(next_burst(programme, 23 * hour + 30 * minute + 1)->wait_us == 45 * minute - 1);
  CHECK(next_burst(programme, 0)->wait_us == 15 * minute);
  CHECK(next_burst(programme, 105 * minute)->wait_us == 0);
  CHECK(next_burst(programme, 105 * minute + 1)->wait_us == 22 * hour - 105 * minute - 1);
  CHECK(starts_of_day(programme) ==
        std::multiset<std::int64_t>{15 * minute, 60 * minute, 105 * minute, 22 * hour,
                                    22 * hour + 45 * minute, 23 * hour + 30 * minute});
}

TEST_CASE("control: equal ends mean the whole day and no burst means never", "[control][exact]") {
  const Programme whole =
      one_band({.from_us = 7 * hour, .to_us = 7 * hour, .burst_us = s, .interval_us = hour});
  CHECK(starts_a_day(whole) == 24);
  CHECK(next_burst(whole, 3 * hour)->wait_us == 0);
  CHECK_FALSE(next_burst(one_band({.from_us = 0, .to_us = hour}), 0));
  CHECK_FALSE(next_burst({}, 0));
}

TEST_CASE("control: of two bands that start together the earlier in the list is meant",
          "[control][exact]") {
  const Programme programme{
      .valve = 0,
      .bands = {{.from_us = 0, .to_us = 12 * hour, .burst_us = 5 * s, .interval_us = hour},
                {.from_us = 0, .to_us = 6 * hour, .burst_us = 9 * s, .interval_us = 2 * hour}}};
  CHECK(next_burst(programme, 0)->band == 0);
  CHECK(next_burst(programme, 2 * hour)->burst_us == 5 * s);
}

TEST_CASE("control: rounding never leaves a valve open from one burst to the next",
          "[control][exact]") {
  const Programme wanted =
      one_band({.from_us = 0, .to_us = 12 * hour, .burst_us = 50 * s, .interval_us = 55 * s});
  const Programme near =
      nearest_programme(wanted, {.resolution_s = 60.0, .shortest_burst_s = 60.0});
  CHECK(near.bands[0].burst_us == minute);
  CHECK(near.bands[0].interval_us == 2 * minute);
}

TEST_CASE("control: a band shorter than the clock's step stays a band and not the whole day",
          "[control][exact]") {
  const Programme wanted = one_band({.from_us = 6 * hour,
                                     .to_us = 6 * hour + 10 * minute,
                                     .burst_us = 5 * s,
                                     .interval_us = hour});
  const Programme near =
      nearest_programme(wanted, {.resolution_s = 3600.0, .longest_burst_s = 3600.0});
  CHECK(near.bands[0].from_us == 6 * hour);
  CHECK(near.bands[0].to_us == 7 * hour);
  CHECK(starts_a_day(near) == 1);
}

TEST_CASE("control: a clock of whole minutes turns 6 s every 4 min into 1 min every 40",
          "[control][worked]") {
  const Programme wanted = one_band(
      {.from_us = 6 * hour, .to_us = 20 * hour, .burst_us = 6 * s, .interval_us = 4 * minute});
  const ClockLimits minutes{.resolution_s = 60.0, .shortest_burst_s = 60.0};
  CHECK(obstacles(wanted, minutes) ==
        std::vector<std::string>{
            "06:00 to 20:00: a burst of 6 s is shorter than the clock's shortest of 1 min"});
  const Programme near = nearest_programme(wanted, minutes);
  CHECK(near.bands[0].burst_us == minute);
  CHECK(near.bands[0].interval_us == 40 * minute);
  CHECK(near.bands[0].from_us == 6 * hour);
  CHECK(near.bands[0].to_us == 20 * hour);
  CHECK(obstacles(near, minutes).empty());
}

TEST_CASE("control: a programme that the clock can run comes back as it is", "[control][law]") {
  const Programme wanted{
      .valve = 3,
      .bands = {
          {.from_us = 6 * hour, .to_us = 20 * hour, .burst_us = 6 * s, .interval_us = 10 * minute},
          {.from_us = 20 * hour, .to_us = 6 * hour, .burst_us = 0, .interval_us = 0}}};
  const Programme near = nearest_programme(wanted, {.starts_a_day = 84});
  CHECK(near.valve == 3);
  for (std::size_t i = 0; i < 2; ++i) {
    CHECK(near.bands[i].from_us == wanted.bands[i].from_us);
    CHECK(near.bands[i].to_us == wanted.bands[i].to_us);
    CHECK(near.bands[i].burst_us == wanted.bands[i].burst_us);
    CHECK(near.bands[i].interval_us == wanted.bands[i].interval_us);
  }
  CHECK(obstacles(wanted, {.starts_a_day = 84}).empty());
}

TEST_CASE("control: a clock of few starts bursts longer and keeps the water", "[control][law]") {
  const Programme wanted = one_band(
      {.from_us = 6 * hour, .to_us = 20 * hour, .burst_us = 6 * s, .interval_us = 10 * minute});
  const ClockLimits few{.resolution_s = 1.0, .shortest_burst_s = 1.0, .starts_a_day = 16};
  CHECK(obstacles(wanted, few) ==
        std::vector<std::string>{"84 starts a day, and the clock has 16"});
  const Programme near = nearest_programme(wanted, few);
  CHECK(starts_a_day(near) <= 16);
  CHECK(starts_a_day(near) >= 14);
  const double rate = 6.0 / 600.0;
  const double kept =
      static_cast<double>(near.bands[0].burst_us) / static_cast<double>(near.bands[0].interval_us);
  CHECK_THAT(kept, Catch::Matchers::WithinRel(rate, 0.02));
}

TEST_CASE("control: fewer starts than bands leave the bands with most water", "[control][exact]") {
  const Programme wanted{
      .valve = 0,
      .bands = {{.from_us = 0, .to_us = 6 * hour, .burst_us = 5 * s, .interval_us = 2 * hour},
                {.from_us = 6 * hour, .to_us = 18 * hour, .burst_us = 9 * s, .interval_us = hour}}};
  const Programme near = nearest_programme(wanted, {.starts_a_day = 1});
  CHECK(starts_a_day(near) == 1);
  CHECK(near.bands[0].burst_us == 0);
  CHECK(near.bands[1].burst_us > 0);
}

TEST_CASE("control: the nearest programme of any clock has no obstacles", "[control][law]") {
  Random random(3, stream_of("clocks"));
  const auto whole = [&](double low, double high) {
    return static_cast<std::int64_t>(low + (high - low) * random.uniform());
  };
  int limited = 0;
  for (int i = 0; i < 500; ++i) {
    Programme wanted;
    const std::int64_t bands = whole(1.0, 5.0);
    for (std::int64_t b = 0; b < bands; ++b) {
      wanted.bands.push_back({.from_us = whole(0.0, 86400.0) * s,
                              .to_us = whole(0.0, 86400.0) * s,
                              .burst_us = whole(0.0, 30e6),
                              .interval_us = whole(31e6, 3600e6)});
    }
    const double steps[] = {0.1, 1.0, 5.0, 60.0, 3600.0};
    ClockLimits limits;
    limits.resolution_s = steps[whole(0.0, 5.0)];
    limits.shortest_burst_s = static_cast<double>(whole(1.0, 10.0));
    limits.longest_burst_s = static_cast<double>(whole(60.0, 7200.0));
    limits.starts_a_day = random.uniform() < 0.5 ? 0 : static_cast<int>(whole(1.0, 200.0));
    const Programme near = nearest_programme(wanted, limits);
    CAPTURE(i, limits.resolution_s, limits.starts_a_day, obstacles(near, limits));
    REQUIRE(obstacles(near, limits).empty());
    if (limits.starts_a_day > 0 && starts_a_day(wanted) > limits.starts_a_day) ++limited;
    // And every start that is promised is found by asking.
    if (near.bands.size() == 1) {
      REQUIRE(starts_of_day(near).size() == static_cast<std::size_t>(starts_a_day(near)));
    }
  }
  CHECK(limited > 50);
}

TEST_CASE("control: obstacles say in plain words what a clock lacks", "[control][input]") {
  const Programme programme = one_band({.from_us = 6 * hour + 30 * s,
                                        .to_us = 20 * hour,
                                        .burst_us = 90 * s,
                                        .interval_us = 90 * s});
  const ClockLimits limits{.resolution_s = 60.0, .shortest_burst_s = 60.0, .longest_burst_s = 60.0};
  CHECK(
      obstacles(programme, limits) ==
      std::vector<std::string>{
          "06:00 to 20:00: a burst of 90 s is not a whole number of the clock's steps of 1 min",
          "06:00 to 20:00: a burst of 90 s is longer than the clock's longest of 1 min",
          "06:00 to 20:00: an interval of 90 s is not a whole number of the clock's steps of 1 min",
          "06:00 to 20:00: the valve would never close: a burst of 90 s every 90 s",
          "06:00 to 20:00: its ends do not fall on the clock's steps of 1 min"});
}
