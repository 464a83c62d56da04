#pragma once
// `mistwright cans`: where to stand catch cups, what they should hold, and what their readings say.
#include <optional>
#include <string>

#include "sim/app/check.h"
#include "sim/app/store.h"
#include "sim/app/values.h"

namespace mistwright::app {

struct CansRequest {
  ScenarioRequest input;
  std::optional<std::string> bench;  ///< absent: all
  int cups = 24;                     ///< a bench
  Text cup_diameter;
  std::optional<int> bursts;
  std::optional<std::string> readings;
  bool fans_on = false;  ///< the readings were taken with the fans running
  int threads = 0;       ///< 0: as many as the machine has
  StoreRequest store;
};

int cans(const Manners& manners, const CansRequest& request);

}  // namespace mistwright::app
