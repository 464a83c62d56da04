#pragma once
// What the benchmark program registers.
#include "tests/bench/day.h"

namespace mistwright::bench {

/// Records a day once for all benchmarks that ask for it.
[[nodiscard]] const Day& recorded(const DayChoice& choice);

void add_days();
void add_growth();
void add_parts();
void add_airflow();
void add_footprints();

}  // namespace mistwright::bench
