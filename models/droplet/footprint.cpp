#include "models/droplet/footprint.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <memory>
#include <numeric>

#include "models/contracts.h"
#include "models/droplet/arrivals.h"
#include "models/droplet/lanes.h"

namespace mistwright::droplet {

namespace {

/// Patches wider than a leaf's surroundings would blur what the air does from place to place.
constexpr double widest_patch_of_all_m = 0.15;
constexpr std::size_t batches = 8;
/// Parcels after which the noise is looked at: a guess at what is needed, between these.
constexpr double fewest_parcels = 80.0, first_parcels = 320.0;

/// All that parcels of one footprint share, and what they add to.
struct Flight {
  Flight(const FootprintCase& a_case, const Launch& launch, double diameter, double K)
      : the_case(a_case), diameter_m(diameter), flying(a_case, launch, K), arrivals(a_case) {
    if (a_case.patches && a_case.house.sheets.empty())
      flying.widest_patch_m = std::min(a_case.benches.edge_m, widest_patch_of_all_m);
    flying.clearance_m = arrivals.surroundings.clearances_m(
        a_case.field.grid, patch_reach_width_ratio * flying.widest_patch_m);
    flying.open_air = arrivals.surroundings.open_air();
    for (std::size_t c = 0; c < flying.clearance_m.size(); ++c)
      if (flying.sky.seen.leak_per_s(c) > 0.0) flying.clearance_m[c] = -1.0;
  }

  const FootprintCase& the_case;
  double diameter_m;
  Flying flying;
  Arrivals arrivals;
};

/// One batch of a round: parcels that know nothing of another batch's.
struct Batch {
  std::uint64_t stream;
  std::size_t count;
  Placement shift;
  std::vector<double> landed;
};

/// What batches say of the map: its sum, and the variance of that sum.
class Map {
 public:
  explicit Map(std::size_t cells) : variance_(cells, 0.0) {}

  /// @param round  all its batches
  void add(const std::vector<Batch>& round) {
    const auto count = static_cast<double>(round.size());
    if (round.size() < 2) return;
    for (std::size_t c = 0; c < variance_.size(); ++c) {
      double sum = 0.0, squares = 0.0;
      for (const Batch& batch : round) {
        sum += batch.landed[c];
        squares += batch.landed[c] * batch.landed[c];
      }
      variance_[c] += std::max(0.0, squares - sum * sum / count) * count / (count - 1.0);
    }
    known_ = true;
  }

  /// See Outcome::noise_ratio.
  [[nodiscard]] double noise_ratio(const Outcome& outcome) const {
    if (!known_) return outcome.bench_fraction() > 0.0 ? 1.0 : 0.0;
    return outcome.deposit_noise_ratio(variance_);
  }

 private:
  std::vector<double> variance_;  ///< of the sum over all parcels
  bool known_ = false;            ///< a single batch tells nothing
};

/// Flies parcels side by side until none is left.
template <std::size_t W>
class Crowd {
 public:
  Crowd(Flight& flight, std::vector<Batch>& round)
      : flight_(flight),
        round_(round),
        head_(flight.arrivals.surroundings.inside(flight.flying.sky.head())),
        lanes_(flight.flying, flight.the_case.seed),
        random_(W, Random(0, 0)) {
    for (std::size_t l = 0; l < W; ++l) {
      enter(l);
      if ((here_ >> l & 1U) == 0) lanes_.start(l, lanes_.get(0), 0);
    }
  }

  void fly() {
    const bool drying = flight_.flying.K_m2_per_s > 0.0;
    while (flown_ > 0) {
      look(lanes_);
      go(lanes_);
      each(lanes_.near_lanes(), [&](std::size_t l) { look_ahead(l); });
      droplet::arrive(lanes_);
      flight_.arrivals.outcome.steps += flown_;
      each(~here_ & all_lanes, [&](std::size_t l) { lanes_.park(l); });
      if (drying)
        each(here_, [&](std::size_t l) {
          flight_.arrivals.evaporate(lanes_.cell[l], lanes_.evaporated[l]);
        });
      each(lanes_.closer_lanes() & here_, [&](std::size_t l) { arrive(l); });
    }
  }

 private:
  /// Calls for each lane whose bit is set, from the first.
  template <class Call>
  static void each(std::uint32_t lanes, const Call& call) {
    for (; lanes != 0; lanes &= lanes - 1) call(static_cast<std::size_t>(std::countr_zero(lanes)));
  }
  /// The next parcel takes a lane; without one the lane flies on with nothing in it.
  void enter(std::size_t l) {
    while (batch_ < round_.size() && next_ == round_[batch_].count) {
      ++batch_;
      next_ = 0;
    }
    const std::uint32_t bit = 1U << l;
    here_ = batch_ < round_.size() ? here_ | bit : here_ & ~bit;
    if ((here_ & bit) == 0) return;
    const Batch& batch = round_[batch_];
    const std::uint64_t own = batch.stream + 0x9E3779B97F4A7C15ULL * (next_ + 1);
    random_[l] = Random(flight_.the_case.seed, own);
    lanes_.start(l,
                 launched(flight_.flying, head_, flight_.diameter_m,
                          turn_on_lattice(next_, batch.count, batch.shift), random_[l]),
                 own);
    of_batch_[l] = batch_;
    ++next_;
    ++flown_;
  }

  void leave(std::size_t l) {
    --flown_;
    enter(l);
  }

  void look_ahead(std::size_t l) {
    touch_[l].reset();
    const auto touch = flight_.arrivals.surroundings.first_contact(lanes_.at(l), lanes_.to(l));
    if (!touch) return;
    lanes_.touch_after(l, touch->share_fraction * lanes_.dt_s[l]);
    touch_[l] = touch;
  }

  void arrive(std::size_t l) {
    Arrivals& arrivals = flight_.arrivals;
    arrivals.landed = &round_[of_batch_[l]].landed;
    if (lanes_.mass[l] <= 0.0) return leave(l);
    const double leak = flight_.flying.sky.seen.leak_per_s(lanes_.cell[l]);
    if (leak > 0.0) {
      const double stays = std::exp(-leak * lanes_.dt_s[l]);
      arrivals.outcome.out_fraction += lanes_.mass[l] * (1.0 - stays);
      lanes_.mass[l] *= stays;
    }
    if (lanes_.stopped[l] > 0.5) stop_growing(l);
    if (lanes_.spare_m[l] <= 0.0)
      travel(l);
    else
      lanes_.reach(l);
    if (lanes_.mass[l] <= 0.0) return leave(l);
    if (lanes_.age_s[l] < longest_flight_s) return;
    arrivals.give_up(lanes_.get(l), flight_.flying.K_m2_per_s > 0.0);
    leave(l);
  }

  void stop_growing(std::size_t l) {
    Parcel p = lanes_.get(l);
    const double first = random_[l].normal();
    const auto eddy =
        p.patch.eddy_after_ratio({p.omega[0], p.omega[1]}, {first, random_[l].normal()});
    p.omega = {eddy[0], eddy[1], p.omega[2]};
    lanes_.put(l, p);
  }

  void travel(std::size_t l) {
    if (!touch_[l] && !flight_.arrivals.sinks_past_a_bench(lanes_.z_m[l], lanes_.to_z[l]))
      return lanes_.reach(l);
    Parcel p = lanes_.get(l);
    const Point to = lanes_.to(l);
    const double mass = p.mass_fraction;
    flight_.arrivals.travel(p, to, touch_[l], {lanes_.approach(l), random_[l]});
    if (!touch_[l] && p.mass_fraction == mass)
      lanes_.reach(l);
    else
      lanes_.put(l, p);
  }

  Flight& flight_;
  std::vector<Batch>& round_;
  Point head_;
  Lanes<W> lanes_;
  std::vector<Random> random_;
  std::array<std::optional<Contact>, W> touch_ = {};
  std::array<std::size_t, W> of_batch_ = {};
  static constexpr std::uint32_t all_lanes = (1U << W) - 1U;
  std::uint32_t here_ = 0;  ///< the lanes in which a parcel flies
  std::size_t batch_ = 0, next_ = 0;
  std::size_t flown_ = 0;
};

template <std::size_t W>
void fly(Flight& flight, std::vector<Batch>& round) {
  std::make_unique<Crowd<W>>(flight, round)->fly();
}

/// Follows so many more parcels and takes the map's noise again.
void fly_round(Flight& flight, Map& map, std::uint64_t stream, std::size_t count) {
  const std::size_t several = std::min(batches, count);
  std::vector<Batch> round;
  for (std::size_t b = 0; b < several; ++b) {
    const std::uint64_t own = stream + 0xD1B54A32D192ED03ULL * (b + 1);
    Random lot(flight.the_case.seed, own);
    const double turn = lot.uniform();
    round.push_back({own,
                     count / several + (b < count % several ? 1 : 0),
                     {turn, lot.uniform()},
                     std::vector<double>(flight.the_case.benches.cells.size(), 0.0)});
  }
  if (flight.the_case.side_by_side == 1)
    fly<1>(flight, round);
  else
    fly<16>(flight, round);
  Outcome& outcome = flight.arrivals.outcome;
  for (const Batch& batch : round)
    for (std::size_t c = 0; c < outcome.bench.size(); ++c) outcome.bench[c] += batch.landed[c];
  outcome.parcels += count;
  map.add(round);
  outcome.noise_ratio = map.noise_ratio(outcome);
}

/// How many more parcels the map needs by its noise so far; 0 when it is good enough.
std::size_t missing_parcels(const Flight& flight) {
  const Outcome& so_far = flight.arrivals.outcome;
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
  for (const Fate fate : fates)
    if (fate != Fate::Bench) outcome.fate_fraction(fate) *= share;
}

}  // namespace

double Outcome::bench_fraction() const {
  return std::accumulate(bench.begin(), bench.end(), 0.0);
}

double Outcome::deposit_noise_ratio(const std::vector<double>& variance) const {
  EXPECT(variance.size() == bench.size());
  std::vector<std::size_t> order(bench.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return bench[a] > bench[b]; });
  const double most = 0.95 * bench_fraction();
  double held = 0.0, sum = 0.0, cells = 0.0;
  for (const std::size_t c : order) {
    if (held >= most || bench[c] <= 0.0) break;
    held += bench[c];
    sum += variance[c] / (bench[c] * bench[c]);
    cells += 1.0;
  }
  return cells > 0.0 ? std::sqrt(sum / cells) : 0.0;
}

double& Outcome::fate_fraction(Fate fate) {
  EXPECT(fate != Fate::Bench);
  switch (fate) {
    case Fate::Wall:
      return wall_fraction;
    case Fate::Cover:
      return cover_fraction;
    case Fate::Evaporated:
      return evaporated_fraction;
    case Fate::Out:
      return out_fraction;
    default:
      return floor_fraction;
  }
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
  EXPECT(a_case.side_by_side == 1 || a_case.side_by_side == 16);
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
  scale(flight.arrivals.outcome);
  ENSURE(std::abs(flight.arrivals.outcome.total_fraction() - 1.0) <
         1e-12 + 1e-16 * static_cast<double>(flight.arrivals.outcome.parcels));
  return flight.arrivals.outcome;
}

}  // namespace mistwright::droplet
