#pragma once
// Values of the command line: text with units in, SI out, every fault kept with its place.
#include <optional>
#include <string>
#include <vector>

#include "sim/scenario/problem.h"
#include "sim/scenario/quantity.h"

namespace mistwright::app {

/// A value as typed; absent: not given.
using Text = std::optional<std::string>;

/// One option's value: what it is and between which limits it makes sense (as text, limits
/// included).
struct Wanted {
  const char* flag = "";
  scenario::Kind kind = scenario::Kind::Number;
  const char* lowest = "";
  const char* highest = "";
};

class Values {
 public:
  /// The SI value of a text; 0 where it cannot be read, with a problem noted.
  double needed(const Text& text, const Wanted& wanted);

  /// The same, or `otherwise` where the option was not given.
  double given_or(const Text& text, const Wanted& wanted, double otherwise_number);

  /// A moment with its zone, ISO 8601, as seconds since 1970-01-01T00:00Z.
  double moment_s(const Text& text, const char* flag);

  /// A relation that does not reach so far.
  void out_of_reach(const std::string& message);

  [[nodiscard]] bool good() const { return problems_.empty(); }
  [[nodiscard]] const std::vector<scenario::Problem>& problems() const { return problems_; }

 private:
  std::vector<scenario::Problem> problems_;
};

}  // namespace mistwright::app
