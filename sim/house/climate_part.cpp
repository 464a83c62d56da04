#include "sim/house/climate_part.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/contracts.h"
#include "models/leaf/film.h"
#include "models/units.h"
#include "sim/house/surroundings.h"

namespace mistwright {

using air::Affine;
using air::CellState;
using air::Line;
using air::state_index;

namespace {

/// First stretch after a disturbance [s]; each next one is twice as long, up to the longest
/// allowed.
constexpr double first_stretch_s = 4.0;
/// Watched crossings closer than this to the stretch's start wait for it, so that surfaces in
/// balance cannot wake the air without end: in a shut, nearly saturated house they cross all day.
/// From 0.05 s to 1 s the air of such a house moves by 0.01 K and its films by 0.0001 mm.
constexpr double least_watch_s = 1.0;
/// Floor and medium begin as the days before have left them: this much warmer than the mean of the
/// first day outside (a house under film by day gains 1 to 4 K; derived from runs of several days).
constexpr double start_excess_K = 2.0;

constexpr std::uint32_t kind_freeze = 0;

/// Mean of the outside temperature over the first day of the run, or over the run if it is shorter.
double mean_outside_K(const House& house) {
  constexpr int looks = 48;
  const double span_s = std::min(86400.0, seconds(house.span));
  double sum = 0.0;
  for (int i = 0; i < looks; ++i) {
    sum += sky::weather_at(house.weather, house.civil.utc_s(run_start) + span_s * (i + 0.5) / looks)
               .temperature_K;
  }
  return sum / looks;
}

double integral_of(const Affine& function, const std::vector<double>& integral, double t_s) {
  double sum = function.constant * t_s;
  for (const auto& term : function.terms) sum += term.coefficient * integral[term.state];
  return sum;
}

double surface_excess_value(const air::HouseFixed& fixed, const std::vector<double>& state,
                            std::size_t cell, CellState surface) {
  return state[state_index(cell, CellState::Humidity)] -
         air::saturation_line(kelvin(state[state_index(cell, surface)]), fixed.pressure_Pa)
             .humidity_ratio;
}

}  // namespace

ClimatePart::ClimatePart(Shared& shared) : shared_(shared) {
  const Plan& plan = shared.plan;
  const std::size_t cells = plan.fixed.cells;
  shared.weather = sky::weather_at(shared.house.weather, shared.house.civil.utc_s(run_start));
  shared.air.assign(cells * air::states_a_cell, 0.0);
  shared.outside_humidity_ratio =
      air::humidity_ratio(shared.weather.vapour_pressure_Pa, plan.fixed.pressure_Pa);
  const double settled_K = mean_outside_K(shared.house) + start_excess_K;
  for (std::size_t c = 0; c < cells; ++c) {
    for (const CellState which : {CellState::Air, CellState::Cover}) {
      shared.air[state_index(c, which)] = celsius(shared.weather.temperature_K);
    }
    for (const CellState which : {CellState::Floor, CellState::Medium}) {
      shared.air[state_index(c, which)] = celsius(settled_K);
    }
    shared.air[state_index(c, CellState::Humidity)] = shared.outside_humidity_ratio;
  }
  first_air_ = shared.air;
  start_air_ = shared.air;
  middle_air_ = shared.air;
  shared.class_sign.assign(plan.classes.size(), 1);
  shared.integrals.alpha_m.assign(plan.classes.size(), 0.0);
  shared.integrals.evaporation_kg.assign(plan.classes.size(), 0.0);
  shared.medium_evaporation_kg.assign(cells, 0.0);
  shared.drip_on_benches_kg.assign(cells, 0.0);
  wetness_.assign(plan.classes.size(), Wetness{});
  base_ = shared.integrals;
  base_medium_kg_ = shared.medium_evaporation_kg;
  Impulse& impulse = shared.impulse;
  for (auto* list : {&impulse.vapour_kg, &impulse.correction_kg, &impulse.air_heat_J,
                     &impulse.medium_heat_J, &impulse.cover_water_kg, &impulse.floor_water_kg}) {
    list->assign(cells, 0.0);
  }
}

std::optional<engine::Wake> ClimatePart::next_event(SimTime now) {
  if (shared_.coefficients_stale || length_s_ <= 0.0)
    return engine::Wake{now, engine::Rank::Climate, kind_freeze};
  const double until_s = watch_s_ >= 0.0 ? watch_s_ : length_s_;
  return engine::Wake{std::max(now, shared_.stretch_start + duration_up(until_s)),
                      engine::Rank::Climate, kind_freeze};
}

void ClimatePart::advance(SimTime, SimTime to) {
  measure(seconds(to - shared_.stretch_start));
}

void ClimatePart::measure(double t_s) {
  // Rounding up may step over the stretch's end by less than a microsecond.
  const double inside_s = std::min(t_s, length_s_);
  shared_.air = shared_.stretch.at(inside_s);
  const std::vector<double> integral = shared_.stretch.integral(inside_s);
  for (std::size_t c = 0; c < alpha_.size(); ++c) {
    shared_.integrals.alpha_m[c] =
        base_.alpha_m[c] + integral_of(alpha_[c], integral, inside_s) / water_density_kg_per_m3;
    shared_.integrals.beta_m[shared_.slot][c] =
        base_.beta_m[shared_.slot][c] +
        integral_of(beta_[c], integral, inside_s) / water_density_kg_per_m3;
    shared_.integrals.evaporation_kg[c] =
        base_.evaporation_kg[c] + integral_of(evaporation_[c], integral, inside_s);
  }
  for (const air::Flux& flux : fluxes_) {
    if (flux.line != static_cast<std::uint32_t>(Line::MediumEvaporation)) continue;
    const std::size_t cell = flux.feeds.front().state / air::states_a_cell;
    shared_.medium_evaporation_kg[cell] =
        base_medium_kg_[cell] + integral_of(flux.size, integral, inside_s);
  }
}

SurfaceGifts ClimatePart::gifts() const {
  SurfaceGifts gifts;
  for (const air::Flux& flux : fluxes_) {
    const double size = flux.size.value(shared_.air);
    switch (static_cast<Line>(flux.line)) {
      case Line::FloorToAir:
        gifts.floor_heat_W += size;
        break;
      case Line::MediumToAir:
      case Line::LeafHeat:
        gifts.bench_heat_W += size;
        break;
      case Line::FloorEvaporation:
        gifts.floor_vapour_kg_per_s += size;
        break;
      case Line::MediumEvaporation:
      case Line::LeafEvaporation:
      case Line::Transpiration:
        gifts.bench_vapour_kg_per_s += size;
        break;
      default:
        break;
    }
  }
  return gifts;
}

void ClimatePart::settle(SimTime now) {
  if (length_s_ <= 0.0) return;
  const double t_s = std::min(seconds(now - shared_.stretch_start), length_s_);
  if (t_s <= booked_s_) return;
  const std::vector<double> before = shared_.stretch.integral(booked_s_);
  const std::vector<double> after = shared_.stretch.integral(t_s);
  for (const air::Flux& flux : fluxes_) {
    double amount = flux.size.constant * (t_s - booked_s_);
    for (const auto& term : flux.size.terms) {
      amount += term.coefficient * (after[term.state] - before[term.state]);
    }
    ledger_.lines[flux.line].add(amount);
  }
  booked_s_ = t_s;
}

void ClimatePart::take_impulses() {
  Impulse& impulse = shared_.impulse;
  const air::HouseFixed& fixed = shared_.plan.fixed;
  const double cp = fixed.heat_capacity_air_J_per_kg_K;
  for (std::size_t c = 0; c < fixed.cells; ++c) {
    const double vapour = impulse.vapour_kg[c] + impulse.correction_kg[c];
    shared_.air[state_index(c, CellState::Humidity)] += vapour / fixed.air_mass_kg[c];
    shared_.air[state_index(c, CellState::Air)] -=
        (vapour * fixed.latent_heat_J_per_kg + impulse.air_heat_J[c]) / (fixed.air_mass_kg[c] * cp);
    if (fixed.bench_area_m2[c] > 0.0) {
      shared_.air[state_index(c, CellState::Medium)] -=
          impulse.medium_heat_J[c] /
          (fixed.bench_area_m2[c] * fixed.medium_heat_capacity_J_per_m2_K);
    }
    shared_.air[state_index(c, CellState::CoverWater)] += impulse.cover_water_kg[c];
    shared_.air[state_index(c, CellState::FloorWater)] += impulse.floor_water_kg[c];
    ledger_.vapour_in_flight_kg.add(impulse.vapour_kg[c]);
    ledger_.correction_kg.add(impulse.correction_kg[c]);
    ledger_.mist_heat_J.add(impulse.air_heat_J[c] + impulse.medium_heat_J[c]);
    ledger_.surface_water_in_kg.add(impulse.cover_water_kg[c] + impulse.floor_water_kg[c]);
  }
  for (auto* list : {&impulse.vapour_kg, &impulse.correction_kg, &impulse.air_heat_J,
                     &impulse.medium_heat_J, &impulse.cover_water_kg, &impulse.floor_water_kg}) {
    std::fill(list->begin(), list->end(), 0.0);
  }
  shared_.impulse_waiting = false;
}

void ClimatePart::drip() {
  const air::HouseFixed& fixed = shared_.plan.fixed;
  for (std::size_t c = 0; c < fixed.cells; ++c) {
    const Overflow over = mistwright::drip(fixed, shared_.house.structure.cover, c,
                                           shared_.air[state_index(c, CellState::CoverWater)],
                                           shared_.air[state_index(c, CellState::FloorWater)]);
    if (!over.fell) continue;
    shared_.drip_on_benches_kg[c] += over.on_benches_kg;
    ledger_.drip_kg.add(over.on_benches_kg);
    ledger_.floor_runoff_kg.add(over.off_floor_kg);
  }
}

void ClimatePart::enter_regime() {
  const std::uint64_t key = shared_.devices.key();
  const auto it = std::find(shared_.slots.begin(), shared_.slots.end(), key);
  shared_.slot = static_cast<std::uint32_t>(it - shared_.slots.begin());
  if (it == shared_.slots.end()) {
    shared_.slots.push_back(key);
    shared_.integrals.beta_m.emplace_back(shared_.plan.classes.size(), 0.0);
  }
}

/// Weather, light, flows and the leaves' lines for the stretch that begins at stretch_start.
void ClimatePart::surroundings(double length_s) {
  const House& house = shared_.house;
  // The last stretch may reach past the run, and past the weather.
  const double utc_s = std::min(house.civil.utc_s(shared_.stretch_start) + 0.5 * length_s,
                                house.civil.utc_s(run_start + house.span));
  shared_.weather = sky::weather_at(house.weather, utc_s);
  const Surroundings around =
      surroundings_at(house, shared_.plan, shared_.weather, utc_s, shared_.shade_drawn);
  shared_.outside_humidity_ratio = around.outside_humidity_ratio;
  shared_.light_at_leaves_W_per_m2 = around.light_at_leaves_W_per_m2;
  const Regime& regime = shared_.airflow.regime(shared_.devices);
  const AirThrough through = air_through(shared_, shared_.devices, regime, around, middle_air_);
  shared_.air_changes_per_h = through.air_changes_per_h;
  speed_ratio_ = through.bench_speed_ratio;
  now_ = house_now(shared_.plan, regime, around, through);
  lines_ = class_lines(shared_, regime, canopy_now(around, through), middle_air_);
}

/// The fluxes and their exact motion, with the wetness and the signs as they stand.
void ClimatePart::build(double length_s) {
  const Plan& plan = shared_.plan;
  length_s_ = length_s;
  fluxes_ = air::house_fluxes(plan.fixed, now_, middle_air_);
  alpha_.assign(lines_.size(), {});
  beta_.assign(lines_.size(), {});
  evaporation_.assign(lines_.size(), {});
  for (std::size_t c = 0; c < lines_.size(); ++c) {
    if (plan.classes[c].area_m2 <= 0.0) continue;
    alpha_[c] = lines_[c].alpha();
    beta_[c] = lines_[c].beta();
    const ClassEvaporation evaporation =
        class_evaporation(lines_[c], plan.classes[c], wetness_[c], shared_.class_sign[c] < 0);
    evaporation_[c] = evaporation.wet_kg_per_s;
    add_canopy_fluxes(shared_, plan.classes[c], lines_[c], evaporation, fluxes_);
  }
  const air::LinearSystem system = air::assemble(fluxes_, start_air_.size());
  shared_.stretch = air::Stretch(system, start_air_, air::state_scale(plan.fixed), length_s);
}

namespace {

/// How wet the representatives will be, on average over a stretch: their films half-way through it.
std::vector<Wetness> predicted_wetness(const Shared& shared, const std::vector<ClassLines>& lines,
                                       const std::vector<double>& state, double length_s) {
  const Plan& plan = shared.plan;
  std::vector<double> alpha(lines.size(), 0.0);
  std::vector<double> beta(lines.size(), 0.0);
  for (std::size_t c = 0; c < lines.size(); ++c) {
    if (plan.classes[c].area_m2 <= 0.0) continue;
    const double half = 0.5 * length_s / water_density_kg_per_m3;
    alpha[c] = half * lines[c].alpha().value(state);
    beta[c] = half * lines[c].beta().value(state);
  }
  std::vector<double> f(lines.size(), 0.0);
  std::vector<double> g(lines.size(), 0.0);
  const Representatives& leaves = shared.representatives;
  for (std::size_t k = 0; k < leaves.leaf_class.size(); ++k) {
    const std::uint32_t c = leaves.leaf_class[k];
    const double factor_f = leaves.radiation_factor[k];
    const double factor_g = leaves.conductance_factor[shared.slot][k];
    const double demand = alpha[c] * factor_f + beta[c] * factor_g;
    const double depth = leaf::film_after(leaves.depth_m[k], demand, shared.film.break_depth_m);
    const double wet = leaf::wetted_fraction(depth, shared.film.break_depth_m) * leaves.area_m2[k];
    f[c] += wet * factor_f;
    g[c] += wet * factor_g;
  }
  std::vector<Wetness> wetness(lines.size());
  for (std::size_t c = 0; c < lines.size(); ++c) {
    if (plan.classes[c].area_m2 <= 0.0) continue;
    wetness[c] = {f[c] / plan.classes[c].area_m2, g[c] / plan.classes[c].area_m2};
  }
  return wetness;
}

}  // namespace

/// Where coefficients are taken: the state expected half-way through the stretch, by how the last
/// one ended. Coefficients from the start would be behind all the way, an error of first order in
/// the stretch's length. Water on surfaces is left at the start: whether any lies there decides,
/// not how much. An air cell in which a surface would pass between drying and condensing stays at
/// its start too, since that is watched for from there.
/// @param lasted_s  of the last stretch; 0 after a disturbance, when the past says nothing
void ClimatePart::expect_middle(double lasted_s, double length_s) {
  constexpr double looked_back_fraction = 0.25;
  middle_air_ = start_air_;
  if (lasted_s <= 0.0) return;
  const air::HouseFixed& fixed = shared_.plan.fixed;
  const double back_s = looked_back_fraction * lasted_s;
  const std::vector<double> before = shared_.stretch.at(lasted_s - back_s);
  // Never further ahead than the last stretch reached back: it may have been cut short.
  const double ahead = std::min(0.5 * length_s, lasted_s) / back_s;
  constexpr std::array moved = {CellState::Air, CellState::Humidity, CellState::Cover,
                                CellState::Floor, CellState::Medium};
  for (std::size_t c = 0; c < fixed.cells; ++c) {
    for (const CellState which : moved) {
      const auto i = state_index(c, which);
      middle_air_[i] += ahead * (start_air_[i] - before[i]);
    }
    for (const CellState surface : {CellState::Cover, CellState::Floor}) {
      if ((surface_excess_value(fixed, start_air_, c, surface) > 0.0) ==
          (surface_excess_value(fixed, middle_air_, c, surface) > 0.0))
        continue;
      for (const CellState which : moved) {
        middle_air_[state_index(c, which)] = start_air_[state_index(c, which)];
      }
    }
  }
}

void ClimatePart::freeze(SimTime now) {
  settle(now);
  const double last_s = length_s_;
  const bool fresh = shared_.coefficients_stale || last_s <= 0.0;
  shared_.coefficients_stale = false;
  if (shared_.impulse_waiting) take_impulses();
  drip();
  note_regime(now);
  enter_regime();
  base_ = shared_.integrals;
  base_medium_kg_ = shared_.medium_evaporation_kg;
  start_air_ = shared_.air;
  const double lasted_s = fresh ? 0.0 : std::min(last_s, seconds(now - shared_.stretch_start));
  shared_.stretch_start = now;
  booked_s_ = 0.0;
  const double length_s = fresh ? std::min(first_stretch_s, shared_.house.numerics.air_step_s)
                                : std::min(2.0 * last_s, shared_.house.numerics.air_step_s);
  expect_middle(lasted_s, length_s);
  surroundings(length_s);
  if (shared_.representatives.conductance_factor.size() > shared_.slot) {
    wetness_ = predicted_wetness(shared_, lines_, middle_air_, length_s);
  }
  for (std::size_t c = 0; c < lines_.size(); ++c) {
    if (shared_.plan.classes[c].area_m2 <= 0.0) continue;
    shared_.class_sign[c] =
        lines_[c].demand().value(start_air_) >= 0.0 ? std::int8_t{1} : std::int8_t{-1};
  }
  build(length_s);
  find_watch();
  ++shared_.stretch_number;
}

/// Adds the stretch that ends to its regime's mean.
void ClimatePart::note_regime(SimTime now) {
  if (length_s_ <= 0.0) return;
  constexpr double night_W_per_m2 = 0.1;
  regime_means_.resize(shared_.slots.size());
  regime_means_[shared_.slot].add(
      moment_now(),
      seconds(now - shared_.stretch_start) * (shared_.light_at_leaves_W_per_m2 + night_W_per_m2));
}

RegimeMoment ClimatePart::moment_now() const {
  return {speed_ratio_, gifts(), shared_.air, shared_.weather.temperature_K,
          shared_.outside_humidity_ratio};
}

void ClimatePart::find_watch() {
  const air::HouseFixed& fixed = shared_.plan.fixed;
  double first_s = length_s_;
  const auto look = [&](const Affine& function, bool rising) {
    const auto t_s = shared_.stretch.crossing(function, rising, 0.0);
    if (t_s && *t_s < first_s) first_s = std::max(*t_s, least_watch_s);
  };
  for (std::size_t c = 0; c < fixed.cells; ++c) {
    for (const auto& [surface, water, area] :
         {std::tuple{CellState::Cover, CellState::CoverWater, fixed.cover_area_m2[c]},
          std::tuple{CellState::Floor, CellState::FloorWater, fixed.floor_area_m2[c]}}) {
      const auto temperature = state_index(c, surface);
      const auto saturation =
          air::saturation_line(kelvin(start_air_[temperature]), fixed.pressure_Pa);
      Affine excess;
      excess.add(state_index(c, CellState::Humidity), 1.0)
          .add(temperature, -saturation.slope_per_K);
      excess.constant =
          saturation.slope_per_K * start_air_[temperature] - saturation.humidity_ratio;
      const bool condensing = surface_excess_value(fixed, start_air_, c, surface) > 0.0;
      look(excess, !condensing);
      if (!condensing && start_air_[state_index(c, water)] > 1e-6 * area) {
        Affine left;
        left.add(state_index(c, water), 1.0);
        look(left, false);
      }
    }
  }
  for (std::size_t c = 0; c < lines_.size(); ++c) {
    if (shared_.plan.classes[c].area_m2 <= 0.0) continue;
    look(lines_[c].demand(), shared_.class_sign[c] < 0);
  }
  watch_s_ = first_s < length_s_ ? first_s : -1.0;
}

void ClimatePart::on_event(const engine::Event& event, engine::Effects& effects) {
  const std::vector<std::int8_t> signs = shared_.class_sign;
  const std::size_t slots = shared_.slots.size();
  freeze(event.time);
  if (signs != shared_.class_sign || slots != shared_.slots.size()) {
    // Leaves are touched where drying turns to dew or back, so that their integrals never mix
    // signs.
    effects.post(crop_part, {event.time, engine::Rank::Climate, 1});
  }
  effects.touch(devices_part);
}

void ClimatePart::resume() {
  if (length_s_ <= 0.0) return;
  surroundings(length_s_);
  build(length_s_);
}

void ClimatePart::state(engine::StateVisitor& visitor) {
  for (auto& line : ledger_.lines) line.state(visitor);
  for (auto* sum : {&ledger_.vapour_in_flight_kg, &ledger_.correction_kg, &ledger_.mist_heat_J,
                    &ledger_.drip_kg, &ledger_.floor_runoff_kg, &ledger_.surface_water_in_kg}) {
    sum->state(visitor);
  }
  visitor.values(start_air_);
  visitor.values(middle_air_);
  visitor.values(wetness_);
  visitor.values(base_.alpha_m);
  visitor.values(base_.evaporation_kg);
  visitor.values(base_medium_kg_);
  visitor.value(length_s_);
  visitor.value(booked_s_);
  visitor.value(watch_s_);
  visitor.value(shared_.coefficients_stale);
  visitor.values(shared_.air);
  visitor.value(shared_.stretch_start);
  visitor.value(shared_.stretch_number);
  visitor.values(shared_.slots);
  visitor.value(shared_.slot);
  visitor.values(shared_.integrals.alpha_m);
  visitor.values(shared_.integrals.evaporation_kg);
  base_.beta_m.resize(shared_.slots.size());
  shared_.integrals.beta_m.resize(shared_.slots.size());
  for (auto& row : base_.beta_m) visitor.values(row);
  for (auto& row : shared_.integrals.beta_m) visitor.values(row);
  regime_means_.resize(shared_.slots.size());
  for (RegimeMean& mean : regime_means_) mean.state(visitor);
  visitor.values(shared_.class_sign);
  visitor.values(shared_.medium_evaporation_kg);
  visitor.values(shared_.drip_on_benches_kg);
  Impulse& impulse = shared_.impulse;
  for (auto* list : {&impulse.vapour_kg, &impulse.correction_kg, &impulse.air_heat_J,
                     &impulse.medium_heat_J, &impulse.cover_water_kg, &impulse.floor_water_kg}) {
    visitor.values(*list);
  }
  visitor.value(shared_.impulse_waiting);
}

}  // namespace mistwright
