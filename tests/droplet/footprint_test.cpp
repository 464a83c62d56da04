#include "models/droplet/footprint.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include "models/droplet/flight.h"
#include "models/droplet/launch_directions.h"
#include "models/droplet/spectrum.h"
#include "models/units.h"
#include "tests/droplet/fields.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::droplet;
using test::abs;
using test::hoop_house;
using test::rel;

namespace {

Launch head_over_bench() {
  return launch_at(test::mist_head(), 2.8e5, {0.2, 0.63, 0.0, true}, {3.1, 0.8, 1.35});
}

struct Centre {
  double x_m = 0.0, y_m = 0.0, share = 0.0;
};

Centre centre_of(const BenchGrid& benches, const Outcome& outcome) {
  Centre c;
  for (std::size_t i = 0; i < benches.cells.size(); ++i) {
    c.x_m += outcome.bench[i] * benches.cells[i].x_m;
    c.y_m += outcome.bench[i] * benches.cells[i].y_m;
    c.share += outcome.bench[i];
  }
  c.x_m /= c.share;
  c.y_m /= c.share;
  return c;
}

}  // namespace

TEST_CASE(
    "droplet: the shares of every footprint sum to one and evaporation by air cell to its whole",
    "[droplet][law]") {
  for (const double fan : {0.0, 0.45}) {
    const auto setting = hoop_house(fan);
    for (const double d : {6e-6, 20e-6, 60e-6, 150e-6, 500e-6, 900e-6})
      for (const double K : {0.0, 100e-12, 1600e-12}) {
        const Outcome o = footprint(setting.with(60), head_over_bench(), d, K, 3);
        CAPTURE(fan, d, K);
        CHECK_THAT(o.total_fraction(), abs(1.0, 1e-12));
        const double by_cell =
            std::accumulate(o.evaporated_by_air_cell.begin(), o.evaporated_by_air_cell.end(), 0.0);
        CHECK_THAT(by_cell, abs(o.evaporated_fraction, 1e-12));
        CHECK(*std::min_element(o.bench.begin(), o.bench.end()) >= 0.0);
        CHECK(std::min({o.floor_fraction, o.wall_fraction, o.cover_fraction, o.out_fraction,
                        o.evaporated_fraction}) >= 0.0);
        if (K == 0.0) CHECK(o.evaporated_fraction == 0.0);
      }
  }
}

TEST_CASE("droplet: the same seed and stream give the same bits and another stream does not",
          "[droplet][same]") {
  const auto setting = hoop_house(0.45);
  const auto run = [&](std::uint64_t seed, std::uint64_t stream) {
    return footprint(setting.with(200, seed), head_over_bench(), 80e-6, 100e-12, stream);
  };
  const Outcome a = run(5, 9), b = run(5, 9), other = run(5, 10), reseeded = run(6, 9);
  CHECK(a.bench == b.bench);
  CHECK(a.evaporated_by_air_cell == b.evaporated_by_air_cell);
  CHECK(a.steps == b.steps);
  CHECK(a.bench != other.bench);
  CHECK(a.bench != reseeded.bench);
}

TEST_CASE("droplet: a crosswind shifts drops of 150 um by wind times height over fall speed",
          "[droplet][exact]") {
  const auto setting = test::plain_setting(test::box_house(6.0, 2.0, 3.0), {.u_m_per_s = 0.3},
                                           {{0.0, 0.0, 6.0, 2.0, 0.75}}, 0.02);
  const Outcome o = footprint(setting.with(50), test::let_go(1.0, 1.0, 1.35), 150e-6, 0.0, 1);
  const double v = terminal_velocity_m_per_s(150e-6, reference_air);
  const Centre c = centre_of(setting.benches, o);
  CHECK_THAT(c.share, abs(1.0, 1e-12));
  // What it lags while it takes up the wind's speed, it makes up while it takes up its fall speed;
  // cells of 2 cm.
  CHECK_THAT(c.x_m - 1.0, abs(0.3 * 0.6 / v, 0.015));
  CHECK_THAT(c.y_m, abs(1.0, 0.011));
  // Fog shows slip: 0.8 % of the fall speed at 20 um, 2 cm of this drift.
  const auto slow = test::plain_setting(test::box_house(6.0, 2.0, 3.0), {.u_m_per_s = 0.1},
                                        {{0.0, 0.0, 6.0, 2.0, 0.75}}, 0.01);
  const Outcome fog = footprint(slow.with(20), test::let_go(1.0, 1.0, 1.05), 20e-6, 0.0, 1);
  const double fall = terminal_velocity_m_per_s(20e-6, reference_air);
  CHECK_THAT(centre_of(slow.benches, fog).x_m - 1.0, abs(0.1 * 0.3 / fall, 0.012));
}

TEST_CASE("droplet: each pattern launches at its speed and angle all round", "[droplet][exact]") {
  Launch launch;
  launch.speed_m_per_s = 10.0;
  launch.angle_rad = 0.4;
  const double up[] = {std::sin(0.4), -std::cos(0.4), std::cos(0.4)};
  const water::LaunchPattern patterns[] = {
      water::LaunchPattern::Disc, water::LaunchPattern::HollowCone, water::LaunchPattern::Upward};
  for (std::size_t i = 0; i < 3; ++i) {
    launch.pattern = patterns[i];
    for (const double turn : {0.0, 0.2, 0.55, 0.9}) {
      const Velocity v = launch_velocity(launch, {turn, 0.5});
      const double level = 10.0 * std::sqrt(1.0 - up[i] * up[i]);
      CAPTURE(i, turn);
      CHECK_THAT(v.u_m_per_s, abs(level * std::cos(2.0 * pi * turn), 1e-9));
      CHECK_THAT(v.v_m_per_s, abs(level * std::sin(2.0 * pi * turn), 1e-9));
      CHECK_THAT(v.w_m_per_s, abs(10.0 * up[i], 1e-9));
    }
  }
  // A full cone spreads evenly over solid angle: half its water lies within cos = (1 +
  // cos(edge))/2.
  launch.pattern = water::LaunchPattern::FullCone;
  CHECK_THAT(launch_velocity(launch, {0.0, 0.5}).w_m_per_s,
             rel(-5.0 * (1.0 + std::cos(0.4)), 1e-9));
  CHECK_THAT(launch_velocity(launch, {0.0, 1.0}).w_m_per_s, rel(-10.0 * std::cos(0.4), 1e-9));
}

TEST_CASE("droplet: a disc head in still air wets every eighth of its circle alike",
          "[droplet][law]") {
  const auto setting = test::plain_setting(test::box_house(6.0, 6.0, 3.0), {.cell_m = 0.5},
                                           {{0.0, 0.0, 6.0, 6.0, 0.75}}, 0.02);
  Launch launch = launch_at(test::mist_head(), 2.8e5, {0.2, 0.63, 0.0, true}, {3.0, 3.0, 1.35});
  const Outcome o = footprint(setting.with(800), launch, 180e-6, 0.0, 1);
  std::vector<double> eighth(8, 0.0);
  for (std::size_t i = 0; i < o.bench.size(); ++i) {
    const auto& cell = setting.benches.cells[i];
    const double turn = std::atan2(cell.y_m - 3.0, cell.x_m - 3.0) / (2.0 * pi) + 1.0 + 1.0 / 16.0;
    eighth[static_cast<std::size_t>(8.0 * turn) % 8] += o.bench[i];
  }
  // Cells of 2 cm on a ring of 0.5 m put up to a twentieth of an eighth on the wrong side of its
  // edges.
  for (const double share : eighth) CHECK_THAT(share, abs(0.125, 0.01));
}

TEST_CASE("droplet: in a through-flow most drops of 10 and 20 um leave and drops of 150 um land",
          "[droplet][law]") {
  flow::Enclosure house = test::box_house(6.0, 3.0, 2.2);
  house.ports.push_back({"front", flow::Side::Front, 1.5, 1.1, 3.0, 2.2});
  house.ports.push_back({"back", flow::Side::Back, 1.5, 1.1, 3.0, 2.2});
  const auto setting = test::plain_setting(house, {.u_m_per_s = 0.3, .sigma_m_per_s = 0.08},
                                           {{2.0, 0.5, 5.0, 2.5, 0.75}}, 0.25);
  const auto out = [&](double d) {
    return footprint(setting.with(400), test::let_go(2.5, 1.5, 1.35), d, 0.0, 2);
  };
  CHECK(out(10e-6).out_fraction > 0.85);
  CHECK(out(20e-6).out_fraction > 0.6);
  CHECK(out(150e-6).out_fraction < 0.01);
  CHECK(out(150e-6).bench_fraction() > 0.95);
}

TEST_CASE("droplet: in still dry air a parcel loses what a single falling drop loses",
          "[droplet][exact]") {
  // Two integrators that share the laws and nothing else; the parcel starts from rest, which costs
  // it its relaxation time, below 0.1 s.
  const AirState air{298.15, 1584.0, 101325.0};
  const double K = evaporation_constant_m2_per_s(air);
  const auto setting =
      test::plain_setting(test::box_house(2.0, 2.0, 3.0), {}, {{0.0, 0.0, 2.0, 2.0, 0.5}}, 0.5);
  for (const double d : {80e-6, 120e-6, 200e-6}) {
    auto a_case = setting.with(20);
    a_case.state = air;
    const Outcome o = footprint(a_case, test::let_go(1.0, 1.0, 1.5), d, K, 1);
    const Fall one = fall(d, 1.0, 0.0, air);
    CAPTURE(d, one.evaporated_fraction);
    CHECK_THAT(o.evaporated_fraction, rel(one.evaporated_fraction, 0.03));
    CHECK_THAT(o.bench_fraction(), abs(1.0 - one.evaporated_fraction, 0.02));
  }
}

TEST_CASE("droplet: fog in dry air is vapour in the air cell over its head", "[droplet][law]") {
  const auto setting = hoop_house(0.0);
  const Outcome o = footprint(setting.with(100), head_over_bench(), 10e-6, 1200e-12, 1);
  CHECK_THAT(o.evaporated_fraction, abs(1.0, 1e-9));
  const std::size_t here = setting.air.cell_at(3.1, 0.8);
  CHECK(*std::max_element(o.evaporated_by_air_cell.begin(), o.evaporated_by_air_cell.end()) ==
        o.evaporated_by_air_cell[here]);
}

TEST_CASE("droplet: leaking cells take floating drops at their rate of air change",
          "[droplet][exact]") {
  auto setting = test::plain_setting(test::box_house(2.0, 2.0, 3.0), {}, {}, 0.5);
  const double volume = setting.field.grid.cell_volume_m3();
  for (double& leak : setting.field.leak_in_m3_per_s) leak = -2e-3 * volume;
  const Outcome o = footprint(setting.with(3), test::let_go(1.0, 1.0, 2.5), 5e-6, 0.0, 1);
  CHECK_THAT(o.out_fraction, rel(1.0 - std::exp(-2e-3 * longest_flight_s), 1e-6));
  CHECK_THAT(o.floor_fraction, rel(std::exp(-2e-3 * longest_flight_s), 1e-6));
}

TEST_CASE(
    "droplet: over a wide bench in still air 95 % of a fitted head's water lies in the stated "
    "circle",
    "[droplet][law]") {
  const water::HeadType head = test::mist_head();
  const Throw thrown = fit_throw(head);
  const auto setting = test::plain_setting(test::box_house(8.0, 8.0, 3.0), {.cell_m = 0.5},
                                           {{0.0, 0.0, 8.0, 8.0, 0.75}}, 0.05);
  const Launch launch =
      launch_at(head, head.rated_pressure_Pa, thrown, {4.0, 4.0, 1.35}, reference_air, 60.0);
  const SizeClasses classes = size_classes(24);
  const auto volume = volume_fractions(spectrum_at(head, head.rated_pressure_Pa), classes);
  std::vector<double> bench(setting.benches.cells.size(), 0.0);
  for (std::size_t c = 0; c < classes.count(); ++c) {
    if (volume[c] < 1e-3) continue;
    const Outcome o = footprint(setting.with(100), launch, classes.diameter_m[c], 0.0, c);
    for (std::size_t i = 0; i < bench.size(); ++i) bench[i] += volume[c] * o.bench[i];
  }
  double inside = 0.0, all = 0.0;
  const auto within = [&](double radius_m) {
    inside = all = 0.0;
    for (std::size_t i = 0; i < bench.size(); ++i) {
      const auto& cell = setting.benches.cells[i];
      all += bench[i];
      if (std::hypot(cell.x_m - 4.0, cell.y_m - 4.0) <= radius_m) inside += bench[i];
    }
    return inside / all;
  };
  // Half a class of diameter moves a ring of landing by 5 %; cells are 5 cm.
  CHECK(within(0.9 * 1.06) > 0.95);
  CHECK(within(0.9 * 0.94) < 0.95);
}

TEST_CASE("droplet: the stated noise is that of repeated footprints or a little more",
          "[droplet][law]") {
  const auto setting = hoop_house(0.45);
  const int repeats = 12;
  std::vector<double> sum(setting.benches.cells.size(), 0.0), squares(sum.size(), 0.0);
  double stated = 0.0;
  for (int r = 0; r < repeats; ++r) {
    const Outcome o = footprint(setting.with(600, 100 + static_cast<std::uint64_t>(r)),
                                head_over_bench(), 120e-6, 0.0, 4);
    stated += o.noise_ratio / repeats;
    for (std::size_t i = 0; i < sum.size(); ++i) {
      sum[i] += o.bench[i];
      squares[i] += o.bench[i] * o.bench[i];
    }
  }
  std::vector<std::size_t> order(sum.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(),
            [&](std::size_t a, std::size_t b) { return sum[a] > sum[b]; });
  const double total = std::accumulate(sum.begin(), sum.end(), 0.0);
  double held = 0.0, relative = 0.0, cells = 0.0;
  for (const std::size_t i : order) {
    if (held >= 0.95 * total) break;
    held += sum[i];
    const double mean = sum[i] / repeats;
    relative += (squares[i] - repeats * mean * mean) / (repeats - 1) / (mean * mean);
    cells += 1.0;
  }
  const double measured = std::sqrt(relative / cells);
  CAPTURE(measured, stated);
  CHECK(stated > 0.8 * measured);
  CHECK(stated < 2.0 * measured);
}

TEST_CASE("droplet: water is counted on the bench cell over which it falls", "[droplet][exact]") {
  const BenchGrid grid =
      make_bench_grid({{1.0, 1.0, 2.2, 1.6, 0.7}, {3.0, 1.0, 3.5, 2.0, 0.8}}, 0.3);
  CHECK(grid.cells.size() == 4 * 2 + 2 * 3);
  double area = 0.0;
  for (const auto& cell : grid.cells) area += cell.area_m2;
  CHECK_THAT(area, rel(1.2 * 0.6 + 0.5 * 1.0, 1e-12));
  for (std::size_t i = 0; i < grid.cells.size(); ++i) {
    const auto found = grid.cell_at(grid.cells[i].x_m, grid.cells[i].y_m);
    REQUIRE(found);
    CHECK(*found == i);
  }
  CHECK_FALSE(grid.cell_at(2.5, 1.3));
  CHECK(grid.cell_on(0, 99.0, 99.0) == 7);
}

TEST_CASE("droplet: patches leave the map of even turbulence as it is and make it far quieter",
          "[droplet][law]") {
  // Memory far shorter and longer than a step, drops that follow eddies and drops that do not.
  const auto house = test::box_house(8.0, 8.0, 3.0);
  for (const double T : {0.5, 6.0})
    for (const double d : {90e-6, 120e-6, 250e-6}) {
      const auto setting =
          test::plain_setting(house, {.u_m_per_s = 0.1, .sigma_m_per_s = 0.15, .timescale_s = T},
                              {{1.0, 1.0, 7.0, 7.0, 0.75}}, 0.15);
      const Launch launch = test::let_go(3.0, 4.0, 1.5);
      FootprintCase points = setting.with(60000);
      points.patches = false;
      const Outcome plain = footprint(points, launch, d, 0.0, 1);
      const Outcome patched = footprint(setting.with(20000), launch, d, 0.0, 2);
      double apart = 0.0;
      for (std::size_t i = 0; i < plain.bench.size(); ++i)
        apart += std::abs(plain.bench[i] - patched.bench[i]) / 2.0;
      const Centre a = centre_of(setting.benches, plain), b = centre_of(setting.benches, patched);
      CAPTURE(T, d, apart, plain.noise_ratio, patched.noise_ratio);
      CHECK_THAT(b.share, abs(a.share, 0.003));
      CHECK_THAT(b.x_m, abs(a.x_m, 0.01));
      // Halves of the mean of a Gaussian's size, of both maps' noise; and 1 % of the water.
      CHECK(apart < 0.4 * (plain.noise_ratio + patched.noise_ratio) + 0.01);
      // A third of the parcels.
      CHECK(patched.noise_ratio < plain.noise_ratio);
    }
}

TEST_CASE("droplet: parcels are followed until the map is as quiet as asked and no longer",
          "[droplet][law]") {
  const auto setting = hoop_house(0.45);
  std::uint64_t fewer = 0;
  for (const double enough : {0.1, 0.05, 0.02}) {
    FootprintCase wished = setting.with(1000000);
    wished.enough_noise_ratio = enough;
    const Outcome o = footprint(wished, head_over_bench(), 120e-6, 100e-12, 5);
    CAPTURE(enough, o.parcels, o.noise_ratio);
    CHECK(o.noise_ratio * std::sqrt(o.bench_fraction()) <= enough);
    CHECK(o.noise_ratio * std::sqrt(o.bench_fraction()) > 0.5 * enough);
    CHECK(o.parcels > fewer);
    fewer = o.parcels;
  }
  FootprintCase capped = setting.with(500);
  capped.enough_noise_ratio = 0.001;
  CHECK(footprint(capped, head_over_bench(), 120e-6, 100e-12, 5).parcels == 500);
}
