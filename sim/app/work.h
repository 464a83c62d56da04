#pragma once
// What commands that simulate have in common: threads, being stopped, a fault of the program.
#include <csignal>
#include <string>

#include "sim/app/console.h"

namespace mistwright::app {

/// As many threads as asked for; 0: as many as the machine has, at most 64.
[[nodiscard]] int threads_or_all(int asked);

/// While it lives, an interrupt or a request to end stops the program.
class StopWatch {
 public:
  StopWatch();
  ~StopWatch();
  StopWatch(const StopWatch&) = delete;
  StopWatch& operator=(const StopWatch&) = delete;

 private:
  struct sigaction interrupt_before_ {};
  struct sigaction end_before_ {};
};

/// What a failed audit or a stuck engine is told as.
[[nodiscard]] scenario::Problem fault(const std::string& message);

}  // namespace mistwright::app
