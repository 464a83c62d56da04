#pragma once
// The day by CVODE (SUNDIALS 6): the same equations, restarted where a burst lands and where the
// fan switches, which CVODE finds as a root of the mean air temperature.
#include <string>
#include <vector>

#include "tests/bench/house_ode.h"

namespace mistwright::bench {

enum class CvodeSolver {
  AdamsFixedPoint,
  BdfDiagonal,
  BdfKrylov,
  /// Krylov with the air's matrix factored and the films' own slopes as preconditioner.
  BdfKrylovBlocks
};

struct CvodeSetting {
  CvodeSolver solver = CvodeSolver::AdamsFixedPoint;
  double tolerance_fraction = 1e-4;  ///< relative; absolute ones are this times a typical size
  bool vectorised = true;
};

[[nodiscard]] std::string words(const CvodeSetting& setting);

/// What the others are held against; Adams agrees with it (tests/bench/day_test.cpp).
inline constexpr CvodeSetting reference_setting{CvodeSolver::BdfKrylovBlocks, 1e-6, true};

/// The settings that are compared: four solvers, tolerances from coarse to fine, and one with the
/// library's vectors as Debian ships them.
[[nodiscard]] std::vector<CvodeSetting> cvode_settings();

/// @param observed  whether temperatures and films are noted for comparison, which costs time
[[nodiscard]] Answer cvode_day(HouseOde& ode, const CvodeSetting& setting, bool observed);

}  // namespace mistwright::bench
