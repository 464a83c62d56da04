#pragma once
// `mistwright heads`: head types with their flow, pressures, drop sizes and throw.
#include <optional>
#include <string>

#include "sim/app/console.h"

namespace mistwright::app {

struct HeadsRequest {
  std::optional<std::string> scenario;  ///< absent: the files that come with the program
};

int heads(const Manners& manners, const HeadsRequest& request);

}  // namespace mistwright::app
