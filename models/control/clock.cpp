#include "models/control/clock.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "models/contracts.h"

namespace mistwright::control {
namespace {

constexpr std::int64_t second_us = 1'000'000;
constexpr std::int64_t day_us = 86'400 * second_us;

std::int64_t wrapped(std::int64_t time_us) {
  return ((time_us % day_us) + day_us) % day_us;
}

std::int64_t length_us(const Band& band) {
  const std::int64_t straight = wrapped(band.to_us) - wrapped(band.from_us);
  return straight > 0 ? straight : straight + day_us;
}

std::int64_t starts(const Band& band) {
  if (band.burst_us <= 0) return 0;
  EXPECT(band.interval_us > 0);
  return (length_us(band) + band.interval_us - 1) / band.interval_us;
}

std::int64_t total_starts(const Programme& programme) {
  std::int64_t sum = 0;
  for (const Band& band : programme.bands) sum += starts(band);
  return sum;
}

/// A clock's limits in whole microseconds.
struct Steps {
  explicit Steps(const ClockLimits& limits)
      : step_us(std::max<std::int64_t>(1, std::llround(limits.resolution_s * 1e6))),
        shortest_us(
            up(std::max<std::int64_t>(step_us, std::llround(limits.shortest_burst_s * 1e6)))),
        longest_us(std::max(shortest_us, down(std::llround(limits.longest_burst_s * 1e6)))) {
    EXPECT(limits.resolution_s > 0.0);
  }
  [[nodiscard]] std::int64_t down(std::int64_t t_us) const { return t_us / step_us * step_us; }
  [[nodiscard]] std::int64_t up(std::int64_t t_us) const { return down(t_us + step_us - 1); }
  [[nodiscard]] std::int64_t nearest(std::int64_t t_us) const { return down(t_us + step_us / 2); }

  std::int64_t step_us;
  std::int64_t shortest_us;
  std::int64_t longest_us;
};

/// Edges on the clock's grid; a band never shrinks to nothing, which would read as the whole day.
void fit_edges(Band& band, const Steps& steps) {
  const std::int64_t from = steps.nearest(wrapped(band.from_us));
  std::int64_t to = steps.nearest(wrapped(band.from_us) + length_us(band));
  to = std::max(to, from + steps.step_us);
  band.from_us = wrapped(from);
  band.to_us = wrapped(to);
}

/// Fewer and longer bursts by a factor (thousandths), rounded to what the clock can count; the
/// interval then follows the burst so that the water an hour is kept.
Band fitted(const Band& wanted, const Steps& steps, std::int64_t thousandths) {
  Band band = wanted;
  fit_edges(band, steps);
  if (wanted.burst_us <= 0) return band;
  const std::int64_t longer_us = wanted.burst_us * thousandths / 1000;
  band.burst_us = std::clamp(steps.nearest(longer_us), steps.shortest_us, steps.longest_us);
  const double stretch = static_cast<double>(band.burst_us) / static_cast<double>(wanted.burst_us);
  std::int64_t interval_us =
      steps.nearest(std::llround(static_cast<double>(wanted.interval_us) * stretch));
  // Where the longest burst cannot hold the water, starts go before water.
  if (band.burst_us == steps.longest_us) {
    interval_us = std::max(interval_us, steps.nearest(wanted.interval_us * thousandths / 1000));
  }
  band.interval_us = std::max(interval_us, steps.up(band.burst_us + 1));
  return band;
}

Programme fitted(const Programme& wanted, const Steps& steps, std::int64_t thousandths) {
  Programme out{.valve = wanted.valve, .bands = {}};
  for (const Band& band : wanted.bands) out.bands.push_back(fitted(band, steps, thousandths));
  return out;
}

/// Switches off the bands with least water until one burst a band is within the limit.
Programme fewest_bands(Programme programme, int limit) {
  const auto on = [](const Band& band) { return band.burst_us > 0; };
  while (std::count_if(programme.bands.begin(), programme.bands.end(), on) > limit) {
    Band* least = nullptr;
    for (Band& band : programme.bands) {
      if (!on(band)) continue;
      if (least == nullptr || band.burst_us * starts(band) < least->burst_us * starts(*least)) {
        least = &band;
      }
    }
    least->burst_us = 0;
  }
  return programme;
}

std::string in_words(std::int64_t time_us) {
  if (time_us % (3600 * second_us) == 0 && time_us != 0) {
    return fmt::format("{} h", time_us / (3600 * second_us));
  }
  if (time_us % (60 * second_us) == 0 && time_us != 0) {
    return fmt::format("{} min", time_us / (60 * second_us));
  }
  if (time_us % second_us == 0) return fmt::format("{} s", time_us / second_us);
  return fmt::format("{:g} s", static_cast<double>(time_us) * 1e-6);
}

std::string time_of_day(std::int64_t time_us) {
  const std::int64_t minutes = wrapped(time_us) / (60 * second_us);
  return fmt::format("{:02}:{:02}", minutes / 60, minutes % 60);
}

void band_obstacles(const Band& band, const Steps& steps, std::vector<std::string>& out) {
  if (band.burst_us <= 0) return;
  const std::string when =
      fmt::format("{} to {}: ", time_of_day(band.from_us), time_of_day(band.to_us));
  const auto say = [&](const std::string& sentence) { out.push_back(when + sentence); };
  if (band.burst_us < steps.shortest_us) {
    say(fmt::format("a burst of {} is shorter than the clock's shortest of {}",
                    in_words(band.burst_us), in_words(steps.shortest_us)));
  } else if (band.burst_us % steps.step_us != 0) {
    say(fmt::format("a burst of {} is not a whole number of the clock's steps of {}",
                    in_words(band.burst_us), in_words(steps.step_us)));
  }
  if (band.burst_us > steps.longest_us) {
    say(fmt::format("a burst of {} is longer than the clock's longest of {}",
                    in_words(band.burst_us), in_words(steps.longest_us)));
  }
  if (band.interval_us % steps.step_us != 0) {
    say(fmt::format("an interval of {} is not a whole number of the clock's steps of {}",
                    in_words(band.interval_us), in_words(steps.step_us)));
  }
  if (band.interval_us <= band.burst_us) {
    say(fmt::format("the valve would never close: a burst of {} every {}", in_words(band.burst_us),
                    in_words(band.interval_us)));
  }
  if (wrapped(band.from_us) % steps.step_us != 0 || wrapped(band.to_us) % steps.step_us != 0) {
    say(fmt::format("its ends do not fall on the clock's steps of {}", in_words(steps.step_us)));
  }
}

}  // namespace

std::optional<NextBurst> next_burst(const Programme& programme, std::int64_t time_of_day_us) {
  EXPECT(time_of_day_us >= 0 && time_of_day_us < day_us);
  std::optional<NextBurst> next;
  for (std::size_t i = 0; i < programme.bands.size(); ++i) {
    const Band& band = programme.bands[i];
    if (band.burst_us <= 0) continue;
    EXPECT(band.interval_us > 0);
    const std::int64_t since_us = wrapped(time_of_day_us - band.from_us);
    const std::int64_t start_us =
        (since_us + band.interval_us - 1) / band.interval_us * band.interval_us;
    const std::int64_t wait_us =
        start_us < length_us(band) ? start_us - since_us : day_us - since_us;
    if (!next || wait_us < next->wait_us) {
      next = {.wait_us = wait_us, .burst_us = band.burst_us, .band = i};
    }
  }
  return next;
}

int starts_a_day(const Programme& programme) {
  return static_cast<int>(total_starts(programme));
}

Programme nearest_programme(const Programme& wanted, const ClockLimits& limits) {
  const Steps steps(limits);
  Programme out = fitted(wanted, steps, 1000);
  if (limits.starts_a_day <= 0 || total_starts(out) <= limits.starts_a_day) return out;
  const Programme within = fewest_bands(wanted, limits.starts_a_day);
  // Bursts longer by 2 % at a time; the interval reaches the whole band long before the end.
  for (std::int64_t thousandths = 1000; thousandths < 1'000'000'000;
       thousandths += thousandths / 50) {
    out = fitted(within, steps, thousandths);
    if (total_starts(out) <= limits.starts_a_day) return out;
  }
  return out;
}

std::vector<std::string> obstacles(const Programme& programme, const ClockLimits& limits) {
  const Steps steps(limits);
  std::vector<std::string> out;
  for (const Band& band : programme.bands) band_obstacles(band, steps, out);
  const std::int64_t sum = total_starts(programme);
  if (limits.starts_a_day > 0 && sum > limits.starts_a_day) {
    out.push_back(fmt::format("{} starts a day, and the clock has {}", sum, limits.starts_a_day));
  }
  return out;
}

}  // namespace mistwright::control
