#pragma once
// How are the equations of one unknown a cell swept while the flow is on its way?
// By Jacobi's method, whose operations are the same seen from either end of the house. Rounds run
// one layer of cells behind each other, so that coefficients are made and used while they are near:
// no more layers of them are kept than that takes.
#include <algorithm>
#include <array>

#include "models/flow/lattice.h"

namespace mistwright::flow {

inline constexpr std::size_t sweep_rounds = 6;

/// One value a cell, of a few layers at a time; a layer takes the place of an earlier one.
class Layers {
 public:
  Layers(const Lattice& lattice, std::size_t kept)
      : plane_(lattice.stride[2]), kept_(kept), values_(plane_ * kept, 0.0) {}
  [[nodiscard]] auto* of(std::size_t k) { return values_.data() + plane_ * (k % kept_); }
  [[nodiscard]] const auto* of(std::size_t k) const {
    return values_.data() + plane_ * (k % kept_);
  }

 private:
  std::size_t plane_, kept_;
  Values values_;
};

/// Equations x = (source + sum of coefficient * neighbour) * inverse. Coefficients lie on faces:
/// what the upper cell takes of the lower and what the lower takes of the upper one.
struct Equations {
  /// @param kept  layers kept at a time
  explicit Equations(const Lattice& g, std::size_t kept = sweep_rounds + 1)
      : of_below{Layers(g, kept), Layers(g, kept), Layers(g, kept)},
        of_above{Layers(g, kept), Layers(g, kept), Layers(g, kept)},
        source(g, kept),
        inverse(g, kept) {}
  std::array<Layers, 3> of_below, of_above;
  Layers source, inverse;  ///< where the inverse is 0 the unknown is kept
};

/// The coefficients that the cells of a layer use, by place in the layer.
struct Stencil {
  Stencil(const Lattice& g, const Equations& equations, std::size_t k)
      : sx(g.stride[0]),
        sy(g.stride[1]),
        sz(g.stride[2]),
        lx(equations.of_below[0].of(k)),
        hx(equations.of_above[0].of(k)),
        ly(equations.of_below[1].of(k)),
        hy(equations.of_above[1].of(k)),
        lz(equations.of_below[2].of(k)),
        hz(equations.of_above[2].of(k + 1)) {}
  std::size_t sx, sy, sz;
  const double *lx, *hx, *ly, *hy, *lz, *hz;

  [[nodiscard]] auto sum(std::size_t c) const {
    return (lx[c] + hx[c + sx]) + (ly[c] + hy[c + sy]) + (lz[c] + hz[c]);
  }
  [[nodiscard]] auto neighbours(const double* x, std::size_t c) const {
    return (lx[c] * x[c - sx] + hx[c + sx] * x[c + sx]) +
           (ly[c] * x[c - sy] + hy[c + sy] * x[c + sy]) + (lz[c] * x[c - sz] + hz[c] * x[c + sz]);
  }
};

/// One round over a layer.
void sweep(const Lattice& lattice, const Equations& equations, std::size_t k, const Values& was,
           Values& next);

/// All rounds. The first one is the caller's, who makes the equations on the way: it reads `value`
/// and writes `other` in one layer after the other. The last one writes `value`.
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
      sweep(lattice, equations, step - round, odd ? other : value, odd ? value : other);
    }
  }
}

/// Visits a layer in pieces that the nearest cache holds, with all that belongs to them.
template <class Visit>
void each_piece(Range layer, const Visit& visit) {
  constexpr std::size_t piece_size = 256;
  for (Range piece{layer.first, 0}; piece.first < layer.last; piece.first = piece.last) {
    piece.last = std::min(layer.last, piece.first + piece_size);
    visit(piece);
  }
}

}  // namespace mistwright::flow
