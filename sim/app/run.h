#pragma once
// `mistwright run`: the house and its neighbours simulated, the verdict printed, the results
// written.
#include <optional>
#include <string>

#include "sim/app/check.h"
#include "sim/app/store.h"

namespace mistwright::app {

struct RunRequest {
  ScenarioRequest input;
  std::optional<std::string> output;  ///< results; absent: nothing is written
  bool overwrite = false;
  int threads = 0;     ///< 0: as many as the machine has
  bool alone = false;  ///< without the neighbours
  StoreRequest store;
};

int run(const Manners& manners, const RunRequest& request);

}  // namespace mistwright::app
