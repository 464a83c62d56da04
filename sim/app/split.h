#pragma once
// `mistwright split`: the fewest zones that the supply can carry one after another.
#include <optional>
#include <string>

#include "sim/app/check.h"
#include "sim/app/values.h"

namespace mistwright::app {

struct SplitRequest {
  ScenarioRequest input;
  Text pause;
  Text flow_spread;
  std::string pipe = "polyethylene";  ///< or "pvc"
  bool whole_rows = false;
};

int split(const Manners& manners, const SplitRequest& request);

}  // namespace mistwright::app
