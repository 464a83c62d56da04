#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "sim/report/bench_air.h"
#include "sim/report/html.h"
#include "sim/report/live_maps.h"
#include "sim/report/map_words.h"
#include "sim/report/sections.h"
#include "sim/report/words.h"

namespace mistwright::report {
namespace {

using record::Group;
using Values = std::vector<double>;

/// Letters of one moving map in the page: long runs of large houses show fewer instants.
constexpr std::size_t most_letters = 150'000;

/// The frame nearest to an hour since the midnight before the run.
std::size_t frame_at(const Values& hours, double hour) {
  std::size_t best = 0;
  for (std::size_t k = 0; k < hours.size(); ++k)
    if (std::abs(hours[k] - hour) < std::abs(hours[best] - hour)) best = k;
  return best;
}

/// Of how many frames one is shown, so that there are not too many letters and each day shows the
/// same hours.
std::size_t every_frame(const Values& time_us, std::size_t cells) {
  std::size_t every = (time_us.size() * cells + most_letters - 1) / most_letters;
  if (time_us.size() < 2) return every;
  const auto a_day = static_cast<std::size_t>(std::lround(8.64e10 / (time_us[1] - time_us[0])));
  while (every > 0 && every < a_day && a_day % every != 0) ++every;
  return every;
}

/// Every so many rows of `width` values.
Values thinned(const Values& all, std::size_t every, std::size_t width) {
  Values kept;
  for (std::size_t row = 0; row * width < all.size(); row += every)
    for (std::size_t i = 0; i < width; ++i) kept.push_back(all[row * width + i]);
  return kept;
}

Values one_frame(const Values& all, std::size_t frame, std::size_t cells) {
  const auto first = all.begin() + static_cast<std::ptrdiff_t>(frame * cells);
  return {first, first + static_cast<std::ptrdiff_t>(cells)};
}

/// Midnight before the day on which most leaves are bare, a day of which 13:00 was recorded.
double barest_midnight_h(const Values& hours, const Values& share, std::size_t cells) {
  double barest_h = 0.0, most = -1.0;
  for (double midnight_h = 0.0; midnight_h + 13.0 <= hours.back(); midnight_h += 24.0) {
    double sum = 0.0, count = 0.0;
    for (std::size_t k = 0; k < hours.size(); ++k) {
      if (hours[k] < midnight_h || hours[k] >= midnight_h + 24.0) continue;
      sum += mean_number(one_frame(share, k, cells));
      count += 1.0;
    }
    if (hours.front() > midnight_h + 13.0 || !(sum > most * count)) continue;
    most = sum / count;
    barest_h = midnight_h;
  }
  return barest_h;
}

Frames frames_of(const Subject& s, const Values& time, const Values& hours) {
  Frames frames;
  for (std::size_t k = 0; k < hours.size(); ++k) {
    frames.elapsed_h.push_back(time[k] / 3.6e9);
    frames.clock.push_back(when_words(hours[k], s.summary.by_days));
  }
  return frames;
}

std::string place_words(const Plan& plan, std::size_t cell) {
  return plan.places().words(plan.x_m()[cell], plan.y_m()[cell]);
}

std::string film_words(const Plan& plan, const Values& film_mm) {
  const Spread spread = spread_of(film_mm);
  if (spread.high < 5e-4) return "all leaves are bare: less than 0.001 mm everywhere.";
  return fmt::format(
      "{:.3f} mm of water on the leaves in the mean; the poorest quarter of the benches has {:.0f} "
      "% of that. Least: {}; most: {}.",
      mean_number(film_mm), 100.0 * low_quarter_ratio(film_mm), place_words(plan, spread.low_place),
      place_words(plan, spread.high_place));
}

std::string bare_words(const Plan& plan, const Values& percent) {
  const Spread spread = spread_of(percent);
  if (spread.high < 0.5) return "no leaf anywhere is more than half bare.";
  if (spread.low > 99.5) return "every leaf everywhere is more than half bare.";
  const auto over_half =
      std::count_if(percent.begin(), percent.end(), [](double p) { return p > 50.0; });
  return fmt::format(
      "{:.0f} % of the leaves are more than half bare; in {:.0f} % of the places more than one "
      "leaf "
      "in two is. Worst: {}.",
      mean_number(percent),
      100.0 * static_cast<double>(over_half) / static_cast<double>(percent.size()),
      place_words(plan, spread.high_place));
}

/// Four hours of one quantity, for paper and for readers without scripts.
std::string still_maps(const Subject& s, const LiveMap& map, const Frames& frames) {
  std::string pictures;
  for (const std::size_t frame : frames.still) {
    pictures += s.plan.small(fmt::format("{} at {}", map.name, frames.clock[frame]),
                             one_frame(map.values, frame, s.plan.x_m().size()), map.scale,
                             frames.clock[frame]);
  }
  const std::size_t noon = frames.first_shown;
  DataTable numbers;
  numbers.in_short = "At " + frames.clock[noon] + ": " + map.shorts[noon];
  return figure("<div class=\"four\">" + pictures + "</div>" + s.plan.colour_bar(map.scale),
                frames.clock[noon] + ": " + map.words[noon], numbers);
}

/// The thirds of the benches through the day, some two dozen instants.
std::string through_the_day(const Subject& s, const LiveMap& map, const Frames& frames) {
  constexpr std::size_t most_rows = 25;
  const std::vector<Third> thirds = thirds_of(s.plan);
  DataTable table{map.scale.words + ": means of the thirds of each bench", {"At"}, {}};
  for (const Third& third : thirds) table.headings.push_back(third.words);
  const std::size_t every = (frames.clock.size() + most_rows - 1) / most_rows;
  for (std::size_t k = 0; k < frames.clock.size(); k += every) {
    std::vector<std::string> row{frames.clock[k]};
    for (const MapLabel& number :
         third_labels(thirds, map.values, map.decimals, k * s.plan.x_m().size()))
      row.push_back(number.words);
    table.rows.push_back(std::move(row));
  }
  return unfolding(table);
}

}  // namespace

std::string film_section(const Subject& s) {
  const Group& bench = s.record.group("bench");
  const std::size_t cells = s.plan.x_m().size();
  const record::Variable& time = bench.variable("map_time");
  const std::size_t every = every_frame(time.values, cells);
  if (every == 0) return {};
  const Values hours = thinned(hours_since_midnight(s.record, time), every, 1);
  LiveMap film{"film", "Water on the leaves",
               {},     scaled(thinned(bench.variable("film_depth").values, every, cells), 1e3),
               3,      {},
               {}};
  LiveMap bare{"bare", "Share of leaves more than half bare",
               {},     scaled(thinned(bench.variable("bare_share").values, every, cells), 100.0),
               0,      {},
               {}};
  if (hours.empty() || film.values.size() != hours.size() * cells) return {};
  film.scale = {
      Ramp::Wet, 0.0,      round_high_number(film.values, 0.01), "water on the leaves, mm",
      "bare",    "fullest"};
  bare.scale = {Ramp::Drying, 0.0, 100.0, "leaves more than half bare, %", "none", "all"};
  for (std::size_t k = 0; k < hours.size(); ++k) {
    const Values depth = one_frame(film.values, k, cells), share = one_frame(bare.values, k, cells);
    film.words.push_back(typeset(film_words(s.plan, depth)));
    film.shorts.push_back(typeset(spread_words(spread_of(depth), 3, "mm")));
    bare.words.push_back(typeset(bare_words(s.plan, share)));
    bare.shorts.push_back(typeset(spread_words(spread_of(share), 0, "%")));
  }
  Frames frames = frames_of(s, thinned(time.values, every, 1), hours);
  const double midnight_h = barest_midnight_h(hours, bare.values, cells);
  for (const double hour : {7.0, 10.0, 13.0, 17.0})
    frames.still.push_back(frame_at(hours, midnight_h + hour));
  frames.first_shown = frames.still[2];
  const std::vector<LiveMap> air = bench_air_maps(s, every);
  std::vector<LiveMap> maps{film, bare};
  maps.insert(maps.end(), air.begin(), air.end());
  std::string air_tables;
  for (const LiveMap& map : air) air_tables += through_the_day(s, map, frames);
  return section(
      "film",
      s.summary.by_days ? "Water on the leaves day by day" : "Water on the leaves through the day",
      live_maps(s.plan, maps, frames) + "<div class=\"still pair\">" + still_maps(s, film, frames) +
          still_maps(s, bare, frames) + "</div>\n" + through_the_day(s, film, frames) +
          through_the_day(s, bare, frames) + air_tables + driest_air(s, air, frames));
}

}  // namespace mistwright::report
