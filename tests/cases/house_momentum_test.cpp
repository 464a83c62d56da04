// The small house with its airflow by the equations of motion, from the tap to the film.
#include <cmath>
#include <numeric>

#include "tests/cases/small_house.h"
#include "tests/support/catch.h"

using namespace mistwright;

namespace {

const std::string by_momentum = "numerics.airflow=momentum";

double mean(const std::vector<double>& values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

}  // namespace

TEST_CASE("cases: with airflow by momentum every balance closes and threads change no bit",
          "[cases][same]") {
  const House house = test::small_house({by_momentum, "span.length=3 h"});
  const auto one = test::run_whole(house, 1);
  const auto two = test::run_whole(house, 2);
  CHECK(one->engine().state_hash() == two->engine().state_hash());
  REQUIRE(one->water().bursts() > 15);
  CHECK(one->frames().worst_audit_fraction <= engine::audit_tolerance_fraction);
}

TEST_CASE("cases: by momentum the bench stands in the air's way and a fan stirs what lies over it",
          "[cases][law]") {
  const House house = test::small_house({by_momentum});
  Building building(house);
  const Plan& plan = building.plan;
  DeviceState still{std::vector<std::uint8_t>(house.fans.size(), 0),
                    std::vector<std::uint8_t>(house.openings.size(), 0)};
  DeviceState blown{std::vector<std::uint8_t>(house.fans.size(), 1),
                    std::vector<std::uint8_t>(house.openings.size(), 1)};
  const Regime& calm = building.airflow.regime(still);
  const Regime& windy = building.airflow.regime(blown);
  CHECK(mean(windy.bench_air_speed_m_per_s) > mean(calm.bench_air_speed_m_per_s));
  // No air inside a bench, however thin it is beside the grid's cells.
  const flow::Grid& grid = windy.field.grid;
  for (const flow::Box& box : plan.enclosure.boxes) {
    std::size_t solid = 0;
    for (std::size_t c = 0; c < grid.cells(); ++c) {
      const auto [i, j, k] = grid.place(c);
      const double x = grid.x_centre_m(i), y = grid.y_centre_m(j);
      if (grid.fluid[c] == 0 && x > box.x0_m && x < box.x1_m && y > box.y0_m && y < box.y1_m &&
          grid.z_centre_m(k) > box.z0_m && grid.z_centre_m(k) < box.z1_m)
        ++solid;
    }
    CHECK(solid > 0);
  }
  CHECK(windy.field.worst_divergence_per_s() < 1e-9);
}
