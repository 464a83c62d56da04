#include "sim/report/summary.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numeric>

#include "sim/report/needed.h"
#include "sim/report/places.h"
#include "sim/report/words.h"

namespace mistwright::report {
namespace {

using record::Group;
using record::Record;
using record::Variable;
using Values = std::vector<double>;

std::size_t place_of_largest(const Values& values) {
  return static_cast<std::size_t>(std::max_element(values.begin(), values.end()) - values.begin());
}

double weighted_mean(const Values& values, const Values& weights) {
  const double total = std::accumulate(weights.begin(), weights.end(), 0.0);
  const double sum = std::inner_product(values.begin(), values.end(), weights.begin(), 0.0);
  return total > 0.0 ? sum / total : 0.0;
}

/// The unbroken stretch of hours in which the worst cell is bare longest; hours with less than two
/// bare minutes break it.
void find_worst_hours(const Group& bench, std::size_t cell, Summary& summary) {
  const Values& hour = bench.variable("hour_of_day").values;
  const Values& bare = bench.variable("bare_minutes").values;
  const std::size_t cells = bench.variable("cell").values.size();
  double most = 0.0;
  for (std::size_t first = 0; first < hour.size(); ++first) {
    double sum = 0.0;
    std::size_t last = first;
    while (last < hour.size() && bare[last * cells + cell] >= 2.0)
      sum += bare[last++ * cells + cell];
    if (last == first) continue;
    if (sum > most) {
      most = sum;
      summary.worst_from_h = hour.front() + static_cast<double>(first);
      summary.worst_to_h = hour.front() + static_cast<double>(last);
    }
    first = last;
  }
}

void look_at_bench(const Record& record, Summary& summary) {
  const Group& bench = record.group("bench");
  const Places places(record);
  const Values& dry = bench.variable("dry_time").values;
  const Values &x = bench.variable("x").values, &y = bench.variable("y").values;
  const Values& area = bench.variable("area").values;
  const std::size_t worst = place_of_largest(dry);
  const auto best =
      static_cast<std::size_t>(std::min_element(dry.begin(), dry.end()) - dry.begin());
  const auto corner = [&](std::size_t cell) {
    return Corner{places.words(x[cell], y[cell]), x[cell], y[cell],
                  dry[cell] / summary.days_number};
  };
  summary.worst = corner(worst);
  summary.best = corner(best);
  summary.mean_dry_s = weighted_mean(dry, area) / summary.days_number;
  const Values& mist = bench.variable("mist_on_leaves").values;
  if (const double mean = weighted_mean(mist, area); mean > 0.0)
    summary.worst_gets_ratio = mist[worst] / mean;
  find_worst_hours(bench, worst, summary);

  const Values& loss = bench.variable("leaf_loss").values;
  const std::size_t peak = place_of_largest(loss);
  summary.peak_loss_hour_h =
      bench.variable("hour_of_day").values.front() + static_cast<double>(peak);
  summary.peak_loss_kg_per_m2 = loss[peak];
  summary.mist_then_kg_per_m2 = bench.variable("mist_rate_on_bench").values[peak];

  const Values& soggy = bench.variable("soggy_time").values;
  summary.soggy_s = weighted_mean(soggy, area) / summary.days_number;
  summary.soggiest_s = *std::max_element(soggy.begin(), soggy.end()) / summary.days_number;
}

void look_at_leaves(const Group& leaves, double counts_from_s, Summary& summary) {
  const Values& dry = leaves.variable("dry_time").values;
  const auto count = std::count_if(
      dry.begin(), dry.end(), [&](double s) { return s / summary.days_number > counts_from_s; });
  summary.dry_leaf_share_fraction =
      dry.empty() ? 0.0 : static_cast<double>(count) / static_cast<double>(dry.size());
}

void look_at_heads(const Record& record, Summary& summary) {
  const Group* heads = record.find("heads");
  if (heads == nullptr || heads->variable("pressure").values.empty()) return;
  const Values& pressure = heads->variable("pressure").values;
  const auto last = static_cast<std::size_t>(std::min_element(pressure.begin(), pressure.end()) -
                                             pressure.begin());
  const auto of_last = [&](const char* name) { return heads->variable(name).values[last]; };
  summary.last_head = LastHead{.name = Places(record).heads()[last].name,
                               .pressure_Pa = pressure[last],
                               .working_low_Pa = of_last("working_pressure_low"),
                               .working_high_Pa = of_last("working_pressure_high"),
                               .told_s = of_last("told_time"),
                               .sprays_s = of_last("spray_time")};
}

void look_at_water(const Record& record, Summary& summary) {
  const Group& water = record.group("water");
  const Variable& fate = water.variable("fate");
  const Values& mass = water.variable("mass").values;
  const std::size_t classes = fate.values.empty() ? 0 : mass.size() / fate.values.size();
  static const std::array<std::string, fate_count> names{"leaves", "medium", "floor", "walls",
                                                         "cover",  "air",    "out"};
  std::array<double, fate_count> sums{};
  for (std::size_t i = 0; i < fate.values.size(); ++i) {
    const auto row = mass.begin() + static_cast<std::ptrdiff_t>(i * classes);
    const double sum = std::accumulate(row, row + static_cast<std::ptrdiff_t>(classes), 0.0);
    for (std::size_t f = 0; f < fate_count; ++f)
      if (flag_word(fate, i) == names[f]) sums[f] += sum;
  }
  const double total = std::accumulate(sums.begin(), sums.end(), 0.0);
  summary.water_kg = total / summary.days_number;
  for (std::size_t f = 0; f < fate_count; ++f)
    summary.fate_fraction[f] = total > 0.0 ? sums[f] / total : 0.0;
  const Values& area = record.group("bench").variable("area").values;
  const double bench_m2 = std::accumulate(area.begin(), area.end(), 0.0);
  if (bench_m2 > 0.0)
    summary.medium_gets_kg_per_m2 =
        sums[static_cast<std::size_t>(Fate::Medium)] / bench_m2 / summary.days_number;
}

void look_at_series(const Record& record, Summary& summary) {
  const Group& series = record.group("series");
  const Values hours = hours_since_midnight(record, series.variable("time"));
  const Values& hottest = series.variable("hottest_leaf_temperature").values;
  const std::size_t peak = place_of_largest(hottest);
  summary.hottest_leaf_K = hottest.at(peak);
  summary.hottest_hour_h = hours.at(peak);
  const auto most = [&](const char* name) {
    const Values& values = series.variable(name).values;
    return *std::max_element(values.begin(), values.end());
  };
  summary.driest_air_Pa = most("vapour_pressure_deficit");
  summary.outside_hottest_K = most("outside_temperature");
}

}  // namespace

std::vector<double> hours_since_midnight(const Record& record, const Variable& time) {
  int hour = 0, minute = 0, second = 0;
  const std::size_t place = time.units.find(" since ");
  if (place != std::string::npos)
    (void)std::sscanf(time.units.c_str() + place, " since %*d-%*d-%*d%*1[T ]%d:%d:%d", &hour,
                      &minute, &second);
  const Group* provenance = record.find("provenance");
  const double offset_s =
      provenance != nullptr ? attribute_number(*provenance, "local_offset_s", 0.0) : 0.0;
  const double start_s = 3600.0 * hour + 60.0 * minute + second + offset_s;
  const double first_s = start_s + record.group("series").variable("time").values.front() * 1e-6;
  const double midnight_s = 86400.0 * std::floor(first_s / 86400.0);
  Values hours;
  for (const double us : time.values) hours.push_back((start_s - midnight_s + us * 1e-6) / 3600.0);
  return hours;
}

Values local_hours(const Record& record, const Variable& time) {
  Values hours = hours_since_midnight(record, time);
  for (double& hour : hours) hour -= 24.0 * std::floor(hour / 24.0);
  return hours;
}

Summary summarise(const Record& record, double counts_from_s) {
  expect_needed(record);
  Summary summary;
  if (const std::string* name = attribute_text(record, "provenance", "house_name"))
    summary.house_name = *name;
  const Values& time = record.group("series").variable("time").values;
  const double span_h = (time.back() - time.front()) / 3.6e9;
  summary.days_number = std::max(1.0, span_h / 24.0);
  if (span_h < 23.5) summary.part_of_day_s = 3600.0 * span_h;
  summary.by_days = span_h > told_by_days_h;
  look_at_bench(record, summary);
  look_at_leaves(record.group("leaves"), counts_from_s, summary);
  look_at_heads(record, summary);
  look_at_water(record, summary);
  look_at_series(record, summary);
  if (const Group* audit = record.find("audit"))
    for (const double relative : audit->variable("relative").values)
      summary.worst_audit_relative_ratio =
          std::max(summary.worst_audit_relative_ratio, std::abs(relative));
  return summary;
}

}  // namespace mistwright::report
