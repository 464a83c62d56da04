#include "models/droplet/concentration.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include "models/droplet/cloud_choice.h"
#include "models/droplet/contact.h"
#include "models/droplet/flight.h"
#include "models/random.h"
#include "models/units.h"
#include "tests/droplet/fields.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using namespace mistwright::droplet;
using test::abs;
using test::hoop_house;
using test::rel;

namespace {

/// The diameter of a drop that falls at a speed; the smallest for none.
double diameter_of_m(double fall_m_per_s) {
  double low = 1e-6, high = 1e-3;
  for (int i = 0; i < 60; ++i) {
    const double d = std::sqrt(low * high);
    (terminal_velocity_m_per_s(d, reference_air) < fall_m_per_s ? low : high) = d;
  }
  return low;
}

/// Lives until an age, the last stretch cut short.
void live_until(Cloud& cloud, double age_s) {
  for (Stretch ages : cloud.ages()) {
    if (ages.from_s >= age_s) return;
    ages.to_s = std::min(ages.to_s, age_s);
    cloud.live(ages);
  }
}

/// Second moments of a cloud about its middle.
struct Moments {
  double mass = 0.0, x_m = 0.0, y_m = 0.0, xx_m2 = 0.0, yy_m2 = 0.0;

  void add(double share, double x, double y) {
    mass += share;
    x_m += share * x;
    y_m += share * y;
    xx_m2 += share * x * x;
    yy_m2 += share * y * y;
  }
  [[nodiscard]] double mean_x_m() const { return x_m / mass; }
  [[nodiscard]] double spread_x_m() const {
    return std::sqrt(xx_m2 / mass - mean_x_m() * mean_x_m());
  }
  [[nodiscard]] double spread_y_m() const {
    return std::sqrt(yy_m2 / mass - y_m * y_m / (mass * mass));
  }
};

Moments landed(const BenchGrid& benches, const Outcome& o) {
  Moments m;
  for (std::size_t i = 0; i < benches.cells.size(); ++i)
    m.add(o.bench[i], benches.cells[i].x_m, benches.cells[i].y_m);
  return m;
}

/// Taylor's variance.
double taylor_m2(double sigma, double T, double t) {
  return 2.0 * sigma * sigma * T * T * (t / T - 1.0 + std::exp(-t / T));
}

double misplaced_fraction(const Outcome& a, const Outcome& b) {
  double sum = 0.0;
  for (std::size_t i = 0; i < a.bench.size(); ++i) sum += std::abs(a.bench[i] - b.bench[i]);
  return sum / b.bench_fraction();
}

constexpr double plume_wind = 0.3;  ///< of tests/reference/plume_2d_settling.csv

/// Height and column of each profile in the table.
struct Level {
  double z_m;
  const char* column;
};
constexpr Level levels[] = {{0.0, "C_0_kg_m3"}, {0.25, "C_0.25_kg_m3"}, {0.5, "C_0.5_kg_m3"},
                            {1.0, "C_1_kg_m3"}, {1.5, "C_1.5_kg_m3"},   {2.0, "C_2_kg_m3"}};

double highest(const test::Row& row) {
  double most = 0.0;
  for (const Level& level : levels) most = std::max(most, row.number(level.column));
  return most;
}

}  // namespace

TEST_CASE("droplet: a cloud is the settling plume of Ermak 1977 within 3 percent",
          "[droplet][worked]") {
  // sigma^2 T = 0.01 m2/s with T so short that fall does not shorten it and the air only diffuses.
  const auto setting =
      test::plain_setting(test::box_house(0.2, 0.2, 5.0),
                          {.sigma_m_per_s = 5.0, .timescale_s = 4e-4, .cell_m = 0.1}, {}, 0.1);
  CloudAir air(setting.with(1), 0.025);
  // The plume has open country about it: this column's walls take nothing.
  air.touches.erase(std::remove_if(air.touches.begin(), air.touches.end(),
                                   [](const CloudAir::Touch& touch) { return !touch.level; }),
                    air.touches.end());
  for (const auto& row : test::table("plume_2d_settling.csv")) {
    const double fall = row.number("fall_speed_m_s"), age = row.number("x_m") / plume_wind;
    CAPTURE(fall, row.text("x_m"));
    const Puff puff = puff_at(air, {0.1, 0.1, 1.5});
    Cloud cloud(air, {diameter_of_m(fall), 0.0}, puff.variance_m2);
    cloud.add(puff, 1.0);
    live_until(cloud, age);
    CHECK_THAT(cloud.airborne_fraction(), rel(row.number("airborne_fraction"), 0.03));
    for (const Level& level : levels) {
      // The faces lie at whole steps: the mean of the two cells about one.
      const auto k = static_cast<std::size_t>(std::lround(level.z_m / air.width_m(2, 0)));
      const auto& value = cloud.concentration_1_per_m3();
      const double here = value[air.at(1, 1, k)], under = value[air.at(1, 1, k > 0 ? k - 1 : 0)];
      const double told = 0.2 * 0.2 * 0.5 * (here + under) / plume_wind;
      CAPTURE(level.z_m);
      // Three in a hundred of the value, or of a hundredth of the profile's largest in its tails.
      const double wanted = row.number(level.column);
      CHECK_THAT(told, abs(wanted, 0.03 * std::max(wanted, 0.01 * highest(row))));
    }
  }
}

TEST_CASE(
    "droplet: parcels that only diffuse are the settling plume of Ermak 1977 within 3 percent",
    "[droplet][worked]") {
  // A walk spreads as 2 K (t - T): T must stay small against the plume's 1.7 to 27 s.
  const double T = 0.04, sigma = std::sqrt(0.01 / T), dt = 0.02, bin = 0.1;
  for (const auto& row : test::table("plume_2d_settling.csv")) {
    const double fall = row.number("fall_speed_m_s"), age = row.number("x_m") / plume_wind;
    CAPTURE(fall, row.text("x_m"));
    const int drops = 20000;
    const double kept = settled_fraction(fall, sigma);
    double airborne = 0.0;
    std::vector<double> mass(6, 0.0);
    for (int n = 0; n < drops; ++n) {
      test::Shaker shaker(3, static_cast<std::uint64_t>(n));
      Random random(4, static_cast<std::uint64_t>(n));
      double z = 1.5, omega = random.normal(), left = 1.0;
      const int steps = static_cast<int>(std::lround(age / dt));
      for (int i = 0; i < steps; ++i) {
        z += (sigma * omega - fall) * age / steps;
        omega = walk_step_ratio(omega, {dt / T, 0.0, shaker.draw()[0]});
        if (z < 0.0) {
          left *= 1.0 - kept;
          z = -z;
          omega = std::abs(omega);
        }
      }
      airborne += left / drops;
      for (std::size_t l = 0; l < mass.size(); ++l)
        if (std::abs(z - levels[l].z_m) < 0.5 * bin) mass[l] += left / drops;
    }
    CHECK_THAT(airborne, rel(row.number("airborne_fraction"), 0.03));
    for (std::size_t l = 0; l < mass.size(); ++l) {
      const double wanted = row.number(levels[l].column), wide = l == 0 ? 0.5 * bin : bin;
      const double told = mass[l] / (plume_wind * wide);
      CAPTURE(levels[l].z_m);
      // Three in a hundred, and three errors of the count of parcels in a bin.
      const double count = std::max(1.0, drops * wanted * plume_wind * wide);
      const double floor = std::max(wanted, 0.03 * highest(row));
      CHECK_THAT(told, abs(wanted, (0.03 + 3.0 / std::sqrt(count)) * floor));
    }
  }
}

TEST_CASE("droplet: a cloud and parcels spread as Taylor 1921 from their first second on",
          "[droplet][exact]") {
  const double sigma = 0.2, T = 1.0;
  const auto setting = test::plain_setting(test::box_house(4.0, 4.0, 4.0),
                                           {.sigma_m_per_s = sigma, .timescale_s = T}, {}, 0.1);
  const CloudAir air(setting.with(1), 0.1);
  const Puff puff = puff_at(air, {2.0, 2.0, 2.0});
  for (const double age : {0.1, 0.5, 1.0, 2.0, 4.0}) {
    CAPTURE(age);
    Cloud cloud(air, {1e-6, 0.0}, puff.variance_m2);
    cloud.add(puff, 1.0);
    live_until(cloud, age);
    Moments m;
    for (std::size_t c = air.first; c < air.last; ++c) {
      if (air.air[c] == 0) continue;
      const Point p = air.centre(c);
      m.add(cloud.concentration_1_per_m3()[c] * air.volume_m3[c], p.x_m, p.y_m);
    }
    // The cell's own width belongs to a cloud's variance.
    const double spread = std::sqrt(m.spread_x_m() * m.spread_x_m() + 0.01 / 12.0);
    // Before Taylor's spread is 0.7 of a cell, the cloud is that wide: it waits.
    const double wanted = std::max(taylor_m2(sigma, T, age), puff.variance_m2);
    CHECK_THAT(spread, rel(std::sqrt(wanted), 0.03));
    const int tracers = 20000;
    const int steps = static_cast<int>(std::lround(age / 0.02));
    double squares = 0.0;
    for (int n = 0; n < tracers; ++n) {
      test::Shaker shaker(9, static_cast<std::uint64_t>(n));
      Random random(10, static_cast<std::uint64_t>(n));
      double x = 0.0, omega = random.normal();
      for (int i = 0; i < steps; ++i) {
        const double before = omega;
        omega = walk_step_ratio(omega, {age / steps / T, 0.0, shaker.draw()[0]});
        x += 0.5 * sigma * (before + omega) * age / steps;
      }
      squares += x * x / tracers;
    }
    CHECK_THAT(std::sqrt(squares), rel(std::sqrt(taylor_m2(sigma, T, age)), 0.03));
  }
}

TEST_CASE(
    "droplet: in an even wind drops of 50 and 100 and 200 um land where and as widely as "
    "Taylor and Csanady say",
    "[droplet][exact]") {
  const double wind = 0.2, fall_m = 2.0;
  // Gusts a quarter of the fall speed, forgotten well before the drop has landed.
  for (const double d : {50e-6, 100e-6, 200e-6}) {
    const double v = terminal_velocity_m_per_s(d, reference_air), sigma = 0.25 * v;
    const double T = d < 75e-6 ? 4.0 : d < 150e-6 ? 2.0 : 0.5;
    const auto setting = test::plain_setting(
        test::box_house(8.0, 1.6, 3.2),
        {.u_m_per_s = wind, .sigma_m_per_s = sigma, .timescale_s = T, .cell_m = 0.4},
        {{0.0, 0.0, 8.0, 1.6, 0.6}}, 0.02);
    const Launch launch = test::let_go(1.0, 0.8, 0.6 + fall_m);
    const double t = fall_m / v;
    const double across =
        std::sqrt(taylor_m2(sigma, T / std::sqrt(1.0 + v * v / (sigma * sigma)), t));
    // Drops that land early or late by their spread in height land nearer or farther.
    const double along = across * std::sqrt(1.0 + wind * wind / (v * v));
    const CloudAir air(setting.with(1), 0.05);
    const Outcome grid = cloud_footprint(air, launch, {d, 0.0}, 1);
    const Outcome flown = footprint(setting.with(8000), launch, d, 0.0, 1);
    for (const Outcome* o : {&grid, &flown}) {
      const Moments m = landed(setting.benches, *o);
      CAPTURE(d, o == &grid);
      CHECK_THAT(m.mass, abs(1.0, 1e-3));
      CHECK_THAT(m.mean_x_m() - 1.0, rel(wind * t, 0.03));
      CHECK_THAT(m.spread_y_m(), rel(across, 0.03));
      CHECK_THAT(m.spread_x_m(), rel(along, 0.03));
    }
  }
}

TEST_CASE("droplet: the shares of every cloud sum to one", "[droplet][law]") {
  for (const double fan : {0.0, 0.45}) {
    const auto setting = hoop_house(fan);
    const CloudAir air(setting.with(100), 0.3);
    const Launch thrown =
        launch_at(test::mist_head(), 2.8e5, {0.2, 0.63, 0.0, true}, {3.1, 0.8, 1.35});
    for (const Launch& launch : {test::let_go(3.1, 0.8, 1.35), thrown})
      for (const double d : {6e-6, 60e-6, 500e-6})
        for (const double K : {0.0, 100e-12, 1600e-12}) {
          const Outcome o = cloud_footprint(air, launch, {d, K}, 3);
          CAPTURE(fan, d, K);
          CHECK_THAT(o.total_fraction(), abs(1.0, 1e-9));
          const double by_cell = std::accumulate(o.evaporated_by_air_cell.begin(),
                                                 o.evaporated_by_air_cell.end(), 0.0);
          CHECK_THAT(by_cell, abs(o.evaporated_fraction, 1e-9));
        }
  }
}

TEST_CASE("droplet: the adjoint of a cloud gives what the cloud lands", "[droplet][exact]") {
  const auto setting = hoop_house(0.45);
  const CloudAir air(setting.with(1), 0.3);
  Random random(1, stream_of("adjoint"));
  for (const double K : {0.0, 100e-12}) {
    const CloudDrops drops{60e-6, K};
    std::vector<double> wanted(air.bench_cells, 0.0);
    for (double& weight : wanted) weight = random.uniform() < 0.2 ? 1.0 : 0.0;
    const std::vector<double> shares = landing_shares(air, drops, wanted);
    for (int n = 0; n < 4; ++n) {
      const Puff puff =
          puff_at(air, {7.0 * random.uniform(), 3.4 * random.uniform(), 0.9 + random.uniform()});
      Cloud cloud(air, drops, puff.variance_m2);
      cloud.add(puff, 1.0);
      for (const Stretch& ages : cloud.ages()) cloud.live(ages);
      cloud.give_up();
      double forward = 0.0, adjoint = 0.0;
      for (std::size_t i = 0; i < wanted.size(); ++i)
        forward += wanted[i] * cloud.outcome().bench[i];
      for (const Puff::Part& part : puff.parts) adjoint += part.share_fraction * shares[part.cell];
      CAPTURE(K, n);
      CHECK(forward > 1e-5);
      CHECK_THAT(adjoint, rel(forward, 1e-9));
    }
  }
}

TEST_CASE("droplet: an influence map is highest upwind of what it asks for", "[droplet][law]") {
  const auto setting = test::plain_setting(test::box_house(6.0, 2.0, 2.0),
                                           {.u_m_per_s = 0.3, .sigma_m_per_s = 0.1, .cell_m = 0.5},
                                           {{0.0, 0.0, 6.0, 2.0, 0.5}}, 0.25);
  const CloudAir air(setting.with(1), 0.1);
  std::vector<double> wanted(air.bench_cells, 0.0);
  const auto target = setting.benches.cell_at(3.1, 1.1);
  REQUIRE(target);
  wanted[*target] = 1.0;
  const InfluenceMap map = influence_map(air, {100e-6, 0.0}, wanted, 1.5);
  const auto best = std::max_element(map.share_fraction.begin(), map.share_fraction.end());
  const auto n = static_cast<std::size_t>(best - map.share_fraction.begin());
  const double v = terminal_velocity_m_per_s(100e-6, reference_air);
  const auto& cell = setting.benches.cells[*target];
  CHECK_THAT(map.x_m[n % map.x_m.size()], abs(cell.x_m - 0.3 * 1.0 / v, 0.15));
  CHECK_THAT(map.y_m[n / map.x_m.size()], abs(cell.y_m, 0.06));
}

TEST_CASE(
    "droplet: a cloud and parcels in a hoop house agree within the error that the cloud states",
    "[droplet][law]") {
  for (const double fan : {0.0, 0.15, 0.45}) {
    const auto setting = hoop_house(fan);
    const CloudAir air(setting.with(1), 0.15);
    const Point head{3.1, 0.8, 1.35};
    const Launch launch = test::let_go(head.x_m, head.y_m, head.z_m);
    for (const double d : {20e-6, 120e-6}) {
      // Points: in sheared air patches misplace some percent of their own.
      FootprintCase points = setting.with(10000);
      points.patches = false;
      const Outcome flown = footprint(points, launch, d, 0.0, 1);
      const Outcome grid = cloud_footprint(air, launch, {d, 0.0}, 1);
      CAPTURE(fan, d, flown.noise_ratio);
      // Parcels misplace the mean of a Gaussian's size, 0.8 of their noise, of themselves.
      const double stated = cloud_error_fraction(air, {d, 0.0}, head);
      CHECK(misplaced_fraction(grid, flown) < 0.8 * flown.noise_ratio + stated);
      CHECK(stated < 0.3);
    }
  }
}

TEST_CASE("droplet: parcels are chosen wherever the cloud is not surely right", "[droplet][law]") {
  const auto setting = hoop_house(0.45);
  const Point head{3.1, 0.8, 1.35};
  const CloudAir air(setting.with(1), 0.15);
  // Fog forgets a gust only after half its way to the bench.
  CHECK(cloud_error_fraction(air, {20e-6, 0.0}, head) > 0.05);
  CHECK(choose_method(air, {20e-6, 0.0}, head, {}).method == Method::Parcels);
  CHECK(choose_method(air, {20e-6, 0.0}, head, {.error_fraction = 0.5}).method == Method::Cloud);
  // Where gusts are short and slow against the fall the cloud is right; it is taken when it costs
  // less.
  const auto quick = test::plain_setting(test::box_house(4.0, 3.0, 2.4),
                                         {.sigma_m_per_s = 0.2, .timescale_s = 0.2, .cell_m = 0.5},
                                         {{0.0, 0.0, 4.0, 3.0, 0.75}}, 0.3);
  const CloudAir wide(quick.with(1), 0.2);
  CHECK(cloud_error_fraction(wide, {20e-6, 0.0}, {2.0, 1.5, 1.35}) < 0.05);
  const Choice fine = choose_method(wide, {20e-6, 0.0}, {2.0, 1.5, 1.35}, {.noise_ratio = 0.01});
  CHECK(fine.method == Method::Cloud);
  CHECK(fine.cloud_s < fine.parcels_s);
  const CloudAir close(quick.with(1), 0.1);
  const Choice coarse = choose_method(close, {20e-6, 0.0}, {2.0, 1.5, 1.35}, {.noise_ratio = 0.5});
  CHECK(coarse.method == Method::Parcels);
}
