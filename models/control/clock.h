#pragma once
// The control room answers: when does the next burst start, and can a clock as sold run this
// programme? Rules, all in whole microseconds of the wall clock:
//   bursts start at a band's start + n intervals, as long as that lies before the band's end; the
//   end itself belongs to the next band; a burst that starts within its band runs to its own end,
//   past the band's; the count begins anew every day.
// Left out: daylight saving (the caller's civil time already holds it), sensors, rain or power
// cuts.
//
// This header: clocks and their programmes, limited by what the clock itself can count.
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace mistwright::control {

/// What a clock as sold can do.
struct ClockLimits {
  double resolution_s = 1.0;  ///< bursts and intervals are whole multiples of it
  double shortest_burst_s = 1.0;
  double longest_burst_s = 3600.0;
  int starts_a_day = 0;  ///< 0: no limit
  int outputs = 1;
};

/// Bursts between two times of day. A band that ends at or before it starts runs over midnight.
struct Band {
  std::int64_t from_us = 0;  ///< since local midnight
  std::int64_t to_us = 0;
  std::int64_t burst_us = 0;     ///< 0: off in this band
  std::int64_t interval_us = 0;  ///< start to start
};

/// One valve's bands.
struct Programme {
  std::uint32_t valve = 0;
  std::vector<Band> bands;
};

/// The next burst that starts at or after a time of day. If two bands start one at the same moment,
/// the earlier band in the list is meant.
struct NextBurst {
  std::int64_t wait_us = 0;  ///< from the asked time of day to the start; less than two days
  std::int64_t burst_us = 0;
  std::size_t band = 0;
};

/// @param time_of_day_us since local midnight, 0 to 86,399,999,999
/// @return none if the programme never starts a burst
[[nodiscard]] std::optional<NextBurst> next_burst(const Programme& programme,
                                                  std::int64_t time_of_day_us);

/// Starts in one day of 24 h; a moment shared by two bands counts twice.
[[nodiscard]] int starts_a_day(const Programme& programme);

/// The programme nearest to the wanted one that the clock can run: bands, bursts and intervals
/// rounded to its resolution (never to a burst shorter than its shortest), the interval stretched
/// so that the water an hour stays as wanted where it can, starts kept within its limit by fewer
/// and longer bursts. If even one burst a band is more than the limit, the bands with least water
/// are switched off. A programme that the clock can run comes back as it is.
[[nodiscard]] Programme nearest_programme(const Programme& wanted, const ClockLimits& limits);

/// Why a clock cannot run a programme as written, in plain words; empty if it can.
[[nodiscard]] std::vector<std::string> obstacles(const Programme& programme,
                                                 const ClockLimits& limits);

}  // namespace mistwright::control
