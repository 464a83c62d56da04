#include "sim/app/work.h"

#include <unistd.h>

#include <algorithm>
#include <string_view>
#include <thread>

#include "sim/app/progress.h"
#include "sim/engine/engine.h"

namespace mistwright::app {
namespace {

/// A run writes no results before its end, so that there is nothing to tidy up; a later run clears
/// away the part of an airflow field whose keeping was cut short.
void stop_at_once(int signal) {
  static constexpr std::string_view words =
      "\nstopped before the end; no results were written; start it again when you like\n";
  const auto written = write(STDERR_FILENO, words.data(), words.size());
  static_cast<void>(written);
  _exit(signal == SIGTERM ? terminated : interrupted);
}

/// A failed audit or a stuck engine.
int own_fault_of(const Manners& manners, const char* message) {
  return refuse(manners, own_fault,
                {mistake("E0070", message,
                         "this is a fault of the program, not of your scenario; please report it "
                         "with the scenario")},
                nothing_written);
}

}  // namespace

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

study::Options options_for(int threads) {
  study::Options options;
  options.threads =
      threads > 0 ? threads
                  : static_cast<int>(std::clamp(std::thread::hardware_concurrency(), 1U, 64U));
  options.version = MISTWRIGHT_VERSION;
  return options;
}

void watched(const Manners& manners, const std::function<void(const study::Progress&)>& simulate) {
  const StopWatch watch;
  ProgressLine line(terminal_of(2), !manners.quiet && !manners.json);
  simulate([&line](double share, const std::string& doing) {
    line.update(share, doing);
    return true;
  });
  line.clear();
}

int guarded(const Manners& manners, const std::function<void()>& work) {
  try {
    work();
    return done;
  } catch (const record::FileError& error) {
    return refuse(manners, file_error, {trouble(error)}, nothing_written);
  } catch (const study::AuditError& error) {
    return own_fault_of(manners, error.what());
  } catch (const engine::EngineError& error) {
    return own_fault_of(manners, error.what());
  }
}

}  // namespace mistwright::app
