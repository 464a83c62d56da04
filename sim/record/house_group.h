#pragma once
// The house's plan as a group of the results, so that a picture needs no scenario.
#include "sim/house/house.h"
#include "sim/record/record.h"

namespace mistwright::record {

/// Group `house`: benches, fans and openings with their places; sizes of the house as attributes
/// (numbers as text, the unit in the name).
[[nodiscard]] Group house_group(const House& house);

/// Defaults that the user did not set, a line each, cells separated by tabs.
[[nodiscard]] std::string assumed_text(const std::vector<Assumed>& assumed);

/// The other way round. Lines without six cells are left out.
[[nodiscard]] std::vector<Assumed> assumed_rows(const std::string& text);

}  // namespace mistwright::record
