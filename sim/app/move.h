#pragma once
// `mistwright move`: what moving, turning or adding one thing would bring, each as dry time gained.
#include <optional>
#include <string>

#include "sim/app/check.h"
#include "sim/app/store.h"

namespace mistwright::app {

struct MoveRequest {
  ScenarioRequest input;
  std::optional<std::string> map;  ///< the picture to write
  bool overwrite = false;
  int threads = 0;  ///< 0: as many as the machine has
  StoreRequest store;
};

int move(const Manners& manners, const MoveRequest& request);

}  // namespace mistwright::app
