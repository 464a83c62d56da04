#include "sim/report/live_curves.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "sim/report/json.h"
#include "sim/report/live_maps.h"

namespace mistwright::report {
namespace {

using Values = std::vector<double>;

std::string series_json(const std::string& label, const Values& values, int decimals) {
  return fmt::format("{{\"label\":{},\"values\":{}}}", json_text(label),
                     json_list(values, decimals));
}

std::string panel_json(const Day& day, const Panel& panel) {
  std::string series;
  for (const Shown& shown : panel.shown)
    series += (series.empty() ? "" : ",") +
              series_json(shown.label, day.live(shown), std::max(1, panel.decimals));
  return fmt::format(
      "{{\"id\":{},\"words\":{},\"unit\":{},\"decimals\":{},\"zero\":{},\"bursts\":{},"
      "\"spoken\":{},\"stepped\":false,\"full\":{},\"fullWords\":{},\"series\":[{}]}}",
      json_text(panel.id), json_text(panel.value_words), json_text(panel.unit), panel.decimals,
      panel.from_zero, panel.bursts, panel.spoken, json_number(panel.shown.front().most_number, 1),
      json_text(panel.full_words), series);
}

/// The sums of the hours, held through each.
std::string balance_json(const Values& at_h, const record::Group& bench) {
  const auto held = [&](const char* name) {
    const Values& hours = bench.variable(name).values;
    Values values;
    for (const double at : at_h) {
      const auto hour = static_cast<std::size_t>(std::max(0.0, std::floor(at + 1e-9)));
      values.push_back(hours[std::min(hour, hours.size() - 1)]);
    }
    return values;
  };
  return fmt::format(
      "{{\"id\":\"balance\",\"words\":{},\"unit\":\"mm in the hour\",\"decimals\":3,\"zero\":true,"
      "\"bursts\":false,\"spoken\":-1,\"stepped\":true,\"full\":null,\"fullWords\":\"\",\"series\":"
      "[{},{}]}}",
      json_text(balance_words), series_json("mist lands", held("mist_rate_on_bench"), 3),
      series_json("wet leaves would lose", held("leaf_loss"), 3));
}

std::string row_json(const SwitchRow& row) {
  return fmt::format("{{\"none\":{},\"one\":{},\"many\":{},\"from\":{},\"count\":{}}}",
                     json_text(row.none), json_text(row.one), json_text(row.many),
                     json_list(row.from_h, 4), json_list(row.count_number, 0));
}

}  // namespace

std::string live_curves(const Day& day, const std::vector<Panel>& panels, const Switches& switches,
                        const record::Group& bench) {
  const Values at_h = day.live_h();
  std::string all, rows;
  if (!bench.variable("hour_of_day").values.empty()) all = balance_json(at_h, bench);
  for (const Panel& panel : panels) all += (all.empty() ? "" : ",") + panel_json(day, panel);
  for (const SwitchRow& row : switches.rows) rows += (rows.empty() ? "" : ",") + row_json(row);
  const double start_h = day.first_hour_h();
  std::size_t noon = 0;  // the maps, where they are, tell another
  while (noon + 1 < at_h.size() && start_h + at_h[noon] < 13.0) ++noon;
  return "<div class=\"live\" id=\"day-live\" hidden>" +
         time_row("day", "Time of day: one cursor for all curves", at_h.size(), noon) + "</div>\n" +
         data_block("curves-data",
                    fmt::format("{{\"start\":{},\"end\":{},\"at\":{},\"panels\":[{}],"
                                "\"switches\":[{}],\"bursts\":{}}}",
                                json_number(start_h, 4), json_number(day.end_h(), 4),
                                json_list(at_h, 4), all, rows, json_list(switches.bursts_h, 4)));
}

}  // namespace mistwright::report
