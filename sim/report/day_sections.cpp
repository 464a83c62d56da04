#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "sim/report/bars.h"
#include "sim/report/html.h"
#include "sim/report/line_plot.h"
#include "sim/report/sections.h"
#include "sim/report/svg.h"
#include "sim/report/words.h"

namespace mistwright::report {
namespace {

using record::Group;
using record::Variable;
using Values = std::vector<double>;

constexpr std::size_t most_points = 600;  // of a curve

/// A quantity of the series on the page: how it is called there and converted.
struct Shown {
  const char* variable;
  const char* label;
  double factor = 1.0, offset = 0.0;
};

/// The series at a stride that leaves no more points than a picture can show.
struct Day {
  Day(const record::Record& record, const Group& series) : group(series) {
    const Variable& time = series.variable("time");
    hours = local_hours(record, time);
    stride = std::max<std::size_t>(1, (time.values.size() + most_points - 1) / most_points);
    for (std::size_t i = 0; i < time.values.size(); i += stride)
      elapsed_h.push_back((time.values[i] - time.values.front()) / 3.6e9);
  }
  [[nodiscard]] Values values(const Shown& shown) const {
    const Values& all = group.variable(shown.variable).values;
    Values picked;
    for (std::size_t i = 0; i < all.size(); i += stride)
      picked.push_back(shown.factor * all[i] + shown.offset);
    return picked;
  }
  const Group& group;
  Values hours, elapsed_h;
  std::size_t stride = 1;
};

/// Rows of about an hour.
DataTable hourly_table(const Day& day, const std::string& caption, const std::vector<Curve>& curves,
                       int decimals) {
  DataTable table{caption, {"Hour"}, {}};
  for (const Curve& curve : curves) table.headings.push_back(curve.label);
  double next_h = 0.0;
  for (std::size_t i = 0; i < day.elapsed_h.size(); ++i) {
    if (day.elapsed_h[i] < next_h - 1e-6) continue;
    next_h = std::floor(day.elapsed_h[i] + 1e-6) + 1.0;
    std::vector<std::string> row{clock_words(day.hours[i * day.stride])};
    for (const Curve& curve : curves)
      row.push_back(fmt::format("{:.{}f}", curve.values[i], decimals));
    table.rows.push_back(std::move(row));
  }
  return table;
}

struct Extreme {
  double value = 0.0, hour_h = 0.0;
};

Extreme largest(const Day& day, const Curve& curve) {
  const auto it = std::max_element(curve.values.begin(), curve.values.end());
  return {*it, day.hours[static_cast<std::size_t>(it - curve.values.begin()) * day.stride]};
}

struct Panel {
  std::string name, value_words;
  std::vector<Shown> shown;
  int decimals = 1;
  bool from_zero = true;
};

std::vector<Curve> curves_of(const Day& day, const Panel& panel) {
  std::vector<Curve> curves;
  for (const Shown& shown : panel.shown)
    if (day.group.find(shown.variable) != nullptr)
      curves.push_back({shown.label, day.values(shown)});
  return curves;
}

template <class Sentence>
std::string panel_figure(const Day& day, const Panel& panel,
                         const std::function<std::string(double)>& second, Sentence&& sentence) {
  const std::vector<Curve> curves = curves_of(day, panel);
  if (curves.empty()) return {};
  const LinePlot plot{
      panel.name, panel.value_words, day.elapsed_h, day.hours.empty() ? 0.0 : day.hours.front(),
      curves,     panel.from_zero,   second};
  return figure(draw(plot), sentence(curves),
                hourly_table(day, panel.name, curves, panel.decimals));
}

std::string temperatures(const Day& day) {
  const Panel panel{"Temperatures",
                    "temperature, \u00b0C (\u00b0F)",
                    {{"outside_temperature", "outside", 1.0, -273.15},
                     {"air_temperature", "air in the house", 1.0, -273.15},
                     {"leaf_temperature", "leaves, mean", 1.0, -273.15},
                     {"hottest_leaf_temperature", "hottest leaf", 1.0, -273.15}},
                    1,
                    false};
  return panel_figure(
      day, panel, [](double tick) { return fmt::format(" ({:.0f})", 1.8 * tick + 32.0); },
      [&](const std::vector<Curve>& c) {
        const Extreme leaf = largest(day, c.back()),
                      air = largest(day, c[std::min<std::size_t>(1, c.size() - 1)]),
                      out = largest(day, c.front());
        return fmt::format(
            "The hottest leaf reaches {} at {}; the air in the house {}, outside {}.",
            temperature_words(leaf.value + 273.15), clock_words(leaf.hour_h),
            temperature_words(air.value + 273.15), temperature_words(out.value + 273.15));
      });
}

std::string dryness(const Day& day) {
  const Panel panel{"Vapour pressure deficit",
                    "vapour pressure deficit, kPa",
                    {{"outside_vapour_pressure_deficit", "outside", 1e-3},
                     {"vapour_pressure_deficit", "in the house", 1e-3}},
                    2};
  return panel_figure(day, panel, {}, [&](const std::vector<Curve>& c) {
    const Extreme in = largest(day, c.back());
    return fmt::format(
        "How strongly the air dries: in the house at most {:.2f} kPa, at {}; outside at most "
        "{:.2f} kPa.",
        in.value, clock_words(in.hour_h), largest(day, c.front()).value);
  });
}

/// Mean, least and most of each half hour: what a saw of bursts looks like from afar.
std::string bareness(const Day& day) {
  const Values& share = day.group.variable("bare_share").values;
  const Values& time_us = day.group.variable("time").values;
  if (share.empty()) return {};
  constexpr double window_h = 0.5;
  const auto elapsed = [&](std::size_t i) { return (time_us[i] - time_us[0]) / 3.6e9; };
  Curve curve{"mean of each half hour, and its range", {}};
  Values centres_h;
  DataTable table{"leaves more than half bare, %", {"Half hour from", "Mean", "Least", "Most"}, {}};
  for (std::size_t first = 0, last = 0; first < share.size(); first = last) {
    const double window = std::floor(elapsed(first) / window_h + 1e-9);
    double sum = 0.0;
    while (last < share.size() && elapsed(last) < (window + 1.0) * window_h - 1e-9)
      sum += share[last++];
    const auto from = share.begin() + static_cast<std::ptrdiff_t>(first),
               to = share.begin() + static_cast<std::ptrdiff_t>(last);
    centres_h.push_back(std::min((window + 0.5) * window_h, elapsed(share.size() - 1)));
    curve.values.push_back(100.0 * sum / static_cast<double>(last - first));
    curve.low.push_back(100.0 * *std::min_element(from, to));
    curve.high.push_back(100.0 * *std::max_element(from, to));
    table.rows.push_back({clock_words(day.hours[first]), fmt::format("{:.1f}", curve.values.back()),
                          fmt::format("{:.1f}", curve.low.back()),
                          fmt::format("{:.1f}", curve.high.back())});
  }
  const auto most = std::max_element(share.begin(), share.end());
  const LinePlot plot{"Leaves more than half bare",
                      "leaves more than half bare, %",
                      centres_h,
                      day.hours.front(),
                      {curve},
                      true,
                      {}};
  return figure(draw(plot),
                fmt::format("At most {:.0f} % of the leaves are more than half bare, at {}. Each "
                            "burst pulls the share down; the band is its swing.",
                            100.0 * *most,
                            clock_words(day.hours[static_cast<std::size_t>(most - share.begin())])),
                table);
}

std::string radiation(const Day& day) {
  const Panel panel{"Sun",
                    "shortwave radiation, W/m\u00b2",
                    {{"global_radiation", "outside"}, {"light_at_leaves", "above the leaves"}},
                    0};
  return panel_figure(day, panel, {}, [&](const std::vector<Curve>& c) {
    const double out = largest(day, c.front()).value, in = largest(day, c.back()).value;
    return fmt::format(
        "The sun gives at most {:.0f} W/m\u00b2 outside and {:.0f} W/m\u00b2 above the leaves.",
        out, in);
  });
}

std::string demand(const Day& day) {
  const Panel panel{"What the air asks of a wet leaf",
                    "evaporation of wet leaves, mm an hour of leaf area",
                    {{"evaporation_demand", "mean over the leaves", 3600.0}},
                    3};
  return panel_figure(day, panel, {}, [&](const std::vector<Curve>& c) {
    const Extreme most = largest(day, c.front());
    return fmt::format("A wet leaf would lose at most {:.2f} mm an hour, at {}.", most.value,
                       clock_words(most.hour_h));
  });
}

/// Mist brought against water lost, hour by hour.
std::string balance(const Group& bench, const Summary& summary) {
  const Values &hour = bench.variable("hour_of_day").values,
               &mist = bench.variable("mist_rate_on_bench").values,
               &loss = bench.variable("leaf_loss").values;
  if (hour.empty()) return {};
  Values elapsed;
  DataTable table{"mist and loss by the hour, mm of bench area",
                  {"Hour from", "Mist lands on the bench", "Wet leaves would lose"},
                  {}};
  Curve lands{"mist lands", {}}, asked{"wet leaves would lose", {}};
  for (std::size_t i = 0; i < hour.size(); ++i) {
    // Steps: what is known is the sum of the hour.
    for (const double end : {0.0, 1.0}) {
      elapsed.push_back(static_cast<double>(i) + end);
      lands.values.push_back(mist[i]);
      asked.values.push_back(loss[i]);
    }
    table.rows.push_back(
        {clock_words(hour[i]), fmt::format("{:.3f}", mist[i]), fmt::format("{:.3f}", loss[i])});
  }
  const LinePlot plot{"Mist against loss",
                      "water per bench area, mm in the hour",
                      elapsed,
                      hour.front(),
                      {lands, asked},
                      true,
                      {}};
  return figure(
      draw(plot),
      fmt::format("In the thirstiest hour, from {}, the bench gets {} of mist and wet leaves would "
                  "lose {}.",
                  clock_words(summary.peak_loss_hour_h), depth_words(summary.mist_then_kg_per_m2),
                  depth_words(summary.peak_loss_kg_per_m2)),
      table);
}

}  // namespace

std::string day_section(const Subject& s) {
  const Day day(s.record, s.record.group("series"));
  return section("day", "The day",
                 "<div class=\"pair\">" + balance(s.record.group("bench"), s.summary) +
                     bareness(day) + temperatures(day) + dryness(day) + radiation(day) +
                     demand(day) + "</div>\n");
}

std::string water_section(const Subject& s) {
  const Group& water = s.record.group("water");
  const Variable& fate = water.variable("fate");
  const Values &diameter = water.variable("size_class").values,
               &mass = water.variable("mass").values;
  FateBars bars;
  DataTable table{"litres by fate and droplet diameter, whole run", {"Diameter, \u00b5m"}, {}};
  for (std::size_t k = 0; k < diameter.size(); ++k) {
    bars.diameters_um.push_back(diameter[k] * 1e6);
    table.rows.push_back({fmt::format("{:.0f}", diameter[k] * 1e6)});
  }
  for (std::size_t f = 0; f < fate.values.size(); ++f) {
    const std::string word = flag_word(fate, f);
    bars.fates.push_back(word == "air"   ? "evaporated in the air"
                         : word == "out" ? "out with the air"
                                         : word);
    table.headings.push_back(bars.fates.back());
    const auto first = mass.begin() + static_cast<std::ptrdiff_t>(f * diameter.size());
    bars.mass_kg.emplace_back(first, first + static_cast<std::ptrdiff_t>(diameter.size()));
    for (std::size_t k = 0; k < diameter.size(); ++k)
      table.rows[k].push_back(fmt::format("{:.4f}", bars.mass_kg.back()[k]));
  }
  const auto share = [&](Fate f) {
    return 100.0 * s.summary.fate_fraction[static_cast<std::size_t>(f)];
  };
  const std::string caption = fmt::format(
      "The heads spray {} a day. {:.0f} % stays on leaves, {:.0f} % reaches the medium (run-off "
      "with it), {:.0f} % evaporates in flight and {:.0f} % leaves with the air.",
      water_words(s.summary.water_kg), share(Fate::Leaves), share(Fate::Medium), share(Fate::Air),
      share(Fate::Out));
  return section("water", "Where the water goes", figure(draw(bars), caption, table, "wide"));
}

std::string tap_section(const Subject& s) {
  const Group* heads = s.record.find("heads");
  if (heads == nullptr || !s.summary.last_head) return {};
  const auto at = [&](const char* name, std::size_t i) { return heads->variable(name).values[i]; };
  std::vector<HeadMark> marks;
  DataTable table{"the heads",
                  {"Head", "Pressure, bar", "Flow, L/h", "Dv0.5, \u00b5m", "Told, s", "Sprays, s"},
                  {}};
  for (std::size_t i = 0; i < s.plan.places().heads().size(); ++i) {
    const std::string& name = s.plan.places().heads()[i].name;
    marks.push_back(
        {name, at("pressure", i), at("working_pressure_low", i), at("working_pressure_high", i)});
    table.rows.push_back(
        {name, fmt::format("{:.2f}", at("pressure", i) / 1e5),
         fmt::format("{:.1f}", at("flow", i) * 3.6e6), fmt::format("{:.0f}", at("dv50", i) * 1e6),
         fmt::format("{:.1f}", at("told_time", i)), fmt::format("{:.1f}", at("spray_time", i))});
  }
  const LastHead& last = *s.summary.last_head;
  const std::string caption = fmt::format(
      "The weakest head gets {} while its zone sprays; its working range (the band) is {} to {}. "
      "Told {}, it "
      "sprays {}.",
      pressure_words(last.pressure_Pa), pressure_words(last.working_low_Pa),
      pressure_words(last.working_high_Pa), burst_words(last.told_s), burst_words(last.sprays_s));
  if (marks.size() > 60) {
    std::stable_sort(marks.begin(), marks.end(), [](const HeadMark& a, const HeadMark& b) {
      return a.pressure_Pa < b.pressure_Pa;
    });
    marks.resize(60);
  }
  return section("tap", "What the tap gives each head",
                 figure(draw(marks), caption, table, "wide"));
}

}  // namespace mistwright::report
