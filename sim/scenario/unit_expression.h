#pragma once
// The unit expression inside a quantity: read from a place in a text to where a new number begins.
#include <cstddef>
#include <string>
#include <string_view>

#include "sim/scenario/quantity.h"

namespace mistwright::scenario {

/// Reads one unit expression from `at` and moves `at` to its end.
[[nodiscard]] UnitResult read_unit_at(std::string_view text, std::size_t& at);

/// A fault of at least one byte's length.
[[nodiscard]] QuantityFault quantity_fault(std::string code, std::string message, std::string help,
                                           std::size_t offset, std::size_t length,
                                           std::string label = {});

}  // namespace mistwright::scenario
