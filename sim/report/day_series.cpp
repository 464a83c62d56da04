#include "sim/report/day_series.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "sim/report/summary.h"
#include "sim/report/words.h"

namespace mistwright::report {
namespace {

using Values = std::vector<double>;

constexpr double most_stretches = 120.0;     // along a curve
constexpr std::size_t most_instants = 1500;  // of a live curve: more than a screen has columns

}  // namespace

Day::Day(const record::Record& record) : group_(record.group("series")) {
  const record::Variable& time = group_.variable("time");
  first_hour_h_ = hours_since_midnight(record, time).front();
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
  for (std::size_t k = 0; k + 1 < starts_.size(); ++k) {
    const auto from = all.begin() + static_cast<std::ptrdiff_t>(starts_[k]),
               to = all.begin() + static_cast<std::ptrdiff_t>(starts_[k + 1]);
    const double sum = std::accumulate(from, to, 0.0, [&](double before, double value) {
      return before + shown.shown_number(value);
    });
    found.values.push_back(sum / static_cast<double>(to - from));
    found.low.push_back(shown.shown_number(*std::min_element(from, to)));
    found.high.push_back(shown.shown_number(*std::max_element(from, to)));
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
  for (std::size_t i = 0; i < all.size(); i += every_) found.push_back(shown.shown_number(all[i]));
  return found;
}

Extreme Day::largest(const Shown& shown) const {
  const Values& all = group_.variable(shown.variable).values;
  return extreme(shown, std::max_element(all.begin(), all.end()) - all.begin());
}

Extreme Day::least(const Shown& shown) const {
  const Values& all = group_.variable(shown.variable).values;
  return extreme(shown, std::min_element(all.begin(), all.end()) - all.begin());
}

Extreme Day::extreme(const Shown& shown, std::ptrdiff_t place) const {
  const auto i = static_cast<std::size_t>(place);
  return {shown.shown_number(group_.variable(shown.variable).values[i]),
          elapsed_h(group_.variable("time").values[i])};
}

double Day::stretch_h(std::size_t k) const {
  return elapsed_h(group_.variable("time").values[starts_[k]]);
}

bool Day::by_days() const {
  return end_h_ > told_by_days_h;
}

std::string Day::at_words(double elapsed_h) const {
  return report::at_words(first_hour_h_ + elapsed_h, by_days());
}

std::string Day::when_words(double elapsed_h) const {
  return report::when_words(first_hour_h_ + elapsed_h, by_days());
}

}  // namespace mistwright::report
