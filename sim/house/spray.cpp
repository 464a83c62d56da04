#include "sim/house/spray.h"

#include <algorithm>
#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/droplet/flight.h"
#include "models/units.h"

namespace mistwright {

namespace {

constexpr int passes = 8;
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

/// A dense spray wets its own air, so that its drops dry more slowly: K falls straight from its
/// first value to nothing as the air fills, half of that on average while the drops fly, and never
/// more vapour than there is room for. Bisection for the factor on K that agrees with what it
/// evaporates.
/// @return change of the evaporated share of the water in the last pass
template <class Burst>
double settle_dense(Burst& burst, double house_room_kg, std::vector<double>& evaporated_kg,
                    double water_kg) {
  double low = 0.0;
  double high = 1.0;
  double given = total(evaporated_kg);
  double change = 0.0;
  for (int pass = 0; pass < passes; ++pass) {
    const double factor = 0.5 * (low + high);
    evaporated_kg = burst.evaporate(factor);
    change = std::abs(total(evaporated_kg) - given) / water_kg;
    given = total(evaporated_kg);
    const double allowed = std::max(0.0, 1.0 - 0.5 * given / house_room_kg);
    (factor < allowed && given < fullest_house_fraction * house_room_kg ? low : high) = factor;
  }
  evaporated_kg = burst.evaporate(low);
  return change;
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

std::vector<int> class_parcels(const std::vector<double>& shares, int parcels_per_class) {
  constexpr int fewest = 100;
  std::vector<int> parcels;
  for (const double share : shares) {
    const double fair = std::min(1.0, std::sqrt(share * static_cast<double>(shares.size())));
    parcels.push_back(std::max(fewest, static_cast<int>(std::lround(fair * parcels_per_class))));
  }
  return parcels;
}

namespace {

/// The footprints of one burst, read at any common factor on the air's K.
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

  /// Flies the burst with every K lowered by one factor.
  /// @return vapour given to each air cell [kg]
  std::vector<double> evaporate(double factor) {
    // Only the nodes about each head's K are computed.
    std::vector<SprayKey> keys;
    std::vector<double> shares;
    keys.reserve(2 * jobs_.size());
    shares.reserve(jobs_.size());
    for (const Job& job : jobs_) {
      const double diameter = classes_.diameter_m[job.size_class];
      const auto bracket =
          droplet::between_nodes(shared_.airflow.nodes(), diameter, factor * job.K_m2_per_s);
      shares.push_back(bracket.share_fraction);
      for (const std::size_t node : {bracket.low, bracket.high}) {
        keys.push_back(
            {regime_.key, job.spray->launch, diameter, node, job.spray->parcels[job.size_class]});
      }
    }
    shared_.airflow.ensure(keys, shared_.threads);
    outcomes_.clear();
    std::vector<double> by_cell(shared_.plan.fixed.cells, 0.0);
    for (std::size_t j = 0; j < jobs_.size(); ++j) {
      outcomes_.push_back(droplet::blend(shared_.airflow.footprint(keys[2 * j]),
                                         shared_.airflow.footprint(keys[2 * j + 1]), shares[j]));
      for (std::size_t c = 0; c < by_cell.size(); ++c) {
        by_cell[c] += jobs_[j].mass_kg() * outcomes_.back().evaporated_by_air_cell[c];
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
};

/// Shares what came down on the benches between leaves and medium.
/// @return water kept by leaves, and passed to the medium [kg]
std::pair<double, double> share_out(const Plan& plan, const droplet::Outcome& outcome,
                                    const droplet::Landing& share, double mass_kg, Landed& landed) {
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
    passed += left;
  }
  return {kept, passed};
}

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
  landed.evaporated_kg = flight.evaporate(1.0);
  std::vector<double> room(plan.fixed.cells);
  for (std::size_t c = 0; c < room.size(); ++c) room[c] = room_kg(shared, c);
  const double house_room = total(room);
  // Thin sprays hardly change their air: one look is enough.
  if (total(landed.evaporated_kg) > thin_spray_fraction * house_room) {
    landed.last_correction_fraction =
        settle_dense(flight, house_room, landed.evaporated_kg, sprayed_kg(flight.jobs()));
  }
  spread_over_room(landed.evaporated_kg, room);

  landed.layer_kg.assign(plan.layer_leaf_area_m2.size(), 0.0);
  landed.medium_kg.assign(plan.benches.cells.size(), 0.0);
  landed.fate_by_class_kg.assign(water_fates, std::vector<double>(classes.count(), 0.0));
  const double speed = mean_bench_air_speed_m_per_s(flight.regime());
  for (std::size_t j = 0; j < flight.jobs().size(); ++j) {
    const Job& job = flight.jobs()[j];
    const droplet::Outcome& outcome = flight.outcomes()[j];
    const double mass = job.mass_kg();
    const auto book = [&](WaterFate fate, double kg) {
      landed.fate_by_class_kg[static_cast<std::size_t>(fate)][job.size_class] += kg;
      return kg;
    };
    const droplet::Landing share =
        droplet::landing(plan.canopy, classes.diameter_m[job.size_class], speed);
    const auto [kept, passed] = share_out(plan, outcome, share, mass, landed);
    book(WaterFate::Leaves, kept);
    book(WaterFate::Medium, passed);
    book(WaterFate::Air, mass * outcome.evaporated_fraction);
    landed.floor_kg += book(WaterFate::Floor, mass * outcome.floor_fraction);
    landed.wall_kg += book(WaterFate::Walls, mass * outcome.wall_fraction);
    landed.cover_kg += book(WaterFate::Cover, mass * outcome.cover_fraction);
    landed.out_kg += book(WaterFate::Out, mass * outcome.out_fraction);
  }
  return landed;
}

}  // namespace mistwright
