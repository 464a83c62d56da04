#pragma once
// `mistwright check`: the house in a paragraph, what is wrong with it, what was assumed.
#include <optional>
#include <string>
#include <vector>

#include "sim/app/console.h"
#include "sim/house/house.h"

namespace mistwright::app {

struct ScenarioRequest {
  std::string scenario;
  std::vector<std::string> settings;  ///< key=value, laid over the file
  bool allow_starved =
      false;  ///< zones that the supply cannot feed together are simulated as they are
};

struct CheckRequest {
  ScenarioRequest input;
  bool assumed = false;
};

/// A house, or the status with which to stop; problems have been told.
struct Checked {
  std::optional<House> house;
  int status = done;
  bool warned = false;
  std::vector<std::string> files = {};  ///< that were read
};

/// Reads a scenario and asks whether its supply can feed what its clocks open. Tells errors, and
/// warnings unless quiet.
[[nodiscard]] Checked read_checked(const Manners& manners, const ScenarioRequest& request);

/// The house in a paragraph.
[[nodiscard]] std::string described(const House& house);

int check(const Manners& manners, const CheckRequest& request);

}  // namespace mistwright::app
