#pragma once
// `mistwright shade`: the house under four cloths with its vents shut to open and its fans, side by
// side.
#include "sim/app/check.h"
#include "sim/app/store.h"

namespace mistwright::app {

struct ShadeRequest {
  ScenarioRequest input;
  int threads = 0;  ///< 0: as many as the machine has
  StoreRequest store;
};

int shade(const Manners& manners, const ShadeRequest& request);

}  // namespace mistwright::app
