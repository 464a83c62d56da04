#include "models/flow/from_coarser.h"

#include <algorithm>
#include <array>

namespace mistwright::flow {
namespace {

/// The two coarse places beside a fine one, and what each counts.
struct Beside {
  std::size_t low = 0, high = 0;
  double low_share = 1.0, high_share = 0.0;
};

/// @param doubled_place  twice the fine place along the axis, in fine cells: 2 i of a face, 2 i + 1
///                       of a centre
/// @param on_faces       whether the coarse values lie on faces across this axis, else in centres
Beside beside(std::size_t doubled_place, std::size_t fine_cells, std::size_t coarse_cells,
              bool on_faces) {
  const std::size_t whole = 2 * fine_cells, last = on_faces ? coarse_cells : coarse_cells - 1;
  const std::size_t ahead = doubled_place * coarse_cells, lag = on_faces ? 0 : fine_cells;
  const std::size_t at = std::min(ahead > lag ? ahead - lag : 0, last * whole);
  const std::size_t low = at / whole, part = at % whole;
  const auto share = [whole](std::size_t of) {
    return static_cast<double>(of) / static_cast<double>(whole);
  };
  return {low, std::min(low + 1, last), share(whole - part), share(part)};
}

/// Two values by their shares; which stands first changes no bit.
double mixed(const Beside& along, double low, double high) {
  return along.low_share * low + along.high_share * high;
}

using Along = std::array<Beside, 3>;

template <class Value>
double mean(const Along& along, const Value& value) {
  const auto row = [&](std::size_t j, std::size_t k) {
    return mixed(along[0], value(along[0].low, j, k), value(along[0].high, j, k));
  };
  const auto sheet = [&](std::size_t k) {
    return mixed(along[1], row(along[1].low, k), row(along[1].high, k));
  };
  return mixed(along[2], sheet(along[2].low), sheet(along[2].high));
}

class Filler {
 public:
  Filler(const GriddedFlow& coarse, GriddedFlow& fine)
      : from_(coarse.house.problem.lattice), to_(fine.house.problem.lattice) {}

  void speeds(std::size_t axis, const Values& coarse, Values& fine) const {
    visit([&](std::size_t i, std::size_t j, std::size_t k) {
      const std::size_t c = to_.at(i, j, k);
      if (to_.open[axis][c] == 0.0) return;
      fine[c] = mean(along({i, j, k}, axis),
                     [&](auto a, auto b, auto d) { return coarse[from_.at(a, b, d)]; });
    });
  }

  /// Means over the cells of air beside a place.
  void centres(const Values& coarse, Values& fine) const {
    visit([&](std::size_t i, std::size_t j, std::size_t k) {
      const std::size_t c = to_.at(i, j, k);
      const Along near = along({i, j, k}, 3);
      const double air =
          mean(near, [&](auto a, auto b, auto d) { return from_.air[from_.at(a, b, d)]; });
      if (to_.air[c] == 0.0 || air == 0.0) return;
      fine[c] = mean(near,
                     [&](auto a, auto b, auto d) {
                       const std::size_t at = from_.at(a, b, d);
                       return from_.air[at] * coarse[at];
                     }) /
                air;
    });
  }

 private:
  template <class Do>
  void visit(const Do& act) const {
    for (std::size_t k = 0; k < to_.cells[2]; ++k)
      for (std::size_t j = 0; j < to_.cells[1]; ++j)
        for (std::size_t i = 0; i < to_.cells[0]; ++i) act(i, j, k);
  }

  /// @param face_axis  across which the values' faces lie; 3: they lie in centres
  [[nodiscard]] Along along(const std::array<std::size_t, 3>& place, std::size_t face_axis) const {
    Along near;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const bool faces = axis == face_axis;
      near[axis] =
          beside(2 * place[axis] + (faces ? 0 : 1), to_.cells[axis], from_.cells[axis], faces);
    }
    return near;
  }

  const Lattice &from_, &to_;
};

}  // namespace

void start_from_coarser(const GriddedFlow& coarse, GriddedFlow& fine) {
  const Filler fill(coarse, fine);
  const FlowState& from = coarse.house.state;
  FlowState& to = fine.house.state;
  for (std::size_t axis = 0; axis < 3; ++axis)
    fill.speeds(axis, from.speed_m_per_s[axis], to.speed_m_per_s[axis]);
  fill.centres(from.pressure_m2_per_s2, to.pressure_m2_per_s2);
  fill.centres(from.k_m2_per_s2, to.k_m2_per_s2);
  fill.centres(from.dissipation_m2_per_s3, to.dissipation_m2_per_s3);
  fill.centres(from.warmth_K, to.warmth_K);
}

}  // namespace mistwright::flow
