// What leaves got, place by place and by droplet size, with the fans off and on.
#include "models/units.h"
#include "sim/record/columns.h"

namespace mistwright::record {

Group deposit_group(HouseRun& run) {
  const Plan& plan = run.plan();
  const std::size_t cells = plan.benches.cells.size();
  const std::size_t layers = plan.layer_sun_fraction.size();
  Group group{.name = "deposit",
              .dimensions = {{"fans", 2}, {"size_group", size_groups}, {"cell", cells}},
              .variables = {}};
  Columns columns(group);
  const WaterLedger& water = run.water().ledger();
  columns.whole("fans", "whether any fan ran when the burst landed", {"fans"}, counting(2),
                {"off", "on"});
  columns.whole("bursts", "bursts that landed", {"fans"}, made(2, [&](std::size_t f) {
                  return static_cast<double>(water.bursts_landed[f]);
                }));
  const auto& edges_m = run.water().classes().edges_m;
  columns.whole("size_group", "group of droplet diameters, the smallest first", {"size_group"},
                counting(size_groups));
  columns.add("size_group_lower", "lower edge of the group", "m", {"size_group"},
              made(size_groups, [&](std::size_t g) {
                return g == 0 ? edges_m.front() : size_group_edges_m[g - 1];
              }));
  columns.add("size_group_upper", "upper edge of the group", "m", {"size_group"},
              made(size_groups, [&](std::size_t g) {
                return g + 1 == size_groups ? edges_m.back() : size_group_edges_m[g];
              }));
  columns.whole("cell", "cell of the bench map", {"cell"}, counting(cells));
  const std::vector<double> area_m2 = made(cells, [&](std::size_t b) {
    double area = 0.0;
    for (std::size_t layer = 0; layer < layers; ++layer)
      area += plan.layer_leaf_area_m2[b * layers + layer];
    return area;
  });
  columns.add("leaf_area", "area of the cell's leaves, one side", "m2", {"cell"}, area_m2);
  columns.add("leaf_deposit",
              "mist that landed on leaves, run-off not yet taken off, per leaf area", "kg m-2",
              {"fans", "size_group", "cell"}, made(2 * size_groups * cells, [&](std::size_t i) {
                const std::size_t fans = i / (size_groups * cells);
                const double area = area_m2[i % cells];
                const double kg = water.leaves_by_size_kg[fans][i % (size_groups * cells)];
                return area > 0.0 ? kg / area : 0.0;
              }));
  return group;
}

}  // namespace mistwright::record
