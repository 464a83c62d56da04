// A head's cloud: thrown drops fly as parcels until they have slowed down and the head's jet no
// longer carries them; what is then still in the air joins the cloud at its age.
#include <algorithm>
#include <cmath>
#include <numeric>

#include "models/contracts.h"
#include "models/droplet/concentration.h"
#include "models/droplet/flight.h"
#include "models/droplet/launch_directions.h"
#include "models/droplet/parcel.h"

namespace mistwright::droplet {

namespace {

/// Slower than this a throw or a jet is over.
constexpr double over_m_per_s = 0.03;

struct Throwing {
  const CloudAir& air;
  const CloudDrops& drops;
  Sky sky;
  Surroundings around;
  double ventilation_factor;
  Outcome out;
  std::vector<double> squares;
};

double fractional_part(double value) {
  return value - std::floor(value);
}

Parcel thrown(const Throwing& t, std::size_t n, Random& random) {
  const double count = t.air.the_case.parcels;
  const auto index = static_cast<double>(n);
  Parcel p;
  p.at = t.around.inside({t.sky.launch.x_m, t.sky.launch.y_m, t.sky.launch.z_m});
  p.v = launch_velocity(t.sky.launch,
                        {(index + random.uniform()) / count,
                         fractional_part(index * 0.7548776662466927 + random.uniform() / count)});
  for (double& omega : p.omega) omega = random.normal();
  p.diameter_m = t.drops.diameter_m;
  p.mass_fraction = p.first_mass_fraction = 1.0 / count;
  if (t.sky.induced.any())
    p.jet_ends_s =
        t.sky.launch.jet_lasts_s * (1.0 - fractional_part(index * 0.5698402909980532 + 0.5));
  return p;
}

void land(Throwing& t, const Contact& touch, const Point& at, double mass) {
  Outcome& out = t.out;
  if (touch.surface == Surface::BenchTop) {
    const std::size_t cell = t.air.the_case.benches.cell_on(touch.bench, at.x_m, at.y_m);
    out.bench[cell] += mass;
    t.squares[cell] += mass * mass;
  } else if (touch.surface == Surface::Opening) {
    out.out_fraction += mass;
  } else if (touch.surface == Surface::Wall) {
    out.wall_fraction += mass;
  } else if (touch.surface == Surface::Cover) {
    out.cover_fraction += mass;
  } else {
    out.floor_fraction += mass;
  }
}

double dot(const Velocity& v, const Point& n) {
  return v.u_m_per_s * n.x_m + v.v_m_per_s * n.y_m + v.w_m_per_s * n.z_m;
}

void turn_back(Velocity& v, const Point& n) {
  const double twice = 2.0 * std::min(0.0, dot(v, n));
  v = {v.u_m_per_s - twice * n.x_m, v.v_m_per_s - twice * n.y_m, v.w_m_per_s - twice * n.z_m};
}

/// Moves a parcel; what it meets keeps its share, and the rest goes on from there.
void fly(Throwing& t, Parcel& p, const Point& to, double sigma_m_per_s, const Pace& pace) {
  const auto touch = t.around.first_contact(p.at, to);
  if (!touch) {
    p.at = to;
    return;
  }
  const double s = touch->share_fraction;
  const Point& n = touch->normal;
  const Point at{p.at.x_m + s * (to.x_m - p.at.x_m), p.at.y_m + s * (to.y_m - p.at.y_m),
                 p.at.z_m + s * (to.z_m - p.at.z_m)};
  const bool level = touch->surface == Surface::BenchTop || touch->surface == Surface::Floor ||
                     touch->surface == Surface::BoxTop;
  const double settled = level ? settled_fraction(pace.sink_m_per_s, sigma_m_per_s) : 0.0;
  const double impacted = impacted_fraction(-dot(p.v, n), 1.0 / pace.rate_per_s);
  double kept = 1.0 - (1.0 - settled) * (1.0 - impacted);
  if (touch->surface == Surface::Opening ||
      p.mass_fraction * (1.0 - kept) < 1e-3 * p.first_mass_fraction)
    kept = 1.0;
  land(t, *touch, at, kept * p.mass_fraction);
  p.mass_fraction *= 1.0 - kept;
  turn_back(p.v, n);
  Velocity turned{p.omega[0], p.omega[1], p.omega[2]};
  turn_back(turned, n);
  p.omega = {turned.u_m_per_s, turned.v_m_per_s, turned.w_m_per_s};
  p.at = t.around.inside({at.x_m + 1e-9 * n.x_m, at.y_m + 1e-9 * n.y_m, at.z_m + 1e-9 * n.z_m});
}

/// Dries a parcel for a while; a leak takes its share too.
void fade(Throwing& t, Parcel& p, const Pace& pace, double dt_s, std::size_t cell) {
  const double square = p.diameter_m * p.diameter_m;
  const double after = square - t.drops.evaporation_constant_m2_per_s * dt_s *
                                    (1.0 + t.ventilation_factor * std::sqrt(pace.reynolds_number));
  const double ratio = after > smallest_drop_m * smallest_drop_m ? after / square : 0.0;
  const double left = p.mass_fraction * ratio * std::sqrt(ratio);
  t.out.evaporated_fraction += p.mass_fraction - left;
  t.out.evaporated_by_air_cell[t.air.the_case.air.cell_of_grid[cell]] += p.mass_fraction - left;
  p.first_mass_fraction *= left / p.mass_fraction;
  p.diameter_m *= std::sqrt(ratio);
  const double stays = std::exp(-t.sky.seen.leak_per_s(cell) * dt_s);
  t.out.out_fraction += left * (1.0 - stays);
  p.mass_fraction = left * stays;
}

/// One step. @return false when the throw is over
bool throw_on(Throwing& t, Parcel& p, Shaker& shaker) {
  const Met met = meet(t.sky, p);
  const Pace pace = pace_of(t.sky.motion, p, met.air);
  const Velocity drift{met.air.u_m_per_s, met.air.v_m_per_s, met.air.w_m_per_s - pace.sink_m_per_s};
  const Velocity off{p.v.u_m_per_s - drift.u_m_per_s, p.v.v_m_per_s - drift.v_m_per_s,
                     p.v.w_m_per_s - drift.w_m_per_s};
  const bool carried = p.age_s < p.jet_ends_s && met.jet_m_per_s > over_m_per_s;
  // A drop follows gusts late by its own time, so that some of its speed is always theirs.
  if (!carried && speed_m_per_s(off) < over_m_per_s + met.seen.sigma_m_per_s) return false;
  const double crossing =
      crossing_time_s(met.seen.timescale_s, pace.relative_m_per_s, met.seen.sigma_m_per_s);
  double dt = step_s(t.sky, p, met, pace, crossing);
  const double K = t.drops.evaporation_constant_m2_per_s;
  if (K > 0.0) dt = std::min(dt, 0.25 * p.diameter_m * p.diameter_m / K);
  const Relaxation relax = Relaxation::over(dt, pace.rate_per_s);
  const Point to{p.at.x_m + drift.u_m_per_s * dt + off.u_m_per_s * relax.reach_s,
                 p.at.y_m + drift.v_m_per_s * dt + off.v_m_per_s * relax.reach_s,
                 p.at.z_m + drift.w_m_per_s * dt + off.w_m_per_s * relax.reach_s};
  p.v = {drift.u_m_per_s + off.u_m_per_s * relax.decay_factor,
         drift.v_m_per_s + off.v_m_per_s * relax.decay_factor,
         drift.w_m_per_s + off.w_m_per_s * relax.decay_factor};
  p.age_s += dt;
  ++t.out.steps;
  fade(t, p, pace, dt, met.seen.cell);
  if (p.mass_fraction <= 0.0) return false;
  const std::array<double, 3> shake = shaker.draw();
  const std::array<double, 3> slope = {met.seen.slope_x_per_s, met.seen.slope_y_per_s,
                                       met.seen.slope_z_per_s};
  for (std::size_t i = 0; i < 3; ++i)
    p.omega[i] = walk_step_ratio(p.omega[i], {dt / crossing, slope[i] * dt, shake[i]});
  fly(t, p, to, met.seen.sigma_m_per_s, pace);
  return p.mass_fraction > 0.0;
}

/// Where a throw ended, for the cloud.
struct Handed {
  Point at;
  double mass_fraction;
};

double noise_ratio(const Outcome& out, const std::vector<double>& squares) {
  std::vector<std::size_t> order(squares.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return out.bench[a] > out.bench[b]; });
  const double total = out.bench_fraction();
  double held = 0.0, sum = 0.0, cells = 0.0;
  for (const std::size_t c : order) {
    if (held >= 0.95 * total || out.bench[c] <= 0.0) break;
    held += out.bench[c];
    sum += squares[c] / (out.bench[c] * out.bench[c]);
    cells += 1.0;
  }
  return cells > 0.0 ? std::sqrt(sum / cells) : 0.0;
}

void add_to(Outcome& sum, const Outcome& more) {
  for (std::size_t i = 0; i < sum.bench.size(); ++i) sum.bench[i] += more.bench[i];
  for (std::size_t i = 0; i < sum.evaporated_by_air_cell.size(); ++i)
    sum.evaporated_by_air_cell[i] += more.evaporated_by_air_cell[i];
  sum.floor_fraction += more.floor_fraction;
  sum.wall_fraction += more.wall_fraction;
  sum.cover_fraction += more.cover_fraction;
  sum.evaporated_fraction += more.evaporated_fraction;
  sum.out_fraction += more.out_fraction;
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
  Throwing t{air,
             drops,
             {launch, FieldSeen(a_case.field), Motion(a_case.state), InducedAir(launch)},
             Surroundings(a_case.house, a_case.benches, a_case.field),
             0.3 * std::cbrt(schmidt_number(a_case.state)),
             {},
             std::vector<double>(air.bench_cells, 0.0)};
  t.out.bench.assign(air.bench_cells, 0.0);
  t.out.evaporated_by_air_cell.assign(air.air_cells, 0.0);
  Cloud cloud(air, drops, 0.0);
  const auto& ages = cloud.ages();
  std::vector<std::vector<Handed>> by_age(ages.size());
  for (std::size_t n = 0; n < static_cast<std::size_t>(a_case.parcels); ++n) {
    const std::uint64_t own = stream + 0x9E3779B97F4A7C15ULL * (n + 1);
    Random random(a_case.seed, own);
    Shaker shaker(a_case.seed, own);
    Parcel p = thrown(t, n, random);
    while (p.age_s < longest_flight_s && throw_on(t, p, shaker)) {
    }
    if (p.mass_fraction <= 0.0) continue;
    const auto next = std::lower_bound(ages.begin(), ages.end(), p.age_s,
                                       [](const Stretch& s, double age) { return s.from_s < age; });
    const auto slot = std::min(static_cast<std::size_t>(next - ages.begin()), ages.size() - 1);
    by_age[slot].push_back({p.at, p.mass_fraction});
  }
  add_to(t.out, lived(cloud, by_age, air));
  t.out.noise_ratio = noise_ratio(t.out, t.squares);
  return t.out;
}

}  // namespace mistwright::droplet
