#include "sim/app/progress.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace mistwright::app {

using namespace std::chrono_literals;

ProgressLine::ProgressLine(Terminal terminal, bool wanted)
    : terminal_(terminal),
      wanted_(wanted && terminal.interactive),
      began_(Clock::now()),
      last_(began_ - 1s) {}

ProgressLine::~ProgressLine() {
  clear();
}

void ProgressLine::update(double done_fraction, const std::string& words) {
  const auto now = Clock::now();
  if (!wanted_ || now - last_ < 100ms) return;
  last_ = now;
  drawn_ = true;
  const double elapsed_s = std::chrono::duration<double>(now - began_).count();
  const double share = std::clamp(done_fraction, 0.0, 1.0);
  std::string line = fmt::format("{:3.0f} %  {}", 100.0 * share, words);
  // Before a fiftieth of the work is done its speed says little.
  if (share >= 0.02 && elapsed_s >= 0.5) {
    line += fmt::format("  {} left", spoken_time(elapsed_s * (1.0 - share) / share));
  }
  line.resize(std::min(line.size(), static_cast<std::size_t>(std::max(terminal_.width - 1, 10))));
  fmt::print(stderr, "\r{}\x1b[K", line);
  std::fflush(stderr);
}

void ProgressLine::clear() {
  if (!drawn_) return;
  fmt::print(stderr, "\r\x1b[K");
  std::fflush(stderr);
  drawn_ = false;
}

std::string spoken_time(double duration_s) {
  const auto whole = static_cast<long long>(std::ceil(std::max(duration_s, 0.0)));
  if (whole < 60) return fmt::format("{} s", whole);
  if (whole < 3600) return fmt::format("{} min {:02} s", whole / 60, whole % 60);
  return fmt::format("{} h {:02} min", whole / 3600, whole % 3600 / 60);
}

}  // namespace mistwright::app
