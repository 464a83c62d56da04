#pragma once
// The network as a graph: what the supply reaches through open valves, and what hangs loose.
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "models/water/network.h"

namespace mistwright::water {

/// What water from the supply reaches.
struct Reach {
  std::vector<bool> node;            ///< by node
  std::vector<std::uint32_t> order;  ///< reached nodes, nearest first, supply at the front
  std::vector<std::optional<std::uint32_t>>
      pipe_towards;  ///< by node: the first pipe back to the supply
};

/// @param valve_open  by valve
[[nodiscard]] Reach reach(const Network& network, const std::vector<bool>& valve_open);

/// Groups of nodes that no setting of the valves joins to the supply, by the user's names in node
/// order; empty if the network is whole.
[[nodiscard]] std::vector<std::vector<std::string>> islands(const Network& network);

}  // namespace mistwright::water
