#include "sim/app/work.h"

#include <unistd.h>

#include <algorithm>
#include <string_view>
#include <thread>

namespace mistwright::app {
namespace {

/// A run keeps nothing on disk before its end, so that there is nothing to tidy up.
void stop_at_once(int signal) {
  static constexpr std::string_view words =
      "\nstopped before the end; nothing was written; start it again when you like\n";
  const auto written = write(STDERR_FILENO, words.data(), words.size());
  static_cast<void>(written);
  _exit(signal == SIGTERM ? terminated : interrupted);
}

}  // namespace

int threads_or_all(int asked) {
  return asked > 0 ? asked
                   : static_cast<int>(std::clamp(std::thread::hardware_concurrency(), 1U, 64U));
}

StopWatch::StopWatch() {
  struct sigaction action {};
  action.sa_handler = stop_at_once;
  sigaction(SIGINT, &action, &interrupt_before_);
  sigaction(SIGTERM, &action, &end_before_);
}

StopWatch::~StopWatch() {
  sigaction(SIGINT, &interrupt_before_, nullptr);
  sigaction(SIGTERM, &end_before_, nullptr);
}

scenario::Problem fault(const std::string& message) {
  return mistake(
      "E0070", message,
      "this is a fault of the program, not of your scenario; please report it with the scenario");
}

}  // namespace mistwright::app
