#pragma once
// One line on standard error while a run goes on: share done, speed, time left. Only a person at a
// terminal sees it.
#include <chrono>
#include <string>

#include "sim/app/console.h"

namespace mistwright::app {

class ProgressLine {
 public:
  /// @param wanted false: never prints
  ProgressLine(Terminal terminal, bool wanted);
  ~ProgressLine();
  ProgressLine(const ProgressLine&) = delete;
  ProgressLine& operator=(const ProgressLine&) = delete;

  /// @param done_fraction 0 to 1, never falling
  /// @param words what is being done now, short
  /// Draws at most ten times a second.
  void update(double done_fraction, const std::string& words);

  /// Wipes the line.
  void clear();

 private:
  using Clock = std::chrono::steady_clock;
  Terminal terminal_;
  bool wanted_;
  bool drawn_ = false;
  Clock::time_point began_;
  Clock::time_point last_;
};

/// A length of time as a person says it: "8 s", "2 min 05 s", "1 h 20 min".
[[nodiscard]] std::string spoken_time(double duration_s);

}  // namespace mistwright::app
