#pragma once
// Simulated time: whole microseconds since the run's start, and the civil clock beside it.
#include <chrono>
#include <cstdint>

namespace mistwright {

struct SimClock {
  using rep = std::int64_t;
  using period = std::micro;
  using duration = std::chrono::duration<rep, period>;
  using time_point = std::chrono::time_point<SimClock>;
  static constexpr bool is_steady = true;
};
using SimTime = SimClock::time_point;
using SimDuration = SimClock::duration;

constexpr SimTime run_start{};

/// A length of time in seconds [s], for physics; never used as a moment.
constexpr double seconds(SimDuration duration) {
  return static_cast<double>(duration.count()) * 1e-6;
}

/// Rounds a real number of seconds up to the next microsecond, so that a predicted crossing has
/// happened when its event runs.
constexpr SimDuration duration_up(double duration_s) {
  const double micro = duration_s * 1e6;
  auto whole = static_cast<std::int64_t>(micro);
  if (static_cast<double>(whole) < micro) ++whole;
  return SimDuration{whole};
}

/// The civil clock of a run: local standard time is UTC plus a fixed offset; a written
/// daylight-saving rule shifts clocks (not the sun) by an hour between two instants.
struct CivilClock {
  std::int64_t start_utc_s = 0;   ///< seconds since 1970-01-01T00:00Z at the run's start
  std::int64_t utc_offset_s = 0;  ///< standard time minus UTC
  bool daylight_saving = false;   ///< whether the two instants below apply
  std::int64_t daylight_from_utc_s = 0;
  std::int64_t daylight_to_utc_s = 0;

  [[nodiscard]] constexpr double utc_s(SimTime t) const {
    return static_cast<double>(start_utc_s) + seconds(t - run_start);
  }
  [[nodiscard]] constexpr std::int64_t offset_s(std::int64_t utc_seconds) const {
    const bool summer =
        daylight_saving && utc_seconds >= daylight_from_utc_s && utc_seconds < daylight_to_utc_s;
    return utc_offset_s + (summer ? 3600 : 0);
  }
  /// Microseconds since local midnight by the wall clock.
  [[nodiscard]] constexpr std::int64_t time_of_day_us(SimTime t) const {
    const std::int64_t us = t.time_since_epoch().count();
    const std::int64_t utc_seconds = start_utc_s + us / 1'000'000;
    const std::int64_t local_us = (start_utc_s + offset_s(utc_seconds)) * 1'000'000 + us;
    constexpr std::int64_t day = 86'400'000'000;
    return ((local_us % day) + day) % day;
  }
};

}  // namespace mistwright
