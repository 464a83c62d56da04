#pragma once
// The recorded series as the page shows it: for still pictures in stretches with their mean and
// swing, for the live curves instant by instant.
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
};

struct Extreme {
  double value = 0.0, hour_h = 0.0;
};

class Day {
 public:
  explicit Day(const record::Record& record);

  /// In stretches of half an hour, longer for long runs: a saw of bursts seen from afar is its mean
  /// and its swing.
  [[nodiscard]] Curve curve(const Shown& shown) const;
  /// At the instants of live_h().
  [[nodiscard]] std::vector<double> live(const Shown& shown) const;
  /// The largest recorded value and when it was.
  [[nodiscard]] Extreme largest(const Shown& shown) const;
  [[nodiscard]] bool has(const Shown& shown) const {
    return group_.find(shown.variable) != nullptr;
  }

  [[nodiscard]] double end_h() const { return end_h_; }  ///< of the series since its start
  [[nodiscard]] double first_hour_h() const { return hours_.front(); }  ///< of the day
  [[nodiscard]] const std::vector<double>& centres_h() const { return centres_h_; }
  /// Hour of the day at which a stretch begins.
  [[nodiscard]] double stretch_hour_h(std::size_t k) const { return hours_[starts_[k]]; }
  /// Instants of the live curves, hours since the start: all recorded ones, or every second, third
  /// and so on of a long run.
  [[nodiscard]] std::vector<double> live_h() const;
  /// Microseconds since the start of the run to hours since the start of the series.
  [[nodiscard]] double elapsed_h(double time_us) const;

 private:
  const record::Group& group_;
  std::vector<double> hours_;  // of the day, of each recorded instant
  double end_h_ = 0.0;
  std::vector<std::size_t> starts_;  // first instant of each stretch, and the end of the last
  std::vector<double> centres_h_;    // middle of each stretch since the start
  std::size_t every_ = 1;            // of the live curves
};

}  // namespace mistwright::report
