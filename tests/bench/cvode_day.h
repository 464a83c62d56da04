#pragma once
// The day by CVODE (SUNDIALS 6): the same equations, restarted where a burst lands and where the fan
// switches, which CVODE finds as a root of the mean air temperature.
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
  double air_weight_factor = 1.0;  ///< how much more the air's states count in the error norm
};

[[nodiscard]] std::string words(const CvodeSetting& setting);

/// @param observed  whether temperatures and films are noted for comparison, which costs time
[[nodiscard]] Answer cvode_day(HouseOde& ode, const CvodeSetting& setting, bool observed);

}  // namespace mistwright::bench
