#include "sim/house/spray.h"

#include <algorithm>
#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/droplet/flight.h"
#include "models/units.h"

namespace mistwright {

namespace {

constexpr int passes = 12;
/// Heads low over the leaves still spray through some air.
constexpr double least_fall_m = 0.1;
/// Share of the room for vapour below which a spray leaves its own evaporation alone.
constexpr double thin_spray_fraction = 0.02;
/// Fullest that a spray can make the air: the last of the room fills ever more slowly.
constexpr double fullest_house_fraction = 0.95;
/// A spray cannot push its air past this: drops stop drying in saturated air.
constexpr double fullest_relative_humidity_fraction = 0.995;

/// K of the air over a head, before the burst.
double evaporation_constant(const Shared& shared, std::size_t cell) {
  const air::HouseFixed& fixed = shared.plan.fixed;
  const double humidity = shared.air[air::state_index(cell, air::CellState::Humidity)];
  const double temperature_K = kelvin(shared.air[air::state_index(cell, air::CellState::Air)]);
  const double e_Pa =
      std::min(air::vapour_pressure_Pa(std::max(0.0, humidity), fixed.pressure_Pa),
               fullest_relative_humidity_fraction * air::saturation_pressure_Pa(temperature_K));
  return droplet::evaporation_constant_m2_per_s({temperature_K, e_Pa, fixed.pressure_Pa});
}

/// Vapour that an air cell takes before it is full, cooling as it fills [kg].
double room_kg(const Shared& shared, std::size_t cell) {
  const air::HouseFixed& fixed = shared.plan.fixed;
  const double cp = fixed.heat_capacity_air_J_per_kg_K;
  double low = 0.0;
  double high = 0.05 * fixed.air_mass_kg[cell];
  for (int i = 0; i < 40; ++i) {
    const double added = 0.5 * (low + high);
    const double humidity = shared.air[air::state_index(cell, air::CellState::Humidity)] +
                            added / fixed.air_mass_kg[cell];
    const double temperature_K =
        kelvin(shared.air[air::state_index(cell, air::CellState::Air)]) -
        added * fixed.latent_heat_J_per_kg / (fixed.air_mass_kg[cell] * cp);
    const double full =
        fullest_relative_humidity_fraction * air::saturation_pressure_Pa(temperature_K);
    (air::vapour_pressure_Pa(std::max(0.0, humidity), fixed.pressure_Pa) < full ? low : high) =
        added;
  }
  return low;
}

/// One size class of one head.
struct Job {
  const Sprayed* spray;
  std::size_t size_class;
  double K_m2_per_s;  ///< of the air over the head, before the burst
  [[nodiscard]] double mass_kg() const { return spray->class_kg[size_class]; }
};

double total(const std::vector<double>& amounts) {
  double sum = 0.0;
  for (const double amount : amounts) sum += amount;
  return sum;
}

double sprayed_kg(const std::vector<Job>& jobs) {
  double sum = 0.0;
  for (const Job& job : jobs) sum += job.mass_kg();
  return sum;
}

/// Vapour for which the drops of each class find room while they fly [kg]: the air of the wetted
/// circles from head to leaf, and what the regime carries through them during burst and fall, but
/// no more than the house has. Fog floats long enough to meet the whole house; mist lands after a
/// second or two, in air that the drops before it have wetted. Derived. Left out: circles that
/// overlap count twice.
std::vector<double> class_room_kg(const Shared& shared, const droplet::SizeClasses& classes,
                                  const std::vector<Sprayed>& sprayed,
                                  const std::vector<double>& cell_room_kg,
                                  double air_speed_m_per_s) {
  const Plan& plan = shared.plan;
  std::vector<double> room_kg(classes.count(), 0.0);
  for (const Sprayed& spray : sprayed) {
    const double wide_m =
        shared.house.head_types[shared.house.heads[spray.head].type].wetted_diameter_m;
    const std::size_t cell = plan.air.cell_at(spray.launch.x_m, spray.launch.y_m);
    const auto under = plan.benches.cell_at(spray.launch.x_m, spray.launch.y_m);
    const double leaves_m =
        under ? plan.benches.blocks[plan.benches.cells[*under].bench].rect.height_m : 0.0;
    const double fall_m = std::max(least_fall_m, spray.launch.z_m - leaves_m);
    const double room_kg_per_m3 =
        cell_room_kg[cell] / plan.fixed.air_mass_kg[cell] * plan.air_density_kg_per_m3;
    for (std::size_t k = 0; k < classes.count(); ++k) {
      const double time_s = spray.spray_s + fall_m / droplet::terminal_velocity_m_per_s(
                                                         classes.diameter_m[k], plan.drop_air);
      room_kg[k] +=
          room_kg_per_m3 * fall_m * wide_m * (0.25 * pi * wide_m + air_speed_m_per_s * time_s);
    }
  }
  const double house_room_kg = total(cell_room_kg);
  for (double& room : room_kg) room = std::min(room, house_room_kg);
  return room_kg;
}

/// Mean of K through a burst, over its first value: K falls straight from that to nothing as the
/// air fills, so that the share y of the room taken follows dy/dt = (1 - y) / tau and the mean of
/// 1 - y is y / -ln(1 - y). Derived.
double mean_drying_factor(double share_filled_fraction) {
  constexpr double thin = 1e-6;
  if (share_filled_fraction < thin) return 1.0;
  if (share_filled_fraction >= 1.0) return 0.0;
  return -share_filled_fraction / std::log1p(-share_filled_fraction);
}

/// A dense spray wets its own air, so that its drops dry more slowly. Bisection for the vapour
/// given off that agrees with what the drops then give off.
/// @param most_kg  for which the house has room
/// @return share of the water by which the two still differ
template <class Burst>
double settle_dense(Burst& burst, const std::vector<double>& room_kg, double most_kg) {
  std::vector<double> factors(room_kg.size());
  const auto give = [&](double given_kg) {
    for (std::size_t k = 0; k < factors.size(); ++k) {
      factors[k] = room_kg[k] > 0.0 ? mean_drying_factor(given_kg / room_kg[k]) : 0.0;
    }
    return total(burst.evaporate(factors));
  };
  double low_kg = 0.0;
  double high_kg = std::min(most_kg, sprayed_kg(burst.jobs()));
  for (int pass = 0; pass < passes; ++pass) {
    const double given_kg = 0.5 * (low_kg + high_kg);
    (give(given_kg) > given_kg ? low_kg : high_kg) = given_kg;
  }
  const double given_kg = give(high_kg);
  if (given_kg <= most_kg) return std::abs(given_kg - high_kg) / sprayed_kg(burst.jobs());
  // Fog fills the house before it is gone: the rest of it drifts on in full air.
  burst.dry_only(most_kg / given_kg);
  return 0.0;
}

/// Vapour that an air cell has no room for goes where there is: fog drifts on while it dries.
void spread_over_room(std::vector<double>& evaporated_kg, const std::vector<double>& room_kg) {
  double excess = 0.0;
  double left = 0.0;
  for (std::size_t c = 0; c < room_kg.size(); ++c) {
    const double most = fullest_house_fraction * room_kg[c];
    excess += std::max(0.0, evaporated_kg[c] - most);
    left += std::max(0.0, most - evaporated_kg[c]);
  }
  if (excess <= 0.0 || left <= 0.0) return;
  const double share = std::min(1.0, excess / left);
  const double kept = excess - share * left;  // when the whole house is full: stays where it was
  for (std::size_t c = 0; c < room_kg.size(); ++c) {
    const double most = fullest_house_fraction * room_kg[c];
    const double over = evaporated_kg[c] - most;
    evaporated_kg[c] = over > 0.0 ? most + over * (kept / excess) : evaporated_kg[c] - share * over;
  }
}

}  // namespace

std::vector<double> class_shares(const water::HeadType& type, double pressure_Pa,
                                 const droplet::SizeClasses& classes) {
  std::vector<double> shares =
      droplet::volume_fractions(droplet::spectrum_at(type, pressure_Pa), classes);
  double kept = 0.0;
  for (double& share : shares) {
    if (share < least_class_share_fraction) share = 0.0;
    kept += share;
  }
  for (double& share : shares) share /= kept;
  return shares;
}

std::vector<double> class_noise(const std::vector<double>& shares, double deposit_noise_ratio) {
  constexpr double step_ratio = 1.2;
  std::vector<double> noise;
  for (const double share : shares) {
    const double steps = std::log(1.0 / std::sqrt(std::max(share, least_class_share_fraction)));
    noise.push_back(deposit_noise_ratio *
                    std::pow(step_ratio, std::floor(steps / std::log(step_ratio))));
  }
  return noise;
}

namespace {

/// The footprints of one burst, read at any factors on the air's K.
class Flight {
 public:
  Flight(Shared& shared, const droplet::SizeClasses& classes, const std::vector<Sprayed>& sprayed)
      : shared_(shared), classes_(classes), regime_(shared.airflow.regime(shared.devices)) {
    for (const Sprayed& spray : sprayed) {
      const std::size_t cell = shared.plan.air.cell_at(spray.launch.x_m, spray.launch.y_m);
      for (std::size_t k = 0; k < classes.count(); ++k) {
        if (spray.class_kg[k] <= 0.0) continue;
        jobs_.push_back({&spray, k, evaporation_constant(shared, cell)});
      }
    }
  }

  [[nodiscard]] const std::vector<Job>& jobs() const { return jobs_; }
  [[nodiscard]] const Regime& regime() const { return regime_; }
  [[nodiscard]] const std::vector<droplet::Outcome>& outcomes() const { return outcomes_; }

  /// Flies the burst with the K of each class lowered by its factor.
  /// @return vapour given to each air cell [kg]
  std::vector<double> evaporate(const std::vector<double>& factors) {
    // Only the nodes about each head's K are computed.
    std::vector<SprayKey> keys;
    std::vector<double> shares;
    keys.reserve(2 * jobs_.size());
    shares.reserve(jobs_.size());
    for (const Job& job : jobs_) {
      const double diameter = classes_.diameter_m[job.size_class];
      const auto bracket = droplet::between_nodes(shared_.airflow.nodes(), diameter,
                                                  factors[job.size_class] * job.K_m2_per_s);
      shares.push_back(bracket.share_fraction);
      for (const std::size_t node : {bracket.low, bracket.high}) {
        keys.push_back({regime_.key, job.spray->launch, diameter, node,
                        job.spray->enough_noise_ratio[job.size_class]});
      }
    }
    shared_.airflow.ensure(keys, shared_.threads);
    outcomes_.clear();
    drying_kg_m2_per_s_ = 0.0;
    for (std::size_t j = 0; j < jobs_.size(); ++j) {
      const Job& job = jobs_[j];
      drying_kg_m2_per_s_ += job.mass_kg() * factors[job.size_class] * job.K_m2_per_s;
      outcomes_.push_back(droplet::blend(shared_.airflow.footprint(keys[2 * j]),
                                         shared_.airflow.footprint(keys[2 * j + 1]), shares[j]));
    }
    return vapour_kg();
  }

  /// Only this share of the water keeps its last flight; the rest flies in air too wet to dry it.
  void dry_only(double share_fraction) {
    const std::vector<droplet::Outcome> drying = outcomes_;
    const double kept_kg_m2_per_s = share_fraction * drying_kg_m2_per_s_;
    evaporate(std::vector<double>(classes_.count(), 0.0));
    drying_kg_m2_per_s_ = kept_kg_m2_per_s;
    for (std::size_t j = 0; j < outcomes_.size(); ++j) {
      outcomes_[j] = droplet::blend(outcomes_[j], drying[j], share_fraction);
    }
  }

  /// Water times the K that it met in the last flight.
  [[nodiscard]] double drying_kg_m2_per_s() const { return drying_kg_m2_per_s_; }

  /// Vapour that the last flight gives to each air cell [kg].
  [[nodiscard]] std::vector<double> vapour_kg() const {
    std::vector<double> by_cell(shared_.plan.fixed.cells, 0.0);
    for (std::size_t j = 0; j < jobs_.size(); ++j) {
      for (std::size_t c = 0; c < by_cell.size(); ++c) {
        by_cell[c] += jobs_[j].mass_kg() * outcomes_[j].evaporated_by_air_cell[c];
      }
    }
    return by_cell;
  }

 private:
  Shared& shared_;
  const droplet::SizeClasses& classes_;
  const Regime& regime_;
  std::vector<Job> jobs_;
  std::vector<droplet::Outcome> outcomes_;
  double drying_kg_m2_per_s_ = 0.0;
};

/// Shares what came down on the benches between leaves and medium.
/// @param group  of the drops' size
/// @return water kept by leaves, and passed to the medium [kg]
std::pair<double, double> share_out(const Plan& plan, const droplet::Outcome& outcome,
                                    const droplet::Landing& share, double mass_kg,
                                    std::size_t group, Landed& landed) {
  const std::size_t layers = plan.layer_sun_fraction.size();
  double kept = 0.0;
  double passed = 0.0;
  for (std::size_t b = 0; b < outcome.bench.size(); ++b) {
    const double here = mass_kg * outcome.bench[b];
    if (here == 0.0) continue;
    double left = here;
    for (std::size_t layer = 0; layer < layers; ++layer) {
      if (plan.layer_leaf_area_m2[b * layers + layer] <= 0.0) continue;  // nobody there to catch it
      const double caught = here * share.layer_share_fraction[layer];
      landed.layer_kg[b * layers + layer] += caught;
      left -= caught;
      kept += caught;
    }
    landed.medium_kg[b] += left;
    landed.leaves_by_size_kg[group * outcome.bench.size() + b] += here - left;
    passed += left;
  }
  return {kept, passed};
}

/// Noise of what heads land: that of each head's map, whose classes know nothing of each other, as
/// a mean of squares by the water landed. Where heads overlap there is less.
class DepositNoise {
 public:
  explicit DepositNoise(std::size_t heads) : landed_kg_(heads, 0.0), squares_kg2_(heads, 0.0) {}
  void add(std::size_t head, double landed_kg, double noise_ratio) {
    landed_kg_[head] += landed_kg;
    squares_kg2_[head] += landed_kg * landed_kg * noise_ratio * noise_ratio;
  }
  [[nodiscard]] double ratio() const {
    double sum = 0.0;
    for (std::size_t h = 0; h < landed_kg_.size(); ++h)
      if (landed_kg_[h] > 0.0) sum += squares_kg2_[h] / landed_kg_[h];
    const double landed = total(landed_kg_);
    return landed > 0.0 ? std::sqrt(sum / landed) : 0.0;
  }

 private:
  std::vector<double> landed_kg_, squares_kg2_;
};

double mean_bench_air_speed_m_per_s(const Regime& regime) {
  return total(regime.bench_air_speed_m_per_s) /
         static_cast<double>(regime.bench_air_speed_m_per_s.size());
}

}  // namespace

Landed land(Shared& shared, const droplet::SizeClasses& classes,
            const std::vector<Sprayed>& sprayed) {
  const Plan& plan = shared.plan;
  Flight flight(shared, classes, sprayed);
  Landed landed;
  const double speed = mean_bench_air_speed_m_per_s(flight.regime());
  std::vector<double> room(plan.fixed.cells);
  for (std::size_t c = 0; c < room.size(); ++c) room[c] = room_kg(shared, c);
  const std::vector<double> class_room = class_room_kg(shared, classes, sprayed, room, speed);
  const double given = total(flight.evaporate(std::vector<double>(classes.count(), 1.0)));
  // Thin sprays hardly change their air: one look is enough.
  if (given > thin_spray_fraction * *std::min_element(class_room.begin(), class_room.end())) {
    landed.last_correction_fraction =
        settle_dense(flight, class_room, fullest_house_fraction * total(room));
  }
  landed.drying_kg_m2_per_s = flight.drying_kg_m2_per_s();
  landed.evaporated_kg = flight.vapour_kg();
  spread_over_room(landed.evaporated_kg, room);

  landed.layer_kg.assign(plan.layer_leaf_area_m2.size(), 0.0);
  landed.medium_kg.assign(plan.benches.cells.size(), 0.0);
  landed.leaves_by_size_kg.assign(size_groups * plan.benches.cells.size(), 0.0);
  landed.fate_by_class_kg.assign(water_fates, std::vector<double>(classes.count(), 0.0));
  droplet::Canopy canopy = plan.canopy;
  canopy.doubt_ratio = shared.house.crop.impaction_doubt_ratio;
  DepositNoise noise(shared.house.heads.size());
  for (std::size_t j = 0; j < flight.jobs().size(); ++j) {
    const Job& job = flight.jobs()[j];
    const droplet::Outcome& outcome = flight.outcomes()[j];
    const double mass = job.mass_kg();
    const auto book = [&](WaterFate fate, double kg) {
      landed.fate_by_class_kg[static_cast<std::size_t>(fate)][job.size_class] += kg;
      return kg;
    };
    const droplet::Landing share =
        droplet::landing(canopy, classes.diameter_m[job.size_class], speed);
    const auto [kept, passed] = share_out(
        plan, outcome, share, mass, size_group_of(classes.diameter_m[job.size_class]), landed);
    book(WaterFate::Leaves, kept);
    book(WaterFate::Medium, passed);
    book(WaterFate::Air, mass * outcome.evaporated_fraction);
    noise.add(job.spray->head, kept + passed, outcome.noise_ratio);
    landed.floor_kg += book(WaterFate::Floor, mass * outcome.floor_fraction);
    landed.wall_kg += book(WaterFate::Walls, mass * outcome.wall_fraction);
    landed.cover_kg += book(WaterFate::Cover, mass * outcome.cover_fraction);
    landed.out_kg += book(WaterFate::Out, mass * outcome.out_fraction);
  }
  landed.noise_ratio = noise.ratio();
  return landed;
}

std::vector<double> landed_kg_per_m2(const Plan& plan, const Landed& landed) {
  const std::size_t layers = plan.layer_sun_fraction.size();
  std::vector<double> of_cells(plan.benches.cells.size());
  for (std::size_t b = 0; b < of_cells.size(); ++b) {
    double kg = landed.medium_kg[b];
    for (std::size_t layer = 0; layer < layers; ++layer) kg += landed.layer_kg[b * layers + layer];
    of_cells[b] = kg / plan.benches.cells[b].area_m2;
  }
  return of_cells;
}

}  // namespace mistwright
