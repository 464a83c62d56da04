#pragma once
// Networks for the tests of this room. All of them invented.
#include <fmt/core.h>

#include <string>
#include <vector>

#include "models/random.h"
#include "models/water/hydraulics.h"

namespace mistwright::test {

inline constexpr double bar_Pa = 1e5;
inline constexpr double litre_per_h = 1e-3 / 3600.0;
inline constexpr double litre_per_min = 1e-3 / 60.0;

/// A head of 60 L/h at 2.8 bar unless told otherwise.
inline water::HeadType plain_head(double flow_L_per_h = 60.0) {
  water::HeadType type;
  type.name = "plain";
  type.rated_flow_m3_per_s = flow_L_per_h * litre_per_h;
  type.rated_pressure_Pa = 2.8 * bar_Pa;
  type.dv50_m = 150e-6;
  type.spectrum_pressure_Pa = 2.8 * bar_Pa;
  return type;
}

inline water::HeadType check_head(double opens_bar, double closes_bar) {
  water::HeadType type = plain_head();
  type.check_valve = true;
  type.check_opens_Pa = opens_bar * bar_Pa;
  type.check_closes_Pa = closes_bar * bar_Pa;
  return type;
}

inline water::Supply hose_bib(double static_bar, double bucket_L_per_min) {
  water::Supply supply;
  supply.static_pressure_Pa = static_bar * bar_Pa;
  supply.bucket_flow_m3_per_s = bucket_L_per_min * litre_per_min;
  return supply;
}

inline water::Pipe tube(std::uint32_t from, std::uint32_t to, double length_m, double diameter_m) {
  water::Pipe pipe;
  pipe.from = from;
  pipe.to = to;
  pipe.length_m = length_m;
  pipe.diameter_m = diameter_m;
  pipe.roughness_m = 1.5e-6;
  return pipe;
}

/// A straight line from the supply, one pipe and one node a step.
inline water::Network line(const water::Supply& supply, int steps, double step_m,
                           double diameter_m) {
  water::Network network;
  network.supply = supply;
  network.nodes.push_back({.name = "tap"});
  for (int i = 1; i <= steps; ++i) {
    network.nodes.push_back({.name = fmt::format("n{}", i), .x_m = i * step_m});
    network.pipes.push_back(
        tube(static_cast<std::uint32_t>(i - 1), static_cast<std::uint32_t>(i), step_m, diameter_m));
  }
  return network;
}

/// A head on each of a list of nodes, as high as its node.
inline std::vector<water::NetworkHead> heads_on(const water::Network& network,
                                                const std::vector<std::uint32_t>& nodes,
                                                const water::HeadType& type) {
  std::vector<water::NetworkHead> heads;
  for (const std::uint32_t node : nodes) {
    heads.push_back({.node = node, .type = &type, .elevation_m = network.nodes[node].elevation_m});
  }
  return heads;
}

/// A random number between two.
inline double between(Random& random, double low, double high) {
  return low + (high - low) * random.uniform();
}

/// A random main with two zones behind valves 0 and 1, some loops, heights up and down; heads of
/// one of the given types.
struct RandomCase {
  water::Network network;
  std::vector<water::NetworkHead> heads;
  std::vector<std::uint32_t> zone;  ///< by head
};

inline RandomCase random_case(Random& random, const std::vector<water::HeadType>& types) {
  RandomCase out;
  water::Network& network = out.network;
  network.supply = hose_bib(between(random, 1.5, 5.0), between(random, 8.0, 60.0));
  network.nodes.push_back({.name = "tap", .elevation_m = between(random, 0.0, 1.0)});
  network.nodes.push_back({.name = "tee", .elevation_m = between(random, 0.0, 1.0)});
  network.pipes.push_back(tube(0, 1, between(random, 1.0, 40.0), between(random, 0.012, 0.032)));
  for (std::uint32_t z = 0; z < 2; ++z) {
    const double c = random.uniform() < 0.5 ? 0.0 : between(random, 5e-7, 5e-6);
    network.valves.push_back(
        {.name = fmt::format("v{}", z), .flow_coefficient_m3_per_s_per_sqrtPa = c});
    const auto first = static_cast<std::uint32_t>(network.nodes.size());
    const int count = 2 + static_cast<int>(random.uniform() * 8.0);
    for (int i = 0; i < count; ++i) {
      const auto node = static_cast<std::uint32_t>(network.nodes.size());
      const auto parent =
          i == 0 ? 1U : first + static_cast<std::uint32_t>(random.uniform() * (node - first));
      network.nodes.push_back(
          {.name = fmt::format("z{}n{}", z, i), .elevation_m = between(random, 0.0, 3.0)});
      water::Pipe pipe =
          tube(parent, node, between(random, 0.3, 8.0), between(random, 0.008, 0.025));
      if (random.uniform() < 0.3) std::swap(pipe.from, pipe.to);
      pipe.minor_loss_coefficient = between(random, 0.0, 3.0);
      if (i == 0) pipe.valve = z;
      network.pipes.push_back(pipe);
      if (i > 1 && random.uniform() < 0.3) {
        network.pipes.push_back(tube(node, first, between(random, 0.3, 8.0), 0.012));
      }
      const auto kind =
          static_cast<std::size_t>(random.uniform() * static_cast<double>(types.size()));
      out.heads.push_back(
          {.node = node,
           .type = &types[kind],
           .elevation_m = network.nodes[node].elevation_m + between(random, -0.3, 0.8)});
      out.zone.push_back(z);
    }
  }
  return out;
}

}  // namespace mistwright::test
