#include "models/flow/multigrid.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"
#include "models/flow/wide.h"
#include "models/units.h"

namespace mistwright::flow {
namespace {

/// Least eigenvalue of the Jacobi matrix that smoothing is made for; the coarser grid sees what
/// lies below. Below 0.25 some cases ran away.
constexpr double least_smoothed = 0.4;
/// Steps on the finest level and on coarser ones, which cost little.
constexpr std::size_t finest_degree = 2, coarser_degree = 3;
/// The coarsest level is solved by steps alone; with so many cells that costs little.
constexpr std::size_t most_coarsest_cells = 600;

/// A x at a cell, without its diagonal: sum of coupling * neighbour.
struct Coupled {
  Coupled(const std::array<Singles, 3>& coupling, const std::array<std::size_t, 3>& stride)
      : low_x(coupling[0].data()),
        low_y(coupling[1].data()),
        low_z(coupling[2].data()),
        sx(stride[0]),
        sy(stride[1]),
        sz(stride[2]) {}
  const float *low_x, *low_y, *low_z;
  std::size_t sx, sy, sz;
  [[nodiscard]] float neighbours(const float* x, std::size_t c) const {
    return (low_x[c] * x[c - sx] + low_x[c + sx] * x[c + sx]) +
           (low_y[c] * x[c - sy] + low_y[c + sy] * x[c + sy]) +
           (low_z[c] * x[c - sz] + low_z[c + sz] * x[c + sz]);
  }
};

/// Sums over two by two values of the finer level, seen the same from either side.
struct Four {
  const float* from;
  std::size_t next_a, next_b;
  float once;  ///< halves for each axis whose one value counts twice
  [[nodiscard]] float at(std::size_t c) const {
    return once * ((from[c] + from[c + next_a]) + (from[c + next_b] + from[c + next_a + next_b]));
  }
};

/// A row of coarse couplings.
MISTWRIGHT_WIDE
void add_row(const Four& four, bool halved, float factor, std::size_t count, float* to) {
  const Four sum = four;
  if (halved) {
#pragma omp simd
    for (std::size_t i = 0; i < count; ++i) to[i] = factor * sum.at(2 * i);
  } else {
    for (std::size_t i = 0; i < count; ++i) to[i] = factor * sum.at(i);
  }
}

Four four(const float* from, const std::array<bool, 3>& halved,
          const std::array<std::size_t, 3>& stride, std::size_t a, std::size_t b) {
  return {from, halved[a] ? stride[a] : 0, halved[b] ? stride[b] : 0,
          (halved[a] ? 1.0F : 0.5F) * (halved[b] ? 1.0F : 0.5F)};
}

/// A finer row's correction from the coarse values in its middle, leaning towards neighbours.
struct Row {
  const float *middle, *here, *lean;  ///< here: coarse values themselves
  std::size_t coarse_count, count;
};

MISTWRIGHT_WIDE
void refine_row(const Row& row, bool halved, float* line) {
  const float *middle = row.middle, *here = row.here, *lean = row.lean;
  const std::size_t n = row.coarse_count;
  if (!halved) {
    std::copy(middle, middle + n, line);
    return;
  }
#pragma omp simd
  for (std::size_t i = 0; i < n; ++i) {
    line[2 * i] = middle[i] + lean[i] * (here[i - 1] - here[i]);
    line[2 * i + 1] = middle[i] + lean[i + 1] * (here[i + 1] - here[i]);
  }
  // A lone child does not lean.
  if (row.count % 2 == 1) line[row.count - 1] = middle[n - 1];
}

}  // namespace

void Multigrid::shape(Level& level, std::size_t margin) {
  level.margin = margin;
  const auto across = [&](std::size_t axis) { return level.cells[axis] + 2 * margin; };
  level.stride = {1, across(0), across(0) * across(1)};
  level.size = level.stride[2] * across(2);
  level.first = level.at(0, 0, 0);
  level.last = level.at(level.cells[0] - 1, level.cells[1] - 1, level.cells[2] - 1) + 1;
  for (Singles* values : {&level.coupling[0], &level.coupling[1], &level.coupling[2],
                          &level.inverse_diagonal, &level.x, &level.other})
    values->assign(level.size, 0.0F);
  level.row.assign(level.cells[0] + 2, 0.0F);
  level.line.assign(level.cells[0] + 2, 0.0F);
}

/// Along and across only even numbers are halved, so that a level is the same seen from either end.
bool Multigrid::halves(const Level& level, std::size_t axis) {
  const std::size_t n = level.cells[axis];
  return n > 1 && (axis == 2 || n % 2 == 0);
}

Multigrid::Level Multigrid::coarser(Level& fine) {
  Level coarse;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const std::size_t n = fine.cells[axis];
    fine.halved[axis] = halves(fine, axis);
    const std::size_t per = fine.halved[axis] ? 2 : 1;
    coarse.cells[axis] = (n + per - 1) / per;
    const auto& narrow = fine.width_m[axis];
    auto& wide = coarse.width_m[axis];
    wide.assign(coarse.cells[axis], 0.0);
    for (std::size_t i = 0; i < n; ++i) wide[i / per] += narrow[i];
    coarse.shorter[axis].assign(coarse.cells[axis], 0.0F);
    for (std::size_t i = 1; i < coarse.cells[axis]; ++i)
      coarse.shorter[axis][i] =
          static_cast<float>((narrow[per * i] + narrow[per * i - 1]) / (wide[i] + wide[i - 1]));
  }
  shape(coarse, 1);
  for (Singles& lean : coarse.lean) lean.assign(coarse.size, 0.0F);
  coarse.rhs.assign(coarse.size, 0.0F);
  return coarse;
}

Multigrid::Multigrid(const Lattice& lattice) {
  Level finest;
  finest.cells = lattice.cells;
  for (std::size_t axis = 0; axis < 3; ++axis)
    finest.width_m[axis].assign(lattice.cells[axis], lattice.step_m[axis]);
  shape(finest, Lattice::margin);
  levels_.push_back(std::move(finest));
  const auto stuck = [](const Level& level, std::size_t axis) {
    return level.cells[axis] > 1 && !halves(level, axis);
  };
  // A level that halves along one axis alone smooths badly: it is the last where that is cheap.
  const auto ends = [&](const Level& level) {
    const std::size_t cells = level.cells[0] * level.cells[1] * level.cells[2];
    const bool none = !halves(level, 0) && !halves(level, 1);
    const bool some = stuck(level, 0) || stuck(level, 1);
    return none || (some && cells <= most_coarsest_cells);
  };
  do {
    levels_.push_back(coarser(levels_.back()));
  } while (!ends(levels_.back()));
  const Level& coarsest = levels_.back();
  const auto longest =
      static_cast<double>(*std::max_element(coarsest.cells.begin(), coarsest.cells.end()));
  // The smoothest mode of a row of so many cells, the other axes level.
  const double least = longest > 1.0 ? (1.0 - std::cos(pi / longest)) / 3.0 : 1.0;
  const double reach = std::sqrt(2.0 / least);
  settling_ = chebyshev(static_cast<std::size_t>(std::ceil(2.0 * reach)), least);
}

std::vector<Multigrid::Step> Multigrid::chebyshev(std::size_t count, double least) {
  // Eigenvalues of the Jacobi matrix lie in (0, 2].
  const double interval_middle = 0.5 * (2.0 + least), interval_half = 0.5 * (2.0 - least);
  const double sigma = interval_middle / interval_half;
  std::vector<Step> steps{{0.0F, static_cast<float>(1.0 / interval_middle)}};
  double rho = 1.0 / sigma;
  while (steps.size() < count) {
    const double rho_new = 1.0 / (2.0 * sigma - rho);
    steps.push_back(
        {static_cast<float>(rho_new * rho), static_cast<float>(2.0 * rho_new / interval_half)});
    rho = rho_new;
  }
  return steps;
}

/// What follows from a level's couplings.
MISTWRIGHT_WIDE
void Multigrid::finish(Level& level) {
  const Coupled a(level.coupling, level.stride);
  const std::size_t first = level.first, last = level.last;
  float* inverse = level.inverse_diagonal.data();
#pragma omp simd
  for (std::size_t c = first; c < last; ++c) {
    const float sum = (a.low_x[c] + a.low_x[c + a.sx]) + (a.low_y[c] + a.low_y[c + a.sy]) +
                      (a.low_z[c] + a.low_z[c + a.sz]);
    inverse[c] = sum > 0.0F ? 1.0F / sum : 0.0F;
  }
  for (std::size_t axis = 0; axis < 3; ++axis) {
    if (level.lean[axis].empty()) continue;
    const float* low = level.coupling[axis].data();
    float* lean = level.lean[axis].data();
#pragma omp simd
    for (std::size_t c = first; c < last; ++c) lean[c] = low[c] > 0.0F ? 0.25F : 0.0F;
  }
}

/// Margins hold zeros.
void Multigrid::add_couplings(const Level& fine, Level& coarse) {
  const auto per = [&](std::size_t axis) -> std::size_t { return fine.halved[axis] ? 2 : 1; };
  const std::size_t count = coarse.cells[0];
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const std::size_t a = (axis + 1) % 3, b = (axis + 2) % 3;
    const Singles& shorter = coarse.shorter[axis];
    for (std::size_t k = 0; k < coarse.cells[2]; ++k)
      for (std::size_t j = 0; j < coarse.cells[1]; ++j) {
        const float* from = fine.coupling[axis].data() + fine.at(0, per(1) * j, per(2) * k);
        float* to = coarse.coupling[axis].data() + coarse.at(0, j, k);
        const std::size_t along = axis == 1 ? j : k;
        add_row(four(from, fine.halved, fine.stride, a, b), fine.halved[0],
                axis == 0 ? 1.0F : shorter[along], count, to);
        for (std::size_t i = 0; axis == 0 && i < count; ++i) to[i] *= shorter[i];
      }
  }
}

MISTWRIGHT_WIDE
void Multigrid::set(const FaceValues& coupling, const std::array<double, 3>& factor) {
  Level& finest = levels_.front();
  EXPECT(coupling[0].size() == finest.size);
  const std::size_t first = finest.first, last = finest.last;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const double* from = coupling[axis].data();
    float* to = finest.coupling[axis].data();
    const double times = factor[axis];
#pragma omp simd
    for (std::size_t c = first; c < last; ++c) to[c] = static_cast<float>(times * from[c]);
  }
  finish(finest);
  for (std::size_t l = 1; l < levels_.size(); ++l) {
    add_couplings(levels_[l - 1], levels_[l]);
    finish(levels_[l]);
  }
}

/// @param before  the last values but one; becomes the next ones
MISTWRIGHT_WIDE
void Multigrid::smooth(const Level& level, const float* rhs, Step step, Range range,
                       const Singles& now, Singles& before) {
  const Coupled a(level.coupling, level.stride);
  const float *inverse = level.inverse_diagonal.data(), *x = now.data();
  float* to = before.data();
  const float keep = step.keep, gain = step.gain;
#pragma omp simd
  for (std::size_t c = range.first; c < range.last; ++c)
    to[c] =
        x[c] + (keep * (x[c] - to[c]) + gain * (inverse[c] * (rhs[c] + a.neighbours(x, c)) - x[c]));
}

/// Sums right sides over the finer cells of each coarse one.
MISTWRIGHT_WIDE
void Multigrid::add_right_sides(const Level& fine, const float* rhs, Level& coarse) {
  const std::size_t count = coarse.cells[0];
  const std::size_t per_y = fine.halved[1] ? 2 : 1, per_z = fine.halved[2] ? 2 : 1;
  for (std::size_t k = 0; k < coarse.cells[2]; ++k)
    for (std::size_t j = 0; j < coarse.cells[1]; ++j) {
      const Four sum = four(rhs + fine.at(0, per_y * j, per_z * k), fine.halved, fine.stride, 1, 2);
      float* to = coarse.rhs.data() + coarse.at(0, j, k);
      if (fine.halved[0]) {
#pragma omp simd
        for (std::size_t i = 0; i < count; ++i) to[i] = sum.at(2 * i) + sum.at(2 * i + 1);
      } else {
        for (std::size_t i = 0; i < count; ++i) to[i] = sum.at(i);
      }
    }
}

/// The coarser level's correction on one fine layer.
MISTWRIGHT_WIDE
void Multigrid::prolong_layer(Level& coarse, Level& fine, std::size_t k) {
  const float *x = coarse.x.data(), *inverse = fine.inverse_diagonal.data();
  const float* lean_x = coarse.lean[0].data();
  float *middle = coarse.row.data(), *line = fine.line.data(), *to = fine.x.data();
  const std::size_t count = fine.cells[0], coarse_count = coarse.cells[0];
  // Towards which neighbour a fine cell leans, by the number along an axis; a lone child does not.
  struct Lean {
    const float* share;
    std::ptrdiff_t step;
  };
  const auto lean = [&](std::size_t axis, std::size_t n) {
    const bool lone = !fine.halved[axis] || (n % 2 == 0 && n + 1 == fine.cells[axis]);
    const auto s = static_cast<std::ptrdiff_t>(coarse.stride[axis]);
    const bool upper = n % 2 == 1;
    return Lean{coarse.lean[axis].data() + (upper ? s : 0), lone ? 0 : upper ? s : -s};
  };
  const Lean z = lean(2, k);
  for (std::size_t j = 0; j < fine.cells[1]; ++j) {
    const Lean y = lean(1, j);
    const std::size_t from = coarse.at(0, fine.halved[1] ? j / 2 : j, fine.halved[2] ? k / 2 : k);
    const float *here = x + from, *by_y = here + y.step, *by_z = here + z.step;
    const float *share_y = y.share + from, *share_z = z.share + from;
#pragma omp simd
    for (std::size_t i = 0; i < coarse_count; ++i)
      middle[i] = here[i] + (share_y[i] * (by_y[i] - here[i]) + share_z[i] * (by_z[i] - here[i]));
    refine_row({middle, here, lean_x + from, coarse_count, count}, fine.halved[0], line);
    const std::size_t start = fine.at(0, j, k);
#pragma omp simd
    for (std::size_t i = 0; i < count; ++i) {
      const std::size_t c = start + i;
      to[c] = inverse[c] > 0.0F ? line[i] : 0.0F;
    }
  }
}

/// Takes up the coarser level's correction and smooths, each step one layer behind the last.
void Multigrid::ascend(Level& coarse, Level& fine, const float* rhs,
                       const std::vector<Step>& steps) {
  const std::size_t degree = steps.size();
  for (std::size_t n = 0; n < fine.cells[2] + degree; ++n) {
    if (n < fine.cells[2]) prolong_layer(coarse, fine, n);
    for (std::size_t s = 0; s < degree; ++s) {
      if (n < s + 1 || n - s - 1 >= fine.cells[2]) continue;
      const bool even = s % 2 == 0;
      smooth(fine, rhs, steps[s], fine.layer(n - s - 1), even ? fine.x : fine.other,
             even ? fine.other : fine.x);
    }
  }
  if (degree % 2 == 1) std::swap(fine.x, fine.other);
}

void Multigrid::settle(Level& coarsest) const {
  std::fill(coarsest.x.begin(), coarsest.x.end(), 0.0F);
  std::fill(coarsest.other.begin(), coarsest.other.end(), 0.0F);
  for (const Step& step : settling_) {
    smooth(coarsest, coarsest.rhs.data(), step, {coarsest.first, coarsest.last}, coarsest.x,
           coarsest.other);
    std::swap(coarsest.x, coarsest.other);
  }
}

const Singles& Multigrid::cycle(const Singles& rhs) {
  EXPECT(rhs.size() == levels_.front().size);
  static const std::vector<Step> finest = chebyshev(finest_degree, least_smoothed),
                                 coarser = chebyshev(coarser_degree, least_smoothed);
  const auto right = [&](std::size_t l) { return l == 0 ? rhs.data() : levels_[l].rhs.data(); };
  const std::size_t last = levels_.size() - 1;
  for (std::size_t l = 0; l < last; ++l) add_right_sides(levels_[l], right(l), levels_[l + 1]);
  settle(levels_[last]);
  for (std::size_t l = last; l-- > 0;)
    ascend(levels_[l + 1], levels_[l], right(l), l == 0 ? finest : coarser);
  return levels_.front().x;
}

}  // namespace mistwright::flow
