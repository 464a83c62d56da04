#pragma once
// The air over the bench cells through the day, where a record holds it.
#include <cstddef>
#include <string>
#include <vector>

#include "sim/report/live_maps.h"
#include "sim/report/sections.h"

namespace mistwright::report {

/// Maps of `air_temperature`, `air_vapour_pressure_deficit` and `air_speed` over the benches, those
/// that the group `bench` holds; every `every`-th frame.
[[nodiscard]] std::vector<LiveMap> bench_air_maps(const Subject& subject, std::size_t every);

/// Still maps of the frame with the driest air in the mean; nothing where the record has no
/// deficits.
[[nodiscard]] std::string driest_air(const Subject& subject, const std::vector<LiveMap>& maps,
                                     const Frames& frames);

}  // namespace mistwright::report
