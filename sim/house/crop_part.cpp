#include "sim/house/crop_part.h"

#include <algorithm>
#include <cmath>
#include <span>

#include "models/leaf/film.h"
#include "models/medium/medium.h"
#include "models/parallel.h"
#include "models/units.h"
#include "sim/house/canopy.h"
#include "sim/house/representatives.h"

namespace mistwright {

CropPart::CropPart(Shared& shared) : shared_(shared) {
  const Plan& plan = shared.plan;
  const std::size_t count = plan.leaves.count();
  const std::size_t layers = plan.layer_sun_fraction.size();
  for (auto* list : {&leaves_.depth_m, &leaves_.dry_s, &leaves_.spell_s, &leaves_.longest_spell_s,
                     &leaves_.deposit_m, &leaves_.runoff_m, &leaves_.evaporated_m}) {
    list->assign(count, 0.0);
  }
  // Cuttings are watered in when they are stuck: every leaf starts as wet as it can be.
  leaves_.depth_m.assign(count, shared.film.capacity_m);
  start_films_kg_ = films_kg();
  const std::size_t cells = plan.benches.cells.size();
  const double start_m = shared.house.medium.start_water_fraction * shared.house.medium.depth_m;
  medium_.water_m.assign(cells, start_m);
  for (auto* list : {&medium_.soggy_s, &medium_.drained_m, &medium_.mist_m, &medium_.leaves_mist_m,
                     &medium_.demand_m}) {
    list->assign(cells, 0.0);
  }
  start_medium_kg_ = medium_kg();
  given_kg_.assign(plan.classes.size(), 0.0);
  medium_given_kg_.assign(plan.fixed.cells, 0.0);
  drip_seen_kg_.assign(plan.fixed.cells, 0.0);
  alpha_seen_m_.assign(plan.classes.size(), 0.0);
  beta_seen_m_.assign(plan.classes.size(), 0.0);
  cell_evaporated_kg_.assign(cells * layers, 0.0);
  cell_dew_kg_.assign(cells * layers, 0.0);
  cell_runoff_m3_.assign(cells, 0.0);

  class_leaves_.resize(plan.classes.size());
  for (std::uint32_t i = 0; i < count; ++i) class_leaves_[plan.leaves.leaf_class[i]].push_back(i);
  resynchronise();
  push_node(run_start);
}

bool CropPart::bare(double depth_m) const {
  const double wet = leaf::wetted_fraction(depth_m, shared_.film.break_depth_m);
  return 1.0 - wet > shared_.house.crop.dry_share_fraction;
}

void CropPart::add_slots() {
  const Plan& plan = shared_.plan;
  while (factor_.size() < shared_.slots.size()) {
    const DeviceState devices = DeviceState::from_key(
        shared_.slots[factor_.size()], shared_.house.fans.size(), shared_.house.openings.size());
    factor_.push_back(conductance_factors(plan, shared_.house, shared_.airflow.regime(devices)));
  }
}

void CropPart::push_node(SimTime now) {
  node_s_.push_back(seconds(now - run_start));
  const ClassIntegrals& at = shared_.integrals;
  node_alpha_m_.insert(node_alpha_m_.end(), at.alpha_m.begin(), at.alpha_m.end());
  for (const auto& row : at.beta_m) node_beta_m_.insert(node_beta_m_.end(), row.begin(), row.end());
}

void CropPart::advance(SimTime, SimTime to) {
  push_node(to);
  if (shared_.slots.empty() || factor_.size() <= shared_.slot) return;
  // A slot's integral starts where it was left, so a change of slot restarts the count.
  const std::vector<double>& beta = shared_.integrals.beta_m[shared_.slot];
  if (slot_seen_ != shared_.slot) {
    slot_seen_ = shared_.slot;
    const std::size_t row =
        node_beta_m_.size() - (shared_.slots.size() - shared_.slot) * beta.size();
    const std::size_t before = row - shared_.slots.size() * beta.size();
    beta_seen_m_.assign(node_beta_m_.begin() + static_cast<std::ptrdiff_t>(before),
                        node_beta_m_.begin() + static_cast<std::ptrdiff_t>(before + beta.size()));
  }
  Representatives& leaves = shared_.representatives;
  const std::vector<double>& factor = leaves.conductance_factor[shared_.slot];
  for (std::size_t k = 0; k < leaves.leaf_class.size(); ++k) {
    const std::uint32_t c = leaves.leaf_class[k];
    const double demand =
        (shared_.integrals.alpha_m[c] - alpha_seen_m_[c]) * leaves.radiation_factor[k] +
        (beta[c] - beta_seen_m_[c]) * factor[k];
    leaves.depth_m[k] =
        std::min(shared_.film.capacity_m,
                 leaf::film_after(leaves.depth_m[k], demand, shared_.film.break_depth_m));
  }
  alpha_seen_m_ = shared_.integrals.alpha_m;
  beta_seen_m_ = beta;
}

void CropPart::touch_cell(std::size_t cell, double dt_s, double start_s) {
  const Plan& plan = shared_.plan;
  const std::size_t layers = plan.layer_sun_fraction.size();
  const std::size_t classes = plan.classes.size();
  const std::size_t slots = factor_.size();
  const std::size_t last = node_s_.size() - 1;
  const std::span<const double> times(node_s_);
  double runoff_m3 = 0.0;
  double demand_m3 = 0.0;
  for (std::size_t layer = 0; layer < layers; ++layer) {
    cell_evaporated_kg_[cell * layers + layer] = 0.0;
    cell_dew_kg_[cell * layers + layer] = 0.0;
  }
  for (std::uint32_t i = plan.first_leaf[cell]; i < plan.first_leaf[cell + 1]; ++i) {
    const std::uint32_t c = plan.leaves.leaf_class[i];
    const double f = plan.leaves.radiation_factor[i];
    const double area = plan.leaves.area_m2[i];
    const auto demand_at = [&](std::size_t node) {
      double sum = (node_alpha_m_[node * classes + c] - node_alpha_m_[c]) * f;
      for (std::size_t s = 0; s < slots; ++s) {
        sum += (node_beta_m_[(node * slots + s) * classes + c] - node_beta_m_[s * classes + c]) *
               factor_[s][i];
      }
      return sum;
    };
    const double demand = demand_at(last);
    double& depth = leaves_.depth_m[i];
    const double before = depth;
    const std::size_t slot = cell * layers + plan.leaves.layer[i];
    double dry_s = 0.0;
    if (demand > 0.0) {
      demand_m3 += demand * area;
      depth = leaf::film_after(before, demand, shared_.film.break_depth_m);
      const double bare_at = leaf::demand_to_bare_m(before, shared_.house.crop.dry_share_fraction,
                                                    shared_.film.break_depth_m);
      if (demand > bare_at) {
        dry_s = bare_at <= 0.0
                    ? dt_s
                    : start_s + dt_s - leaf::moment_of_demand_s(times, demand_at, bare_at);
      }
      leaves_.evaporated_m[i] += before - depth;
      cell_evaporated_kg_[slot] += (before - depth) * area * water_density_kg_per_m3;
    } else {
      cell_dew_kg_[slot] -= demand * area * water_density_kg_per_m3;
      const leaf::FilmGain gained = leaf::film_gain(before, -demand, shared_.film);
      depth = gained.depth_m;
      leaves_.runoff_m[i] += gained.runoff_m;
      runoff_m3 += gained.runoff_m * area;
    }
    leaves_.dry_s[i] += dry_s;
    // A spell goes on while the leaf was bare all through; else it began inside this interval.
    leaves_.spell_s[i] = dry_s >= dt_s ? leaves_.spell_s[i] + dry_s : dry_s;
    leaves_.longest_spell_s[i] = std::max(leaves_.longest_spell_s[i], leaves_.spell_s[i]);
  }
  cell_runoff_m3_[cell] = runoff_m3;
  double leaf_area = 0.0;
  for (std::size_t layer = 0; layer < layers; ++layer)
    leaf_area += plan.layer_leaf_area_m2[cell * layers + layer];
  if (leaf_area > 0.0) medium_.demand_m[cell] += demand_m3 / leaf_area;
}

void CropPart::move_medium(double dt_s) {
  const Plan& plan = shared_.plan;
  for (std::size_t b = 0; b < plan.benches.cells.size(); ++b) {
    const std::size_t a = plan.air_cell_of_bench_cell[b];
    const double area = plan.benches.cells[b].area_m2;
    const double bench_area = plan.fixed.bench_area_m2[a];
    const double asked_m = (shared_.medium_evaporation_kg[a] - medium_given_kg_[a]) / bench_area /
                           water_density_kg_per_m3;
    const medium::MediumStep step = medium::medium_after(
        medium_.water_m[b], dt_s, dt_s > 0.0 ? asked_m / dt_s : 0.0, plan.medium);
    ledger_.medium_evaporated_kg.add(step.lost_m * area * water_density_kg_per_m3);
    ledger_.medium_shortfall_kg.add((asked_m - step.lost_m) * area * water_density_kg_per_m3);
    const double drip_m =
        (shared_.drip_on_benches_kg[a] - drip_seen_kg_[a]) / bench_area / water_density_kg_per_m3;
    const double added_m = cell_runoff_m3_[b] / area + drip_m;
    ledger_.drip_taken_kg.add(drip_m * area * water_density_kg_per_m3);
    const medium::MediumGain gained = medium::medium_gain(step.water_m, added_m, plan.medium);
    medium_.water_m[b] = gained.water_m;
    medium_.soggy_s[b] += step.soggy_s;
    const double drained = step.drained_m + gained.drained_m;
    medium_.drained_m[b] += drained;
    ledger_.medium_gained_kg.add(added_m * area * water_density_kg_per_m3);
    ledger_.medium_drained_kg.add(drained * area * water_density_kg_per_m3);
    ledger_.film_runoff_kg.add(cell_runoff_m3_[b] * water_density_kg_per_m3);
  }
  medium_given_kg_ = shared_.medium_evaporation_kg;
  drip_seen_kg_ = shared_.drip_on_benches_kg;
}

void CropPart::touch(SimTime now) {
  const Plan& plan = shared_.plan;
  const std::size_t layers = plan.layer_sun_fraction.size();
  const double dt_s = seconds(now - touched_);
  if (dt_s > 0.0) {
    const double start_s = seconds(touched_ - run_start);
    parallel_for(plan.benches.cells.size(), shared_.threads,
                 [&](std::size_t cell, int) { touch_cell(cell, dt_s, start_s); });
    move_medium(dt_s);
    std::vector<double> lost(plan.classes.size(), 0.0);
    for (std::size_t b = 0; b < plan.benches.cells.size(); ++b) {
      for (std::size_t layer = 0; layer < layers; ++layer) {
        const double evaporated = cell_evaporated_kg_[b * layers + layer];
        const double dew = cell_dew_kg_[b * layers + layer];
        ledger_.film_evaporated_kg.add(evaporated);
        ledger_.dew_kg.add(dew);
        lost[plan.air_cell_of_bench_cell[b] * layers + layer] += evaporated - dew;
      }
    }
    for (std::size_t c = 0; c < plan.classes.size(); ++c) {
      const double given = shared_.integrals.evaporation_kg[c] - given_kg_[c];
      const double correction = lost[c] - given;
      shared_.impulse.correction_kg[plan.classes[c].air_cell] += correction;
      ledger_.correction_kg.add(correction);
      ledger_.correction_gross_kg.add(std::abs(correction));
    }
    shared_.impulse_waiting = true;
    shared_.coefficients_stale = true;
  }
  touched_ = now;
  given_kg_ = shared_.integrals.evaporation_kg;
  node_s_.clear();
  node_alpha_m_.clear();
  node_beta_m_.clear();
  add_slots();
  push_node(now);
}

void CropPart::gain(const Deposit& deposit) {
  const Plan& plan = shared_.plan;
  const std::size_t layers = plan.layer_sun_fraction.size();
  for (std::size_t b = 0; b < plan.benches.cells.size(); ++b) {
    const double area = plan.benches.cells[b].area_m2;
    double runoff_m3 = 0.0;
    for (std::uint32_t i = plan.first_leaf[b]; i < plan.first_leaf[b + 1]; ++i) {
      const double kept_m3 =
          deposit.layer_kg[b * layers + plan.leaves.layer[i]] / water_density_kg_per_m3;
      const double added_m = kept_m3 * plan.leaves.deposit_per_cell_1_per_m2[i];
      const leaf::FilmGain gained = leaf::film_gain(leaves_.depth_m[i], added_m, shared_.film);
      leaves_.depth_m[i] = gained.depth_m;
      leaves_.deposit_m[i] += added_m;
      leaves_.runoff_m[i] += gained.runoff_m;
      runoff_m3 += gained.runoff_m * plan.leaves.area_m2[i];
      if (!bare(gained.depth_m)) leaves_.spell_s[i] = 0.0;
    }
    double kept = 0.0;
    for (std::size_t layer = 0; layer < layers; ++layer)
      kept += deposit.layer_kg[b * layers + layer];
    ledger_.landed_on_leaves_kg.add(kept);
    ledger_.film_runoff_kg.add(runoff_m3 * water_density_kg_per_m3);
    medium_.leaves_mist_m[b] += (kept / water_density_kg_per_m3 - runoff_m3) / area;
    const double added_m = (deposit.medium_kg[b] / water_density_kg_per_m3 + runoff_m3) / area;
    medium_.mist_m[b] += added_m;
    const medium::MediumGain gained = medium::medium_gain(medium_.water_m[b], added_m, plan.medium);
    medium_.water_m[b] = gained.water_m;
    medium_.drained_m[b] += gained.drained_m;
    ledger_.medium_gained_kg.add(added_m * area * water_density_kg_per_m3);
    ledger_.medium_drained_kg.add(gained.drained_m * area * water_density_kg_per_m3);
  }
}

void CropPart::resynchronise() {
  shared_.representatives =
      choose_representatives(shared_, leaves_.depth_m, factor_, class_leaves_);
}

std::optional<engine::Wake> CropPart::next_event(SimTime) {
  const SimTime end = run_start + shared_.house.span;
  if (looked_ >= end) return std::nullopt;
  const SimTime next = std::min(end, looked_ + duration_up(shared_.house.recording.map_interval_s));
  return engine::Wake{next, engine::Rank::Climate, static_cast<std::uint32_t>(CropEvent::Look)};
}

void CropPart::on_event(const engine::Event& event, engine::Effects& effects) {
  touch(event.time);
  // The first of several valves' events at one instant takes the water of them all.
  if (!shared_.deposit.layer_kg.empty()) {
    gain(shared_.deposit);
    shared_.deposit = {};
  }
  if (static_cast<CropEvent>(event.kind) == CropEvent::Look) looked_ = event.time;
  resynchronise();
  shared_.coefficients_stale = true;
  effects.touch(climate_part);
}

double CropPart::films_kg() const {
  engine::Sum sum;
  for (std::size_t i = 0; i < leaves_.depth_m.size(); ++i) {
    sum.add(leaves_.depth_m[i] * shared_.plan.leaves.area_m2[i] * water_density_kg_per_m3);
  }
  return sum.value();
}

double CropPart::medium_kg() const {
  engine::Sum sum;
  for (std::size_t b = 0; b < medium_.water_m.size(); ++b) {
    sum.add(medium_.water_m[b] * shared_.plan.benches.cells[b].area_m2 * water_density_kg_per_m3);
  }
  return sum.value();
}

std::vector<double> CropPart::bare_share() const {
  const Plan& plan = shared_.plan;
  std::vector<double> share(plan.benches.cells.size(), 0.0);
  for (std::size_t b = 0; b < share.size(); ++b) {
    const std::uint32_t first = plan.first_leaf[b];
    const std::uint32_t last = plan.first_leaf[b + 1];
    for (std::uint32_t i = first; i < last; ++i) share[b] += bare(leaves_.depth_m[i]) ? 1.0 : 0.0;
    if (last > first) share[b] /= static_cast<double>(last - first);
  }
  return share;
}

std::vector<double> CropPart::mean_depth_m() const {
  const Plan& plan = shared_.plan;
  std::vector<double> depth(plan.benches.cells.size(), 0.0);
  for (std::size_t b = 0; b < depth.size(); ++b) {
    double area = 0.0;
    for (std::uint32_t i = plan.first_leaf[b]; i < plan.first_leaf[b + 1]; ++i) {
      depth[b] += leaves_.depth_m[i] * plan.leaves.area_m2[i];
      area += plan.leaves.area_m2[i];
    }
    if (area > 0.0) depth[b] /= area;
  }
  return depth;
}

double CropPart::bare_share_now_fraction() const {
  const Representatives& leaves = shared_.representatives;
  double bare_area = 0.0;
  double area = 0.0;
  for (std::size_t k = 0; k < leaves.depth_m.size(); ++k) {
    if (bare(leaves.depth_m[k])) bare_area += leaves.area_m2[k];
    area += leaves.area_m2[k];
  }
  return bare_area / area;
}

void CropPart::resume() {
  add_slots();
}

void CropPart::state(engine::StateVisitor& visitor) {
  for (auto* list : {&leaves_.depth_m,
                     &leaves_.dry_s,
                     &leaves_.spell_s,
                     &leaves_.longest_spell_s,
                     &leaves_.deposit_m,
                     &leaves_.runoff_m,
                     &leaves_.evaporated_m,
                     &medium_.water_m,
                     &medium_.soggy_s,
                     &medium_.drained_m,
                     &medium_.mist_m,
                     &medium_.leaves_mist_m,
                     &medium_.demand_m,
                     &node_s_,
                     &node_alpha_m_,
                     &node_beta_m_,
                     &given_kg_,
                     &medium_given_kg_,
                     &drip_seen_kg_,
                     &alpha_seen_m_,
                     &beta_seen_m_,
                     &shared_.representatives.depth_m,
                     &shared_.representatives.area_m2,
                     &shared_.representatives.radiation_factor}) {
    visitor.values(*list);
  }
  visitor.values(shared_.representatives.leaf_class);
  shared_.representatives.conductance_factor.resize(shared_.slots.size());
  for (auto& row : shared_.representatives.conductance_factor) visitor.values(row);
  for (auto& order : class_leaves_) visitor.values(order);
  visitor.value(touched_);
  visitor.value(looked_);
  visitor.value(slot_seen_);
  CropLedger& l = ledger_;
  for (auto* sum :
       {&l.landed_on_leaves_kg, &l.film_evaporated_kg, &l.dew_kg, &l.film_runoff_kg,
        &l.medium_gained_kg, &l.medium_drained_kg, &l.medium_evaporated_kg, &l.medium_shortfall_kg,
        &l.correction_kg, &l.correction_gross_kg, &l.drip_taken_kg}) {
    sum->state(visitor);
  }
}

}  // namespace mistwright
