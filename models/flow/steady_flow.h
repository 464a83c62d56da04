#pragma once
// At which speeds and pressures does the air come to rest in its motion?
// SIMPLEC (Van Doormaal and Raithby 1984): momentum with the last pressure, a multigrid cycle for
// the pressure that balances every cell's air, eddies, heat, and again, until nothing changes. A
// flow that never settles (a jet that flaps) is averaged over the second half of its iterations,
// which is no average in time, and marked as unsteady. The mean of balanced flows is balanced.
#include "models/flow/flow_case.h"

namespace mistwright::flow {

struct SteadyOptions {
  int iteration_cap = 600;
  /// At rest when in an iteration no speed changes by more than this share of the fastest, nor the
  /// warmth by more than this share of the greatest.
  double rest_fraction = 1e-5;
  bool gently = false;  ///< smaller steps and pressure closer to balance in each, for what ran away
  double balance_fraction = 1e-12;  ///< air made or lost in a cell, of the fastest face's flow
};

struct SteadyReport {
  bool steady = false;
  bool finite = true;  ///< false: it ran away, and the state is of no use
  int iterations = 0;
  double last_change_fraction = 0.0;  ///< in the last iteration
  double imbalance_fraction = 0.0;    ///< largest of a cell, of the fastest face's flow
};

/// Brings a state to rest. A state taken from a flow much like it comes to rest sooner.
/// @param state  boundary speeds set; the rest zero for a cold start (cold_start) or from elsewhere
SteadyReport settle(const FlowCase& problem, const SteadyOptions& options, FlowState& state);

/// Zero speeds inside, first guesses of the eddies; boundary speeds are left.
void cold_start(const FlowCase& problem, FlowState& state);

/// Inner speeds, pressure and eddies of another flow in the same lattice, all speeds in proportion;
/// boundary speeds are left.
/// @param speed_ratio  of this flow to that one, above zero
void warm_start(const FlowCase& problem, const FlowState& from, double speed_ratio,
                FlowState& state);

/// Changes the speeds on open faces as little as a pressure can until each cell of air balances.
/// @return largest imbalance left [m3/s]
double balance_m3_per_s(const FlowCase& problem, double residual_m3_per_s,
                        FaceValues& speed_m_per_s);

}  // namespace mistwright::flow
