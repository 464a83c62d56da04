#pragma once
// The recorded series as the page shows it: for still pictures in stretches with their mean and
// swing, for the live curves instant by instant.
#include <algorithm>
#include <cstddef>
#include <limits>
#include <string>
#include <vector>

#include "sim/record/record.h"
#include "sim/report/line_plot.h"

namespace mistwright::report {

/// A quantity of the series on the page: how it is called there and converted.
struct Shown {
  const char* variable;
  const char* label;
  double factor = 1.0, offset_number = 0.0;
  /// Drawn within these; the record keeps what was computed.
  double least_number = -std::numeric_limits<double>::infinity(),
         most_number = std::numeric_limits<double>::infinity();

  [[nodiscard]] double shown_number(double recorded_number) const {
    return std::clamp(factor * recorded_number + offset_number, least_number, most_number);
  }
};

struct Extreme {
  double value = 0.0, elapsed_h = 0.0;  ///< since the start of the series
};

class Day {
 public:
  explicit Day(const record::Record& record);

  /// In stretches of half an hour, longer for long runs: a saw of bursts seen from afar is its mean
  /// and its swing.
  [[nodiscard]] Curve curve(const Shown& shown) const;
  /// At the instants of live_h().
  [[nodiscard]] std::vector<double> live(const Shown& shown) const;
  /// The largest and the least recorded value and when they were.
  [[nodiscard]] Extreme largest(const Shown& shown) const;
  [[nodiscard]] Extreme least(const Shown& shown) const;
  [[nodiscard]] bool has(const Shown& shown) const {
    return group_.find(shown.variable) != nullptr;
  }

  [[nodiscard]] double end_h() const { return end_h_; }  ///< of the series since its start
  [[nodiscard]] double first_hour_h() const { return first_hour_h_; }  ///< of the day
  [[nodiscard]] bool by_days() const;  ///< longer than a day: hours are told with their day
  [[nodiscard]] const std::vector<double>& centres_h() const { return centres_h_; }
  /// When a stretch begins, since the start.
  [[nodiscard]] double stretch_h(std::size_t k) const;
  /// "14:10", in a run longer than a day "day 3, 14:10".
  [[nodiscard]] std::string when_words(double elapsed_h) const;
  [[nodiscard]] std::string at_words(double elapsed_h) const;  ///< the same in a sentence
  /// Instants of the live curves, hours since the start: all recorded ones, or every second, third
  /// and so on of a long run.
  [[nodiscard]] std::vector<double> live_h() const;
  /// Microseconds since the start of the run to hours since the start of the series.
  [[nodiscard]] double elapsed_h(double time_us) const;

 private:
  [[nodiscard]] Extreme extreme(const Shown& shown, std::ptrdiff_t place) const;

  const record::Group& group_;
  double first_hour_h_ = 0.0, end_h_ = 0.0;
  std::vector<std::size_t> starts_;  // first instant of each stretch, and the end of the last
  std::vector<double> centres_h_;    // middle of each stretch since the start
  std::size_t every_ = 1;            // of the live curves
};

}  // namespace mistwright::report
