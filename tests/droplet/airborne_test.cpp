#include "models/droplet/airborne.h"

#include <cmath>
#include <numeric>

#include "tests/droplet/fields.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::droplet;
using test::rel;

namespace {

double total(const std::vector<double>& values) {
  return std::accumulate(values.begin(), values.end(), 0.0);
}

/// Drops of 0.15 mm let go 2 m above the floor in still air.
struct Falling {
  test::Setting setting =
      test::plain_setting(test::box_house(4.0, 2.0, 3.0), {.cell_m = 0.25}, {}, 0.5);
  std::vector<Track> flown = tracks(setting.with(5), test::let_go(1.9, 1.0, 2.0), 150e-6, 0.0, 1);
};

}  // namespace

TEST_CASE("droplet: water let fall hangs in the air for its height over its fall speed",
          "[droplet][exact]") {
  const Falling falling;
  Airborne air(falling.setting.field.grid);
  for (const Track& track : falling.flown) air.add(track, 0.2, {.spray_s = 1.0, .window_s = 900.0});
  const double v = terminal_velocity_m_per_s(150e-6, reference_air);
  // To take up the speed costs one relaxation time, 0.07 s; the roof in steps and the touch none.
  CHECK_THAT(total(air.stay_kg_s()), rel(2.0 / v + v / 9.81, 0.01));
  // Evenly over the height below the head, in the one column of cells, none above.
  const auto& stay = air.stay_kg_s();
  const std::size_t nx = falling.setting.field.grid.nx;
  for (std::size_t k = 0; k < 6; ++k) {
    CAPTURE(k);
    CHECK_THAT(stay[k * nx + 7], rel(0.25 / v, 0.02));
  }
  CHECK(stay[9 * nx + 7] == 0.0);
  CHECK(stay[3 * nx + 8] == 0.0);
  // Two metres of air across the house.
  CHECK_THAT(air.concentration_kg_per_m3(60.0)[2 * nx + 7],
             rel(0.25 / v / (60.0 * 0.25 * 0.25 * 2.0), 0.02));
}

TEST_CASE("droplet: a window shorter than the fall holds the water sprayed so far",
          "[droplet][exact]") {
  const Falling falling;
  Airborne air(falling.setting.field.grid);
  // Nothing has landed after 2 s: of water that leaves evenly through 4 s half has left, on the
  // mean a quarter was there.
  for (const Track& track : falling.flown) air.add(track, 0.2, {.spray_s = 4.0, .window_s = 2.0});
  CHECK_THAT(total(air.stay_kg_s()), rel(0.25 * 2.0, 1e-3));
}

TEST_CASE("droplet: drying water leaves the section by the cube of the diameter",
          "[droplet][exact]") {
  // A drop at rest that shrinks evenly from 2 d to d in 3 s: the mean of the cube is 15/32 of the
  // first.
  Falling falling;
  Track track;
  for (int i = 0; i <= 300; ++i)
    track.points.push_back({{1.0, 1.0, 1.0}, 0.01 * i, 200e-6 * (1.0 - i / 600.0)});
  Airborne one(falling.setting.field.grid), other(falling.setting.field.grid);
  one.add(track, 1.0, {.spray_s = 1e-9, .window_s = 900.0});
  CHECK_THAT(total(one.stay_kg_s()), rel(3.0 * 15.0 / 32.0, 1e-4));
  other.add(one);
  other.add(one);
  CHECK_THAT(total(other.stay_kg_s()), rel(6.0 * 15.0 / 32.0, 1e-4));
}
