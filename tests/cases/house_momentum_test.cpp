// The small house with its airflow by the equations of motion, from the tap to the film.
#include <algorithm>
#include <cmath>

#include "sim/house/surroundings.h"
#include "tests/cases/small_house.h"
#include "tests/support/catch.h"

using namespace mistwright;
using test::mean;

namespace {

/// Means over the bench from noon on.
struct Afternoon {
  double temperature_K = 0.0, deficit_Pa = 0.0;
  std::vector<double> speed_m_per_s;  ///< by bench cell
  std::size_t bursts = 0;             ///< of the whole run
  double worst_audit_fraction = 0.0;
};

Afternoon afternoon(const House& house) {
  const auto run = test::run_whole(house);
  const Frames& frames = run->frames();
  const std::size_t cells = run->plan().benches.cells.size();
  const auto later = [&](const std::vector<double>& values) {
    REQUIRE(values.size() == cells * frames.map_time_us.size());
    return std::vector<double>(values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2),
                               values.end());
  };
  return {mean(later(frames.bench_air_temperature_K)), mean(later(frames.bench_air_deficit_Pa)),
          test::last_map(*run, frames.bench_air_speed_m_per_s), run->water().bursts(),
          frames.worst_audit_fraction};
}

/// The small house by momentum with its fan always on or never.
House with_fan(bool runs) {
  House house = test::small_house();
  house.fans.at(0).switched_by.reset();
  if (!runs) {
    house.fans.clear();
    for (Opening& opening : house.openings) {
      opening.with_fan.reset();
      opening.opened_by = control::Thermostat{500.0, 499.0};  // never so hot
    }
  }
  return house;
}

}  // namespace

TEST_CASE("cases: with airflow by momentum every balance closes and threads change no bit",
          "[cases][same]") {
  const House house = test::small_house({"span.length=3 h"});
  const auto one = test::run_whole(house, 1);
  const auto two = test::run_whole(house, 2);
  CHECK(one->engine().state_hash() == two->engine().state_hash());
  REQUIRE(one->water().bursts() > 15);
  CHECK(one->frames().worst_audit_fraction <= engine::audit_tolerance_fraction);
}

TEST_CASE("cases: by momentum every bench stands in the way of the air", "[cases][law]") {
  const House house = test::small_house();
  Building building(house);
  const Plan& plan = building.plan;
  DeviceState blown{std::vector<std::uint8_t>(house.fans.size(), 1),
                    std::vector<std::uint8_t>(house.openings.size(), 1)};
  const Regime& windy = building.airflow.regime(blown);
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

TEST_CASE("cases: by momentum a fan that runs makes the bench's air cooler and drier",
          "[cases][law]") {
  const Afternoon shut = afternoon(with_fan(false)), aired = afternoon(with_fan(true));
  CAPTURE(shut.temperature_K, aired.temperature_K, shut.deficit_Pa, aired.deficit_Pa);
  CHECK(aired.temperature_K < shut.temperature_K - 0.5);
  CHECK(aired.deficit_Pa > shut.deficit_Pa + 100.0);  // the day outside is dry
}

TEST_CASE("cases: by momentum a weaker fan leaves the bench's air warmer", "[cases][law]") {
  const House strong = with_fan(true);
  House weak = strong;
  for (auto& [flow_m3_per_s, pressure_Pa] : weak.fans.at(0).curve) flow_m3_per_s *= 0.4;
  const Afternoon swift = afternoon(strong), slow = afternoon(weak);
  CAPTURE(swift.temperature_K, slow.temperature_K);
  CHECK(slow.temperature_K > swift.temperature_K + 0.2);
}

TEST_CASE("cases: by momentum a vent opened in a shut house makes the bench's air cooler and drier",
          "[cases][law]") {
  const House house = with_fan(false);
  House vented = house;
  for (Opening& opening : vented.openings) opening.opened_by.reset();  // stands open
  const Afternoon shut = afternoon(house), open = afternoon(vented);
  CAPTURE(shut.temperature_K, open.temperature_K, shut.deficit_Pa, open.deficit_Pa);
  CHECK(open.temperature_K < shut.temperature_K - 0.5);
  CHECK(open.deficit_Pa > shut.deficit_Pa);
}

TEST_CASE("cases: by momentum a fan moved to the other end takes the swift air with it",
          "[cases][law]") {
  const House behind = with_fan(true);
  House before = behind;
  before.fans.at(0).wall = Wall::Front;
  const auto lean = [](const House& house) {
    const Afternoon air = afternoon(house);
    const Building building(house);
    double swift = 0.0, all = 0.0;
    for (std::size_t b = 0; b < air.speed_m_per_s.size(); ++b) {
      swift += air.speed_m_per_s[b] * building.plan.benches.cells[b].x_m;
      all += air.speed_m_per_s[b];
    }
    return swift / all;  // where along the house the moving air's middle lies
  };
  CHECK(lean(before) < lean(behind) - 0.05);
}

TEST_CASE("cases: every air cell balances when flows and speeds go apart", "[cases][exact]") {
  const House house = test::small_house();
  Building building(house);
  const DeviceState blown{std::vector<std::uint8_t>(house.fans.size(), 1),
                          std::vector<std::uint8_t>(house.openings.size(), 1)};
  const Regime& regime = building.airflow.regime(blown);
  AirThrough through;
  through.flow_ratio = 0.3;
  through.speed_ratio = 2.0;
  const air::HouseNow now = house_now(building.plan, regime, Surroundings{}, through);
  std::vector<double> gain = now.inflow_kg_per_s;
  double largest = 0.0;
  for (std::size_t c = 0; c < gain.size(); ++c) gain[c] -= now.outflow_kg_per_s[c];
  for (const auto& [from, to, flow_kg_per_s] : now.moves) {
    gain[from] -= flow_kg_per_s;
    gain[to] += flow_kg_per_s;
    largest = std::max(largest, flow_kg_per_s);
  }
  for (const double left : gain) CHECK(std::fabs(left) < 1e-9 * largest);
}

TEST_CASE("cases: power that moves the air goes as the cube of its speed", "[cases][exact]") {
  Drive jets, lift, both;
  jets.jets_m5_per_s3 = both.jets_m5_per_s3 = 0.02;
  lift.lift_m5_per_s3 = both.lift_m5_per_s3 = 0.05;
  CHECK(jets.speed_ratio(0.4, 7.0) == Approx(0.4));
  CHECK(lift.speed_ratio(0.4, 8.0) == Approx(2.0));
  // By hand: the cube root of (0.02 * 8 + 0.05 * 0.5) / 0.07.
  CHECK(both.speed_ratio(2.0, 0.5) == Approx(1.38258).epsilon(1e-5));
  CHECK(both.speed_ratio(1.0, 1.0) == Approx(1.0));
  CHECK(Drive{}.speed_ratio(0.3, 1.0) == 0.3);
}

TEST_CASE("cases: by momentum skirts hold back a wind over the benches and keep moist air there",
          "[cases][law]") {
  // The louvre moved to the front wall at the height of the benches, so that the fan draws air
  // along them. Found with skirts of 0.4 m: 0.225 to 0.113 m/s and 2097 to 2003 Pa; on cells of 0.2
  // m 0.158 to 0.106 m/s and 2087 to 2002 Pa.
  House house = with_fan(true);
  for (Opening& opening : house.openings) {
    opening.wall = Wall::Front;
    opening.along_m = 1.8;
    opening.height_m = 1.0;
    opening.width_m = 2.4;
    opening.tall_m = 0.4;
  }
  House skirted = house;
  for (Bench& bench : skirted.benches) bench.skirt_m = 0.4;
  const Afternoon windy = afternoon(house), sheltered = afternoon(skirted);
  const double before = mean(windy.speed_m_per_s), after = mean(sheltered.speed_m_per_s);
  CAPTURE(before, after, windy.deficit_Pa, sheltered.deficit_Pa);
  CHECK(after < 0.7 * before);
  CHECK(sheltered.deficit_Pa < windy.deficit_Pa - 40.0);
  for (const Afternoon& air : {windy, sheltered}) {
    CHECK(air.bursts > 30);
    CHECK(air.worst_audit_fraction <= engine::audit_tolerance_fraction);
  }
}

TEST_CASE("cases: a stirring fan moves the air of a shut house by its flow in free air",
          "[cases][law]") {
  House house = with_fan(false);
  Fan fan;
  fan.name = "stir";
  fan.kind = FanKind::Circulation;
  fan.x_m = 3.0;
  fan.y_m = 1.8;
  fan.height_m = 1.5;
  fan.diameter_m = 0.4;
  fan.curve = {{0.0, 30.0}, {0.2, 20.0}, {0.3, 0.0}};
  House stirred = house;
  stirred.fans.push_back(fan);
  CHECK(make_plan(stirred).enclosure.stirrers.at(0).flow_m3_per_s == 0.3);
  const double calm = mean(afternoon(house).speed_m_per_s);
  const double moved = mean(afternoon(stirred).speed_m_per_s);
  CAPTURE(calm, moved);
  CHECK(moved > 1.3 * calm);
}
