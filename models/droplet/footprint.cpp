#include "models/droplet/footprint.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

#include "models/contracts.h"
#include "models/droplet/contact.h"
#include "models/droplet/flight.h"
#include "models/droplet/launch_directions.h"
#include "models/droplet/parcel.h"
#include "models/droplet/patch.h"
#include "models/droplet/touch.h"

namespace mistwright::droplet {

namespace {

/// Patches wider than a leaf's surroundings would blur what the air does from place to place.
constexpr double widest_patch_of_all_m = 0.15;
/// A patch narrower than this, over a cell's edge, is a point.
constexpr double narrowest_patch_ratio = 0.02;
/// Of a patch less than this beside a bench falls to the floor there.
constexpr double least_beside_share = 0.005;
constexpr double least_share =
    1e-3;                        ///< a parcel with less of its mass left stays where it touches
constexpr int most_touches = 4;  ///< in one step
constexpr std::size_t batches = 8;
/// Parcels after which the noise is looked at: a guess at what is needed, between these.
constexpr double fewest_parcels = 80.0, first_parcels = 320.0;

/// All that parcels of one footprint share, and what they add to.
struct Flight {
  Flight(const FootprintCase& a_case, const Launch& launched, double diameter, double K)
      : the_case(a_case),
        diameter_m(diameter),
        K_m2_per_s(K),
        sky{launched, FieldSeen(a_case.field), Motion(a_case.state), InducedAir(launched)},
        surroundings(a_case.house, a_case.benches, a_case.field),
        ventilation(0.3 * std::cbrt(schmidt_number(a_case.state))),
        widest_patch_m(a_case.patches && a_case.house.sheets.empty()
                           ? std::min(a_case.benches.edge_m, widest_patch_of_all_m)
                           : 0.0) {
    for (const auto& block : a_case.benches.blocks)
      highest_bench_m = std::max(highest_bench_m, block.rect.height_m);
    outcome.bench.assign(a_case.benches.cells.size(), 0.0);
    outcome.evaporated_by_air_cell.assign(a_case.air.count(), 0.0);
  }

  const FootprintCase& the_case;
  double diameter_m, K_m2_per_s;
  Sky sky;
  Surroundings surroundings;
  double ventilation;
  double widest_patch_m;
  double highest_bench_m = 0.0;
  Outcome outcome;  ///< in parcels, not yet in shares
  Shares along, across;
};

/// Whether a parcel's patch is too narrow to tell from a point.
bool is_point(const Flight& flight, const Parcel& p) {
  return p.patch.width_m() < narrowest_patch_ratio * flight.the_case.benches.edge_m;
}

/// Lands mass on the cells of a bench that a parcel's patch covers.
/// @return share of it that falls beside the bench
double land_on_bench(Flight& flight, std::size_t bench, const Parcel& p, const Point& at,
                     double mass) {
  const BenchGrid& benches = flight.the_case.benches;
  std::vector<double>& landed = flight.outcome.bench;
  if (is_point(flight, p)) {
    landed[benches.cell_on(bench, at.x_m, at.y_m)] += mass;
    return 0.0;
  }
  const double width = p.patch.width_m();
  const BenchGrid::Block& block = benches.blocks[bench];
  flight.along.of({block.rect.x0_m, block.rect.x1_m, block.nx}, {at.x_m, width},
                  flight.the_case.house.length_m);
  flight.across.of({block.rect.y0_m, block.rect.y1_m, block.ny}, {at.y_m, width},
                   flight.the_case.house.width_m);
  double inside = 0.0;
  for (std::size_t j = 0; j < flight.across.share.size(); ++j) {
    const std::size_t row = block.first + (flight.across.first + j) * block.nx + flight.along.first;
    for (std::size_t i = 0; i < flight.along.share.size(); ++i) {
      const double share = flight.across.share[j] * flight.along.share[i];
      landed[row + i] += mass * share;
      inside += share;
    }
  }
  return 1.0 - inside;
}

void evaporate(Flight& flight, std::size_t grid_cell, double mass) {
  flight.outcome.evaporated_fraction += mass;
  flight.outcome.evaporated_by_air_cell[flight.the_case.air.cell_of_grid[grid_cell]] += mass;
}

Approach approach_of(const Parcel& p, const Met& met, const Pace& pace) {
  return {p.v, 1.0 / pace.rate_per_s, pace.sink_m_per_s, met.seen.sigma_m_per_s};
}

void deposit(Flight& flight, const Contact& touch, double mass) {
  Outcome& out = flight.outcome;
  switch (touch.surface) {
    case Surface::Wall:
      out.wall_fraction += mass;
      break;
    case Surface::Cover:
      out.cover_fraction += mass;
      break;
    case Surface::Opening:
      out.out_fraction += mass;
      break;
    case Surface::BenchTop:  // what of a patch reaches beyond its edge
    case Surface::Floor:
    case Surface::BoxTop:
    case Surface::BoxSide:  // drips to the floor
      out.floor_fraction += mass;
      break;
  }
}

/// What a parcel takes along on a step: the air it met, its drag, and the lots it draws.
struct Passing {
  const Met& met;
  const Pace& pace;
  Random& random;
};

/// A point of a parcel's patch over a bench, or off it; the parcel's own place when none is found.
Point drawn_from_patch(const Flight& flight, const Point& centre, double width_m,
                       const BenchRect& bench, bool over, Random& random) {
  constexpr int most_tries = 64;
  const flow::Enclosure& house = flight.the_case.house;
  const auto folded = [](double x, double wall) {
    x = std::fabs(x);
    return x > wall ? 2.0 * wall - x : x;
  };
  for (int tries = 0; tries < most_tries; ++tries) {
    const double x = folded(centre.x_m + width_m * random.normal(), house.length_m);
    const double y = folded(centre.y_m + width_m * random.normal(), house.width_m);
    const bool here = x >= bench.x0_m && x <= bench.x1_m && y >= bench.y0_m && y <= bench.y1_m;
    if (here == over && x > 0.0 && y > 0.0) return {x, y, centre.z_m};
  }
  return centre;
}

/// What is left of a patch that a bench has divided goes on as one point, by lot over the bench or
/// beside it.
struct Divided {
  std::size_t bench = 0;
  double over_mass = 0.0, beside_mass = 0.0;
};

/// Over the bench it bounces.
void go_on(Flight& flight, Parcel& p, const Divided& rest, const Point& at, Random& random) {
  const double mass = rest.over_mass + rest.beside_mass;
  const bool over = random.uniform() * mass < rest.over_mass;
  const BenchRect& rect = flight.the_case.benches.blocks[rest.bench].rect;
  p.at = drawn_from_patch(flight, at, p.patch.width_m(), rect, over, random);
  p.mass_fraction = mass;
  p.v.u_m_per_s += p.patch.speed_there_m_per_s(p.at.x_m - at.x_m);
  p.v.v_m_per_s += p.patch.speed_there_m_per_s(p.at.y_m - at.y_m);
  p.omega[0] = p.patch.eddy_there_ratio(p.at.x_m - at.x_m, p.omega[0], random.normal());
  p.omega[1] = p.patch.eddy_there_ratio(p.at.y_m - at.y_m, p.omega[1], random.normal());
  p.patch = Patch::none();
  if (!over) return;
  reflect(p.v, {0.0, 0.0, 1.0});
  p.omega[2] = std::fabs(p.omega[2]);
}

/// Lands what a parcel's patch holds over benches beside which the parcel itself falls. False: the
/// parcel goes on from elsewhere.
bool passes_beside(Flight& flight, Parcel& p, const Point& to, const Contact* touch,
                   const Passing& passing) {
  if (is_point(flight, p)) return true;
  const auto& blocks = flight.the_case.benches.blocks;
  for (std::size_t b = 0; b < blocks.size(); ++b) {
    const BenchRect& r = blocks[b].rect;
    if (!(p.at.z_m >= r.height_m && to.z_m < r.height_m)) continue;
    const double s = (p.at.z_m - r.height_m) / (p.at.z_m - to.z_m);
    if (touch &&
        (s > touch->share_fraction || (touch->surface == Surface::BenchTop && touch->bench == b)))
      continue;
    const Point at = between(p.at, to, s);
    const double reach = 3.0 * p.patch.width_m();
    if (at.x_m < r.x0_m - reach || at.x_m > r.x1_m + reach || at.y_m < r.y0_m - reach ||
        at.y_m > r.y1_m + reach)
      continue;
    const Contact level{Surface::BenchTop, s, {0.0, 0.0, 1.0}, b};
    const double kept = kept_fraction(approach_of(p, passing.met, passing.pace), level);
    const double mass = p.mass_fraction;
    const double over = 1.0 - land_on_bench(flight, b, p, at, mass * kept);
    p.mass_fraction = mass * (1.0 - over * kept);
    const double bounced = mass * over * (1.0 - kept);
    if (over < least_beside_share) continue;
    go_on(flight, p, {b, bounced, mass * (1.0 - over)}, at, passing.random);
    return false;
  }
  return true;
}

/// What happens to a parcel where it touches a surface. False: its path ends there.
bool touches(Flight& flight, Parcel& p, const Contact& touch, const Point& at,
             const Passing& passing) {
  const double mass = p.mass_fraction;
  const double kept = kept_fraction(approach_of(p, passing.met, passing.pace), touch);
  const bool stays = kept >= 1.0 || mass * (1.0 - kept) < least_share * p.first_mass_fraction;
  const double landing = stays ? mass : mass * kept;
  p.mass_fraction = mass - landing;
  if (touch.surface != Surface::BenchTop) {
    deposit(flight, touch, landing);
    return !stays;
  }
  const double beside_share = land_on_bench(flight, touch.bench, p, at, landing);
  if (beside_share < least_beside_share) {
    deposit(flight, touch, landing * beside_share);
    return !stays;
  }
  const double over = (1.0 - beside_share) * (mass - landing);
  go_on(flight, p, {touch.bench, over, mass * beside_share}, at, passing.random);
  return false;
}

/// Moves a parcel to where its step would end, sharing it between surfaces on the way and what goes
/// on.
/// @param touch  the first contact on the way
void travel(Flight& flight, Parcel& p, Point to, std::optional<Contact> touch,
            const Passing& passing) {
  for (int count = 0; count < most_touches; ++count) {
    if (to.z_m < flight.highest_bench_m &&
        !passes_beside(flight, p, to, touch ? &*touch : nullptr, passing))
      return;
    if (!touch) {
      p.at = to;
      return;
    }
    const Point at = between(p.at, to, touch->share_fraction);
    if (!touches(flight, p, *touch, at, passing)) return;
    const Point& n = touch->normal;
    reflect(p.v, n);
    Velocity turned{p.omega[0], p.omega[1], p.omega[2]};
    reflect(turned, n);
    p.omega = {turned.u_m_per_s, turned.v_m_per_s, turned.w_m_per_s};
    p.at = flight.surroundings.inside(
        {at.x_m + 1e-9 * n.x_m, at.y_m + 1e-9 * n.y_m, at.z_m + 1e-9 * n.z_m});
    to = mirrored(to, at, n);
    touch = flight.surroundings.first_contact(p.at, to);
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

/// Patches end well before walls, which take up what turbulence throws at them.
double widest_patch_m(const Flight& flight, const Point& at) {
  constexpr double widths_to_walls = 3.0;
  const flow::Enclosure& house = flight.the_case.house;
  const double wall_m = std::min({at.x_m, house.length_m - at.x_m, at.y_m, house.width_m - at.y_m});
  return std::min(flight.widest_patch_m, wall_m / widths_to_walls);
}

void move(Flight& flight, Parcel& p, Shaker& shaker, Random& random) {
  const Met met = meet(flight.sky, p);
  const Pace pace = pace_of(flight.sky.motion, p, met.air);
  const double sigma = met.seen.sigma_m_per_s;
  const double crossing = crossing_time_s(
      met.seen.timescale_s, std::max(speed_m_per_s(p.slip), pace.sink_m_per_s), sigma);
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
  p.slip = {p.slip.u_m_per_s * relax.decay_factor, p.slip.v_m_per_s * relax.decay_factor,
            (p.slip.w_m_per_s + pace.sink_m_per_s) * relax.decay_factor - pace.sink_m_per_s};
  p.age_s += dt;
  ++flight.outcome.steps;
  // Until it touches something a drop dries and its patch grows.
  const auto touch = flight.surroundings.first_contact(p.at, to);
  const double in_air_s = touch ? touch->share_fraction * dt : dt;
  if (flight.K_m2_per_s > 0.0 && !dry(flight, p, pace, in_air_s, met.seen.cell)) return;
  const double leak = flight.sky.seen.leak_per_s(met.seen.cell);
  if (leak > 0.0) {
    const double stays = std::exp(-leak * dt);
    flight.outcome.out_fraction += p.mass_fraction * (1.0 - stays);
    p.mass_fraction *= stays;
  }
  const std::array<double, 3> shake = shaker.draw();
  // A patch drifts as a whole where turbulence is uneven, with the path's part of the speed.
  const double whole = 1.0 / p.patch.path_sigma_ratio();
  const std::array<double, 3> slope = {whole * met.seen.slope_x_per_s,
                                       whole * met.seen.slope_y_per_s, met.seen.slope_z_per_s};
  for (std::size_t i = 0; i < 3; ++i)
    p.omega[i] = walk_step_ratio(p.omega[i], {dt / crossing, slope[i] * dt, shake[i]});
  const Relaxation in_air = touch ? Relaxation::over(in_air_s, pace.rate_per_s) : relax;
  const LevelStep level{in_air_s, in_air.reach_s, in_air.decay_factor,
                        memory_ratio(in_air_s / crossing),
                        1.0 + flight.sky.seen.level_strain_per_s(met.seen.cell) * in_air_s};
  if (p.patch.step(level, sigma, widest_patch_m(flight, p.at))) {
    const auto eddy =
        p.patch.eddy_after_ratio({p.omega[0], p.omega[1]}, {random.normal(), random.normal()});
    p.omega = {eddy[0], eddy[1], p.omega[2]};
  }
  travel(flight, p, to, touch, {met, pace, random});
}

/// What still floats at the end.
void give_up(Flight& flight, const Parcel& p) {
  if (flight.K_m2_per_s > 0.0) {
    evaporate(flight, flight.the_case.field.grid.cell_at(p.at.x_m, p.at.y_m, p.at.z_m),
              p.mass_fraction);
    return;
  }
  if (const auto cell = flight.the_case.benches.cell_below(p.at.x_m, p.at.y_m, p.at.z_m))
    flight.outcome.bench[*cell] += p.mass_fraction;
  else
    flight.outcome.floor_fraction += p.mass_fraction;
}

/// Fractional part.
double wrapped(double value) {
  return value - std::floor(value);
}

/// Parcel n of so many of one batch. Directions and moments of the burst by a lattice of rank one
/// (Roberts 2018), moved as a whole by lot.
Parcel start(const Flight& flight, std::size_t n, std::size_t count, const Placement& shift,
             Random& random) {
  const auto index = static_cast<double>(n);
  const Placement placement{
      wrapped(shift.turn_fraction + (index + 0.5) / static_cast<double>(count)),
      wrapped(shift.slice_fraction + index * 0.7548776662466927)};
  Parcel p;
  p.at = flight.surroundings.inside(
      {flight.sky.launch.x_m, flight.sky.launch.y_m, flight.sky.launch.z_m});
  p.v = p.slip = launch_velocity(flight.sky.launch, placement);
  for (double& omega : p.omega) omega = random.normal();
  p.diameter_m = flight.diameter_m;
  p.mass_fraction = p.first_mass_fraction = 1.0;
  if (flight.widest_patch_m <= 0.0) p.patch = Patch::none();
  if (flight.sky.induced.any())
    p.jet_ends_s = flight.sky.launch.jet_lasts_s *
                   (1.0 - wrapped(shift.turn_fraction + index * 0.5698402909980532));
  return p;
}

/// What batches say of the map: its sum, and the variance of that sum.
class Map {
 public:
  explicit Map(std::size_t cells) : variance_(cells, 0.0) {}

  /// @param round  one map for each batch
  void add(const std::vector<std::vector<double>>& round) {
    const auto count = static_cast<double>(round.size());
    if (round.size() < 2) return;
    for (std::size_t c = 0; c < variance_.size(); ++c) {
      double sum = 0.0, squares = 0.0;
      for (const auto& batch : round) {
        sum += batch[c];
        squares += batch[c] * batch[c];
      }
      variance_[c] += std::max(0.0, squares - sum * sum / count) * count / (count - 1.0);
    }
    known_ = true;
  }

  /// Rms over the cells that hold 95 % of the deposit.
  [[nodiscard]] double noise_ratio(const std::vector<double>& landed) const {
    const double total = std::accumulate(landed.begin(), landed.end(), 0.0);
    if (total <= 0.0) return 0.0;
    if (!known_) return 1.0;
    std::vector<std::size_t> order(landed.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return landed[a] > landed[b]; });
    double held = 0.0, sum = 0.0, cells = 0.0;
    for (const std::size_t c : order) {
      if (held >= 0.95 * total) break;
      held += landed[c];
      sum += variance_[c] / (landed[c] * landed[c]);
      cells += 1.0;
    }
    return std::sqrt(sum / cells);
  }

 private:
  std::vector<double> variance_;  ///< of the sum over all parcels
  bool known_ = false;            ///< a single batch tells nothing
};

/// Follows one batch.
void fly(Flight& flight, std::uint64_t stream, std::size_t count) {
  Random lot(flight.the_case.seed, stream);
  const Placement shift{lot.uniform(), lot.uniform()};
  for (std::size_t n = 0; n < count; ++n) {
    const std::uint64_t own = stream + 0x9E3779B97F4A7C15ULL * (n + 1);
    Random random(flight.the_case.seed, own);
    Shaker shaker(flight.the_case.seed, own);
    Parcel p = start(flight, n, count, shift, random);
    while (p.mass_fraction > 0.0 && p.age_s < longest_flight_s) move(flight, p, shaker, random);
    if (p.mass_fraction > 0.0) give_up(flight, p);
  }
}

/// Follows so many more parcels and takes the map's noise again.
void fly_round(Flight& flight, Map& map, std::uint64_t stream, std::size_t count) {
  const std::size_t several = std::min(batches, count);
  std::vector<std::vector<double>> round;
  for (std::size_t b = 0; b < several; ++b) {
    const std::vector<double> before = flight.outcome.bench;
    const std::size_t own = count / several + (b < count % several ? 1 : 0);
    fly(flight, stream + 0xD1B54A32D192ED03ULL * (b + 1), own);
    round.push_back(flight.outcome.bench);
    for (std::size_t c = 0; c < before.size(); ++c) round.back()[c] -= before[c];
  }
  flight.outcome.parcels += count;
  map.add(round);
  flight.outcome.noise_ratio = map.noise_ratio(flight.outcome.bench);
}

/// How many more parcels the map needs by its noise so far; 0 when it is good enough.
std::size_t missing_parcels(const Flight& flight) {
  const Outcome& so_far = flight.outcome;
  const auto followed = static_cast<double>(so_far.parcels);
  const double landed = so_far.bench_fraction() / followed;
  const double excess = so_far.noise_ratio / flight.the_case.enough_noise_ratio;
  const double wanted = followed * excess * excess * landed;
  if (wanted <= followed) return 0;
  // A little more than the estimate, which is itself noisy, and never a sliver.
  const double more = std::max(1.1 * wanted - followed, 0.2 * followed);
  const double most = static_cast<double>(flight.the_case.parcels) - followed;
  return static_cast<std::size_t>(std::max(0.0, std::min(more, most)));
}

void scale(Outcome& outcome) {
  const double share = 1.0 / static_cast<double>(outcome.parcels);
  for (double& cell : outcome.bench) cell *= share;
  for (double& cell : outcome.evaporated_by_air_cell) cell *= share;
  for (double* fate : {&outcome.floor_fraction, &outcome.wall_fraction, &outcome.cover_fraction,
                       &outcome.evaporated_fraction, &outcome.out_fraction})
    *fate *= share;
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
  EXPECT(a_case.enough_noise_ratio >= 0.0);
  Flight flight(a_case, launch, diameter_m, evaporation_constant_m2_per_s);
  Map map(a_case.benches.cells.size());
  const auto most = static_cast<std::size_t>(a_case.parcels);
  std::size_t count = most;
  if (a_case.enough_noise_ratio > 0.0) {
    const double guess = 5.0 / (a_case.enough_noise_ratio * a_case.enough_noise_ratio);
    count =
        std::min(most, static_cast<std::size_t>(std::clamp(guess, fewest_parcels, first_parcels)));
  }
  for (std::uint64_t round = 0; count > 0; ++round) {
    fly_round(flight, map, stream + 0xA0761D6478BD642FULL * round, count);
    count = a_case.enough_noise_ratio > 0.0 ? missing_parcels(flight) : 0;
  }
  scale(flight.outcome);
  ENSURE(std::abs(flight.outcome.total_fraction() - 1.0) <
         1e-12 + 1e-16 * static_cast<double>(flight.outcome.parcels));
  return flight.outcome;
}

}  // namespace mistwright::droplet
