#pragma once
// The open interchange formats of typical-year weather, read from their published layouts: TMY3,
// comma-separated (Wilcox and Marion 2008, NREL/TP-581-43156), and EPW (EnergyPlus documentation,
// Auxiliary Programs, weather file data dictionary). Both give hours of local standard time, each
// named by its end; radiation is the hour's energy in Wh/m2, so its mean in W/m2; states hold at
// the stamp. Each month may come from another year: a row stands for its month, day and hour of any
// year. What each format calls missing stays absent. Leaves out illuminance, clouds, rain, snow and
// the headers' design days and ground temperatures; EPW with several records an hour is refused.
#include <memory>

#include "sim/scenario/weather_table.h"

namespace mistwright::scenario {

/// Reads a file of a typical-year layout; all that is wrong in it becomes a problem at its cell.
[[nodiscard]] WeatherTable read_typical_year(Reading& reading,
                                             const std::shared_ptr<const SourceText>& source,
                                             Layout layout, const std::vector<double>& missing);

}  // namespace mistwright::scenario
