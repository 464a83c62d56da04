// A field sprinkler, ten times the drops of mist, against published losses of water before the
// cans.
#include <algorithm>
#include <cmath>
#include <vector>

#include "models/air/psychrometrics.h"
#include "models/droplet/flight.h"
#include "models/droplet/footprint.h"
#include "models/units.h"
#include "tests/droplet/fields.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::droplet;

namespace {

struct Field {
  double wind_m_per_s, deficit_kPa;
  double size_factor = 1.0;  ///< on all drops
};

/// Shares of the water: dried in flight, and come down beyond the plot.
struct Loss {
  double dried = 0.0, drifted = 0.0;
  [[nodiscard]] double all_pct() const { return 100.0 * (dried + drifted); }
};

/// One head at 2 m in the middle of a plot of 18 m by 18 m in open air of 25 degC.
Loss loss_of(const Field& field) {
  constexpr double plot_m = 18.0, side_m = 60.0, centre_m = 25.0;
  const double T = kelvin(25.0), full_Pa = air::saturation_pressure_Pa(T);
  const test::PlainAir wind{.u_m_per_s = field.wind_m_per_s,
                            .sigma_m_per_s = 0.02 + 0.15 * field.wind_m_per_s,
                            .timescale_s = 2.0,
                            .cell_m = 1.5};
  const double low = centre_m - 0.5 * plot_m, high = centre_m + 0.5 * plot_m;
  const auto setting = test::plain_setting(test::box_house(side_m, 2.0 * centre_m, 12.0), wind,
                                           {{low, low, high, high, 0.01}}, 1.0);
  auto a_case = setting.with(200);
  a_case.state = {T, full_Pa - 1e3 * field.deficit_kPa, standard_pressure_Pa};
  const double K = evaporation_constant_m2_per_s(a_case.state);
  Launch launch;
  launch.x_m = launch.y_m = centre_m;
  launch.z_m = 2.0;
  launch.pattern = water::LaunchPattern::Upward;
  launch.angle_rad = radians(65.0);  // 25 degrees above level
  launch.spread_rad = radians(5.0);
  launch.speed_m_per_s = 12.0;  // half of sqrt(2 p / rho): the jet has lost half where it breaks up
  Loss loss;
  // Rosin-Rammler: median 1.75 mm, 5 % of the water below 0.5 mm.
  const double median = 1.75e-3, q = 2.08;
  const auto below = [&](double d) {
    return 1.0 - std::exp(-std::log(2.0) * std::pow(d / median, q));
  };
  double from = 0.0;
  for (const double to :
       {0.2e-3, 0.3e-3, 0.4e-3, 0.5e-3, 0.7e-3, 1e-3, 1.3e-3, 1.6e-3, 2e-3, 6e-3}) {
    const double share = below(to) - from;
    from = below(to);
    // Drops above 2 mm, the footprints' largest, fly as those of 2 mm: 40 % of the water, of which
    // hardly any dries.
    const double d = std::min(2e-3, to * 0.88) * field.size_factor;
    const Outcome o = footprint(a_case, launch, d, K, 5);
    loss.dried += share * o.evaporated_fraction;
    loss.drifted += share * (1.0 - o.evaporated_fraction - o.bench_fraction());
  }
  return loss;
}

double night_pct(double wind) {
  return 3.7 + 1.31 * wind * wind;
}
double day_pct(double wind) {
  return 13.0 + 0.246 * wind * wind;
}

}  // namespace

TEST_CASE(
    "droplet: a sprinkler loses in flight what Zazueta tells of and less than the day line of "
    "Playan 2005",
    "[droplet][published]") {
  // AE048 (Zazueta, abstract read): 1.5 % dried in flight over a day and up to 3 % on a summer
  // afternoon. A loss in flight goes with the deficit, so that 0.5 % cannot hold at 0.5 kPa where 3
  // % is the most at 3 kPa: the lower bound is asked from 1.5 kPa on. The lines of Playan and
  // others hold what dries in the cans and whole grids of heads too, so that flight and drift of
  // one head need not reach the night line: they lie within 5 points of the band up to 1 m/s, and
  // below its upper edge at all winds.
  for (const double wind : {0.0, 1.0, 2.0, 3.0, 4.0}) {
    double before = 0.0;
    for (const double deficit : {0.5, 1.5, 2.0, 3.0}) {
      const Loss loss = loss_of({wind, deficit});
      CAPTURE(wind, deficit, loss.dried, loss.drifted);
      CHECK(100.0 * loss.dried <= 4.0);
      if (deficit >= 1.5) CHECK(100.0 * loss.dried >= 0.5);
      CHECK(loss.all_pct() <= std::max(night_pct(wind), day_pct(wind)) + 5.0);
      if (wind <= 1.0) CHECK(loss.all_pct() >= std::min(night_pct(wind), day_pct(wind)) - 5.0);
      // Drier air takes more.
      CHECK(loss.all_pct() > before);
      before = loss.all_pct();
    }
  }
}

TEST_CASE(
    "droplet: a sprinkler's loss rises with wind ever faster and steeply as its drops get finer",
    "[droplet][law]") {
  std::vector<double> by_wind;
  for (const double wind : {0.0, 2.0, 4.0}) by_wind.push_back(loss_of({wind, 2.0}).all_pct());
  CAPTURE(by_wind[0], by_wind[1], by_wind[2]);
  CHECK(by_wind[1] > by_wind[0]);
  CHECK(by_wind[2] - by_wind[1] > by_wind[1] - by_wind[0]);
  const double whole = loss_of({0.0, 2.0, 1.0}).all_pct();
  const double half = loss_of({0.0, 2.0, 0.5}).all_pct();
  const double quarter = loss_of({0.0, 2.0, 0.25}).all_pct();
  // A nozzle of 2.5 mm against one of 4 mm, drops with the nozzle: Trimmer's lines give 1.7 to 2.7.
  const double small_nozzle = loss_of({0.0, 2.0, 2.5 / 4.0}).all_pct();
  CAPTURE(whole, half, quarter, small_nozzle);
  CHECK(half > 2.0 * whole);
  CHECK(quarter > 2.0 * half);
  CHECK(small_nozzle / whole > 1.5);
  CHECK(small_nozzle / whole < 3.0);
}
