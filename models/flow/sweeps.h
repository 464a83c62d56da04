#pragma once
// How are the equations of one unknown a cell swept while the flow is on its way?
// By Jacobi's method, whose operations are the same seen from either end of the house. Rounds run
// one layer of cells behind each other, so that coefficients are fetched once for all of them.
#include "models/flow/lattice.h"

namespace mistwright::flow {

/// Equations x = (source + sum of coefficient * neighbour) * inverse. Coefficients lie on faces:
/// what the upper cell takes of the lower and what the lower takes of the upper one.
struct Equations {
  explicit Equations(const Lattice& lattice)
      : of_below(lattice.face_zeros()),
        of_above(lattice.face_zeros()),
        source(lattice.zeros()),
        inverse(lattice.zeros()) {}
  FaceValues of_below, of_above;
  Values source, inverse;  ///< where the inverse is 0 the unknown is kept
};

/// One round over a range of cells.
void sweep(const Lattice& lattice, const Equations& equations, Range range, const Values& was,
           Values& next);

inline constexpr std::size_t sweep_rounds = 4;

/// All rounds. The first one is the caller's, who makes source and inverse on the way: it reads
/// `value` and writes `other` in one layer after the other. The last one writes `value`.
/// @param first_round  called with each layer's number
template <class First>
void sweep_layers(const Lattice& lattice, const Equations& equations, const First& first_round,
                  Values& other, Values& value) {
  static_assert(sweep_rounds % 2 == 0);
  for (std::size_t step = 0; step < lattice.cells[2] + sweep_rounds - 1; ++step) {
    if (step < lattice.cells[2]) first_round(step);
    for (std::size_t round = 1; round < sweep_rounds; ++round) {
      if (step < round || step - round >= lattice.cells[2]) continue;
      const bool odd = round % 2 == 1;
      sweep(lattice, equations, lattice.layer(step - round), odd ? other : value,
            odd ? value : other);
    }
  }
}

}  // namespace mistwright::flow
