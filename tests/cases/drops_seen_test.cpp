// How the water flies, against what else the run knows of it.
#include <algorithm>
#include <cmath>
#include <numeric>

#include "sim/house/drops_seen.h"
#include "sim/record/conform.h"
#include "sim/record/hdf5_file.h"
#include "sim/record/recorder.h"
#include "tests/cases/small_house.h"
#include "tests/support/catch.h"

using namespace mistwright;
using test::abs;
using test::rel;

namespace {

record::Record with_drops(int threads) {
  const auto run = test::run_whole(test::small_house({"numerics.airflow=jets"}), threads);
  return record::record_run(*run, {}, record::Detail::WithDrops);
}

double sum_of(const std::vector<double>& values, std::size_t from, std::size_t count) {
  const auto first = values.begin() + static_cast<std::ptrdiff_t>(from);
  return std::accumulate(first, first + static_cast<std::ptrdiff_t>(count), 0.0);
}

}  // namespace

TEST_CASE("cases: group drops tells of the middle head by the ledger of the run", "[cases][law]") {
  const auto run = test::run_whole(test::small_house({"numerics.airflow=jets"}));
  const record::Record record = record::record_run(*run, {}, record::Detail::WithDrops);
  const record::Group& drops = record.group("drops");
  // The morning is cool enough for the fan to rest; at noon it runs.
  REQUIRE(drops.variable("fans").values == std::vector<double>{0.0, 1.0});
  CHECK(drops.attributes.at("head_x_m") == "3.6");
  CHECK(sum_of(drops.variable("sprayed").values, 0, 2) <=
        run->water().ledger().sprayed_kg.value() * (1.0 + 1e-12));
  CHECK(sum_of(drops.variable("sprayed").values, 0, 2) >
        0.9 * run->water().ledger().sprayed_kg.value());
  // Under the fan the air is drier.
  const auto& K = drops.variable("evaporation_constant").values;
  CHECK(K[0] < K[1]);
  const auto& diameter = drops.variable("diameter").values;
  CHECK(std::is_sorted(diameter.begin(), diameter.end()));
  const std::size_t sizes = diameter.size();
  REQUIRE(sizes >= 3);
  const auto& fates = drops.variable("fate_share").values;
  for (std::size_t row = 0; row < 2 * sizes; ++row)
    CHECK_THAT(sum_of(fates, 6 * row, 6), abs(1.0, 1e-9));
  // Fine drops leave with the fan and dry, coarse ones land.
  CHECK(fates[6 * sizes] < fates[6 * (2 * sizes - 2)]);
  const std::size_t cells = drops.variable("cell").values.size();
  for (std::size_t air = 0; air < 2; ++air) {
    const double landed = sum_of(drops.variable("head_share").values, air * cells, cells);
    double least = 1.0, most = 0.0;
    for (std::size_t s = 0; s < sizes; ++s) {
      least = std::min(least, fates[6 * (air * sizes + s)]);
      most = std::max(most, fates[6 * (air * sizes + s)]);
    }
    // A mean over the sizes between the ones shown, and a little finer and coarser.
    CHECK(landed > least);
    CHECK(landed < most + 0.02);
  }
}

TEST_CASE("cases: tracks of the record start at their head and end where their fate says",
          "[cases][law]") {
  const record::Record record = with_drops(1);
  const record::Group& drops = record.group("drops");
  const auto &count = drops.variable("point_count").values,
             &fate = drops.variable("track_fate").values,
             &size = drops.variable("track_size").values, &x = drops.variable("point_x").values,
             &z = drops.variable("point_z").values, &age = drops.variable("point_age").values,
             &diameter = drops.variable("point_diameter").values;
  const double points = sum_of(count, 0, count.size());
  REQUIRE(points == static_cast<double>(x.size()));
  std::size_t first = 0;
  for (std::size_t t = 0; t < count.size(); ++t) {
    const std::size_t last = first + static_cast<std::size_t>(count[t]) - 1;
    CAPTURE(t);
    REQUIRE(last > first);
    CHECK(last - first < most_track_points);
    CHECK_THAT(x[first], abs(3.6, 1e-12));
    CHECK(age[first] == 0.0);
    CHECK(diameter[first] == drops.variable("diameter").values[static_cast<std::size_t>(size[t])]);
    if (fate[t] == 0.0) CHECK_THAT(z[last], abs(0.8, 0.15));
    if (fate[t] == 1.0) CHECK(z[last] < 0.81);
    if (fate[t] == 6.0) CHECK_THAT(age[last], abs(tracks_until_s, 1e-6));
    first = last + 1;
  }
}

TEST_CASE("cases: water in the air is what bursts sprayed times how long drops fall",
          "[cases][law]") {
  // Drops of one size let go downwards in a shut house full of vapour: no jet, no throw.
  const auto run = test::run_whole(
      test::small_house({"numerics.airflow=jets", "head_type.\"medium mist\".launch=\"downward\"",
                         "span.length=1 h"}));
  const auto seen = drops_seen(*run);
  REQUIRE(seen);
  const FlownAir& air = seen->airs.front();
  const flow::Grid& grid = run->plan().grid;
  std::vector<double> air_m3(grid.nx * grid.nz, 0.0);
  for (std::size_t c = 0; c < grid.cells(); ++c)
    if (grid.fluid[c] != 0)
      air_m3[grid.place(c)[2] * grid.nx + grid.place(c)[0]] += grid.cell_volume_m3();
  double held_kg_s = 0.0;
  for (std::size_t c = 0; c < air_m3.size(); ++c)
    if (air_m3[c] > 0.0) held_kg_s += air.airborne_kg_per_m3[c] * air_m3[c] * airborne_window_s;
  double slowest_kg_s = 0.0, sprayed_kg = 0.0;
  for (const Sprayed& head : typical_burst(run->airflow(), run->works(), 0, run->water().classes()))
    for (std::size_t k = 0; k < head.class_kg.size(); ++k) {
      const double d = run->water().classes().diameter_m[k];
      slowest_kg_s +=
          head.class_kg[k] *
          std::min(airborne_window_s,
                   head.launch.z_m / droplet::terminal_velocity_m_per_s(d, droplet::reference_air));
      sprayed_kg += head.class_kg[k];
    }
  // Thrown down to the bench at most at 24 m/s, at least as if it all sank to the floor.
  CHECK(held_kg_s > sprayed_kg * 0.6 / 24.0);
  CHECK(held_kg_s < slowest_kg_s);
}

TEST_CASE("cases: drops are the same for any number of threads and change nothing else",
          "[cases][same]") {
  const record::Record one = with_drops(1), three = with_drops(3);
  CHECK(record::content_sha256(record::conforming(one)) ==
        record::content_sha256(record::conforming(three)));
  const auto run = test::run_whole(test::small_house({"numerics.airflow=jets"}));
  record::Record without = record::record_run(*run, {});
  CHECK(without.find("drops") == nullptr);
  record::Record rest = one;
  std::erase_if(rest.groups, [](const record::Group& group) { return group.name == "drops"; });
  CHECK(record::content_sha256(record::conforming(rest)) ==
        record::content_sha256(record::conforming(without)));
}

TEST_CASE("cases: group drops comes back from the file as it was", "[cases][same]") {
  const record::Record record = record::conforming(with_drops(1));
  const record::Record back = record::from_hdf5_image(record::hdf5_image(record), "image");
  const record::Group &was = record.group("drops"), &is = back.group("drops");
  CHECK(is.attributes == was.attributes);
  REQUIRE(is.variables.size() == was.variables.size());
  for (const record::Variable& variable : was.variables) {
    CAPTURE(variable.name);
    const record::Variable& other = is.variable(variable.name);
    CHECK(other.dimensions == variable.dimensions);
    CHECK(other.flag_meanings == variable.flag_meanings);
    REQUIRE(other.values.size() == variable.values.size());
    for (std::size_t i = 0; i < variable.values.size(); ++i)
      CHECK((other.values[i] == variable.values[i] ||
             (std::isnan(other.values[i]) && std::isnan(variable.values[i]))));
  }
}
