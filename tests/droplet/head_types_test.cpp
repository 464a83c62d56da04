// Every head type of scenarios/heads, and data sheets drawn at random, against the circle that they
// state.
#include <rapidcheck.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <vector>

#include "models/droplet/entrainment.h"
#include "models/droplet/footprint.h"
#include "models/droplet/spectrum.h"
#include "models/units.h"
#include "tests/droplet/fields.h"
#include "tests/droplet/head_files.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::droplet;
using test::abs;
using test::rel;

namespace {

/// Radius about a head spraying on and on in still saturated air over a wide bench that holds 95 %
/// of what lands, through footprint(): the inner and the outer edge of the ring of cells in which
/// it lies.
struct Circle {
  double inner_m = 0.0, outer_m = 0.0, landed = 0.0;
};

Circle footprint_circle(const water::HeadType& head, const Throw& thrown) {
  const double side = std::max(4.0, 3.0 * head.wetted_diameter_m), centre = 0.5 * side;
  const double bench_m = 0.75, cell_m = std::max(0.01, head.wetted_diameter_m / 80.0);
  auto setting =
      test::plain_setting(test::box_house(side, side, bench_m + head.wetted_height_m + 6.0),
                          {.cell_m = side / 10.0}, {{0.0, 0.0, side, side, bench_m}}, cell_m);
  // Drops that hover for minutes in the jet are carried off, as the fit leaves out what lands late.
  setting.field.leak_in_m3_per_s.assign(setting.field.grid.cells(),
                                        -setting.field.grid.cell_volume_m3() / 60.0);
  const Launch launch =
      launch_at(head, head.rated_pressure_Pa, thrown,
                {centre, centre, bench_m + head.wetted_height_m}, reference_air, 900.0);
  const SizeClasses classes = size_classes(32);
  const auto volume = volume_fractions(spectrum_at(head, head.rated_pressure_Pa), classes);
  std::vector<std::pair<double, double>> rings;
  Circle circle;
  for (std::size_t c = 0; c < classes.count(); ++c) {
    if (volume[c] < 1e-3) continue;
    const Outcome o = footprint(setting.with(24), launch, classes.diameter_m[c], 0.0, c);
    for (std::size_t i = 0; i < o.bench.size(); ++i) {
      if (o.bench[i] <= 0.0) continue;
      const auto& cell = setting.benches.cells[i];
      rings.emplace_back(std::hypot(cell.x_m - centre, cell.y_m - centre), volume[c] * o.bench[i]);
      circle.landed += volume[c] * o.bench[i];
    }
  }
  std::sort(rings.begin(), rings.end());
  double held = 0.0;
  for (const auto& [radius, mass] : rings) {
    held += mass;
    circle.outer_m = radius + 0.75 * cell_m;
    circle.inner_m = radius - 0.75 * cell_m;
    if (held >= 0.95 * circle.landed) break;
  }
  return circle;
}

/// How far from the stated circle the nearest of 48 allowed throws comes.
double nearest_off_m(const water::HeadType& head) {
  const double least = head.launch == water::LaunchPattern::Disc ? least_entrainment_fraction : 0.0;
  const double usual = usual_velocity_coefficient(head);
  double nearest_m = 1e30;
  const auto look = [&](double entrainment, double velocity) {
    const double wetted_m = 2.0 * reach_m(head, head.rated_pressure_Pa, {entrainment, velocity});
    nearest_m = std::min(nearest_m, std::abs(wetted_m - head.wetted_diameter_m));
  };
  for (int i = 0; i < 16; ++i) {
    const double share = i / 15.0;
    look(least, lowest_velocity_coefficient + share * (usual - lowest_velocity_coefficient));
    look(least + share * (1.0 - least), usual);
    look(1.0, usual + share * (1.0 - usual));
  }
  return nearest_m;
}

}  // namespace

TEST_CASE(
    "droplet: every head type of the folder wets its stated circle within 5 % and none is thrown "
    "faster than its pressure or drive allows",
    "[droplet][law]") {
  const auto types = test::head_files();
  REQUIRE(types.size() >= 10);
  int circles = 0, floats = 0;
  for (const water::HeadType& head : types) {
    const double p = head.rated_pressure_Pa;
    const Throw thrown = fit_throw(head);
    const double bernoulli = std::sqrt(2.0 * p / water_density_kg_per_m3);
    const double speed = launch_at(head, p, thrown, {}).speed_m_per_s;
    CAPTURE(head.name, thrown.reach_m, thrown.entrainment_fraction, thrown.velocity_coefficient,
            speed, bernoulli);
    if (head.drive == water::Drive::LinePressure) {
      CHECK(head.launch_speed_m_per_s == 0.0);
      CHECK(speed <= bernoulli * (1.0 + 1e-12));
    } else {
      CHECK(speed <= head.launch_speed_m_per_s * (1.0 + 1e-12));
    }
    if (thrown.floats) {
      CHECK(is_fog(head));
      ++floats;
      continue;
    }
    CHECK(thrown.reached);
    CHECK_THAT(2.0 * reach_m(head, p, thrown), rel(head.wetted_diameter_m, 0.05));
    const Circle circle = footprint_circle(head, thrown);
    CAPTURE(circle.inner_m, circle.outer_m, circle.landed);
    // Where a fifth or more hovers in the endless jet, which part of it counts decides the circle.
    if (circle.landed < 0.8) continue;
    ++circles;
    CHECK(2.0 * circle.outer_m > 0.95 * head.wetted_diameter_m);
    CHECK(2.0 * circle.inner_m < 1.05 * head.wetted_diameter_m);
  }
  CHECK(circles >= 4);
  CHECK(floats >= 2);
}

TEST_CASE(
    "droplet: random data sheets within reach are met within 5 % and the rest come back as the "
    "nearest",
    "[droplet][law]") {
  int met = 0, beyond = 0;
  // The seed is fixed, so that a failure can be met again; one fit takes up to half a second.
  setenv("RC_PARAMS", "max_success=30 seed=20261126", 1);
  const bool held = rc::check("throw of a random data sheet", [&] {
    const auto between = [](double low, double high) {
      return low * std::pow(high / low, *rc::gen::inRange(0, 1001) / 1000.0);
    };
    water::HeadType head = test::mist_head();
    head.rated_flow_m3_per_s = between(10.0, 300.0) * 1e-3 / 3600.0;
    head.rated_pressure_Pa = head.spectrum_pressure_Pa = between(1.5e5, 6e5);
    head.dv50_m = between(90e-6, 400e-6);
    head.dv10_m = 0.4707 * head.dv50_m;
    head.dv90_m = 1.6164 * head.dv50_m;
    head.launch = *rc::gen::element(water::LaunchPattern::Disc, water::LaunchPattern::HollowCone,
                                    water::LaunchPattern::FullCone, water::LaunchPattern::Upward);
    head.launch_angle_rad = head.launch == water::LaunchPattern::Disc ? 0.17 : 0.6;
    head.wetted_height_m = between(0.3, 1.5);
    head.wetted_diameter_m = between(0.4, 5.0);
    const Throw thrown = fit_throw(head);
    const double p = head.rated_pressure_Pa;
    const double speed = launch_at(head, p, thrown, {}).speed_m_per_s;
    RC_ASSERT(speed <= std::sqrt(2.0 * p / water_density_kg_per_m3) * (1.0 + 1e-12));
    RC_ASSERT(thrown.entrainment_fraction >= 0.0 && thrown.entrainment_fraction <= 1.0);
    const double wetted = 2.0 * reach_m(head, p, thrown);
    if (thrown.reached) {
      ++met;
      RC_ASSERT(std::abs(wetted / head.wetted_diameter_m - 1.0) < 0.05);
    } else if (!thrown.floats) {
      ++beyond;
      // Nothing allowed throws nearer to the stated circle: neither the bounds nor, where fine
      // drops either fall close by or ride the jet to its end, what lies between them.
      const double off_m = std::abs(wetted - head.wetted_diameter_m);
      RC_ASSERT(off_m < nearest_off_m(head) + 0.02 * head.wetted_diameter_m);
    }
  });
  CHECK(held);
  CHECK(met > 5);
  CHECK(beyond > 5);
}
