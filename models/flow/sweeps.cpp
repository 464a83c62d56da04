#include "models/flow/sweeps.h"

#include "models/flow/wide.h"

namespace mistwright::flow {

MISTWRIGHT_WIDE
void sweep(const Lattice& lattice, const Equations& equations, std::size_t k, const Values& was,
           Values& next) {
  const Stencil a(lattice, equations, k);
  const Range range = lattice.in_layer();
  const double *source = equations.source.of(k), *inverse = equations.inverse.of(k);
  const double* x = was.data() + lattice.layer(k);
  double* to = next.data() + lattice.layer(k);
#pragma omp simd
  for (std::size_t c = range.first; c < range.last; ++c)
    to[c] = inverse[c] > 0.0 ? (source[c] + a.neighbours(x, c)) * inverse[c] : x[c];
}

}  // namespace mistwright::flow
