#pragma once
// An invented run in the layout of the results: smooth made-up fields over a hoop house, by which
// the file and the page can be tested without the engine. Nothing here is physics.
#include "sim/record/record.h"

namespace mistwright::test {

struct SampleChoice {
  double dry_factor = 1.0;      ///< scales every dry time
  double last_head_Pa = 2.9e5;  ///< pressure at the head farthest from the tap
  double soggy_h = 0.0;         ///< soggy hours of the medium
  std::string north_name = "north bench";
};

[[nodiscard]] record::Record sample_record(const SampleChoice& choice = {});

}  // namespace mistwright::test
