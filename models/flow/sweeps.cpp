#include "models/flow/sweeps.h"

#include "models/flow/wide.h"

namespace mistwright::flow {

MISTWRIGHT_WIDE
void sweep(const Lattice& lattice, const Equations& equations, Range range, const Values& was,
           Values& next) {
  const auto [sx, sy, sz] = lattice.stride;
  const double *lx = equations.of_below[0].data(), *hx = equations.of_above[0].data(),
               *ly = equations.of_below[1].data(), *hy = equations.of_above[1].data(),
               *lz = equations.of_below[2].data(), *hz = equations.of_above[2].data(),
               *source = equations.source.data(), *inverse = equations.inverse.data();
  const double* x = was.data();
  double* to = next.data();
#pragma omp simd
  for (std::size_t c = range.first; c < range.last; ++c) {
    const double near = (lx[c] * x[c - sx] + hx[c + sx] * x[c + sx]) +
                        (ly[c] * x[c - sy] + hy[c + sy] * x[c + sy]) +
                        (lz[c] * x[c - sz] + hz[c + sz] * x[c + sz]);
    to[c] = inverse[c] > 0.0 ? (source[c] + near) * inverse[c] : x[c];
  }
}

}  // namespace mistwright::flow
