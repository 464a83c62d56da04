#include "sim/app/check.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "models/control/clock.h"
#include "models/sky/weather.h"
#include "models/units.h"
#include "sim/app/situations.h"
#include "sim/app/work.h"
#include "sim/report/words.h"
#include "sim/scenario/quantity.h"
#include "sim/scenario/read.h"

namespace mistwright::app {
namespace {

using report::list_words;
using report::pressure_words;
using scenario::rounded;

/// "3.6 m (12 ft)"
std::string length_words(double length_m) {
  return fmt::format("{} ({})", rounded(length_m, "m"), rounded(length_m, "ft", 2));
}

std::string count_words(std::size_t count, const char* one, const char* many) {
  return fmt::format("{} {}", count, count == 1 ? one : many);
}

double leaf_count_number(const House& house) {
  const double leaves_each = 0.5 * (house.crop.leaves_min + house.crop.leaves_max);
  return house.bench_area_m2() * house.crop.cuttings_per_m2 * leaves_each;
}

/// Distance from a head to the nearest other, smallest and largest over the heads.
std::pair<double, double> spacing_m(const House& house) {
  double least_m = std::numeric_limits<double>::infinity();
  double most_m = 0.0;
  for (const PlacedHead& a : house.heads) {
    double near_m = std::numeric_limits<double>::infinity();
    for (const PlacedHead& b : house.heads) {
      if (&a != &b) near_m = std::min(near_m, std::abs(a.x_m - b.x_m) + std::abs(a.y_m - b.y_m));
    }
    least_m = std::min(least_m, near_m);
    most_m = std::max(most_m, near_m);
  }
  return {least_m, most_m};
}

std::string house_words(const House& house) {
  const Structure& s = house.structure;
  std::vector<std::string> benches;
  for (const Bench& bench : house.benches) {
    benches.push_back(fmt::format("{} ({} by {})", bench.name, rounded(bench.length_m, "m"),
                                  rounded(bench.width_m, "m")));
  }
  return fmt::format(
      "{} is {} long, {} wide and {} high at the ridge. {}: {}, with room for some {} leaves of {} "
      "in "
      "{} on cuttings of {}.",
      house.name, length_words(s.length_m), length_words(s.width_m), length_words(s.ridge_height_m),
      count_words(benches.size(), "bench", "benches"), list_words(benches),
      rounded(leaf_count_number(house), "1"), rounded(house.crop.leaf_area_m2, "cm2"),
      count_words(static_cast<std::size_t>(house.crop.layers), "layer", "layers"),
      house.crop.species_group);
}

std::string heads_words(const House& house) {
  std::vector<std::string> kinds;
  for (std::size_t t = 0; t < house.head_types.size(); ++t) {
    const auto count = static_cast<std::size_t>(
        std::count_if(house.heads.begin(), house.heads.end(),
                      [&](const PlacedHead& head) { return head.type == t; }));
    if (count == 0) continue;
    const water::HeadType& type = house.head_types[t];
    kinds.push_back(fmt::format("{} of {} ({} at {}, half of the water in drops below {})", count,
                                type.name, rounded(type.rated_flow_m3_per_s, "L/h"),
                                pressure_words(type.rated_pressure_Pa),
                                rounded(type.dv50_m, "um")));
  }
  std::string text =
      fmt::format("{}: {}, in {}.", count_words(house.heads.size(), "head", "heads"),
                  list_words(kinds), count_words(house.network.valves.size(), "zone", "zones"));
  if (house.heads.size() > 1) {
    const auto [least_m, most_m] = spacing_m(house);
    const bool even = rounded(least_m, "m") == rounded(most_m, "m");
    text += even ? fmt::format(" Neighbours stand {} apart.", length_words(least_m))
                 : fmt::format(" Neighbours stand {} to {} apart.", rounded(least_m, "m"),
                               length_words(most_m));
  }
  return text;
}

std::string water_words(const House& house, const Situation& s) {
  std::vector<std::string> names;
  for (const auto valve : s.valves) names.push_back(house.network.valves[valve].name);
  const PlacedHead& head = house.heads[s.lowest_head];
  const water::HeadType& type = house.head_types[head.type];
  return fmt::format(
      "With {} open the heads ask for {} ({}) and get {}; the supply still stands at {}. The "
      "worst-fed "
      "head, {}, has {} and needs {}{}.",
      list_words(names), rounded(s.wanted_m3_per_s, "L/min"), rounded(s.wanted_m3_per_s, "gal/min"),
      rounded(s.flow_m3_per_s, "L/min"), pressure_words(s.supply_pressure_Pa), head.name,
      pressure_words(s.lowest_head_Pa), pressure_words(type.working_pressure_low_Pa),
      s.starved ? ": too little" : "");
}

/// "6 s every 10 min from 07:00 to 19:00"
std::string band_words(const control::Band& band) {
  const auto time_s = [](std::int64_t us) { return static_cast<double>(us) / 1e6; };
  const auto hour = [&](std::int64_t us) { return report::clock_words(time_s(us) / 3600.0); };
  return fmt::format("{} every {} from {} to {}", report::burst_words(time_s(band.burst_us)),
                     report::burst_words(time_s(band.interval_us)), hour(band.from_us),
                     hour(band.to_us));
}

std::string clock_words(const House& house) {
  std::string text;
  for (const Clock& clock : house.clocks) {
    for (const auto& programme : clock.programmes) {
      std::vector<std::string> bands;
      for (const control::Band& band : programme.bands) {
        if (band.burst_us > 0) bands.push_back(band_words(band));
      }
      const auto starts = static_cast<std::size_t>(control::starts_a_day(programme));
      text += fmt::format("{}{} runs {} for {}: {} a day.", text.empty() ? "" : " ", clock.name,
                          bands.empty() ? "nothing" : list_words(bands),
                          house.network.valves[programme.valve].name,
                          count_words(starts, "start", "starts"));
    }
  }
  return text.empty() ? "No clock runs a programme." : text;
}

/// The weather over a run, by one look at it a minute.
struct Outside {
  double mean_temperature_K = 0.0, lowest_temperature_K = std::numeric_limits<double>::infinity(),
         highest_temperature_K = 0.0;
  double global_horizontal_J_per_m2 = 0.0;
};

Outside outside_of(const House& house) {
  constexpr double look_s = 60.0;
  Outside out;
  const double from_s = static_cast<double>(house.civil.start_utc_s);
  const double span_s = seconds(house.span);
  const auto looks = static_cast<int>(std::max(1.0, std::ceil(span_s / look_s)));
  for (int i = 0; i < looks; ++i) {
    const auto now = sky::weather_at(house.weather, from_s + span_s * (i + 0.5) / looks);
    out.mean_temperature_K += now.temperature_K / looks;
    out.lowest_temperature_K = std::min(out.lowest_temperature_K, now.temperature_K);
    out.highest_temperature_K = std::max(out.highest_temperature_K, now.temperature_K);
    out.global_horizontal_J_per_m2 += now.global_horizontal_W_per_m2 * span_s / looks;
  }
  return out;
}

std::string outside_words(const House& house) {
  const Outside o = outside_of(house);
  const double days = seconds(house.span) / 3600.0 / 24;
  return fmt::format(
      "Outside it is {} to {}, {} in the mean, with {} of sun {}.",
      rounded(o.lowest_temperature_K, "degC"), rounded(o.highest_temperature_K, "degC"),
      rounded(o.mean_temperature_K, "degC"),
      fmt::format("{:.1f} MJ/m2", o.global_horizontal_J_per_m2 / 1e6 / std::max(1.0, days)),
      days < 1.0 ? "in that time" : "a day");
}

/// What a run will take. Measured once on the demonstration, so good to a factor of about three.
std::string effort_words(const House& house) {
  // Of the house and its neighbours together, which share much.
  constexpr double parcel_us = 460;      ///< following one parcel of drops, all regimes together
  constexpr double quiet_parcels = 5;    ///< of a map of one size class, times noise squared
  constexpr double first_parcels = 320;  ///< of every class
  constexpr double cell_us = 150;        ///< solving the airflow, a cell
  constexpr double leaf_day_us = 148;    ///< a leaf's day
  constexpr double leaf_bytes = 1500, cell_bytes = 2000, least_bytes = 20e6;
  const Structure& s = house.structure;
  const double cells =
      s.length_m * s.width_m * s.ridge_height_m /
      (house.numerics.flow_cell_m * house.numerics.flow_cell_m * house.numerics.flow_cell_m);
  const double noise = house.numerics.deposit_noise_ratio;
  const double classes = house.numerics.size_classes;
  const double parcels = static_cast<double>(house.heads.size()) *
                         std::min(quiet_parcels / (noise * noise) + first_parcels * classes,
                                  classes * house.numerics.parcels_per_class);
  const double leaf_days = leaf_count_number(house) * seconds(house.span) / 3600.0 / 24;
  const double work_s = (parcels * parcel_us + cells * cell_us + leaf_days * leaf_day_us) / 1e6;
  const double bytes = leaf_count_number(house) * leaf_bytes + cells * cell_bytes + least_bytes;
  return fmt::format("Simulating {} takes about {} of one processor and {} MB of memory.",
                     report::duration_words(seconds(house.span)), report::duration_words(work_s),
                     rounded(bytes / 1e6, "1", 2));
}

/// The situations worth a sentence: every zone alone, then the one that draws most.
std::vector<Situation> telling(std::vector<Situation> all) {
  if (all.size() <= 4) return all;
  std::stable_sort(all.begin(), all.end(), [](const Situation& a, const Situation& b) {
    return a.lowest_head_Pa < b.lowest_head_Pa;
  });
  all.resize(1);
  return all;
}

std::string assumed_words(const House& house) {
  std::string out;
  for (const Assumed& one : house.assumed) {
    const std::string range = one.low.empty() ? "" : fmt::format("  ({} to {})", one.low, one.high);
    out += fmt::format("{} = {}{}  [{}]\n    {}\n", one.key, one.value, range, one.evidence,
                       one.meaning);
  }
  return out.empty() ? "nothing is assumed: the scenario says everything\n" : out;
}

std::string json(const House& house, const std::vector<Situation>& all, bool assumed) {
  JsonObject object;
  object.text("name", house.name);
  object.number("length_m", house.structure.length_m);
  object.number("width_m", house.structure.width_m);
  object.number("bench_area_m2", house.bench_area_m2());
  object.number("leaves", std::round(leaf_count_number(house)));
  object.whole("heads", static_cast<long long>(house.heads.size()));
  object.whole("zones", static_cast<long long>(house.network.valves.size()));
  object.number("simulated_s", seconds(house.span));
  const Outside o = outside_of(house);
  JsonObject outside;
  outside.text("source", house.weather.source);
  outside.number("mean_temperature_k", o.mean_temperature_K);
  outside.number("lowest_temperature_k", o.lowest_temperature_K);
  outside.number("highest_temperature_k", o.highest_temperature_K);
  outside.number("global_horizontal_j_m2", o.global_horizontal_J_per_m2);
  object.raw("outside", outside.str());
  std::vector<std::string> items;
  for (const Situation& s : all) {
    std::vector<std::string> names;
    for (const auto valve : s.valves) names.push_back(json_text(house.network.valves[valve].name));
    JsonObject one;
    one.raw("zones", json_array(names));
    one.number("wanted_m3_s", s.wanted_m3_per_s);
    one.number("flow_m3_s", s.flow_m3_per_s);
    one.number("supply_pressure_pa", s.supply_pressure_Pa);
    one.number("lowest_head_pressure_pa", s.lowest_head_Pa);
    one.flag("starved", s.starved);
    items.push_back(one.str());
  }
  object.raw("supply", json_array(items));
  object.whole("assumed_count", static_cast<long long>(house.assumed.size()));
  if (assumed) {
    std::vector<std::string> values;
    for (const Assumed& a : house.assumed) {
      JsonObject one;
      one.text("key", a.key);
      one.text("value", a.value);
      one.text("low", a.low);
      one.text("high", a.high);
      one.text("evidence", a.evidence);
      one.text("meaning", a.meaning);
      values.push_back(one.str());
    }
    object.raw("assumed", json_array(values));
  }
  return object.str();
}

}  // namespace

Checked read_checked(const Manners& manners, const ScenarioRequest& request) {
  const StopWatch watch;
  scenario::ReadResult result = scenario::read_file(request.scenario, request.settings);
  if (result.house && !request.allow_starved) {
    const auto more = overlaps(*result.house, situations(*result.house));
    result.problems.insert(result.problems.end(), more.begin(), more.end());
  }
  const bool failed = scenario::any_error(result.problems) || !result.house;
  // On success the one JSON object is the answer; warnings then go nowhere but to people.
  if (failed || (!manners.json && !manners.quiet && !result.problems.empty())) {
    tell(manners, result.problems);
  }
  if (failed) return {{}, scenario::exit_status(result.problems)};
  return {std::move(result.house), done, !result.problems.empty(), std::move(result.files)};
}

std::string described(const House& house) {
  std::string text = house_words(house) + ' ' + heads_words(house);
  for (const Situation& s : telling(situations(house))) text += ' ' + water_words(house, s);
  text += ' ' + clock_words(house);
  text += ' ' + outside_words(house);
  text += ' ' + effort_words(house);
  return report::wrapped("", text, 0);
}

int check(const Manners& manners, const CheckRequest& request) {
  const Checked checked = read_checked(manners, request.input);
  if (!checked.house) return checked.status;
  const House& house = *checked.house;
  if (manners.json) {
    fmt::print("{}\n", json(house, situations(house), request.assumed));
    return done;
  }
  if (request.assumed) {
    fmt::print("{}", assumed_words(house));
    return done;
  }
  fmt::print("{}", described(house));
  if (!manners.quiet) {
    const auto all = situations(house);
    const bool starved =
        std::any_of(all.begin(), all.end(), [](const Situation& one) { return one.starved; });
    const char* const told = starved          ? "It can be run, but heads are starved."
                             : checked.warned ? "It can be run; see the warnings."
                                              : "Nothing is wrong with it.";
    fmt::print("{} {} assumed: see check --assumed.\n", told,
               count_words(house.assumed.size(), "value is", "values are"));
  }
  return done;
}

}  // namespace mistwright::app
