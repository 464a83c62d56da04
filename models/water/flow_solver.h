#pragma once
// The solver beneath the network: nodes of known and unknown potential, links with a rising loss
// law. Potential is gauge pressure + rho g z [Pa]. Unknown potentials H and flows q satisfy
//   H_from - H_to = loss(q)   on every link
//   sum in - sum out = demand at every node of unknown potential
// by Newton's method on both at once (global gradient method: Todini and Pilati 1987, in Computer
// Applications in Water Supply, vol. 1): each step solves one sparse symmetric system for H.
#include <cstdint>
#include <optional>
#include <variant>
#include <vector>

#include "models/water/network.h"
#include "models/water/pipe.h"

namespace mistwright::water {

/// A pipe with its fittings and valve: a valve adds q^2 / C^2.
struct PipeLaw {
  Pipe pipe;
  Water water;
  double valve_loss_Pa_s2_per_m6 = 0.0;
};

/// drop_Pa (|q| / flow)^n with the sign of q: a head (n = 1/x), or a pipe of fixed resistance.
struct PowerLaw {
  double flow_m3_per_s = 0.0;  ///< the flow at which ...
  double drop_Pa = 0.0;        ///< ... this much is lost
  double flow_exponent = 2.0;  ///< n
};

/// The supply between its source and its node.
struct SupplyLaw {
  Supply supply;
};

using LinkLaw = std::variant<PipeLaw, PowerLaw, SupplyLaw>;

[[nodiscard]] Drop link_drop(const LinkLaw& law, double flow_m3_per_s);

struct Link {
  std::uint32_t from = 0, to = 0;
  LinkLaw law;
  double first_flow_m3_per_s = 0.0;  ///< where Newton starts; not zero
};

struct FlowProblem {
  std::vector<std::optional<double>> potential_Pa;  ///< by node; absent: to be found
  std::vector<double> demand_m3_per_s;              ///< by node; drawn whatever the pressure
  std::vector<Link> links;
};

struct FlowSolution {
  std::vector<double> potential_Pa;   ///< by node
  std::vector<double> flow_m3_per_s;  ///< by link
  int iterations = 0;
  double residual_m3_per_s = 0.0;  ///< greatest imbalance at a node of unknown potential
  double residual_Pa = 0.0;        ///< greatest difference between a link's loss and its law
  bool converged = false;
};

/// Every unknown node must be joined to a known one. Stops when nodes balance to 1e-11 of the
/// greatest flow, losses fit to 1e-11 of the greatest loss and the last step moved no flow by more
/// than 1e-9 of the greatest; after 30 steps losses need fit to 1e-9 only. At most 200 steps, and
/// then `converged` is false.
[[nodiscard]] FlowSolution solve_flows(const FlowProblem& problem);

}  // namespace mistwright::water
