#pragma once
// The water supply as plain structs: a supply, nodes, pipes, valves. Heads hang on nodes.
#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace mistwright::water {

struct Node {
  std::string name;
  double elevation_m = 0.0;     ///< above the floor
  double x_m = 0.0, y_m = 0.0;  ///< plan position, for words and pictures
};

struct Pipe {
  std::string name;
  std::uint32_t from = 0, to = 0;  ///< nodes
  double length_m = 0.0;
  double diameter_m = 0.0;  ///< bore
  double roughness_m = 0.0;
  double minor_loss_coefficient = 0.0;  ///< sum of K of its fittings, on its own velocity head
  std::optional<std::uint32_t> valve =
      {};  ///< a valve that closes this pipe, at its end nearer the supply
  std::optional<double> fixed_friction_factor =
      {};  ///< Darcy; in place of the law of Re and roughness
};

/// An electric valve; the heads behind it are one zone.
struct Valve {
  std::string name;
  double flow_coefficient_m3_per_s_per_sqrtPa = 0.0;  ///< q = C sqrt(dp); 0: no loss
  double opening_delay_s = 0.0;                       ///< from the clock's start to water passing
  double closing_delay_s = 0.0;                       ///< from the clock's stop to shut
};

/// A supply: pressure against flow at its node. A hose bib from a static pressure and a bucket test
/// has p = p_static - loss q^2; a pump is a falling curve, interpolated linearly. The node is the
/// place where the bucket stood: a test at the end of a hose already holds that hose's loss.
/// Without a bucket flow and without a curve the supply keeps its static pressure at any flow (a
/// wide tank).
struct Supply {
  std::string name;
  std::uint32_t node = 0;
  double static_pressure_Pa = 0.0;  ///< gauge, no flow
  double bucket_flow_m3_per_s =
      0.0;  ///< through the fully open end, where pressure is bucket_pressure_Pa
  double bucket_pressure_Pa = 0.0;
  std::vector<std::pair<double, double>>
      curve;  ///< pump: (flow [m3/s], pressure [Pa]), strictly falling; empty: hose bib
  double temperature_K = 288.15;
};

struct Network {
  Supply supply;
  std::vector<Node> nodes;
  std::vector<Pipe> pipes;
  std::vector<Valve> valves;
};

}  // namespace mistwright::water
