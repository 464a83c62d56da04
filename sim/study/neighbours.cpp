#include "sim/study/neighbours.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "models/units.h"

namespace mistwright::study {

namespace {

/// How far each neighbour steps: ours, chosen to be large enough to matter and small enough to be
/// real.
constexpr double burst_factor = 1.5, interval_factor = 0.5, flow_factor = 1.67, shade_factor = 0.6;
constexpr double fan_later_K = 4.0;
constexpr double us_gallon_m3 = 3.785411784e-3;

std::int64_t rounded(double value_us, double resolution_s) {
  const double step = resolution_s * 1e6;
  return static_cast<std::int64_t>(std::max(1.0, std::round(value_us / step)) * step);
}

void each_band(House& house,
               const std::function<void(control::Band&, const control::ClockLimits&)>& change) {
  for (Clock& clock : house.clocks) {
    for (auto& programme : clock.programmes) {
      for (auto& band : programme.bands) {
        if (band.burst_us > 0) change(band, clock.limits);
      }
    }
  }
}

std::string time_words(std::int64_t time_us) {
  const double s = static_cast<double>(time_us) * 1e-6;
  if (s < 60.0) return fmt::format("{:g} s", s);
  const double min = s / 60.0;
  if (std::abs(min - std::round(min)) < 1e-9) return fmt::format("{:g} min", min);
  return fmt::format("{:g} min {:g} s", std::floor(min), s - 60.0 * std::floor(min));
}

std::string flow_words(double flow_m3_per_s) {
  return fmt::format("{:.0f} L/h ({:.0f} gal/h)", flow_m3_per_s * 3.6e6,
                     flow_m3_per_s * 3600.0 / us_gallon_m3);
}

Change longer_burst(const House& house) {
  Change change{"", house, true};
  each_band(change.house, [](control::Band& band, const control::ClockLimits& limits) {
    band.burst_us =
        std::min(rounded(burst_factor * static_cast<double>(band.burst_us), limits.resolution_s),
                 band.interval_us);
  });
  change.words = band_words(*busiest_band(change.house));
  return change;
}

Change shorter_interval(const House& house) {
  Change change{"", house, true};
  each_band(change.house, [](control::Band& band, const control::ClockLimits& limits) {
    band.interval_us = std::max(
        band.burst_us,
        rounded(interval_factor * static_cast<double>(band.interval_us), limits.resolution_s));
  });
  change.words = band_words(*busiest_band(change.house));
  return change;
}

Change larger_heads(const House& house) {
  Change change{"", house, false};
  double largest = 0.0;
  for (water::HeadType& type : change.house.head_types) {
    type.rated_flow_m3_per_s *= flow_factor;
    largest = std::max(largest, type.rated_flow_m3_per_s);
  }
  change.words = fmt::format("heads of {}, same clock", flow_words(largest));
  return change;
}

Change more_shade(const House& house) {
  Change change{"", house, false};
  double& through = change.house.structure.shade.transmittance_fraction;
  through *= shade_factor;
  change.words = fmt::format("{:.0f} % shade cloth", 100.0 * (1.0 - through));
  return change;
}

Change fan_later(const House& house) {
  Change change{"", house, false};
  double on_K = 0.0;
  for (Fan& fan : change.house.fans) {
    if (!fan.switched_by) continue;
    fan.switched_by->on_above_K += fan_later_K;
    fan.switched_by->off_below_K += fan_later_K;
    on_K = std::max(on_K, fan.switched_by->on_above_K);
  }
  change.words = fmt::format("fan later, at {:.0f} degC ({:.0f} degF)", celsius(on_K),
                             32.0 + 1.8 * celsius(on_K));
  return change;
}

}  // namespace

const control::Band* busiest_band(const House& house) {
  const control::Band* busiest = nullptr;
  double most = 0.0;
  for (const Clock& clock : house.clocks) {
    for (const auto& programme : clock.programmes) {
      for (const auto& band : programme.bands) {
        if (band.burst_us <= 0 || band.interval_us <= 0) continue;
        constexpr std::int64_t day_us = 86'400'000'000;
        const std::int64_t span = ((band.to_us - band.from_us) % day_us + day_us) % day_us;
        const double bursts =
            static_cast<double>(span == 0 ? day_us : span) / static_cast<double>(band.interval_us);
        if (bursts > most) {
          most = bursts;
          busiest = &band;
        }
      }
    }
  }
  return busiest;
}

std::string band_words(const control::Band& band) {
  return fmt::format("{} every {}", time_words(band.burst_us), time_words(band.interval_us));
}

std::vector<Change> neighbours(const House& house) {
  std::vector<Change> changes;
  if (busiest_band(house) != nullptr) {
    changes.push_back(longer_burst(house));
    changes.push_back(shorter_interval(house));
    changes.push_back(larger_heads(house));
  }
  changes.push_back(more_shade(house));
  const bool fans = std::any_of(house.fans.begin(), house.fans.end(),
                                [](const Fan& fan) { return fan.switched_by.has_value(); });
  if (fans) changes.push_back(fan_later(house));
  return changes;
}

Change in_whole_minutes(const House& house) {
  Change change{"", house, true};
  for (Clock& clock : change.house.clocks) {
    clock.limits.resolution_s = std::max(clock.limits.resolution_s, 60.0);
    clock.limits.shortest_burst_s = std::max(clock.limits.shortest_burst_s, 60.0);
    for (auto& programme : clock.programmes)
      programme = control::nearest_programme(programme, clock.limits);
  }
  if (const control::Band* band = busiest_band(change.house)) change.words = band_words(*band);
  return change;
}

House with_impaction_doubt(const House& house, double ratio) {
  House changed = house;
  changed.crop.impaction_doubt_ratio = ratio;
  return changed;
}

House with_film_capacity(const House& house, double capacity_m) {
  House changed = house;
  changed.crop.film_capacity_m = capacity_m;
  return changed;
}

}  // namespace mistwright::study
