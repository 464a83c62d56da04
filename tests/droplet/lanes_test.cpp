// Parcels flown side by side as footprint() flies them, against what well-mixed air must stay and
// against themselves one by one.
#include "models/droplet/lanes.h"

#include <array>
#include <cmath>
#include <cstdlib>
#include <memory>
#include <string_view>
#include <vector>

#include "tests/droplet/fields.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using namespace mistwright::droplet;
using test::rel;

namespace {

/// How turbulence changes with height in a room of the tests.
enum class Profile { Slope, Arch };

/// A shut room 3 m high, turbulence at its strongest five times that at its weakest; its time scale
/// is von Karman's mixing length between two walls over the turbulence (from memory), or the same
/// everywhere.
test::Setting room(Profile profile, bool same_time) {
  test::Setting setting =
      test::plain_setting(test::box_house(6.0, 3.0, 3.0), {}, {{2.0, 1.0, 4.0, 2.0, 0.0}}, 0.5);
  flow::RegimeField& field = setting.field;
  const flow::Grid& grid = field.grid;
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    const double up = (grid.z_centre_m(grid.place(c)[2])) / 3.0;
    const double strength = profile == Profile::Slope ? up : std::sin(pi * up);
    field.sigma_m_per_s[c] = 0.05 + 0.2 * strength;
    field.timescale_s[c] = same_time ? 1.5 : 0.4 * 3.0 * up * (1.0 - up) / field.sigma_m_per_s[c];
  }
  return setting;
}

struct Mixing {
  double chi_squared = 0.0;
  double drift_ratio = 0.0;  ///< mean height less a half, over a half
};

/// Turns a parcel back into the room.
void turn_back(Lanes<16>& lanes, std::size_t l, const flow::Enclosure& house) {
  const auto outside = [](double at, double wall) { return at < 0.0 || at > wall; };
  const Point to = lanes.to(l);
  if (!outside(to.x_m, house.length_m) && !outside(to.y_m, house.width_m) &&
      !outside(to.z_m, house.eave_height_m))
    return lanes.reach(l);
  Parcel p = lanes.get(l);
  p.at = lanes.to(l);
  const auto fold = [](double& at, double wall, double& speed, double& omega) {
    if (at >= 0.0 && at <= wall) return;
    at = at < 0.0 ? -at : 2.0 * wall - at;
    speed = -speed;
    omega = -omega;
  };
  fold(p.at.x_m, house.length_m, p.v.u_m_per_s, p.omega[0]);
  fold(p.at.y_m, house.width_m, p.v.v_m_per_s, p.omega[1]);
  fold(p.at.z_m, house.eave_height_m, p.v.w_m_per_s, p.omega[2]);
  lanes.put(l, p);
}

bool in_full() {
  const char* full = std::getenv("MISTWRIGHT_FULL");
  return full && std::string_view(full) == "1";
}

/// So many tracers of 1 um that started evenly, after half a minute of the engine's own steps.
Mixing mixed(const test::Setting& setting, int tracers) {
  const FootprintCase a_case = setting.with(1);
  const Launch launch = test::let_go(3.0, 1.5, 1.5);
  const Flying flying(a_case, launch, 0.0);
  const auto lanes = std::make_unique<Lanes<16>>(flying, 91);
  const int bins = 20;
  const double high_m = a_case.house.eave_height_m;
  std::vector<int> count(bins, 0);
  double sum = 0.0;
  for (int n = 0; n < tracers; n += 16) {
    for (std::size_t l = 0; l < 16; ++l) {
      const auto own = static_cast<std::uint64_t>(n) + l;
      Random random(92, own);
      Parcel p;
      p.at = {6.0 * random.uniform(), 3.0 * random.uniform(),
              high_m * (static_cast<double>(own) + 0.5) / tracers};
      for (double& omega : p.omega) omega = random.normal();
      p.diameter_m = 1e-6;
      p.mass_fraction = p.first_mass_fraction = 1.0;
      p.patch = Patch::none();
      lanes->start(l, p, own);
    }
    // Steps differ from parcel to parcel: whoever has had its time waits for the others.
    constexpr double long_s = 30.0;
    std::array<Point, 16> ended;
    std::array<bool, 16> done{};
    for (std::size_t left = 16; left > 0;) {
      look(*lanes);
      go(*lanes);
      arrive(*lanes);
      for (std::size_t l = 0; l < 16; ++l) {
        turn_back(*lanes, l, a_case.house);
        if (done[l] || lanes->age_s[l] < long_s) continue;
        ended[l] = lanes->at(l);
        done[l] = true;
        --left;
      }
    }
    for (const Point& at : ended) {
      sum += at.z_m / high_m;
      ++count[static_cast<std::size_t>(std::min(at.z_m / high_m, 1.0 - 1e-12) * bins)];
    }
  }
  Mixing out;
  const double expected = static_cast<double>(tracers) / bins;
  for (const int c : count) out.chi_squared += (c - expected) * (c - expected) / expected;
  out.drift_ratio = 2.0 * sum / tracers - 1.0;
  return out;
}

}  // namespace

TEST_CASE("droplet: a million parcels stay well mixed by the engine's own steps",
          "[droplet][law]") {
  for (const Profile profile : {Profile::Slope, Profile::Arch})
    for (const bool same_time : {false, true}) {
      // One of the four in the short form.
      if (!in_full() && (profile != Profile::Slope || same_time)) continue;
      const Mixing kept = mixed(room(profile, same_time), 1'000'000);
      CAPTURE(profile == Profile::Slope, same_time, kept.chi_squared, kept.drift_ratio);
      // 19 degrees of freedom: above 43.8 once in a thousand.
      CHECK(kept.chi_squared < 43.8);
      CHECK(std::abs(kept.drift_ratio) < 0.01);
    }
}

namespace {

void compare(const Outcome& side_by_side, const Outcome& one_by_one) {
  CHECK(side_by_side.steps == one_by_one.steps);
  CHECK(side_by_side.parcels == one_by_one.parcels);
  // Only the order of the sums differs.
  double apart = 0.0;
  for (std::size_t c = 0; c < one_by_one.bench.size(); ++c)
    apart += std::abs(side_by_side.bench[c] - one_by_one.bench[c]);
  CHECK(apart < 1e-13);
  CHECK_THAT(side_by_side.evaporated_fraction, test::abs(one_by_one.evaporated_fraction, 1e-13));
  CHECK_THAT(side_by_side.out_fraction, test::abs(one_by_one.out_fraction, 1e-13));
}

}  // namespace

TEST_CASE("droplet: parcels side by side are the parcels one by one", "[droplet][same]") {
  const test::Setting setting = test::hoop_house(0.15);
  const Launch launch = test::let_go(3.1, 0.8, 1.35);
  for (const double diameter_m : {30e-6, 60e-6, 120e-6, 250e-6})
    for (const double K_m2_per_s : {0.0, 200e-12}) {
      FootprintCase a_case = setting.with(300);
      const Outcome side_by_side = footprint(a_case, launch, diameter_m, K_m2_per_s, 4);
      a_case.side_by_side = 1;
      CAPTURE(diameter_m, K_m2_per_s);
      compare(side_by_side, footprint(a_case, launch, diameter_m, K_m2_per_s, 4));
    }
}

TEST_CASE("droplet: the exponential of the parcels is that of the mathematics library",
          "[droplet][exact]") {
  for (int i = -600; i < 600; ++i) {
    const double power = 0.97 * i;
    CHECK_THAT(exp_factor(power), rel(std::exp(power), 5e-16));
  }
  CHECK(exp_factor(0.0) == 1.0);
}

TEST_CASE("droplet: the error function of the jets is that of the mathematics library within 3e-7",
          "[droplet][exact]") {
  for (int i = -500; i <= 500; ++i) {
    const double x = 0.013 * i;
    CHECK_THAT(jets::error_function_ratio(x), test::abs(std::erf(x), 3e-7));
  }
}
