#include "tests/bench/house_ode.h"

#include <algorithm>
#include <cmath>
#include <ctime>
#include <stdexcept>

#include "models/units.h"
#include "tests/bench/film_loops.h"

namespace mistwright::bench {

using air::CellState;
using air::state_index;

namespace {

constexpr double tabulated_every_s = 10.0;

/// Processor time of this thread.
double clock_s() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

}  // namespace

HouseOde::HouseOde(const Day& day)
    : day_(day), shared_{day.house(), day.building->plan, day.building->airflow, 1} {
  const House& house = day.house();
  if (house.fans.size() != 1 || !house.fans[0].switched_by || house.fans[0].off_while_misting ||
      house.structure.shade.drawn_by) {
    throw std::runtime_error("this comparison is for one fan on a thermostat and a fixed shade");
  }
  const EngineDay fresh(day);
  start_air_ = fresh.climate().start_state();
  fan_at_start_ = fan_ = fresh.shared().devices.fan_on[0] != 0;
  air_states_ = start_air_.size();
  for (const bool on : {false, true}) {
    DeviceState& devices = devices_[on ? 1 : 0];
    devices.fan_on = {static_cast<std::uint8_t>(on ? 1 : 0)};
    for (const Opening& opening : house.openings) {
      if (opening.opened_by) throw std::runtime_error("vents on thermostats are not compared");
      devices.opening_open.push_back(!opening.with_fan || on ? 1 : 0);
    }
  }
  add_leaves();
  const double bare = house.crop.dry_share_fraction;
  dry_depth_m_ = house.crop.break_depth_m * std::pow(1.0 - bare, 1.5);
  double mass = 0.0;
  for (const double m : shared_.plan.fixed.air_mass_kg) mass += m;
  for (const double m : shared_.plan.fixed.air_mass_kg) mass_share_.push_back(m / mass);
  for (double t_s = 0.0; t_s <= day.span_s() + tabulated_every_s; t_s += tabulated_every_s) {
    outside_.push_back(look_out(t_s));
  }
  air_.resize(air_states_);
  alpha_.assign(shared_.plan.classes.size(), 0.0);
  beta_ = alpha_;
  alpha_line_.resize(alpha_.size());
  beta_line_.resize(alpha_.size());
  wetness_.assign(shared_.plan.classes.size(), Wetness{});
}

void HouseOde::add_leaves() {
  const Plan& plan = shared_.plan;
  for (std::uint32_t c = 0; c < plan.classes.size(); ++c) {
    table_.first.push_back(table_.plan_leaf.size());
    for (std::uint32_t i = 0; i < plan.leaves.count(); ++i) {
      if (plan.leaves.leaf_class[i] == c) table_.plan_leaf.push_back(i);
    }
  }
  table_.first.push_back(table_.plan_leaf.size());
  for (const std::uint32_t i : table_.plan_leaf) {
    table_.radiation_factor.push_back(plan.leaves.radiation_factor[i]);
    table_.area_m2.push_back(plan.leaves.area_m2[i]);
  }
  for (int on = 0; on < 2; ++on) {
    const std::vector<double> factors =
        conductance_factors(plan, shared_.house, shared_.airflow.regime(devices_[on]));
    for (const std::uint32_t i : table_.plan_leaf)
      table_.conductance_factor[on].push_back(factors[i]);
  }
}

std::vector<double> HouseOde::start() const {
  std::vector<double> state = start_air_;
  state.resize(size(), shared_.film.capacity_m);
  return state;
}

/// Weather, sun and sky, as the air's part sees them.
Surroundings HouseOde::look_out(double t_s) const {
  const House& house = shared_.house;
  const double utc_s = house.civil.utc_s(run_start) + t_s;
  return surroundings_at(house, shared_.plan, sky::weather_at(house.weather, utc_s), utc_s, true);
}

Surroundings HouseOde::between(double t_s) const {
  const double place = std::max(0.0, t_s / tabulated_every_s);
  const auto k = std::min(static_cast<std::size_t>(place), outside_.size() - 2);
  const double x = place - static_cast<double>(k);
  const Surroundings& a = outside_[k];
  const Surroundings& b = outside_[k + 1];
  const auto mix = [x](double low, double high) { return low + x * (high - low); };
  return {mix(a.light_at_leaves_W_per_m2, b.light_at_leaves_W_per_m2),
          mix(a.sky_temperature_K, b.sky_temperature_K),
          mix(a.sun_on_floor_W_per_m2, b.sun_on_floor_W_per_m2),
          mix(a.sun_on_medium_W_per_m2, b.sun_on_medium_W_per_m2),
          mix(a.sun_on_cover_W_per_m2, b.sun_on_cover_W_per_m2),
          mix(a.outside_temperature_K, b.outside_temperature_K),
          mix(a.outside_humidity_ratio, b.outside_humidity_ratio),
          mix(a.wind_speed_m_per_s, b.wind_speed_m_per_s),
          mix(a.wind_from_rad, b.wind_from_rad)};
}

/// Surroundings, flows and the classes' lines at a state.
void HouseOde::lines_at(double t_s, const double* state) {
  const Plan& plan = shared_.plan;
  std::copy(state, state + air_states_, air_.begin());
  const Surroundings around = between(t_s);
  const DeviceState& devices = devices_[fan_ ? 1 : 0];
  const Regime& regime = shared_.airflow.regime(devices);
  const AirThrough through = air_through(shared_, devices, regime, around, air_);
  now_ = house_now(plan, regime, around, through);
  lines_ = class_lines(shared_, regime, canopy_now(around, through), air_);
  for (std::size_t c = 0; c < lines_.size(); ++c) {
    if (plan.classes[c].area_m2 <= 0.0) continue;
    alpha_line_[c] = lines_[c].alpha();
    beta_line_[c] = lines_[c].beta();
    alpha_[c] = alpha_at(c, air_);
    beta_[c] = beta_at(c, air_);
  }
}

double HouseOde::alpha_at(std::size_t leaf_class, const std::vector<double>& air) const {
  return alpha_line_[leaf_class].value(air) / water_density_kg_per_m3;
}

double HouseOde::beta_at(std::size_t leaf_class, const std::vector<double>& air) const {
  return beta_line_[leaf_class].value(air) / water_density_kg_per_m3;
}

void HouseOde::set_wetness(std::size_t leaf_class, double by_radiation_m2,
                           double by_conductance_m2) {
  const double area_m2 = shared_.plan.classes[leaf_class].area_m2;
  wetness_[leaf_class] = {by_radiation_m2 / area_m2, by_conductance_m2 / area_m2};
}

void HouseOde::add_fluxes() {
  const Plan& plan = shared_.plan;
  fluxes_ = air::house_fluxes(plan.fixed, now_, air_);
  for (std::size_t c = 0; c < lines_.size(); ++c) {
    if (plan.classes[c].area_m2 <= 0.0) continue;
    const ClassEvaporation evaporation =
        class_evaporation(lines_[c], plan.classes[c], wetness_[c], false);
    add_canopy_fluxes(shared_, plan.classes[c], lines_[c], evaporation, fluxes_);
  }
}

void HouseOde::rates(double t_s, const double* state, double* rate) {
  const double began = timed ? clock_s() : 0.0;
  ++evaluations_;
  lines_at(t_s, state);
  const double lined = timed ? clock_s() : 0.0;
  const Plan& plan = shared_.plan;
  const std::vector<double>& g = table_.conductance_factor[fan_ ? 1 : 0];
  for (std::size_t c = 0; c < lines_.size(); ++c) {
    const std::size_t at = table_.first[c];
    const std::size_t count = table_.first[c + 1] - at;
    if (count == 0) continue;
    const WettedSums wet =
        film_rates({count, state + air_states_ + at, table_.radiation_factor.data() + at,
                    g.data() + at, table_.area_m2.data() + at, alpha_[c], beta_[c],
                    shared_.film.break_depth_m, shared_.film.capacity_m},
                   rate + air_states_ + at);
    wetness_[c] = {wet.by_radiation_m2 / plan.classes[c].area_m2,
                   wet.by_conductance_m2 / plan.classes[c].area_m2};
  }
  const double filmed = timed ? clock_s() : 0.0;
  add_fluxes();
  std::fill(rate, rate + air_states_, 0.0);
  for (const air::Flux& flux : fluxes_) {
    const double size = flux.size.value(air_);
    for (const auto& fed : flux.feeds) rate[fed.state] += fed.coefficient * size;
  }
  if (timed) {
    leaf_seconds_s += filmed - lined;
    air_seconds_s += lined - began + clock_s() - filmed;
  }
}

void HouseOde::freeze(double t_s, const double* state) {
  ++evaluations_;
  lines_at(t_s, state);
  add_fluxes();
}

double HouseOde::mean_air_C(const double* state) const {
  double sum = 0.0;
  for (std::size_t c = 0; c < mass_share_.size(); ++c) {
    sum += mass_share_[c] * state[state_index(c, CellState::Air)];
  }
  return sum;
}

double HouseOde::over_threshold_K(const double* state) const {
  return mean_air_C(state) - celsius(shared_.house.fans[0].switched_by->threshold_K(fan_));
}

void HouseOde::land(const Landing& landing, double* state) const {
  const Plan& plan = shared_.plan;
  const air::HouseFixed& fixed = plan.fixed;
  const Impulse& impulse = landing.impulse;
  const double cp = fixed.heat_capacity_air_J_per_kg_K;
  for (std::size_t c = 0; c < fixed.cells; ++c) {
    state[state_index(c, CellState::Humidity)] += impulse.vapour_kg[c] / fixed.air_mass_kg[c];
    state[state_index(c, CellState::Air)] -=
        (impulse.vapour_kg[c] * fixed.latent_heat_J_per_kg + impulse.air_heat_J[c]) /
        (fixed.air_mass_kg[c] * cp);
    if (fixed.bench_area_m2[c] > 0.0) {
      state[state_index(c, CellState::Medium)] -=
          impulse.medium_heat_J[c] /
          (fixed.bench_area_m2[c] * fixed.medium_heat_capacity_J_per_m2_K);
    }
    state[state_index(c, CellState::CoverWater)] += impulse.cover_water_kg[c];
    state[state_index(c, CellState::FloorWater)] += impulse.floor_water_kg[c];
  }
  drip(state);
  const std::size_t layers = plan.layer_sun_fraction.size();
  for (std::size_t k = 0; k < films(); ++k) {
    const std::uint32_t i = table_.plan_leaf[k];
    const double kept_m3 =
        landing.deposit.layer_kg[plan.leaves.bench_cell[i] * layers + plan.leaves.layer[i]] /
        water_density_kg_per_m3;
    double& depth = state[air_states_ + k];
    depth = leaf::film_gain(std::max(0.0, depth),
                            kept_m3 * plan.leaves.deposit_per_cell_1_per_m2[i], shared_.film)
                .depth_m;
  }
}

bool HouseOde::drip(double* state) const {
  const air::HouseFixed& fixed = shared_.plan.fixed;
  bool fell = false;
  for (std::size_t c = 0; c < fixed.cells; ++c) {
    const Overflow over = mistwright::drip(fixed, shared_.house.structure.cover, c,
                                           state[state_index(c, CellState::CoverWater)],
                                           state[state_index(c, CellState::FloorWater)]);
    fell = fell || over.fell;
  }
  return fell;
}

void HouseOde::count_dry(double step_s, const double* before, const double* after,
                         double* dry_s) const {
  const std::vector<double>& g = table_.conductance_factor[fan_ ? 1 : 0];
  for (std::size_t c = 0; c < alpha_.size(); ++c) {
    const std::size_t at = table_.first[c];
    bench::count_dry({table_.first[c + 1] - at, before + air_states_ + at, after + air_states_ + at,
                      table_.radiation_factor.data() + at, g.data() + at, alpha_[c], beta_[c],
                      dry_depth_m_, shared_.film.break_depth_m, step_s},
                     dry_s + at);
  }
}

}  // namespace mistwright::bench
