#pragma once
// Which faces of the grid does a thin sheet shut?
// Those nearest to its plane between two cells of air; where two are equally near, the one at which
// a box of the same edge would end. A sheet higher than half a cell shuts one layer at least. The
// highest layer of air under the roof stays open, so that no air is closed in. Left out: the
// sheet's thickness, its light and heat.
#include <cstddef>
#include <tuple>
#include <vector>

#include "models/flow/enclosure.h"
#include "models/flow/grid.h"

namespace mistwright::flow {

/// The face between a cell and its lower neighbour along an axis.
struct SheetFace {
  std::size_t axis = 0, cell = 0;
  bool operator==(const SheetFace&) const = default;
  bool operator<(const SheetFace& other) const {
    return std::tie(axis, cell) < std::tie(other.axis, other.cell);
  }
};

/// Faces of all sheets of an enclosure, in order, each once.
std::vector<SheetFace> sheet_faces(const Enclosure& enclosure, const Grid& grid);

}  // namespace mistwright::flow
