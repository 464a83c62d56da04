#pragma once
// `mistwright report`: one self-contained page from a run's results.
#include <optional>
#include <string>

#include "sim/app/console.h"
#include "sim/record/record.h"

namespace mistwright::app {

struct ReportRequest {
  std::string results;
  std::optional<std::string> page;  ///< absent: beside the results, ending in .html
  bool overwrite = false;
};

int report(const Manners& manners, const ReportRequest& request);

/// The verdict that a run keeps in its results, or, where it has none, one from the results alone.
[[nodiscard]] std::string kept_verdict(const record::Record& record);

}  // namespace mistwright::app
