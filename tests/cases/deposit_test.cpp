// What leaves got by droplet size and fans, against what else the run knows of it.
#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include "sim/record/recorder.h"
#include "tests/cases/small_house.h"
#include "tests/support/catch.h"

using namespace mistwright;
using test::rel;

TEST_CASE("cases: deposit by size and fans adds up to what leaves got by class and leaf by leaf",
          "[cases][law]") {
  const auto run = test::run_whole(test::small_house({"numerics.airflow=jets"}));
  const record::Record record = record::record_run(*run, {});
  const record::Group& deposit = record.group("deposit");
  const auto& depth = deposit.variable("leaf_deposit").values;
  const auto& area = deposit.variable("leaf_area").values;
  const std::size_t cells = area.size();
  REQUIRE(depth.size() == 2 * size_groups * cells);
  std::vector<double> by_group(size_groups, 0.0), by_fans(2, 0.0), by_cell(cells, 0.0);
  for (std::size_t i = 0; i < depth.size(); ++i) {
    const double kg = depth[i] * area[i % cells];
    by_fans[i / (size_groups * cells)] += kg;
    by_group[i / cells % size_groups] += kg;
    by_cell[i % cells] += kg;
  }
  // A burst lands when its valve has shut.
  const auto& bursts = deposit.variable("bursts").values;
  const auto& notes = run->frames().notes;
  double running = 0.0;
  std::vector<double> shut(2, 0.0);
  for (const Frames::Note& note : notes) {
    if (note.part == devices_part) running = note.first;
    if (note.part == water_part && note.kind == WaterPart::Shut) ++shut[running > 0.0 ? 1 : 0];
  }
  // The morning is cool enough for the fan to rest; at noon it runs.
  CHECK(shut[0] > 3);
  CHECK(shut[1] > 3);
  CHECK(bursts == shut);
  for (std::size_t f = 0; f < 2; ++f) CHECK((by_fans[f] > 0.0) == (bursts[f] > 0.0));

  const WaterLedger& water = run->water().ledger();
  CHECK_THAT(by_fans[0] + by_fans[1], rel(water.to_leaves_kg.value(), 1e-9));
  const auto& classes = run->water().classes();
  std::vector<double> by_class(size_groups, 0.0);
  for (std::size_t k = 0; k < classes.count(); ++k)
    by_class[size_group_of(classes.diameter_m[k])] +=
        water.fate_by_class_kg[static_cast<std::size_t>(WaterFate::Leaves)][k].value();
  for (std::size_t g = 0; g < size_groups; ++g) CHECK_THAT(by_group[g], rel(by_class[g], 1e-9));

  const record::Group& leaves = record.group("leaves");
  std::vector<double> leaf_by_leaf(cells, 0.0);
  for (std::size_t i = 0; i < leaves.variable("deposit").values.size(); ++i)
    leaf_by_leaf[static_cast<std::size_t>(leaves.variable("cell").values[i])] +=
        leaves.variable("deposit").values[i] * leaves.variable("area").values[i];
  for (std::size_t c = 0; c < cells; ++c) {
    CAPTURE(c);
    CHECK_THAT(leaf_by_leaf[c], rel(by_cell[c], 1e-9));
  }
}

TEST_CASE("cases: droplet sizes fall into groups at 50 and 100 and 200 um", "[cases][exact]") {
  CHECK(size_group_of(49e-6) == 0);
  CHECK(size_group_of(50e-6) == 1);
  CHECK(size_group_of(150e-6) == 2);
  CHECK(size_group_of(900e-6) == 3);
}

TEST_CASE("cases: what lands is as quiet as asked and the run says how quiet", "[cases][law]") {
  double before = 1.0;
  for (const double asked : {0.2, 0.1}) {
    const auto run = test::run_whole(test::small_house(
        {"numerics.parcels_per_class=100000", fmt::format("numerics.deposit_noise={}", asked)}));
    const double noise = run->water().ledger().worst_deposit_noise_ratio;
    CAPTURE(asked, noise);
    CHECK(noise > 0.2 * asked);
    CHECK(noise <= asked);
    CHECK(noise < before);
    before = noise;
  }
}
