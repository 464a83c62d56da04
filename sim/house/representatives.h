#pragma once
// Few leaves that stand for many: between touches only these move, and the air feels them. Leaves
// of a class are put in the order in which they will go bare and cut into bins of equal count, so
// that those which dry together are represented together, however the last bursts and draughts
// served them.
#include <cstdint>
#include <vector>

#include "sim/house/shared.h"

namespace mistwright {

/// @param depth_m       film of each leaf
/// @param factor        [slot][leaf] conductance factors
/// @param class_leaves  leaves of each class; put in drying order
[[nodiscard]] Representatives choose_representatives(
    const Shared& shared, const std::vector<double>& depth_m,
    const std::vector<std::vector<double>>& factor,
    std::vector<std::vector<std::uint32_t>>& class_leaves);

}  // namespace mistwright
