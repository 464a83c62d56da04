#include "sim/report/map_words.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "models/droplet/uniformity.h"

namespace mistwright::report {

using Values = std::vector<double>;

Spread spread_of(const Values& values) {
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < values.size(); ++i)
    if (std::isfinite(values[i])) order.push_back(i);
  if (order.empty()) return {};
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return values[a] < values[b]; });
  const std::size_t half = order.size() / 2;
  const double median = order.size() % 2 == 1
                            ? values[order[half]]
                            : 0.5 * (values[order[half - 1]] + values[order[half]]);
  return {values[order.front()], median, values[order.back()], order.front(), order.back()};
}

std::string spread_words(const Spread& spread, int decimals, const std::string& unit) {
  return fmt::format("least {1:.{0}f}, median {2:.{0}f}, most {3:.{0}f} {4}", decimals, spread.low,
                     spread.median_number, spread.high, unit);
}

std::vector<Third> thirds_of(const Plan& plan) {
  std::vector<Third> found;
  for (const Places::Table& b : plan.places().benches())
    for (int part = 0; part < 3; ++part) {
      Third third{
          b.name + ", " + (part == 1 ? std::string("middle") : plan.places().end_words(part == 2)),
          b.x_m + b.length_m * (static_cast<double>(part) + 0.5) / 3.0,
          b.y_m + 0.12 * b.width_m,
          b.length_m / 3.0,
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

double mean_number(const Values& values) {
  return values.empty() ? 0.0
                        : std::accumulate(values.begin(), values.end(), 0.0) /
                              static_cast<double>(values.size());
}

double mean_number(const Values& values, const std::vector<std::size_t>& cells, std::size_t first) {
  double sum = 0.0;
  for (const std::size_t c : cells) sum += values[first + c];
  return sum / static_cast<double>(cells.size());
}

double low_quarter_ratio(const Values& values) {
  return values.empty() ? 0.0 : droplet::low_quarter_ratio(values);
}

double round_high_number(const Values& values, double least_number) {
  const double high = std::max(
      least_number, values.empty() ? 0.0 : *std::max_element(values.begin(), values.end()));
  return round_ticks(0.0, high, 5).back();
}

Values scaled(const Values& values, double factor) {
  Values result(values);
  for (double& value : result) value *= factor;
  return result;
}

std::vector<MapLabel> third_labels(const std::vector<Third>& thirds, const Values& values,
                                   int decimals, std::size_t first) {
  std::vector<MapLabel> labels;
  labels.reserve(thirds.size());
  for (const Third& third : thirds)
    labels.push_back({third.x_m, third.y_m, third.length_m,
                      fmt::format("{:.{}f}", mean_number(values, third.cells, first), decimals)});
  return labels;
}

}  // namespace mistwright::report
