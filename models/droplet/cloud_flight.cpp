// A head's cloud: thrown drops fly as parcels until they have slowed down and the head's jet no
// longer carries them; what is then still in the air joins the cloud at its age.
#include <algorithm>
#include <cmath>

#include "models/contracts.h"
#include "models/droplet/concentration.h"
#include "models/droplet/lanes.h"
#include "models/droplet/touch.h"

namespace mistwright::droplet {

namespace {

/// Slower than this a throw or a jet is over.
constexpr double over_m_per_s = 0.03;

/// Parcels of one head while they are thrown, and where their water went.
struct Throwing {
  Throwing(const CloudAir& around_it, const Launch& launch, const CloudDrops& drops)
      : air(around_it),
        flying(air.the_case, launch, drops.evaporation_constant_m2_per_s),
        around(air.the_case.house, air.the_case.benches, air.the_case.field),
        lanes(flying, air.the_case.seed),
        squares(air.bench_cells, 0.0) {
    out.bench.assign(air.bench_cells, 0.0);
    out.evaporated_by_air_cell.assign(air.air_cells, 0.0);
  }

  const CloudAir& air;
  Flying flying;
  Surroundings around;
  Lanes<1> lanes;
  Outcome out;
  std::vector<double> squares;
};

/// Parcel n of so many; directions spread evenly, each by lot within its own share.
Turn turn_of(std::size_t n, double count, Random& random) {
  const auto index = static_cast<double>(n);
  const auto fractional_part = [](double value) { return value - std::floor(value); };
  const double turn = (index + random.uniform()) / count;
  return {{turn, fractional_part(index * 0.7548776662466927 + random.uniform() / count)},
          fractional_part(index * 0.5698402909980532 + 0.5)};
}

void land(Throwing& t, const Contact& touch, const Point& at, double mass) {
  const Fate fate = fate_on(touch.surface);
  if (fate != Fate::Bench) {
    t.out.fate_fraction(fate) += mass;
    return;
  }
  const std::size_t cell = t.air.the_case.benches.cell_on(touch.bench, at.x_m, at.y_m);
  t.out.bench[cell] += mass;
  t.squares[cell] += mass * mass;
}

/// What a parcel meets keeps its share, and the rest goes on from there.
void meet(Throwing& t, const Contact& touch) {
  const Lanes<1>& lanes = t.lanes;
  Parcel p = lanes.get(0);
  const Point at = between(p.at, lanes.to(0), touch.share_fraction);
  double kept = kept_fraction(p.v, lanes.approach(0), touch);
  if (p.mass_fraction * (1.0 - kept) < least_left_fraction * p.first_mass_fraction) kept = 1.0;
  land(t, touch, at, kept * p.mass_fraction);
  p.mass_fraction *= 1.0 - kept;
  bounce(p, at, touch.normal, t.around);
  t.lanes.put(0, p);
}

/// Whether drop and jet have slowed down; the step has been looked at.
bool over(const Lanes<1>& lanes) {
  if (lanes.age_s[0] < lanes.jet_ends_s[0] && lanes.jet_m_per_s[0] > over_m_per_s) return false;
  const double s = lanes.sigma[0], u = lanes.u[0] - lanes.mean_u[0] - s * lanes.omega_x[0],
               v = lanes.v[0] - lanes.mean_v[0] - s * lanes.omega_y[0],
               w = lanes.w[0] - lanes.mean_w[0] - s * lanes.omega_z[0] + lanes.sink_m_per_s[0];
  // A drop follows gusts late by its own time, so that some of its speed is always theirs.
  return std::sqrt(u * u + v * v + w * w) < over_m_per_s + s;
}

/// One step. @return false when the throw is over
bool throw_on(Throwing& t) {
  Lanes<1>& lanes = t.lanes;
  look(lanes);
  if (over(lanes)) return false;
  const auto touch = step_after_look(lanes, t.around);
  ++t.out.steps;
  const std::size_t cell = lanes.cell[0];
  if (t.flying.K_m2_per_s > 0.0) {
    t.out.evaporated_fraction += lanes.evaporated[0];
    t.out.evaporated_by_air_cell[t.air.the_case.air.cell_of_grid[cell]] += lanes.evaporated[0];
  }
  const double stays = std::exp(-t.flying.sky.seen.leak_per_s(cell) * lanes.dt_s[0]);
  t.out.out_fraction += lanes.mass[0] * (1.0 - stays);
  lanes.mass[0] *= stays;
  if (lanes.mass[0] <= 0.0) return false;
  if (touch)
    meet(t, *touch);
  else
    lanes.reach(0);
  return lanes.mass[0] > 0.0;
}

/// Where a throw ended, for the cloud.
struct Handed {
  Point at;
  double mass_fraction;
};

void add_to(Outcome& sum, Outcome more) {
  for (std::size_t i = 0; i < sum.bench.size(); ++i) sum.bench[i] += more.bench[i];
  for (std::size_t i = 0; i < sum.evaporated_by_air_cell.size(); ++i)
    sum.evaporated_by_air_cell[i] += more.evaporated_by_air_cell[i];
  for (const Fate fate : fates)
    if (fate != Fate::Bench) sum.fate_fraction(fate) += more.fate_fraction(fate);
  sum.steps += more.steps;
}

/// Lives through all ages; stops when hardly anything is left.
Outcome lived(Cloud& cloud, const std::vector<std::vector<Handed>>& by_age, const CloudAir& air) {
  constexpr double hardly_fraction = 1e-7;
  double waiting = 0.0;
  for (const auto& handed : by_age)
    for (const Handed& one : handed) waiting += one.mass_fraction;
  for (std::size_t n = 0; n < cloud.ages().size(); ++n) {
    if (n < by_age.size())
      for (const Handed& one : by_age[n]) {
        cloud.add({{{air.cell_at(one.at), 1.0}}, 0.0}, one.mass_fraction);
        waiting -= one.mass_fraction;
      }
    const double floating = cloud.airborne_fraction();
    if (floating < hardly_fraction && waiting < hardly_fraction) break;
    if (floating > 0.0) cloud.live(cloud.ages()[n]);
  }
  cloud.give_up();
  return cloud.outcome();
}

}  // namespace

Outcome cloud_footprint(const CloudAir& air, const Launch& launch, const CloudDrops& drops,
                        std::uint64_t stream) {
  const FootprintCase& a_case = air.the_case;
  if (launch.speed_m_per_s < over_m_per_s && !InducedAir(launch).any()) {
    const Puff puff = puff_at(air, {launch.x_m, launch.y_m, launch.z_m});
    Cloud cloud(air, drops, puff.variance_m2);
    cloud.add(puff, 1.0);
    return lived(cloud, {}, air);
  }
  EXPECT(a_case.parcels >= 1 && a_case.parcels <= 10'000'000);
  Throwing t(air, launch, drops);
  const Point head = t.around.inside(t.flying.sky.head());
  Cloud cloud(air, drops, 0.0);
  const auto& ages = cloud.ages();
  std::vector<std::vector<Handed>> by_age(ages.size());
  for (std::size_t n = 0; n < static_cast<std::size_t>(a_case.parcels); ++n) {
    const std::uint64_t own = stream + 0x9E3779B97F4A7C15ULL * (n + 1);
    Random random(a_case.seed, own);
    const Turn turn = turn_of(n, a_case.parcels, random);
    Parcel p = launched(t.flying, head, drops.diameter_m, turn, random);
    p.mass_fraction = p.first_mass_fraction = 1.0 / a_case.parcels;
    t.lanes.start(0, p, own);
    while (t.lanes.age_s[0] < longest_flight_s && throw_on(t)) {
    }
    p = t.lanes.get(0);
    if (p.mass_fraction <= 0.0) continue;
    // It joins at the stretch that begins nearest to its age.
    const auto next = std::lower_bound(ages.begin(), ages.end(), p.age_s,
                                       [](const Stretch& s, double age) { return s.from_s < age; });
    auto slot = std::min(static_cast<std::size_t>(next - ages.begin()), ages.size() - 1);
    if (slot > 0 && p.age_s - ages[slot - 1].from_s < ages[slot].from_s - p.age_s) --slot;
    by_age[slot].push_back({p.at, p.mass_fraction});
  }
  add_to(t.out, lived(cloud, by_age, air));
  t.out.noise_ratio = t.out.deposit_noise_ratio(t.squares);
  return t.out;
}

}  // namespace mistwright::droplet
