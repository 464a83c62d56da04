#include "sim/report/switches.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "sim/report/day_panels.h"
#include "sim/report/html.h"
#include "sim/report/places.h"
#include "sim/report/svg.h"
#include "sim/report/words.h"

namespace mistwright::report {
namespace {

using record::Group;
using Values = std::vector<double>;

// The same edges as the curves beside it.
constexpr double words_px = 110.0, edge_right_px = 16.0, row_height = 30.0, first_row_px = 24.0;

void note(SwitchRow& row, double from_h, double count) {
  if (!row.count_number.empty() && row.count_number.back() == count) return;
  row.from_h.push_back(from_h);
  row.count_number.push_back(count);
}

void close(SwitchRow& row, double end_h) {
  for (std::size_t i = 0; i < row.from_h.size(); ++i)
    if (row.count_number[i] > 0.0)
      row.on_h += (i + 1 < row.from_h.size() ? row.from_h[i + 1] : end_h) - row.from_h[i];
}

SwitchRow fan_row() {
  return {"fans run", "no fan runs", "1 fan runs", "# fans run", {}, {}};
}

SwitchRow from_series(const Day& day, const Shown& shown, SwitchRow row) {
  const Values at = day.live_h(), counts = day.live(shown);
  for (std::size_t i = 0; i < at.size(); ++i) note(row, at[i], counts[i]);
  return row;
}

void read_events(const Group& events, const Day& day, Switches& found) {
  const auto& time = events.variable("event_time").values;
  const auto& kind = events.variable("kind");
  const auto& value = events.variable("value").values;
  const record::Variable* open = events.find("openings_open");
  SwitchRow fans = fan_row(),
            vents{"vents open", "no vent is open", "1 vent is open", "# vents are open", {}, {}};
  note(fans, 0.0, attribute_number(events, "fans_running_at_start", 0.0));
  note(vents, 0.0, attribute_number(events, "openings_open_at_start", 0.0));
  for (std::size_t i = 0; i < time.size(); ++i) {
    const std::string what = flag_word(kind, i);
    const double at_h = day.elapsed_h(time[i]);
    if (what == "burst_told") {
      found.bursts_h.push_back(at_h);
      found.told_s += value[i];
    }
    if (what != "fan_vent_or_shade_switched" || open == nullptr) continue;
    note(fans, at_h, value[i]);
    note(vents, at_h, open->values[i]);
  }
  if (open == nullptr) return;
  found.rows.push_back(std::move(fans));
  found.rows.push_back(std::move(vents));
}

void draw_row(Svg& svg, const SwitchRow& row, const Scale& x, double y, double end_h) {
  svg.text({words_px - 8.0, y + 15.0}, row.label, Anchor::End);
  svg.line({words_px, y + 20.0}, {picture_width_px - edge_right_px, y + 20.0}, "grid");
  const double most =
      std::max(1.0, *std::max_element(row.count_number.begin(), row.count_number.end()));
  for (std::size_t i = 0; i < row.from_h.size(); ++i) {
    if (!(row.count_number[i] > 0.0)) continue;
    const double to_h = i + 1 < row.from_h.size() ? row.from_h[i + 1] : end_h;
    const double high = 16.0 * row.count_number[i] / most;
    svg.rect({x(row.from_h[i]), y + 20.0 - high, std::max(0.6, x(to_h) - x(row.from_h[i])), high},
             "on");
  }
}

std::string draw(const Switches& s, const Day& day) {
  const double end_h = std::max(day.end_h(), 1e-6);
  const Scale x{0.0, end_h, words_px, picture_width_px - edge_right_px};
  const double rows = static_cast<double>(s.rows.size()) + 1.0;
  const double bottom = first_row_px + row_height * rows;
  Svg svg(picture_width_px, bottom + 22.0);
  svg.text({4.0, 14.0}, "what was switched on, and each burst", Anchor::Start, "axis");
  svg.rect(
      {words_px, first_row_px, picture_width_px - edge_right_px - words_px, bottom - first_row_px},
      "plot-area");
  draw_hours(svg, {day.first_hour_h(), x, first_row_px, bottom});
  double y = first_row_px + 2.0;
  for (const SwitchRow& row : s.rows) {
    draw_row(svg, row, x, y, end_h);
    y += row_height;
  }
  svg.text({words_px - 8.0, y + 15.0}, "bursts", Anchor::End);
  std::string ticks;
  for (const double at : s.bursts_h)
    ticks += fmt::format("M{} {}v16", short_number(x(at)), short_number(y + 4.0));
  svg.open_group("class=\"burst\"");
  svg.path(ticks);
  svg.close_group();
  return svg.finish("Fans, vents, shade and bursts over the day", "switches");
}

std::string sentence(const Switches& s, const Day& day) {
  std::string words;
  if (s.bursts_h.empty()) {
    words = "No burst was told.";
  } else {
    const auto number = static_cast<double>(s.bursts_h.size());
    words = fmt::format("{:.0f} burst{} of {} in the mean, from {} to {}.", number,
                        number > 1.0 ? "s" : "", burst_words(s.told_s / number),
                        day.when_words(s.bursts_h.front()), day.when_words(s.bursts_h.back()));
  }
  for (const SwitchRow& row : s.rows) {
    const auto stretches = std::count_if(row.count_number.begin(), row.count_number.end(),
                                         [](double count) { return count > 0.0; });
    words += stretches == 0 ? fmt::format(" {}: never.", capital(row.label))
                            : fmt::format(" {}: {} in all, in {} stretch{}.", capital(row.label),
                                          duration_words(3600.0 * row.on_h), stretches,
                                          stretches == 1 ? "" : "es");
  }
  return words;
}

}  // namespace

Switches switches_of(const record::Record& record, const Day& day) {
  Switches found;
  if (const Group* events = record.find("events")) read_events(*events, day, found);
  const Shown fans{"fans_running", "fans"}, shade{"shade_drawn", "shade"};
  if (found.rows.empty() && day.has(fans)) found.rows.push_back(from_series(day, fans, fan_row()));
  if (day.has(shade))
    found.rows.push_back(from_series(
        day, shade,
        {"shade drawn", "shade is not drawn", "shade is drawn", "# shades are drawn", {}, {}}));
  for (SwitchRow& row : found.rows) close(row, day.end_h());
  return found;
}

std::string switches_figure(const Switches& s, const Day& day) {
  if (s.rows.empty() && s.bursts_h.empty()) return {};
  constexpr std::size_t most_rows = 400;
  DataTable table{"what was switched, and when", {"At", "What", "How many from then on"}, {}};
  for (const SwitchRow& row : s.rows)
    for (std::size_t i = 0; i < row.from_h.size() && table.rows.size() < most_rows; ++i)
      table.rows.push_back(
          {day.when_words(row.from_h[i]), row.label, fmt::format("{:.0f}", row.count_number[i])});
  return marked_panel("switches", figure(draw(s, day), sentence(s, day), table));
}

}  // namespace mistwright::report
