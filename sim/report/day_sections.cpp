#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numeric>

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

constexpr double most_stretches = 120.0;  // along a curve

/// A quantity of the series on the page: how it is called there and converted.
struct Shown {
  const char* variable;
  const char* label;
  double factor = 1.0, offset = 0.0;
};

/// The series in stretches of half an hour, longer for long runs: a saw of bursts seen from afar is
/// its mean and its swing.
struct Day {
  Day(const record::Record& record, const Group& series) : group(series) {
    const Variable& time = series.variable("time");
    hours = local_hours(record, time);
    const auto elapsed = [&](std::size_t i) {
      return (time.values[i] - time.values.front()) / 3.6e9;
    };
    end_h = elapsed(time.values.size() - 1);
    const double stretch_h = std::max(0.5, end_h / most_stretches);
    for (std::size_t i = 0; i < time.values.size(); ++i) {
      const double number = std::floor(elapsed(i) / stretch_h + 1e-9);
      // The very last instant ends the stretch before it rather than begin one of its own.
      if (!centres_h.empty() && (number * stretch_h >= end_h - 1e-9 ||
                                 (number + 0.5) * stretch_h < centres_h.back() + 1e-9))
        continue;
      starts.push_back(i);
      centres_h.push_back(std::min((number + 0.5) * stretch_h, end_h));
    }
    starts.push_back(time.values.size());
  }
  [[nodiscard]] Curve curve(const Shown& shown) const {
    const Values& all = group.variable(shown.variable).values;
    Curve found{shown.label, {}};
    const auto at = [&](double value) { return shown.factor * value + shown.offset; };
    for (std::size_t k = 0; k + 1 < starts.size(); ++k) {
      const auto from = all.begin() + static_cast<std::ptrdiff_t>(starts[k]),
                 to = all.begin() + static_cast<std::ptrdiff_t>(starts[k + 1]);
      found.values.push_back(at(std::accumulate(from, to, 0.0) / static_cast<double>(to - from)));
      found.low.push_back(at(*std::min_element(from, to)));
      found.high.push_back(at(*std::max_element(from, to)));
    }
    return found;
  }
  const Group& group;
  Values hours;                     ///< of each recorded instant
  double end_h = 0.0;               ///< of the series since its start
  std::vector<std::size_t> starts;  ///< first instant of each stretch, and the end of the last
  Values centres_h;                 ///< middle of each stretch since the start
};

struct Extreme {
  double value = 0.0, hour_h = 0.0;
};

/// The largest recorded value and when it was.
Extreme largest(const Day& day, const Shown& shown) {
  const Values& all = day.group.variable(shown.variable).values;
  const auto it = std::max_element(all.begin(), all.end());
  return {shown.factor * *it + shown.offset, day.hours[static_cast<std::size_t>(it - all.begin())]};
}

struct Panel {
  std::string name, value_words;
  std::vector<Shown> shown;
  int decimals = 1;
  bool from_zero = true;
};

/// @param sentence makes the caption from the panel's quantities
template <class Sentence>
std::string panel_figure(const Day& day, const Panel& panel,
                         const std::function<std::string(double)>& second, Sentence&& sentence) {
  std::vector<Curve> curves;
  DataTable table{panel.name + ": means", {"From"}, {}};
  for (const Shown& shown : panel.shown) {
    if (day.group.find(shown.variable) == nullptr) return {};
    curves.push_back(day.curve(shown));
    table.headings.emplace_back(shown.label);
  }
  for (std::size_t k = 0; k < day.centres_h.size(); ++k) {
    std::vector<std::string> row{clock_words(day.hours[day.starts[k]])};
    for (const Curve& curve : curves)
      row.push_back(fmt::format("{:.{}f}", curve.values[k], panel.decimals));
    table.rows.push_back(std::move(row));
  }
  const LinePlot plot{panel.name, panel.value_words, day.centres_h, day.end_h, day.hours.front(),
                      curves,     panel.from_zero,   second};
  return figure(draw(plot), sentence(panel.shown), table);
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
      [&](const std::vector<Shown>& c) {
        const Extreme leaf = largest(day, c[3]);
        return fmt::format(
            "The hottest leaf reaches {} at {}; the air in the house {}, outside {}. Lines are "
            "means, bands the swing from burst to burst.",
            temperature_words(leaf.value + 273.15), clock_words(leaf.hour_h),
            temperature_words(largest(day, c[1]).value + 273.15),
            temperature_words(largest(day, c[0]).value + 273.15));
      });
}

std::string dryness(const Day& day) {
  const Panel panel{"Vapour pressure deficit",
                    "vapour pressure deficit, kPa",
                    {{"outside_vapour_pressure_deficit", "outside", 1e-3},
                     {"vapour_pressure_deficit", "in the house", 1e-3}},
                    2};
  return panel_figure(day, panel, {}, [&](const std::vector<Shown>& c) {
    const Extreme in = largest(day, c[1]);
    return fmt::format(
        "How strongly the air dries: in the house at most {:.2f} kPa, at {}; outside at most "
        "{:.2f} kPa.",
        in.value, clock_words(in.hour_h), largest(day, c[0]).value);
  });
}

std::string bareness(const Day& day) {
  const Panel panel{"Bare leaves",
                    "leaves more than half bare, %",
                    {{"bare_share", "share of the leaves", 100.0}},
                    1};
  return panel_figure(day, panel, {}, [&](const std::vector<Shown>& c) {
    const Extreme most = largest(day, c[0]);
    return fmt::format(
        "At most {:.0f} % of the leaves are more than half bare, at {}. Each burst pulls the share "
        "down; the band is its swing.",
        most.value, clock_words(most.hour_h));
  });
}

std::string radiation(const Day& day) {
  const Panel panel{"Sun",
                    "shortwave radiation, W/m\u00b2",
                    {{"global_radiation", "outside"}, {"light_at_leaves", "above the leaves"}},
                    0};
  return panel_figure(day, panel, {}, [&](const std::vector<Shown>& c) {
    return fmt::format(
        "The sun gives at most {:.0f} W/m\u00b2 outside and {:.0f} W/m\u00b2 above the leaves.",
        largest(day, c[0]).value, largest(day, c[1]).value);
  });
}

std::string demand(const Day& day) {
  const Panel panel{"What the air asks of a wet leaf",
                    "evaporation of wet leaves, mm an hour of leaf area",
                    {{"evaporation_demand", "mean over the leaves", 3600.0}},
                    3};
  return panel_figure(day, panel, {}, [&](const std::vector<Shown>& c) {
    const Extreme most = largest(day, c[0]);
    return fmt::format(
        "A wet leaf would lose at most {:.2f} mm an hour, at {}. Below zero, dew forms.",
        most.value, clock_words(most.hour_h));
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
                      static_cast<double>(hour.size()),
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
