#include "models/droplet/downdraught.h"

#include <cmath>
#include <numbers>
#include <utility>

#include "models/contracts.h"
#include "models/droplet/induced_air.h"
#include "models/units.h"
#include "tests/droplet/fields.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::droplet;
using test::abs;
using test::rel;

namespace {

constexpr double pressure_Pa = 2.8e5;

Launch sheet_of(double angle_rad) {
  water::HeadType head = test::mist_head();
  head.launch_angle_rad = angle_rad;
  return launch_at(head, pressure_Pa, {0.6, 0.63, 0.0, true}, {});
}

/// Height at which the jet alone is fastest at a distance from the head, by steps of 0.2 mm.
double middle_m(const Launch& launch, double r_m) {
  Launch jet = launch;
  jet.down.column_m_per_s = 0.0;
  double best_m_per_s = 0.0, best_m = 0.0;
  for (double z = -2.0 * r_m; z < r_m; z += 2e-4) {
    const double u = induced_air(jet, {r_m, 0.0, z}).u_m_per_s;
    if (u > best_m_per_s) best_m_per_s = u, best_m = z;
  }
  return best_m;
}

/// By central differences over 10 um each way.
double column_divergence_per_s(const Downdraught& down, double r_m, double depth_m) {
  const double h = 1e-5;
  const auto out = [&](double at_m) {
    return at_m * column_flow(down, at_m, depth_m).outward_m_per_s;
  };
  const double upright = column_flow(down, r_m, depth_m - h).up_m_per_s -
                         column_flow(down, r_m, depth_m + h).up_m_per_s;
  return ((out(r_m + h) - out(r_m - h)) / r_m + upright) / (2.0 * h);
}

/// How long a load takes to a distance, by steps at its mean speed over a Gaussian sheet that has
/// the jet's momentum: M = 2 pi s b s U^2 times the profile's square, b = 0.11.
double ridden_s(const Launch& launch, double to_m) {
  double sum = 0.0, sum2 = 0.0;
  for (double eta = -5.0; eta < 5.0; eta += 1e-3) {
    const double e = std::exp(-std::numbers::ln2 * eta * eta);
    sum += e * 1e-3, sum2 += e * e * 1e-3;
  }
  const double middle_m2_per_s =
      std::sqrt(launch.jet_momentum_m4_per_s2 / (2.0 * pi * 0.11 * sum2));
  const int steps = 10000;
  const double ds = to_m / steps;
  double t = 0.0;
  for (int i = 0; i < steps; ++i) t += ds * (i + 0.5) * ds / (middle_m2_per_s * sum2 / sum);
  return t;
}

}  // namespace

TEST_CASE("droplet: the time down a column is the sum of its steps", "[droplet][exact]") {
  for (const double c : {0.0, 1e-10, 1e-4, 0.3, 5.0, 80.0, 3e4}) {
    CAPTURE(c);
    double sum = 0.0;
    const int steps = 200000;
    for (int i = 0; i < steps; ++i) {
      const double x = (i + 0.5) / steps;
      sum += 1.0 / (1.0 + c * 16.0 * x * x * (1.0 - x) * (1.0 - x)) / steps;
    }
    CHECK_THAT(time_down_ratio(c), rel(sum, 1e-8));
  }
  CHECK_THROWS_AS(time_down_ratio(-1.0), ContractError);
}

TEST_CASE("droplet: a column's momentum flux half-way down is the weight of the water in it",
          "[droplet][law]") {
  const water::HeadType head = test::mist_head();
  const DragAir air = drag_air(reference_air);
  const Launch launch = launch_at(head, head.rated_pressure_Pa, {0.6, 0.63, 0.0, true}, {});
  // Its own rings and its own steps down: the water takes the load's mean speed, which lies as the
  // column's speed does.
  double momentum_m4_per_s2 = 0.0, loaded = 0.0, load = 0.0;
  const double h = launch.down.column_height_m, dr = 1e-3;
  for (double r = 0.5 * dr; r < 5.0 * launch.down.column_radius_m; r += dr) {
    const double w = -column_flow(launch.down, r, 0.5 * h).up_m_per_s;
    momentum_m4_per_s2 += 2.0 * pi * r * dr * w * w;
    loaded += 2.0 * pi * r * dr * w * w;
    load += 2.0 * pi * r * dr * w;
  }
  const double mean_m_per_s = loaded / load;
  double seconds = 0.0;
  for (const auto& [diameter_m, share] :
       {std::pair{head.dv10_m, 0.3}, {head.dv50_m, 0.4}, {head.dv90_m, 0.3}}) {
    const double fall = terminal_velocity_m_per_s(diameter_m, reference_air);
    for (int i = 0; i < 5000; ++i) {
      const double x = (i + 0.5) / 5000.0;
      const double speed = fall + mean_m_per_s * 16.0 * x * x * (1.0 - x) * (1.0 - x);
      seconds += share * h / 5000.0 / speed;
    }
  }
  const double weight_m4_per_s2 = gravity_m_per_s2 * water_density_kg_per_m3 /
                                  air.density_kg_per_m3 * head.rated_flow_m3_per_s * seconds;
  CHECK_THAT(momentum_m4_per_s2, rel(weight_m4_per_s2, 1e-3));
}

TEST_CASE("droplet: a column neither makes nor loses air", "[droplet][law]") {
  const Downdraught down = sheet_of(0.0).down;
  for (const double r : {0.05, 0.3, 0.7})
    for (const double share : {0.1, 0.5, 0.9}) {
      CAPTURE(r, share);
      CHECK_THAT(column_divergence_per_s(down, r, share * down.column_height_m), abs(0.0, 1e-6));
    }
}

TEST_CASE("droplet: a column stands between the head and its foot", "[droplet][law]") {
  const Downdraught down = sheet_of(0.0).down;
  for (const double depth : {-0.3, 0.0, down.column_height_m, 2.0}) {
    CHECK_THAT(column_flow(down, 0.2, depth).up_m_per_s, abs(0.0, 1e-12));
    CHECK_THAT(column_flow(down, 0.2, depth).outward_m_per_s, abs(0.0, 1e-12));
  }
  // Air comes in above and goes out below.
  CHECK(column_flow(down, 0.3, 0.2 * down.column_height_m).outward_m_per_s < 0.0);
  CHECK(column_flow(down, 0.3, 0.8 * down.column_height_m).outward_m_per_s > 0.0);
}

TEST_CASE("droplet: drops bend a level sheet's jet by their weight for as long as they ride in it",
          "[droplet][exact]") {
  const Launch launch = sheet_of(0.0);
  const Downdraught& down = launch.down;
  const DragAir air = drag_air(reference_air);
  const double weight_m4_per_s3 = gravity_m_per_s2 * water_density_kg_per_m3 /
                                  air.density_kg_per_m3 *
                                  water::head_flow_m3_per_s(test::mist_head(), pressure_Pa);
  const double at = down.sag_ends_m;
  CHECK_THAT(down.sag_per_m2 * at * at,
             rel(weight_m4_per_s3 * ridden_s(launch, at) / launch.jet_momentum_m4_per_s2, 1e-3));
  for (const double r : {0.5 * down.sag_ends_m, down.sag_ends_m, 2.0 * down.sag_ends_m}) {
    CAPTURE(r);
    double z = 0.0;
    for (double s = 0.0; s < r; s += 1e-5) {
      const double ridden = std::min(s, down.sag_ends_m);
      z -= down.sag_per_m2 * ridden * ridden * 1e-5;
    }
    CHECK_THAT(middle_m(launch, r), abs(z, 2e-3));
  }
  CHECK(down.sag_per_m2 * down.sag_ends_m * down.sag_ends_m <= steepest_ratio * (1.0 + 1e-12));
}

TEST_CASE("droplet: fog and cones hang no weight on their air", "[droplet][law]") {
  water::HeadType head = test::mist_head();
  head.launch = water::LaunchPattern::FullCone;
  head.launch_angle_rad = 0.4;
  CHECK(launch_at(head, pressure_Pa, {0.6, 0.9, 0.0, true}, {}).down.column_m_per_s == 0.0);
  water::HeadType fog = test::mist_head();
  fog.dv10_m = 9.4e-6, fog.dv50_m = 20e-6, fog.dv90_m = 32e-6;
  REQUIRE(is_fog(fog));
  CHECK(launch_at(fog, pressure_Pa, {1.0, 0.63, 0.0, true}, {}).down.column_m_per_s == 0.0);
  CHECK(launch_at(fog, pressure_Pa, {1.0, 0.63, 0.0, true}, {}).down.sag_per_m2 == 0.0);
  const Launch mist = sheet_of(0.2);
  CHECK(mist.down.column_m_per_s > 0.0);
  CHECK_FALSE(InducedAir(without_induced_air(mist)).any());
}
