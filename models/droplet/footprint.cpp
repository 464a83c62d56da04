#include "models/droplet/footprint.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "models/contracts.h"
#include "models/droplet/contact.h"
#include "models/droplet/flight.h"
#include "models/droplet/launch_directions.h"
#include "models/droplet/motion.h"
#include "models/droplet/walk.h"

namespace mistwright::droplet {

namespace {

constexpr double least_share =
    1e-3;                        ///< a parcel with less of its mass left stays where it touches
constexpr int most_touches = 4;  ///< in one step

/// All that parcels of one footprint share, and what they add to.
struct Flight {
  Flight(const FootprintCase& a_case, const Launch& launched, double diameter, double K)
      : the_case(a_case),
        launch(launched),
        diameter_m(diameter),
        K_m2_per_s(K),
        seen(a_case.field),
        surroundings(a_case.house, a_case.benches, a_case.field),
        motion(a_case.state),
        induced(launched),
        ventilation(0.3 * std::cbrt(schmidt_number(a_case.state))),
        squares(a_case.benches.cells.size(), 0.0) {
    outcome.bench.assign(a_case.benches.cells.size(), 0.0);
    outcome.evaporated_by_air_cell.assign(a_case.air.count(), 0.0);
  }

  const FootprintCase& the_case;
  const Launch& launch;
  double diameter_m, K_m2_per_s;
  FieldSeen seen;
  Surroundings surroundings;
  Motion motion;
  InducedAir induced;
  double ventilation;
  Outcome outcome;
  std::vector<double> squares;  ///< of the masses landed on each bench cell
};

/// A drop that stands for a share of the class's water.
struct Parcel {
  Point at;
  Velocity v;
  std::array<double, 3> omega{};  ///< turbulent speed met, over its rms
  double diameter_m = 0.0;
  double mass = 0.0;  ///< share of the class's water
  double first_mass = 0.0;
  double age_s = 0.0;
  double jet_ends_s = 0.0;
};

void land_on_bench(Flight& flight, std::size_t cell, double mass) {
  flight.outcome.bench[cell] += mass;
  flight.squares[cell] += mass * mass;
}

void evaporate(Flight& flight, std::size_t grid_cell, double mass) {
  flight.outcome.evaporated_fraction += mass;
  flight.outcome.evaporated_by_air_cell[flight.the_case.air.cell_of_grid[grid_cell]] += mass;
}

/// What a drop does in the air as long as a step lasts.
struct Pace {
  double rate_per_s, sink_m_per_s, reynolds, relative_m_per_s;
};

Pace pace_of(const Flight& flight, const Parcel& p, const Velocity& air) {
  const double du = p.v.u_m_per_s - air.u_m_per_s, dv = p.v.v_m_per_s - air.v_m_per_s,
               dw = p.v.w_m_per_s - air.w_m_per_s;
  const double relative = std::sqrt(du * du + dv * dv + dw * dw);
  const Motion& m = flight.motion;
  const double Re = m.reynolds_per_m2_s * p.diameter_m * relative;
  // Above 2 um the exponential in the slip factor is nil.
  const double slip = 1.0 + 2.514 * m.air.mean_free_path_m / p.diameter_m;
  const double rate = m.drag_rate_per_s(p.diameter_m, slip, Re);
  return {rate, m.weight_m_per_s2 / rate, Re, relative};
}

struct Met {
  Seen seen;
  Velocity jet;
  double jet_distance_m;  ///< zero: no jet
  Velocity air;           ///< mean, jet and turbulence together
};

Met meet(const Flight& flight, const Parcel& p) {
  Met met{flight.seen.at(p.at.x_m, p.at.y_m, p.at.z_m), {}, 0.0, {}};
  if (p.age_s < p.jet_ends_s) {
    const Offset offset{p.at.x_m - flight.launch.x_m, p.at.y_m - flight.launch.y_m,
                        p.at.z_m - flight.launch.z_m};
    met.jet = flight.induced.at(offset);
    met.jet_distance_m =
        std::sqrt(offset.x_m * offset.x_m + offset.y_m * offset.y_m + offset.z_m * offset.z_m);
  }
  const double s = met.seen.sigma_m_per_s;
  met.air = {met.seen.u_m_per_s + met.jet.u_m_per_s + s * p.omega[0],
             met.seen.v_m_per_s + met.jet.v_m_per_s + s * p.omega[1],
             met.seen.w_m_per_s + met.jet.w_m_per_s + s * p.omega[2]};
  return met;
}

double length(const Velocity& v) {
  return std::sqrt(v.u_m_per_s * v.u_m_per_s + v.v_m_per_s * v.v_m_per_s +
                   v.w_m_per_s * v.w_m_per_s);
}

/// The step: short against the turbulence's time, the crossing of a grid cell, the change of drag
/// while a thrown drop slows down, the jet's width, and the drop's shrinking.
double step_s(const Flight& flight, const Parcel& p, const Met& met, const Pace& pace,
              double crossing_s) {
  const double speed = std::max(length(p.v), length(met.air));
  double dt = std::min(0.4 * crossing_s, 0.7 * flight.seen.cell_edge_m() / (speed + 1e-9));
  if (pace.relative_m_per_s > 1.5 * pace.sink_m_per_s + 3.0 * met.seen.sigma_m_per_s)
    dt = std::min(dt, 0.2 / pace.rate_per_s);
  if (met.jet_distance_m > 0.0 && length(met.jet) > 0.05)
    dt = std::min(dt, 0.1 * std::max(met.jet_distance_m, 0.05) / speed);
  if (flight.K_m2_per_s > 0.0)
    dt = std::min(dt, 0.25 * p.diameter_m * p.diameter_m / flight.K_m2_per_s);
  return std::min(dt, longest_flight_s - p.age_s + 1e-9);
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
    const double left = p.mass * (1.0 - kept);
    if (kept >= 1.0 || left < least_share * p.first_mass) {
      deposit(flight, *touch, at, p.mass);
      p.mass = 0.0;
      return;
    }
    deposit(flight, *touch, at, p.mass * kept);
    p.mass = left;
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
  const double vent = 1.0 + flight.ventilation * std::sqrt(pace.reynolds);
  const double before = p.diameter_m * p.diameter_m;
  const double after = before - flight.K_m2_per_s * vent * dt;
  if (after <= smallest_drop_m * smallest_drop_m) {
    evaporate(flight, cell, p.mass);
    p.mass = 0.0;
    return false;
  }
  const double ratio = after / before;
  const double left = p.mass * ratio * std::sqrt(ratio);
  evaporate(flight, cell, p.mass - left);
  // What is left may be small against the first mass because the drop dried, not because it was
  // shared out.
  p.first_mass *= left / p.mass;
  p.mass = left;
  p.diameter_m = std::sqrt(after);
  return true;
}

void move(Flight& flight, Parcel& p, Shaker& shaker) {
  const Met met = meet(flight, p);
  const Pace pace = pace_of(flight, p, met.air);
  const double sigma = met.seen.sigma_m_per_s;
  const double crossing = crossing_time_s(met.seen.timescale_s, pace.relative_m_per_s, sigma);
  const double dt = step_s(flight, p, met, pace, crossing);
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
  const double leak = flight.seen.leak_per_s(met.seen.cell);
  if (leak > 0.0) {
    const double stays = std::exp(-leak * dt);
    flight.outcome.out_fraction += p.mass * (1.0 - stays);
    p.mass *= stays;
  }
  const std::array<double, 3> shake = shaker.draw();
  const std::array<double, 3> slope = {met.seen.slope_x_per_s, met.seen.slope_y_per_s,
                                       met.seen.slope_z_per_s};
  for (std::size_t i = 0; i < 3; ++i)
    p.omega[i] = walk_step(p.omega[i], dt / crossing, slope[i] * dt, shake[i]);
  travel(flight, p, to, met, pace);
}

/// What still floats at the end.
void give_up(Flight& flight, const Parcel& p) {
  if (flight.K_m2_per_s > 0.0) {
    evaporate(flight, flight.the_case.field.grid.cell_at(p.at.x_m, p.at.y_m, p.at.z_m), p.mass);
    return;
  }
  const auto cell = flight.the_case.benches.cell_at(p.at.x_m, p.at.y_m);
  if (cell &&
      p.at.z_m >=
          flight.the_case.benches.blocks[flight.the_case.benches.cells[*cell].bench].rect.height_m)
    land_on_bench(flight, *cell, p.mass);
  else
    flight.outcome.floor_fraction += p.mass;
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
  p.at = flight.surroundings.inside({flight.launch.x_m, flight.launch.y_m, flight.launch.z_m});
  p.v = launch_velocity(flight.launch, placement);
  for (double& omega : p.omega) omega = random.normal();
  p.diameter_m = flight.diameter_m;
  p.mass = p.first_mass = 1.0 / count;
  if (flight.induced.any())
    p.jet_ends_s = flight.launch.jet_lasts_s * (1.0 - wrapped(index * 0.5698402909980532 + 0.5));
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
    while (p.mass > 0.0 && p.age_s < longest_flight_s) move(flight, p, shaker);
    if (p.mass > 0.0) give_up(flight, p);
  }
  flight.outcome.noise_ratio = noise_ratio(flight);
  ENSURE(std::abs(flight.outcome.total_fraction() - 1.0) < 1e-12 * 1.0 + 1e-16 * a_case.parcels);
  return flight.outcome;
}

}  // namespace mistwright::droplet
