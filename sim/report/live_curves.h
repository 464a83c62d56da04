#pragma once
// What the page's script draws as curves under one cursor: the data, and the row that moves it.
#include <string>

#include "sim/report/day_panels.h"
#include "sim/report/switches.h"

namespace mistwright::report {

[[nodiscard]] std::string live_curves(const Day& day, const std::vector<Panel>& panels,
                                      const Switches& switches, const record::Group& bench);

}  // namespace mistwright::report
