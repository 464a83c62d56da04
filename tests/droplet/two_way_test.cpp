// The one-way correlation of induced air against runs in which a spray and its air drive each
// other.
#include "tests/droplet/two_way.h"

#include <cstdio>
#include <cstdlib>
#include <string>

#include "models/droplet/footprint.h"
#include "tests/droplet/fields.h"
#include "tests/droplet/head_files.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::droplet;

namespace {

constexpr double half_m = 1.6, height_m = 2.0, bench_m = 0.8, bench_half_length_m = 1.2,
                 bench_half_width_m = 0.6, head_m = 1.4;

/// A box of a house with a bench in its middle and a large opening in either end, or the part of it
/// beside planes of symmetry.
flow::Enclosure bench_house(std::array<bool, 2> mirrored) {
  const double x = mirrored[0] ? 0.0 : half_m, y = mirrored[1] ? 0.0 : half_m;
  flow::Enclosure house;
  house.length_m = x + half_m;
  house.width_m = y + half_m;
  house.eave_height_m = house.ridge_height_m = height_m;
  house.boxes = {{x - bench_half_length_m, x + bench_half_length_m, y - bench_half_width_m,
                  y + bench_half_width_m, 0.0, bench_m}};
  const double wide_m = mirrored[1] ? 1.2 : 2.4;
  const double middle_m = mirrored[1] ? 0.6 : half_m;
  if (!mirrored[0])
    house.ports = {{"front", flow::Side::Front, middle_m, 1.4, wide_m, 1.2},
                   {"back", flow::Side::Back, middle_m, 1.4, wide_m, 1.2}};
  return house;
}

/// Cells wider than they are high, as sheets of spray are.
flow::Grid flat_grid(const flow::Enclosure& house, double cell_m, double layer_m) {
  flow::Grid grid;
  grid.nx = flow::even_divisions(house.length_m, cell_m);
  grid.ny = flow::even_divisions(house.width_m, cell_m);
  grid.nz = flow::divisions(house.eave_height_m, layer_m);
  grid.dx_m = house.length_m / static_cast<double>(grid.nx);
  grid.dy_m = house.width_m / static_cast<double>(grid.ny);
  grid.dz_m = house.eave_height_m / static_cast<double>(grid.nz);
  const flow::Box& b = house.boxes[0];
  for (std::size_t cell = 0; cell < grid.cells(); ++cell) {
    const auto [i, j, k] = grid.place(cell);
    const double x = grid.x_centre_m(i), y = grid.y_centre_m(j), z = grid.z_centre_m(k);
    const bool solid =
        x > b.x0_m && x < b.x1_m && y > b.y0_m && y < b.y1_m && z > b.z0_m && z < b.z1_m;
    grid.fluid.push_back(solid ? 0 : 1);
  }
  return grid;
}

test::Part part_of(double cell_m, double layer_m, double wind_m_per_s) {
  const std::array<bool, 2> mirrored = {wind_m_per_s == 0.0, true};
  test::Part part{bench_house(mirrored), {}, {}, mirrored};
  part.grid = flat_grid(part.house, cell_m, layer_m);
  if (wind_m_per_s > 0.0) {
    const double flow = wind_m_per_s * part.house.ports[0].free_m2();
    part.ports = {{0, flow}, {1, -flow}};
  }
  return part;
}

flow::RegimeField whole_field(const test::Part& part, const flow::RegimeField& field) {
  const flow::RegimeField wide = test::unfolded(field, 1);
  return part.mirrored[0] ? test::unfolded(wide, 0) : wide;
}

/// Share of a head's water on the bench.
double landed(const flow::RegimeField& field, const test::Spray& spray, const Launch& launch) {
  constexpr int parcels = 100;
  const flow::Enclosure house = bench_house({false, false});
  const flow::Box& b = house.boxes[0];
  const BenchGrid benches = make_bench_grid({{b.x0_m, b.y0_m, b.x1_m, b.y1_m, b.z1_m}}, 0.1);
  const flow::AirCells air = flow::make_air_cells(house, field.grid, 2, 1);
  const FootprintCase a_case{field, house, benches, air, parcels, 1};
  double sum = 0.0;
  for (std::size_t k = 0; k < spray.classes.count(); ++k)
    if (spray.volume[k] >= 1e-3)
      sum += spray.volume[k] *
             footprint(a_case, launch, spray.classes.diameter_m[k], 0.0, k).bench_fraction();
  return sum;
}

/// One head one way and both ways.
struct Compared {
  double one_way = 0.0, both_ways = 0.0, last_change_ratio = 0.0, reach_m = 0.0;
};

Compared compared(const std::string& name, const test::Part& part) {
  const water::HeadType head = test::read_heads({name})[0];
  const Launch one_way = launch_at(head, head.rated_pressure_Pa, fit_throw(head),
                                   {half_m, half_m, head_m}, reference_air, 900.0);
  test::Spray spray{head, without_induced_air(one_way)};
  spray.volume = volume_fractions(spectrum_at(head, head.rated_pressure_Pa), spray.classes);
  const Launch bare = spray.launch;
  const auto calm = whole_field(part, test::undisturbed_field(part));
  Compared result;
  result.one_way = landed(calm, spray, one_way);
  spray.launch.x_m = part.mirrored[0] ? 0.0 : half_m;
  spray.launch.y_m = 0.0;
  const test::TwoWayAir air = test::two_way_air(part, spray, {.rounds = 10, .iterations = 25});
  result.both_ways = landed(whole_field(part, air.field), spray, bare);
  result.last_change_ratio = air.last_change_ratio;
  result.reach_m = air.reach_m;
  return result;
}

bool full() {
  const char* set = std::getenv("MISTWRIGHT_FULL");
  return set != nullptr && std::string(set) == "1";
}

}  // namespace

TEST_CASE(
    "droplet: sheets of three drop sizes land within ten points of runs in which spray and air "
    "drive each other",
    "[droplet][law]") {
  for (const double wind_m_per_s : {0.0, 0.3}) {
    const bool calm = wind_m_per_s == 0.0;
    const test::Part part = full() && calm ? part_of(0.025, 0.0125, 0.0)
                                           : part_of(calm ? 0.05 : 0.067, 0.025, wind_m_per_s);
    for (const std::string name : {"fine_mist", "medium_mist", "coarse"}) {
      const Compared c = compared(name, part);
      CAPTURE(name, wind_m_per_s, c.one_way, c.both_ways, c.last_change_ratio, c.reach_m);
      CHECK(c.last_change_ratio < 0.6);
      CHECK_THAT(c.one_way, test::abs(c.both_ways, 0.1));
      // The bench does not simply hold all that falls near it.
      CHECK(c.both_ways < 0.95);
    }
  }
}

TEST_CASE(
    "droplet: what a head gives to the air is the momentum that its drops lose and their "
    "weight",
    "[droplet][law]") {
  // One drop in still air from its terminal speed: the air carries its weight for as long as it
  // falls, so force times time is weight times time.
  test::Part part = part_of(0.1, 0.05, 0.0);
  flow::HouseFlow still = flow::house_flow(part.house, part.grid, {}, {});
  const flow::RegimeField air = test::field_of(part.house, part.grid, still);
  const test::Flight flight{part, air, Motion(reference_air), 1.0};
  const double d = 150e-6, fall = terminal_velocity_m_per_s(d, reference_air);
  Launch launch = test::let_go(1.4, 1.0, 1.8);
  test::Given given{still.problem.lattice};
  const test::FlyingDrop drop{{1.4, 1.0, 1.8}, {0.0, 0.0, -fall}, d};
  test::fly(flight, drop, launch, 1.0, given);
  std::array<double, 3> sum{};
  for (std::size_t axis = 0; axis < 3; ++axis)
    for (const double force : given.force_m4_per_s2[axis]) sum[axis] += force;
  CHECK_THAT(sum[0], test::abs(0.0, 1e-9));
  // To the floor, 1.8 m down, ending within a step of it; its own drag law's speed.
  CHECK_THAT(sum[2], test::rel(-flight.motion.weight_m_per_s2 * 1.8 / fall, 0.05));
}

/// Every head in both houses: droplet_test "droplet: print the two-way runs".
TEST_CASE("droplet: print the two-way runs", "[.][droplet][law]") {
  for (const double wind_m_per_s : {0.0, 0.3}) {
    const test::Part part = part_of(0.05, 0.025, wind_m_per_s);
    for (const std::string name : {"fine_mist", "medium_mist", "coarse"}) {
      const Compared c = compared(name, part);
      std::printf("| %s | %.1f m/s | %.0f | %.0f | %.2f | %.2f |\n", name.c_str(), wind_m_per_s,
                  100.0 * c.one_way, 100.0 * c.both_ways, c.reach_m, c.last_change_ratio);
    }
  }
}
