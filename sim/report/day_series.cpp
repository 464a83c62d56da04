#include "sim/report/day_series.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "sim/report/summary.h"

namespace mistwright::report {
namespace {

using Values = std::vector<double>;

constexpr double most_stretches = 120.0;     // along a curve
constexpr std::size_t most_instants = 1500;  // of a live curve: more than a screen has columns

}  // namespace

Day::Day(const record::Record& record) : group_(record.group("series")) {
  const record::Variable& time = group_.variable("time");
  hours_ = local_hours(record, time);
  end_h_ = elapsed_h(time.values.back());
  const double stretch_h = std::max(0.5, end_h_ / most_stretches);
  for (std::size_t i = 0; i < time.values.size(); ++i) {
    const double number = std::floor(elapsed_h(time.values[i]) / stretch_h + 1e-9);
    // The very last instant ends the stretch before it rather than begin one of its own.
    if (!centres_h_.empty() && (number * stretch_h >= end_h_ - 1e-9 ||
                                (number + 0.5) * stretch_h < centres_h_.back() + 1e-9))
      continue;
    starts_.push_back(i);
    centres_h_.push_back(std::min((number + 0.5) * stretch_h, end_h_));
  }
  starts_.push_back(time.values.size());
  every_ = (time.values.size() + most_instants - 1) / most_instants;
}

double Day::elapsed_h(double time_us) const {
  return (time_us - group_.variable("time").values.front()) / 3.6e9;
}

Curve Day::curve(const Shown& shown) const {
  const Values& all = group_.variable(shown.variable).values;
  Curve found{shown.label, {}};
  const auto at = [&](double value) { return shown.factor * value + shown.offset_number; };
  for (std::size_t k = 0; k + 1 < starts_.size(); ++k) {
    const auto from = all.begin() + static_cast<std::ptrdiff_t>(starts_[k]),
               to = all.begin() + static_cast<std::ptrdiff_t>(starts_[k + 1]);
    found.values.push_back(at(std::accumulate(from, to, 0.0) / static_cast<double>(to - from)));
    found.low.push_back(at(*std::min_element(from, to)));
    found.high.push_back(at(*std::max_element(from, to)));
  }
  return found;
}

Values Day::live_h() const {
  const Values& time = group_.variable("time").values;
  Values instants;
  for (std::size_t i = 0; i < time.size(); i += every_) instants.push_back(elapsed_h(time[i]));
  return instants;
}

Values Day::live(const Shown& shown) const {
  const Values& all = group_.variable(shown.variable).values;
  Values found;
  for (std::size_t i = 0; i < all.size(); i += every_)
    found.push_back(shown.factor * all[i] + shown.offset_number);
  return found;
}

Extreme Day::largest(const Shown& shown) const {
  const Values& all = group_.variable(shown.variable).values;
  const auto it = std::max_element(all.begin(), all.end());
  return {shown.factor * *it + shown.offset_number,
          hours_[static_cast<std::size_t>(it - all.begin())]};
}

}  // namespace mistwright::report
