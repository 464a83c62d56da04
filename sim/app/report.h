#pragma once
// `mistwright report`: one self-contained page from a run's results.
#include <optional>
#include <string>

#include "sim/app/console.h"

namespace mistwright::app {

struct ReportRequest {
  std::string results;
  std::optional<std::string> page;  ///< absent: beside the results, ending in .html
  bool overwrite = false;
};

int report(const Manners& manners, const ReportRequest& request);

}  // namespace mistwright::app
