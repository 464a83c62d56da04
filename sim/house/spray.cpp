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

struct Job {
  const Sprayed* spray;
  std::size_t size_class;
  std::size_t air_cell;
};

double total(const std::vector<double>& amounts) {
  double sum = 0.0;
  for (const double amount : amounts) sum += amount;
  return sum;
}

double sprayed_kg(const std::vector<Job>& jobs) {
  double sum = 0.0;
  for (const Job& job : jobs) sum += job.spray->class_kg[job.size_class];
  return sum;
}

/// A dense spray wets its own air, so that its drops dry more slowly: K falls straight from its
/// first value to nothing as the air fills, half of that on average while the drops fly, and never
/// more vapour than there is room for. Bisection for the factor on K that agrees with what it
/// evaporates.
/// @return change of the evaporated share of the water in the last pass
template <class Evaporate>
double settle_dense(const Evaporate& evaporate, double house_room_kg,
                    std::vector<double>& evaporated_kg, double water_kg) {
  double low = 0.0;
  double high = 1.0;
  double given = total(evaporated_kg);
  double change = 0.0;
  for (int pass = 0; pass < passes; ++pass) {
    const double factor = 0.5 * (low + high);
    evaporated_kg = evaporate(factor);
    change = std::abs(total(evaporated_kg) - given) / water_kg;
    given = total(evaporated_kg);
    const double allowed = std::max(0.0, 1.0 - 0.5 * given / house_room_kg);
    (factor < allowed && given < fullest_house_fraction * house_room_kg ? low : high) = factor;
  }
  evaporated_kg = evaporate(low);
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
    if (share < least_class_share) share = 0.0;
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

Landed land(Shared& shared, const droplet::SizeClasses& classes,
            const std::vector<Sprayed>& sprayed) {
  const Plan& plan = shared.plan;
  const std::size_t layers = plan.layer_sun_fraction.size();
  const Regime& regime = shared.airflow.regime(shared.devices);
  std::vector<Job> jobs;
  for (const Sprayed& spray : sprayed) {
    for (std::size_t k = 0; k < classes.count(); ++k) {
      if (spray.class_kg[k] <= 0.0) continue;
      jobs.push_back({&spray, k, plan.air.cell_at(spray.launch.x_m, spray.launch.y_m)});
    }
  }

  Landed landed;
  landed.evaporated_kg.assign(plan.fixed.cells, 0.0);
  std::vector<droplet::Outcome> outcomes(jobs.size());
  const std::vector<double> K = [&] {
    std::vector<double> by_job;
    for (const Job& job : jobs) by_job.push_back(evaporation_constant(shared, job.air_cell));
    return by_job;
  }();
  // Evaporation in flight with every K lowered by one factor: what each air cell is given.
  const auto evaporate = [&](double factor) {
    std::vector<double> by_cell(plan.fixed.cells, 0.0);
    // Only the nodes about each head's K are computed.
    std::vector<SprayKey> keys;
    std::vector<droplet::Bracket> brackets;
    for (std::size_t j = 0; j < jobs.size(); ++j) {
      const Job& job = jobs[j];
      const double diameter = classes.diameter_m[job.size_class];
      brackets.push_back(droplet::between_nodes(shared.airflow.nodes(), diameter, factor * K[j]));
      for (const std::size_t node : {brackets.back().low, brackets.back().high}) {
        keys.push_back(
            {regime.key, job.spray->launch, diameter, node, job.spray->parcels[job.size_class]});
      }
    }
    shared.airflow.ensure(keys, shared.threads);
    for (std::size_t j = 0; j < jobs.size(); ++j) {
      const Job& job = jobs[j];
      outcomes[j] =
          droplet::blend(shared.airflow.footprint(keys[2 * j]),
                         shared.airflow.footprint(keys[2 * j + 1]), brackets[j].share_fraction);
      const double mass = job.spray->class_kg[job.size_class];
      for (std::size_t c = 0; c < by_cell.size(); ++c) {
        by_cell[c] += mass * outcomes[j].evaporated_by_air_cell[c];
      }
    }
    return by_cell;
  };
  if (!jobs.empty()) {
    landed.evaporated_kg = evaporate(1.0);
    std::vector<double> room(plan.fixed.cells);
    for (std::size_t c = 0; c < room.size(); ++c) room[c] = room_kg(shared, c);
    const double house_room = total(room);
    // Thin sprays hardly change their air: one look is enough.
    if (total(landed.evaporated_kg) > thin_spray_fraction * house_room) {
      landed.last_correction_fraction =
          settle_dense(evaporate, house_room, landed.evaporated_kg, sprayed_kg(jobs));
    }
    spread_over_room(landed.evaporated_kg, room);
  }

  landed.layer_kg.assign(plan.benches.cells.size() * layers, 0.0);
  landed.medium_kg.assign(plan.benches.cells.size(), 0.0);
  landed.fate_by_class_kg.assign(water_fates, std::vector<double>(classes.count(), 0.0));
  const auto book = [&landed](WaterFate fate, std::size_t size_class, double mass) {
    landed.fate_by_class_kg[static_cast<std::size_t>(fate)][size_class] += mass;
  };
  double speed = 0.0;
  for (const double s : regime.bench_air_speed_m_per_s) speed += s;
  speed /= static_cast<double>(regime.bench_air_speed_m_per_s.size());
  for (std::size_t j = 0; j < jobs.size(); ++j) {
    const Job& job = jobs[j];
    const droplet::Outcome& outcome = outcomes[j];
    const std::size_t k = job.size_class;
    const double mass = job.spray->class_kg[k];
    const droplet::Landing share = droplet::landing(plan.canopy, classes.diameter_m[k], speed);
    double kept = 0.0;
    double passed = 0.0;
    for (std::size_t b = 0; b < outcome.bench.size(); ++b) {
      const double here = mass * outcome.bench[b];
      if (here == 0.0) continue;
      double left = here;
      for (std::size_t layer = 0; layer < layers; ++layer) {
        if (plan.layer_leaf_area_m2[b * layers + layer] <= 0.0)
          continue;  // nobody there to catch it
        const double caught = here * share.layer_share_fraction[layer];
        landed.layer_kg[b * layers + layer] += caught;
        left -= caught;
        kept += caught;
      }
      landed.medium_kg[b] += left;
      passed += left;
    }
    landed.floor_kg += mass * outcome.floor_fraction;
    landed.wall_kg += mass * outcome.wall_fraction;
    landed.cover_kg += mass * outcome.cover_fraction;
    landed.out_kg += mass * outcome.out_fraction;
    book(WaterFate::Leaves, k, kept);
    book(WaterFate::Medium, k, passed);
    book(WaterFate::Floor, k, mass * outcome.floor_fraction);
    book(WaterFate::Walls, k, mass * outcome.wall_fraction);
    book(WaterFate::Cover, k, mass * outcome.cover_fraction);
    book(WaterFate::Air, k, mass * outcome.evaporated_fraction);
    book(WaterFate::Out, k, mass * outcome.out_fraction);
  }
  return landed;
}

}  // namespace mistwright
