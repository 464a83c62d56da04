#pragma once
// What commands that simulate have in common: threads, progress, being stopped, what can go wrong.
#include <csignal>
#include <functional>

#include "sim/app/console.h"
#include "sim/study/answer.h"

namespace mistwright::app {

/// How a simulation starts that the command line asks for.
/// @param threads  0: as many as the machine has, at most 64
[[nodiscard]] study::Options options_for(int threads);

/// While it lives, an interrupt or a request to end stops the program at once, with nothing
/// written.
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

/// Simulates with progress on the terminal; an interrupt or a request to end stops the program.
void watched(const Manners& manners, const std::function<void(const study::Progress&)>& simulate);

/// Does a command's work; tells trouble with files and faults of the program.
/// @return its exit status
int guarded(const Manners& manners, const std::function<void()>& work);

}  // namespace mistwright::app
