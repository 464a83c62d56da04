#include "sim/engine/ledger.h"

#include <cmath>

namespace mistwright::engine {

double Balance::relative_residual() const {
  const double scale = std::abs(inflow) + std::abs(outflow) + std::abs(held);
  return scale > 0.0 ? std::abs(residual()) / scale : 0.0;
}

}  // namespace mistwright::engine
