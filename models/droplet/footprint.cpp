#include "models/droplet/footprint.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "models/contracts.h"
#include "models/droplet/contact.h"
#include "models/droplet/flight.h"
#include "models/droplet/launch_directions.h"
#include "models/droplet/parcel.h"

namespace mistwright::droplet {

namespace {

constexpr double least_share =
    1e-3;                        ///< a parcel with less of its mass left stays where it touches
constexpr int most_touches = 4;  ///< in one step

/// All that parcels of one footprint share, and what they add to.
struct Flight {
  Flight(const FootprintCase& a_case, const Launch& launched, double diameter, double K)
      : the_case(a_case),
        diameter_m(diameter),
        K_m2_per_s(K),
        sky{launched, FieldSeen(a_case.field), Motion(a_case.state), InducedAir(launched)},
        surroundings(a_case.house, a_case.benches, a_case.field),
        ventilation(0.3 * std::cbrt(schmidt_number(a_case.state))),
        squares(a_case.benches.cells.size(), 0.0) {
    outcome.bench.assign(a_case.benches.cells.size(), 0.0);
    outcome.evaporated_by_air_cell.assign(a_case.air.count(), 0.0);
  }

  const FootprintCase& the_case;
  double diameter_m, K_m2_per_s;
  Sky sky;
  Surroundings surroundings;
  double ventilation;
  Outcome outcome;
  std::vector<double> squares;  ///< of the masses landed on each bench cell
};

void land_on_bench(Flight& flight, std::size_t cell, double mass) {
  flight.outcome.bench[cell] += mass;
  flight.squares[cell] += mass * mass;
}

void evaporate(Flight& flight, std::size_t grid_cell, double mass) {
  flight.outcome.evaporated_fraction += mass;
  flight.outcome.evaporated_by_air_cell[flight.the_case.air.cell_of_grid[grid_cell]] += mass;
}

void reflect(Velocity& v, const Point& n) {
  const double across = v.u_m_per_s * n.x_m + v.v_m_per_s * n.y_m + v.w_m_per_s * n.z_m;
  if (across >= 0.0) return;
  v.u_m_per_s -= 2.0 * across * n.x_m;
  v.v_m_per_s -= 2.0 * across * n.y_m;
  v.w_m_per_s -= 2.0 * across * n.z_m;
}

double kept_fraction(const Parcel& p, const Contact& touch, const Met& met, const Pace& pace) {
  const Point& n = touch.normal;
  const double approach = -(p.v.u_m_per_s * n.x_m + p.v.v_m_per_s * n.y_m + p.v.w_m_per_s * n.z_m);
  const double impacted = impacted_fraction(approach, 1.0 / pace.rate_per_s);
  const bool level = touch.surface == Surface::BenchTop || touch.surface == Surface::Floor ||
                     touch.surface == Surface::BoxTop;
  const double settled = level ? settled_fraction(pace.sink_m_per_s, met.seen.sigma_m_per_s) : 0.0;
  return 1.0 - (1.0 - settled) * (1.0 - impacted);
}

void deposit(Flight& flight, const Contact& touch, const Point& at, double mass) {
  Outcome& out = flight.outcome;
  switch (touch.surface) {
    case Surface::BenchTop:
      land_on_bench(flight, flight.the_case.benches.cell_on(touch.bench, at.x_m, at.y_m), mass);
      break;
    case Surface::Wall:
      out.wall_fraction += mass;
      break;
    case Surface::Cover:
      out.cover_fraction += mass;
      break;
    case Surface::Opening:
      out.out_fraction += mass;
      break;
    case Surface::Floor:
    case Surface::BoxTop:
    case Surface::BoxSide:  // drips to the floor
      out.floor_fraction += mass;
      break;
  }
}

Point mirrored(const Point& to, const Point& at, const Point& n) {
  const double depth =
      (to.x_m - at.x_m) * n.x_m + (to.y_m - at.y_m) * n.y_m + (to.z_m - at.z_m) * n.z_m;
  const double back = depth < 0.0 ? 2.0 * depth : 0.0;
  return {to.x_m - back * n.x_m, to.y_m - back * n.y_m, to.z_m - back * n.z_m};
}

/// Moves a parcel to where its step would end, sharing it between surfaces on the way and what goes
/// on.
void travel(Flight& flight, Parcel& p, Point to, const Met& met, const Pace& pace) {
  for (int touches = 0; touches < most_touches; ++touches) {
    const auto touch = flight.surroundings.first_contact(p.at, to);
    if (!touch) {
      p.at = to;
      return;
    }
    const double s = touch->share_fraction;
    const Point at{p.at.x_m + s * (to.x_m - p.at.x_m), p.at.y_m + s * (to.y_m - p.at.y_m),
                   p.at.z_m + s * (to.z_m - p.at.z_m)};
    const double kept =
        touch->surface == Surface::Opening ? 1.0 : kept_fraction(p, *touch, met, pace);
    const double left = p.mass_fraction * (1.0 - kept);
    if (kept >= 1.0 || left < least_share * p.first_mass_fraction) {
      deposit(flight, *touch, at, p.mass_fraction);
      p.mass_fraction = 0.0;
      return;
    }
    deposit(flight, *touch, at, p.mass_fraction * kept);
    p.mass_fraction = left;
    reflect(p.v, touch->normal);
    Velocity turned{p.omega[0], p.omega[1], p.omega[2]};
    reflect(turned, touch->normal);
    p.omega = {turned.u_m_per_s, turned.v_m_per_s, turned.w_m_per_s};
    const Point& n = touch->normal;
    p.at = flight.surroundings.inside(
        {at.x_m + 1e-9 * n.x_m, at.y_m + 1e-9 * n.y_m, at.z_m + 1e-9 * n.z_m});
    to = mirrored(to, at, n);
  }
}

/// Shrinks a parcel's drop; false when nothing is left of it.
bool dry(Flight& flight, Parcel& p, const Pace& pace, double dt, std::size_t cell) {
  const double vent = 1.0 + flight.ventilation * std::sqrt(pace.reynolds_number);
  const double before = p.diameter_m * p.diameter_m;
  const double after = before - flight.K_m2_per_s * vent * dt;
  if (after <= smallest_drop_m * smallest_drop_m) {
    evaporate(flight, cell, p.mass_fraction);
    p.mass_fraction = 0.0;
    return false;
  }
  const double ratio = after / before;
  const double left = p.mass_fraction * ratio * std::sqrt(ratio);
  evaporate(flight, cell, p.mass_fraction - left);
  // What is left may be small against the first mass because the drop dried, not because it was
  // shared out.
  p.first_mass_fraction *= left / p.mass_fraction;
  p.mass_fraction = left;
  p.diameter_m = std::sqrt(after);
  return true;
}

void move(Flight& flight, Parcel& p, Shaker& shaker) {
  const Met met = meet(flight.sky, p);
  const Pace pace = pace_of(flight.sky.motion, p, met.air);
  const double sigma = met.seen.sigma_m_per_s;
  const double crossing = crossing_time_s(met.seen.timescale_s, pace.relative_m_per_s, sigma);
  double dt =
      std::min(step_s(flight.sky, p, met, pace, crossing), longest_flight_s - p.age_s + 1e-9);
  if (flight.K_m2_per_s > 0.0)
    dt = std::min(dt, 0.25 * p.diameter_m * p.diameter_m / flight.K_m2_per_s);
  const Relaxation relax = Relaxation::over(dt, pace.rate_per_s);
  const double drift_w = met.air.w_m_per_s - pace.sink_m_per_s;
  const Velocity off{p.v.u_m_per_s - met.air.u_m_per_s, p.v.v_m_per_s - met.air.v_m_per_s,
                     p.v.w_m_per_s - drift_w};
  const Point to{p.at.x_m + met.air.u_m_per_s * dt + off.u_m_per_s * relax.reach_s,
                 p.at.y_m + met.air.v_m_per_s * dt + off.v_m_per_s * relax.reach_s,
                 p.at.z_m + drift_w * dt + off.w_m_per_s * relax.reach_s};
  p.v = {met.air.u_m_per_s + off.u_m_per_s * relax.decay_factor,
         met.air.v_m_per_s + off.v_m_per_s * relax.decay_factor,
         drift_w + off.w_m_per_s * relax.decay_factor};
  p.age_s += dt;
  ++flight.outcome.steps;
  if (flight.K_m2_per_s > 0.0 && !dry(flight, p, pace, dt, met.seen.cell)) return;
  const double leak = flight.sky.seen.leak_per_s(met.seen.cell);
  if (leak > 0.0) {
    const double stays = std::exp(-leak * dt);
    flight.outcome.out_fraction += p.mass_fraction * (1.0 - stays);
    p.mass_fraction *= stays;
  }
  const std::array<double, 3> shake = shaker.draw();
  const std::array<double, 3> slope = {met.seen.slope_x_per_s, met.seen.slope_y_per_s,
                                       met.seen.slope_z_per_s};
  for (std::size_t i = 0; i < 3; ++i)
    p.omega[i] = walk_step_ratio(p.omega[i], {dt / crossing, slope[i] * dt, shake[i]});
  travel(flight, p, to, met, pace);
}

/// What still floats at the end.
void give_up(Flight& flight, const Parcel& p) {
  if (flight.K_m2_per_s > 0.0) {
    evaporate(flight, flight.the_case.field.grid.cell_at(p.at.x_m, p.at.y_m, p.at.z_m),
              p.mass_fraction);
    return;
  }
  const auto cell = flight.the_case.benches.cell_at(p.at.x_m, p.at.y_m);
  if (cell &&
      p.at.z_m >=
          flight.the_case.benches.blocks[flight.the_case.benches.cells[*cell].bench].rect.height_m)
    land_on_bench(flight, *cell, p.mass_fraction);
  else
    flight.outcome.floor_fraction += p.mass_fraction;
}

/// Fractional part.
double wrapped(double value) {
  return value - std::floor(value);
}

Parcel start(const Flight& flight, std::size_t n, Random& random) {
  const double count = flight.the_case.parcels;
  const auto index = static_cast<double>(n);
  // Azimuths one to a stratum; slices and moments of the burst by additive recurrences (Roberts
  // 2018).
  const Placement placement{(index + random.uniform()) / count,
                            wrapped(index * 0.7548776662466927 + random.uniform() / count)};
  Parcel p;
  p.at = flight.surroundings.inside(
      {flight.sky.launch.x_m, flight.sky.launch.y_m, flight.sky.launch.z_m});
  p.v = launch_velocity(flight.sky.launch, placement);
  for (double& omega : p.omega) omega = random.normal();
  p.diameter_m = flight.diameter_m;
  p.mass_fraction = p.first_mass_fraction = 1.0 / count;
  if (flight.sky.induced.any())
    p.jet_ends_s =
        flight.sky.launch.jet_lasts_s * (1.0 - wrapped(index * 0.5698402909980532 + 0.5));
  return p;
}

double noise_ratio(const Flight& flight) {
  const std::vector<double>& mass = flight.outcome.bench;
  const double total = flight.outcome.bench_fraction();
  if (total <= 0.0) return 0.0;
  std::vector<std::size_t> order(mass.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return mass[a] > mass[b]; });
  double held = 0.0, sum = 0.0, cells = 0.0;
  for (const std::size_t c : order) {
    if (held >= 0.95 * total) break;
    held += mass[c];
    sum += flight.squares[c] / (mass[c] * mass[c]);
    cells += 1.0;
  }
  return std::sqrt(sum / cells);
}

}  // namespace

double Outcome::bench_fraction() const {
  return std::accumulate(bench.begin(), bench.end(), 0.0);
}

double Outcome::total_fraction() const {
  return bench_fraction() + floor_fraction + wall_fraction + cover_fraction + evaporated_fraction +
         out_fraction;
}

Outcome footprint(const FootprintCase& a_case, const Launch& launch, double diameter_m,
                  double evaporation_constant_m2_per_s, std::uint64_t stream) {
  EXPECT(diameter_m >= 1e-6 && diameter_m <= 2e-3);
  EXPECT(evaporation_constant_m2_per_s >= 0.0);
  EXPECT(a_case.parcels >= 1 && a_case.parcels <= 10'000'000);
  Flight flight(a_case, launch, diameter_m, evaporation_constant_m2_per_s);
  const auto count = static_cast<std::size_t>(a_case.parcels);
  for (std::size_t n = 0; n < count; ++n) {
    const std::uint64_t own = stream + 0x9E3779B97F4A7C15ULL * (n + 1);
    Random random(a_case.seed, own);
    Shaker shaker(a_case.seed, own);
    Parcel p = start(flight, n, random);
    while (p.mass_fraction > 0.0 && p.age_s < longest_flight_s) move(flight, p, shaker);
    if (p.mass_fraction > 0.0) give_up(flight, p);
  }
  flight.outcome.noise_ratio = noise_ratio(flight);
  ENSURE(std::abs(flight.outcome.total_fraction() - 1.0) < 1e-12 * 1.0 + 1e-16 * a_case.parcels);
  return flight.outcome;
}

}  // namespace mistwright::droplet
