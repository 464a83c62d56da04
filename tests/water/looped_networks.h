#pragma once
// Random networks with loops, valves open and shut, heights, and three kinds of supply. All of them
// invented. A network is a function of its number alone, so that one that fails can be made again.
#include <cstdint>
#include <utility>
#include <vector>

#include "models/random.h"
#include "models/water/hydraulics.h"
#include "tests/water/networks.h"

namespace mistwright::test {

struct LoopedCase {
  water::Network network;
  std::vector<water::NetworkHead> heads;
  std::vector<bool> valve_open;
  double water_temperature_K = 0.0;
};

/// Heads of three exponents, and one kind with a check valve.
inline std::vector<water::HeadType> looped_types() {
  std::vector<water::HeadType> types = {plain_head(60.0), plain_head(15.0), plain_head(180.0),
                                        check_head(2.4, 1.5)};
  types[1].flow_exponent = 0.62;
  types[2].flow_exponent = 0.46;
  return types;
}

/// A hose bib, a wide tank or a pump.
inline water::Supply looped_supply(Random& random, std::uint64_t kind) {
  water::Supply supply = hose_bib(between(random, 1.5, 5.0), between(random, 8.0, 60.0));
  if (kind == 1) supply.bucket_flow_m3_per_s = 0.0;
  if (kind == 2) {
    const double static_Pa = supply.static_pressure_Pa;
    supply.curve = {{0.0, static_Pa},
                    {between(random, 5e-5, 2e-4), 0.9 * static_Pa},
                    {between(random, 3e-4, 8e-4), 0.4 * static_Pa},
                    {1e-3, 0.0}};
  }
  return supply;
}

inline water::Pipe looped_pipe(Random& random, std::uint32_t from, std::uint32_t to) {
  water::Pipe pipe = tube(from, to, between(random, 0.3, 12.0), between(random, 0.006, 0.025));
  pipe.roughness_m = between(random, 0.0, 5e-5);
  pipe.minor_loss_coefficient = between(random, 0.0, 3.0);
  if (random.uniform() < 0.3) std::swap(pipe.from, pipe.to);
  return pipe;
}

/// A random tree of 5 to 20 nodes, on which chords close loops; valves on some pipes, a quarter of
/// them shut. The first node is the supply's, and the second, which no valve cuts off, has a plain
/// head: some water always flows.
/// @param types  those of looped_types(); must outlive the case
inline LoopedCase looped_case(std::uint64_t number, const std::vector<water::HeadType>& types) {
  Random random(number, stream_of("looped networks"));
  const auto below = [&](std::size_t count) {
    return static_cast<std::uint32_t>(random.uniform() * static_cast<double>(count));
  };
  LoopedCase out;
  water::Network& network = out.network;
  network.supply = looped_supply(random, number % 3);
  out.water_temperature_K = between(random, 278.15, 303.15);
  const std::uint32_t nodes = 5 + below(16);
  for (std::uint32_t n = 0; n < nodes; ++n) {
    network.nodes.push_back(
        {.name = fmt::format("n{}", n), .elevation_m = between(random, 0.0, 3.0)});
    if (n > 0) network.pipes.push_back(looped_pipe(random, below(n), n));
  }
  const std::uint32_t chords = 1 + below(nodes / 2);
  for (std::uint32_t c = 0; c < chords; ++c) {
    const std::uint32_t from = below(nodes);
    const std::uint32_t other = below(nodes - 1);
    const std::uint32_t to = other < from ? other : other + 1;
    network.pipes.push_back(looped_pipe(random, from, to));
  }
  for (std::size_t p = 1; p < network.pipes.size(); ++p) {
    if (random.uniform() > 0.2) continue;
    const double c = random.uniform() < 0.3 ? 0.0 : between(random, 5e-7, 5e-6);
    network.pipes[p].valve = static_cast<std::uint32_t>(network.valves.size());
    network.valves.push_back({.name = fmt::format("v{}", network.valves.size()),
                              .flow_coefficient_m3_per_s_per_sqrtPa = c});
    out.valve_open.push_back(random.uniform() < 0.75);
  }
  for (std::uint32_t n = 1; n < nodes; ++n) {
    const std::size_t kind = n == 1 ? 0 : below(types.size());
    if (n > 1 && random.uniform() < 0.3) continue;
    out.heads.push_back({.node = n,
                         .type = &types[kind],
                         .elevation_m = network.nodes[n].elevation_m + between(random, -0.3, 0.8)});
  }
  return out;
}

}  // namespace mistwright::test
