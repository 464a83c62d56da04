#include "models/flow/multigrid.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"

namespace mistwright::flow {
namespace {

/// Chebyshev's interval: eigenvalues of the Jacobi matrix lie in (0, 2]; the upper three quarters
/// are what the coarser grid cannot see.
constexpr double interval_middle = 1.25, interval_half = 0.75;
constexpr int before_degree = 2, after_degree = 2, coarsest_degree = 24;
/// Levels are added until no more cells than this are left along the longest axis.
constexpr std::size_t fewest_cells = 3;

/// A x at a cell, without its diagonal: sum of coupling * neighbour.
struct Stencil {
  const double *low_x, *low_y, *low_z;
  std::size_t sx, sy, sz;
  [[nodiscard]] double neighbours(const double* x, std::size_t c) const {
    return (low_x[c] * x[c - sx] + low_x[c + sx] * x[c + sx]) +
           (low_y[c] * x[c - sy] + low_y[c + sy] * x[c + sy]) +
           (low_z[c] * x[c - sz] + low_z[c + sz] * x[c + sz]);
  }
};

using Place = std::array<std::size_t, 3>;

/// Visits the places of a grid of so many cells.
template <class Visit>
void each(const Place& cells, const Visit& visit) {
  for (std::size_t k = 0; k < cells[2]; ++k)
    for (std::size_t j = 0; j < cells[1]; ++j)
      for (std::size_t i = 0; i < cells[0]; ++i) visit(Place{i, j, k});
}

/// Where the fine cells of a coarse one begin.
Place first_child(const std::array<bool, 3>& halved, const Place& coarse) {
  Place fine = coarse;
  for (std::size_t axis = 0; axis < 3; ++axis)
    if (halved[axis]) fine[axis] *= 2;
  return fine;
}

/// Sum over one or two by one or two neighbours, the same seen from either side. Margins hold
/// zeros.
double pair_of_pairs(const double* at, std::size_t next_a, std::size_t next_b) {
  const auto pair = [next_a](const double* from) {
    return next_a > 0 ? from[0] + from[next_a] : from[0];
  };
  return next_b > 0 ? pair(at) + pair(at + next_b) : pair(at);
}

}  // namespace

void Multigrid::shape(Level& level, std::size_t margin) {
  level.margin = margin;
  const auto across = [&](std::size_t axis) { return level.cells[axis] + 2 * margin; };
  level.stride = {1, across(0), across(0) * across(1)};
  level.size = level.stride[2] * across(2);
  level.first = level.at(0, 0, 0);
  level.last = level.at(level.cells[0] - 1, level.cells[1] - 1, level.cells[2] - 1) + 1;
  level.inverse_diagonal.assign(level.size, 0.0);
  level.change.assign(level.size, 0.0);
  level.spare.assign(level.size, 0.0);
}

Multigrid::Level Multigrid::coarser(Level& fine) {
  Level coarse;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    fine.halved[axis] = fine.cells[axis] > 1;
    coarse.cells[axis] = fine.halved[axis] ? (fine.cells[axis] + 1) / 2 : fine.cells[axis];
    coarse.width_m[axis].assign(coarse.cells[axis], 0.0);
    for (std::size_t i = 0; i < fine.cells[axis]; ++i)
      coarse.width_m[axis][fine.halved[axis] ? i / 2 : i] += fine.width_m[axis][i];
  }
  shape(coarse, 1);
  coarse.coupling = {Values(coarse.size, 0.0), Values(coarse.size, 0.0), Values(coarse.size, 0.0)};
  coarse.x.assign(coarse.size, 0.0);
  coarse.rhs.assign(coarse.size, 0.0);
  return coarse;
}

Multigrid::Multigrid(const Lattice& lattice) {
  Level finest;
  finest.cells = lattice.cells;
  for (std::size_t axis = 0; axis < 3; ++axis)
    finest.width_m[axis].assign(lattice.cells[axis], lattice.step_m[axis]);
  shape(finest, Lattice::margin);
  levels_.push_back(std::move(finest));
  const auto longest = [](const Level& level) {
    return *std::max_element(level.cells.begin(), level.cells.end());
  };
  while (longest(levels_.back()) > fewest_cells) levels_.push_back(coarser(levels_.back()));
}

void Multigrid::invert_diagonal(Level& level) {
  const auto& [low_x, low_y, low_z] = level.coupling;
  const auto [sx, sy, sz] = level.stride;
  for (std::size_t c = level.first; c < level.last; ++c) {
    const double sum =
        (low_x[c] + low_x[c + sx]) + (low_y[c] + low_y[c + sy]) + (low_z[c] + low_z[c + sz]);
    level.inverse_diagonal[c] = sum > 0.0 ? 1.0 / sum : 0.0;
  }
}

void Multigrid::add_couplings(const Level& fine, Level& coarse) {
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const std::size_t a = (axis + 1) % 3, b = (axis + 2) % 3;
    const std::size_t next_a = fine.halved[a] ? fine.stride[a] : 0;
    const std::size_t next_b = fine.halved[b] ? fine.stride[b] : 0;
    const auto& narrow = fine.width_m[axis];
    const auto& wide = coarse.width_m[axis];
    each(coarse.cells, [&](const Place& place) {
      const std::size_t at = place[axis];
      if (at == 0) return;
      const Place corner = first_child(fine.halved, place);
      const double shorter =
          (narrow[corner[axis]] + narrow[corner[axis] - 1]) / (wide[at] + wide[at - 1]);
      const double* face = fine.coupling[axis].data() + fine.at(corner[0], corner[1], corner[2]);
      coarse.coupling[axis][coarse.at(place[0], place[1], place[2])] =
          shorter * pair_of_pairs(face, next_a, next_b);
    });
  }
}

void Multigrid::set(const FaceValues& coupling) {
  EXPECT(coupling[0].size() == levels_.front().size);
  levels_.front().coupling = coupling;
  invert_diagonal(levels_.front());
  for (std::size_t l = 1; l < levels_.size(); ++l) {
    add_couplings(levels_[l - 1], levels_[l]);
    invert_diagonal(levels_[l]);
  }
}

void Multigrid::smooth(Level& level, const double* rhs, double* x, int degree, bool from_zero) {
  const Stencil a{level.coupling[0].data(), level.coupling[1].data(), level.coupling[2].data(),
                  level.stride[0],          level.stride[1],          level.stride[2]};
  const double* inverse = level.inverse_diagonal.data();
  double* change = level.change.data();
  double* next = level.spare.data();
  constexpr double sigma = interval_middle / interval_half;
  double rho = 1.0 / sigma;
  for (int step = 0; step < degree; ++step) {
    double keep = 0.0, gain = 1.0 / interval_middle;
    if (step > 0) {
      const double rho_new = 1.0 / (2.0 * sigma - rho);
      keep = rho_new * rho;
      gain = 2.0 * rho_new / interval_half;
      rho = rho_new;
    }
    if (step == 0 && from_zero) {
      for (std::size_t c = level.first; c < level.last; ++c) {
        change[c] = gain * (inverse[c] * rhs[c]);
        x[c] = change[c];
      }
      continue;
    }
    for (std::size_t c = level.first; c < level.last; ++c)
      next[c] = keep * change[c] + gain * (inverse[c] * (rhs[c] + a.neighbours(x, c)) -
                                           (inverse[c] > 0.0 ? x[c] : 0.0));
    for (std::size_t c = level.first; c < level.last; ++c) {
      change[c] = next[c];
      x[c] += next[c];
    }
  }
}

void Multigrid::restrict_residual(Level& fine, const double* rhs, const double* x, Level& coarse) {
  const Stencil a{fine.coupling[0].data(), fine.coupling[1].data(), fine.coupling[2].data(),
                  fine.stride[0],          fine.stride[1],          fine.stride[2]};
  const auto& [low_x, low_y, low_z] = fine.coupling;
  const auto [sx, sy, sz] = fine.stride;
  double* left = fine.spare.data();
  for (std::size_t c = fine.first; c < fine.last; ++c) {
    const double diagonal =
        (low_x[c] + low_x[c + sx]) + (low_y[c] + low_y[c + sy]) + (low_z[c] + low_z[c + sz]);
    left[c] = rhs[c] + a.neighbours(x, c) - diagonal * x[c];
  }
  const std::size_t next_x = fine.halved[0] ? 1 : 0, next_y = fine.halved[1] ? sy : 0;
  const std::size_t next_z = fine.halved[2] ? sz : 0;
  each(coarse.cells, [&, next = next_z](const Place& place) {
    const Place corner = first_child(fine.halved, place);
    const double* from = left + fine.at(corner[0], corner[1], corner[2]);
    const double sheet = pair_of_pairs(from, next_x, next_y);
    coarse.rhs[coarse.at(place[0], place[1], place[2])] =
        next > 0 ? sheet + pair_of_pairs(from + next, next_x, next_y) : sheet;
  });
}

void Multigrid::prolong(const Level& coarse, const Level& fine, double* x) {
  const double* y = coarse.x.data();
  each(coarse.cells, [&](const Place& place) {
    const std::size_t c = coarse.at(place[0], place[1], place[2]);
    const Place corner = first_child(fine.halved, place);
    const std::size_t from = fine.at(corner[0], corner[1], corner[2]);
    Place children{1, 1, 1};
    std::array<std::array<double, 2>, 3> lean{};  // towards the lower and the upper neighbour
    for (std::size_t axis = 0; axis < 3; ++axis) {
      if (!fine.halved[axis] || corner[axis] + 1 >= fine.cells[axis]) continue;
      const std::size_t s = coarse.stride[axis];
      const double* low = coarse.coupling[axis].data();
      children[axis] = 2;
      lean[axis] = {low[c] > 0.0 ? 0.25 * (y[c - s] - y[c]) : 0.0,
                    low[c + s] > 0.0 ? 0.25 * (y[c + s] - y[c]) : 0.0};
    }
    each(children, [&](const Place& child) {
      const std::size_t to =
          from + child[0] + child[1] * fine.stride[1] + child[2] * fine.stride[2];
      if (fine.inverse_diagonal[to] > 0.0)
        x[to] += y[c] + lean[0][child[0]] + lean[1][child[1]] + lean[2][child[2]];
    });
  });
}

void Multigrid::descend(std::size_t level, const double* rhs, double* x, bool from_zero) {
  Level& here = levels_[level];
  if (level + 1 == levels_.size()) {
    smooth(here, rhs, x, coarsest_degree, from_zero);
    return;
  }
  smooth(here, rhs, x, before_degree, from_zero);
  Level& below = levels_[level + 1];
  restrict_residual(here, rhs, x, below);
  descend(level + 1, below.rhs.data(), below.x.data(), true);
  prolong(below, here, x);
  smooth(here, rhs, x, after_degree, false);
}

void Multigrid::cycle(const Values& rhs, Values& x) {
  EXPECT(rhs.size() == levels_.front().size && x.size() == levels_.front().size);
  descend(0, rhs.data(), x.data(), false);
}

double Multigrid::residual(const Values& rhs, const Values& x) const {
  const Level& level = levels_.front();
  const Stencil a{level.coupling[0].data(), level.coupling[1].data(), level.coupling[2].data(),
                  level.stride[0],          level.stride[1],          level.stride[2]};
  double worst = 0.0;
  for (std::size_t c = level.first; c < level.last; ++c)
    if (level.inverse_diagonal[c] > 0.0)
      worst = std::fmax(
          worst, std::fabs(rhs[c] + a.neighbours(x.data(), c) - x[c] / level.inverse_diagonal[c]));
  return worst;
}

}  // namespace mistwright::flow
