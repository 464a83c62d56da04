#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "sim/report/html.h"
#include "sim/report/sections.h"
#include "sim/report/words.h"

namespace mistwright::report {
namespace {

using record::Group;
using Values = std::vector<double>;

constexpr std::size_t most_rows = 400;  // of a table of cells

Values scaled(const Values& values, double factor) {
  Values result(values);
  for (double& value : result) value *= factor;
  return result;
}

double mean(const Values& values) {
  return values.empty() ? 0.0
                        : std::accumulate(values.begin(), values.end(), 0.0) /
                              static_cast<double>(values.size());
}

/// The end of a ramp: the next round number above the largest value.
double round_high(const Values& values, double at_least) {
  const double high =
      std::max(at_least, values.empty() ? 0.0 : *std::max_element(values.begin(), values.end()));
  return round_ticks(0.0, high, 5).back();
}

/// Mean of the lowest quarter over the mean of all: the distribution uniformity of the low quarter.
double low_quarter_ratio(Values values) {
  std::sort(values.begin(), values.end());
  const Values low(values.begin(),
                   values.begin() + static_cast<std::ptrdiff_t>((values.size() + 3) / 4));
  return mean(values) > 0.0 ? mean(low) / mean(values) : 0.0;
}

/// Cells of a bench's third along the house.
struct Third {
  std::string words;
  std::vector<std::size_t> cells;
};

std::vector<Third> thirds(const Plan& plan) {
  std::vector<Third> found;
  for (const Places::Table& b : plan.places().benches())
    for (int part = 0; part < 3; ++part) {
      Third third{
          b.name + ", " + (part == 1 ? std::string("middle") : plan.places().end_words(part == 2)),
          {}};
      for (std::size_t c = 0; c < plan.x_m().size(); ++c) {
        const double along = (plan.x_m()[c] - b.x_m) / b.length_m,
                     across = (plan.y_m()[c] - b.y_m) / b.width_m;
        if (across < 0.0 || across > 1.0 || along < 0.0 || along > 1.0) continue;
        if (std::min(2, static_cast<int>(along * 3.0)) == part) third.cells.push_back(c);
      }
      if (!third.cells.empty()) found.push_back(std::move(third));
    }
  return found;
}

double mean_of(const Values& values, const std::vector<std::size_t>& cells, std::size_t first = 0) {
  double sum = 0.0;
  for (const std::size_t c : cells) sum += values[first + c];
  return sum / static_cast<double>(cells.size());
}

DataTable cell_table(const Group& bench, const Plan& plan, double days) {
  const Values& dry = bench.variable("dry_time").values;
  std::vector<std::size_t> order(dry.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return dry[a] > dry[b]; });
  const std::size_t rows = std::min(order.size(), most_rows);
  DataTable table{rows < order.size()
                      ? fmt::format("the {} driest of {} cells of the bench", rows, order.size())
                      : fmt::format("all {} cells of the bench, driest first", rows),
                  {"Place", "Along, m", "Across, m", "Dry, min a day", "Worst leaf, min a day",
                   "Longest dry spell, min", "Mist on leaves, mm a day", "Soggy, h a day"},
                  {}};
  const auto at = [&](const char* name, std::size_t c) { return bench.variable(name).values[c]; };
  for (std::size_t i = 0; i < rows; ++i) {
    const std::size_t c = order[i];
    table.rows.push_back(
        {plan.places().words(plan.x_m()[c], plan.y_m()[c]), fmt::format("{:.2f}", plan.x_m()[c]),
         fmt::format("{:.2f}", plan.y_m()[c]), fmt::format("{:.0f}", dry[c] / 60.0 / days),
         fmt::format("{:.0f}", at("worst_dry_time", c) / 60.0 / days),
         fmt::format("{:.1f}", at("longest_dry_spell", c) / 60.0),
         fmt::format("{:.2f}", at("mist_on_leaves", c) / days),
         fmt::format("{:.1f}", at("soggy_time", c) / 3600.0 / days)});
  }
  return table;
}

/// The first frame nearest to an hour of the day.
std::size_t frame_at(const Values& hours, double hour) {
  std::size_t best = 0;
  for (std::size_t k = 0; k < hours.size(); ++k)
    if (std::abs(hours[k] - hour) < std::abs(hours[best] - hour)) best = k;
  return best;
}

std::string frame_words(const Group& bench, const Values& hours, std::size_t frame) {
  const std::size_t cells = bench.variable("x").values.size();
  const auto part = [&](const char* name) {
    const auto first =
        bench.variable(name).values.begin() + static_cast<std::ptrdiff_t>(frame * cells);
    return mean(Values(first, first + static_cast<std::ptrdiff_t>(cells)));
  };
  const double elapsed_h = bench.variable("map_time").values[frame] / 3.6e9;
  const std::string day = elapsed_h >= 24.5
                              ? fmt::format("Day {:.0f}, ", std::floor(elapsed_h / 24.0) + 1.0)
                              : std::string();
  return fmt::format("{}{}: film {:.3f} mm in the mean; {:.0f} % of the leaves more than half bare",
                     day, clock_words(hours[frame]), part("film_depth") * 1e3,
                     part("bare_share") * 100.0);
}

/// The map that moves with a slider; hidden until the page's script shows it.
std::string live_film(const Plan& plan, const Group& bench, const Values& hours,
                      const Values& film_mm, const MapScale& scale) {
  const std::size_t cells = plan.x_m().size(), frames = hours.size();
  std::string colours, levels, words;
  for (const std::string& colour : ramp_colours(scale.ramp, map_levels))
    colours += fmt::format("{}\"{}\"", colours.empty() ? "" : ",", colour);
  for (std::size_t k = 0; k < frames; ++k) {
    levels += k == 0 ? "\"" : ",\"";
    for (std::size_t c = 0; c < cells; ++c)
      levels +=
          static_cast<char>('A' + static_cast<int>(Plan::level(film_mm[k * cells + c], scale)));
    levels += '"';
    words += fmt::format("{}\"{}\"", k == 0 ? "" : ",", frame_words(bench, hours, k));
  }
  const std::string start = fmt::format("{}", frame_at(hours, 13.0));
  return "<div class=\"live\" id=\"film-live\" hidden>" +
         plan.small("Film on the leaves at the hour chosen", {}, scale, "", true) +
         "<label for=\"film-time\">Hour of the day</label><input type=\"range\" id=\"film-time\" "
         "min=\"0\" max=\"" +
         std::to_string(frames - 1) + "\" step=\"1\" value=\"" + start +
         "\"><output id=\"film-said\" for=\"film-time\"></output></div>\n" +
         "<script type=\"application/json\" id=\"film-data\">{" + plan.cell_places() +
         ",\"colours\":[" + colours + "],\"levels\":[" + levels + "],\"words\":[" + words +
         "]}</script>\n";
}

}  // namespace

std::string dry_section(const Subject& s) {
  const Group& bench = s.record.group("bench");
  const Values minutes =
      scaled(bench.variable("dry_time").values, 1.0 / 60.0 / s.summary.days_number);
  const MapScale scale{Ramp::Drying,
                       0.0,
                       round_high(minutes, 10.0),
                       "minutes a day in which a leaf is more than half bare",
                       "never",
                       "longest"};
  const std::string caption = fmt::format(
      "The house from above; circles are heads. The worst place is dry for {} a day ({}), the best "
      "for {} ({}); over "
      "the benches the mean is {}.",
      duration_words(s.summary.worst.dry_s), s.summary.worst.words,
      duration_words(s.summary.best.dry_s), s.summary.best.words,
      duration_words(s.summary.mean_dry_s));
  return section(
      "dry", "Where leaves go dry",
      figure(s.plan.full("Plan of the house with the dry minutes of each place of the benches",
                         minutes, scale, true),
             caption, cell_table(bench, s.plan, s.summary.days_number), "wide"));
}

std::string mist_section(const Subject& s) {
  const Group& bench = s.record.group("bench");
  const double per_day = 1.0 / s.summary.days_number;
  const Values leaves = scaled(bench.variable("mist_on_leaves").values, per_day),
               medium = scaled(bench.variable("mist_on_medium").values, per_day);
  DataTable table{"mist by thirds of each bench",
                  {"Place", "On leaves, mm a day", "On the medium, mm a day",
                   "Leaves could lose, mm a day of leaf area"},
                  {}};
  for (const Third& third : thirds(s.plan))
    table.rows.push_back(
        {third.words, fmt::format("{:.2f}", mean_of(leaves, third.cells)),
         fmt::format("{:.2f}", mean_of(medium, third.cells)),
         fmt::format("{:.2f}", mean_of(bench.variable("demand").values, third.cells) * per_day)});
  const auto one = [&](const Values& values, const char* where) {
    const MapScale scale{Ramp::Wet,
                         0.0,
                         round_high(values, 0.01),
                         fmt::format("mist on the {}, mm (L/m\u00b2) a day", where),
                         "least",
                         "most"};
    return s.plan.small(fmt::format("Mist that landed on the {}", where), values, scale, "") +
           s.plan.colour_bar(scale);
  };
  const auto caption = [&](const Values& values, const char* where) {
    return fmt::format(
        "On the {}: {:.2f} mm a day in the mean; the poorest quarter of the benches gets {:.0f} % "
        "of that.",
        where, mean(values), 100.0 * low_quarter_ratio(values));
  };
  return section("mist", "Where the mist lands",
                 "<div class=\"pair\">" +
                     figure(one(leaves, "leaves"), caption(leaves, "leaves"), table) +
                     figure(one(medium, "medium"), caption(medium, "medium"), {}) + "</div>\n");
}

std::string film_section(const Subject& s) {
  const Group& bench = s.record.group("bench");
  const Values hours = local_hours(s.record, bench.variable("map_time"));
  const Values film_mm = scaled(bench.variable("film_depth").values, 1e3);
  const std::size_t cells = s.plan.x_m().size();
  if (hours.empty() || film_mm.size() != hours.size() * cells) return {};
  const MapScale scale{Ramp::Wet, 0.0,      round_high(film_mm, 0.01), "water on the leaves, mm",
                       "bare",    "fullest"};
  std::string maps;
  DataTable table{"film by thirds of each bench at four hours, mm", {"Place"}, {}};
  for (const Third& third : thirds(s.plan)) table.rows.push_back({third.words});
  for (const double hour : {7.0, 10.0, 13.0, 17.0}) {
    const std::size_t frame = frame_at(hours, hour);
    const auto first = film_mm.begin() + static_cast<std::ptrdiff_t>(frame * cells);
    maps += s.plan.small(fmt::format("Film at {}", clock_words(hours[frame])),
                         Values(first, first + static_cast<std::ptrdiff_t>(cells)), scale,
                         clock_words(hours[frame]));
    table.headings.push_back(clock_words(hours[frame]));
    std::size_t row = 0;
    for (const Third& third : thirds(s.plan))
      table.rows[row++].push_back(
          fmt::format("{:.3f}", mean_of(film_mm, third.cells, frame * cells)));
  }
  const std::string caption =
      frame_words(bench, hours, frame_at(hours, 13.0)) +
      ". Benches as in the plan above; depths are as they stand at that instant.";
  return section("film", "Water on the leaves through the day",
                 live_film(s.plan, bench, hours, film_mm, scale) +
                     figure("<div class=\"four\">" + maps + "</div>" + s.plan.colour_bar(scale),
                            caption, table));
}

}  // namespace mistwright::report
