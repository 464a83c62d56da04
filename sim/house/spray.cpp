#include "sim/house/spray.h"

#include <algorithm>
#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/droplet/flight.h"
#include "models/units.h"

namespace mistwright {

namespace {

constexpr int passes = 6;
/// A spray cannot push its air past this: drops stop drying in saturated air.
constexpr double fullest_relative_humidity_fraction = 0.995;

/// K over a head: from the air of its cell and the cells around its bench, here its own cell.
double evaporation_constant(const Shared& shared, std::size_t cell, double added_kg) {
  const air::HouseFixed& fixed = shared.plan.fixed;
  const double cp = fixed.heat_capacity_air_J_per_kg_K;
  const double humidity = shared.air[air::state_index(cell, air::CellState::Humidity)] +
                          added_kg / fixed.air_mass_kg[cell];
  const double temperature_K = kelvin(shared.air[air::state_index(cell, air::CellState::Air)]) -
                               added_kg * fixed.latent_heat_J_per_kg / (fixed.air_mass_kg[cell] * cp);
  const double e_Pa = std::min(air::vapour_pressure_Pa(std::max(0.0, humidity), fixed.pressure_Pa),
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
    const double temperature_K = kelvin(shared.air[air::state_index(cell, air::CellState::Air)]) -
                                 added * fixed.latent_heat_J_per_kg / (fixed.air_mass_kg[cell] * cp);
    const double full = fullest_relative_humidity_fraction * air::saturation_pressure_Pa(temperature_K);
    (air::vapour_pressure_Pa(std::max(0.0, humidity), fixed.pressure_Pa) < full ? low : high) = added;
  }
  return low;
}

struct Job {
  const Sprayed* spray;
  std::size_t size_class;
  std::size_t air_cell;
};

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

Landed land(Shared& shared, const droplet::SizeClasses& classes, const std::vector<Sprayed>& sprayed) {
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
  std::vector<double> room(plan.fixed.cells);
  for (std::size_t c = 0; c < room.size(); ++c) room[c] = room_kg(shared, c);
  double total = 0.0;
  for (const Job& job : jobs) total += job.spray->class_kg[job.size_class];
  // Vapour spreads over the house within the minutes that fog hangs, so the whole house's room counts.
  double house_room = 1e-12;
  for (const double r : room) house_room += r;
  // Half of the vapour, on average, is already in the air while a drop flies.
  const auto evaporate = [&](double given_kg) {
    std::vector<double> by_cell(plan.fixed.cells, 0.0);
    // Only the nodes about each head's K are computed.
    std::vector<SprayKey> keys;
    std::vector<droplet::Bracket> brackets;
    for (const Job& job : jobs) {
      const double diameter = classes.diameter_m[job.size_class];
      const double K =
          evaporation_constant(shared, job.air_cell, 0.5 * given_kg * room[job.air_cell] / house_room);
      brackets.push_back(droplet::between_nodes(shared.airflow.nodes(), diameter, K));
      for (const std::size_t node : {brackets.back().low, brackets.back().high}) {
        keys.push_back({regime.key, job.spray->launch, diameter, node, job.spray->parcels[job.size_class]});
      }
    }
    shared.airflow.ensure(keys, shared.threads);
    for (std::size_t j = 0; j < jobs.size(); ++j) {
      const Job& job = jobs[j];
      outcomes[j] = droplet::blend(shared.airflow.footprint(keys[2 * j]), shared.airflow.footprint(keys[2 * j + 1]),
                                   brackets[j].share_fraction);
      const double mass = job.spray->class_kg[job.size_class];
      for (std::size_t c = 0; c < by_cell.size(); ++c) {
        by_cell[c] += mass * outcomes[j].evaporated_by_air_cell[c];
      }
    }
    return by_cell;
  };
  if (!jobs.empty()) {
    // The evaporated mass x solves x = g(x) with g falling: bisection between nothing and what the air can take.
    double low = 0.0;
    double high = std::max(house_room, 1e-12);
    double previous = -1.0;
    for (int pass = 0; pass < passes; ++pass) {
      const double guess = pass == 0 ? 0.0 : 0.5 * (low + high);
      const std::vector<double> by_cell = evaporate(guess);
      double given = 0.0;
      for (const double g : by_cell) given += g;
      landed.evaporated_kg = by_cell;
      if (previous >= 0.0) landed.last_correction_fraction = std::abs(given - previous) / total;
      previous = given;
      if (pass == 0) {
        // Thin sprays hardly change their air: one look is enough.
        if (given < 0.02 * house_room) break;
        high = std::min(high, given);
      } else {
        (given > guess ? low : high) = guess;
      }
    }
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
        if (plan.layer_leaf_area_m2[b * layers + layer] <= 0.0) continue;  // nobody there to catch it
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
