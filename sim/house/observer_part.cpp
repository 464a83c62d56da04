#include "sim/house/observer_part.h"

#include <algorithm>
#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/units.h"

namespace mistwright {

using air::CellState;
using air::state_index;

const std::vector<SeriesColumn>& series_columns() {
  static const std::vector<SeriesColumn> columns = {
      {"outside_temperature", "air temperature outside", "K", "air_temperature"},
      {"outside_vapour_pressure_deficit", "vapour pressure deficit outside", "Pa", ""},
      {"wind_speed", "wind speed at the station's height", "m s-1", "wind_speed"},
      {"global_radiation", "global radiation on the level outside", "W m-2",
       "surface_downwelling_shortwave_flux_in_air"},
      {"light_at_leaves", "short-wave radiation above the leaves", "W m-2", ""},
      {"air_temperature", "air temperature inside, mean of the air cells", "K", "air_temperature"},
      {"relative_humidity", "relative humidity inside, mean of the air cells", "1",
       "relative_humidity"},
      {"vapour_pressure_deficit", "vapour pressure deficit inside, mean of the air cells", "Pa",
       ""},
      {"wet_bulb_temperature", "wet bulb temperature inside", "K", "wet_bulb_temperature"},
      {"leaf_temperature", "mean leaf temperature", "K", ""},
      {"hottest_leaf_temperature", "temperature of a dry leaf in the warmest place", "K", ""},
      {"cover_temperature", "mean temperature of the cover", "K", ""},
      {"floor_temperature", "mean temperature of the floor", "K", ""},
      {"medium_temperature", "mean temperature of the medium", "K", ""},
      {"evaporation_demand", "what a wet leaf would lose, per leaf area", "kg m-2 s-1", ""},
      {"film_depth", "mean depth of water on the leaves", "m", ""},
      {"bare_share", "share of leaves more than the set share bare", "1", ""},
      {"medium_water_fraction", "water in the medium by volume", "1", ""},
      {"air_changes", "air changes", "h-1", ""},
      {"fans_running", "number of fans that run", "1", ""},
      {"shade_drawn", "1 while the shade is drawn", "1", ""},
      {"cover_condensate", "water on the cover", "kg m-2", ""},
      {"water_used", "water drawn from the supply since the start", "kg", ""},
      {"leaf_evaporation", "water evaporated from leaves since the start", "kg", ""}};
  return columns;
}

ObserverPart::ObserverPart(const Shared& shared, const ClimatePart& climate, const CropPart& crop,
                           const WaterPart& water, Frames& frames)
    : shared_(shared), climate_(climate), crop_(crop), water_(water), frames_(frames) {
  frames_.series.assign(series_count, {});
}

std::optional<engine::Wake> ObserverPart::next_event(SimTime) {
  const SimTime next = std::min(next_series_, next_map_);
  if (next > run_start + shared_.house.span) return std::nullopt;
  return engine::Wake{next, engine::Rank::Record, 0};
}

void ObserverPart::on_event(const engine::Event& event, engine::Effects&) {
  const SimTime end = run_start + shared_.house.span;
  const auto step = [end, &event](SimTime& next, double interval_s) {
    if (event.time < next) return false;
    const SimTime after = next + duration_up(interval_s);
    // The end is always noted, once.
    next = next < end ? std::min(after, end) : end + SimDuration{1};
    return true;
  };
  if (step(next_series_, shared_.house.recording.series_interval_s)) note_series(event.time);
  if (step(next_map_, shared_.house.recording.map_interval_s)) note_maps(event.time);
}

void ObserverPart::put(Series column, double value) {
  frames_.series[static_cast<std::size_t>(column)].push_back(value);
}

void ObserverPart::note_series(SimTime now) {
  frames_.series_time_us.push_back(static_cast<double>(now.time_since_epoch().count()));
  const sky::Weather& weather = shared_.weather;
  put(Series::OutsideTemperature, weather.temperature_K);
  put(Series::OutsideDeficit,
      air::saturation_pressure_Pa(weather.temperature_K) - weather.vapour_pressure_Pa);
  put(Series::WindSpeed, weather.wind_speed_m_per_s);
  put(Series::GlobalRadiation, weather.global_horizontal_W_per_m2);
  put(Series::LightAtLeaves, shared_.light_at_leaves_W_per_m2);
  note_air();
  note_leaves();
  note_surfaces();
  put(Series::AirChanges, shared_.air_changes_per_h);
  double running = 0.0;
  for (const auto on : shared_.devices.fan_on) running += on;
  put(Series::FansRunning, running);
  put(Series::ShadeDrawn, shared_.shade_drawn ? 1.0 : 0.0);
  put(Series::WaterUsed, water_.ledger().drawn_kg.value());
  put(Series::LeafEvaporation, crop_.ledger().film_evaporated_kg.value());
}

void ObserverPart::note_air() {
  const air::HouseFixed& fixed = shared_.plan.fixed;
  double deficit_sum = 0.0;
  double humidity_sum = 0.0;
  double mass = 0.0;
  for (std::size_t c = 0; c < fixed.cells; ++c) {
    const double temperature_K = kelvin(shared_.air[state_index(c, CellState::Air)]);
    const double humidity = shared_.air[state_index(c, CellState::Humidity)];
    const double full_Pa = air::saturation_pressure_Pa(temperature_K);
    const double e_Pa = air::vapour_pressure_Pa(humidity, fixed.pressure_Pa);
    frames_.cell_temperature_K.push_back(temperature_K);
    frames_.cell_humidity.push_back(humidity);
    frames_.cell_deficit_Pa.push_back(full_Pa - e_Pa);
    deficit_sum += fixed.air_mass_kg[c] * (full_Pa - e_Pa);
    humidity_sum += fixed.air_mass_kg[c] * (e_Pa / full_Pa);
    mass += fixed.air_mass_kg[c];
  }
  const double air_K = shared_.mean_air_temperature_K();
  put(Series::AirTemperature, air_K);
  put(Series::RelativeHumidity, humidity_sum / mass);
  put(Series::Deficit, deficit_sum / mass);
  const double full = air::humidity_ratio(air::saturation_pressure_Pa(air_K), fixed.pressure_Pa);
  const double humidity = std::min(mean_state(shared_, CellState::Humidity), full);
  put(Series::WetBulb, air::wet_bulb_K({air_K, humidity, fixed.pressure_Pa}));
}

void ObserverPart::note_leaves() {
  const Plan& plan = shared_.plan;
  double leaf_sum = 0.0;
  double leaf_area = 0.0;
  double hottest = 0.0;
  double demand = 0.0;
  for (std::size_t c = 0; c < plan.classes.size() && c < climate_.lines().size(); ++c) {
    const LeafClass& leaves = plan.classes[c];
    if (leaves.area_m2 <= 0.0) continue;
    const ClassLines& lines = climate_.lines()[c];
    const double temperature_K = kelvin(shared_.air[state_index(leaves.air_cell, CellState::Air)]);
    const double radiation = lines.net_radiation_W_per_m2.value(shared_.air);
    const double deficit = lines.deficit_Pa.value(shared_.air);
    const auto warmed_K = [&](double loss_kg_per_m2_s) {
      return temperature_K + lines.dry.warming_m2_K_per_W *
                                 (radiation - plan.fixed.latent_heat_J_per_kg * loss_kg_per_m2_s);
    };
    const ClassEvaporation evaporation =
        class_evaporation(lines, leaves, climate_.wetness()[c], shared_.class_sign[c] < 0);
    leaf_sum += leaves.area_m2 * warmed_K((evaporation.wet_kg_per_s.value(shared_.air) +
                                           evaporation.dry_kg_per_s.value(shared_.air)) /
                                          leaves.area_m2);
    leaf_area += leaves.area_m2;
    hottest = std::max(hottest, warmed_K(lines.dry.per_radiation_kg_per_J * radiation +
                                         lines.dry.per_deficit_kg_per_m2_s_Pa * deficit));
    demand += leaves.area_m2 * lines.demand().value(shared_.air);
  }
  put(Series::LeafTemperature, leaf_sum / leaf_area);
  put(Series::HottestLeaf, hottest);
  put(Series::Demand, demand / leaf_area);
  const Representatives& representatives = shared_.representatives;
  double depth = 0.0;
  double area = 0.0;
  for (std::size_t k = 0; k < representatives.depth_m.size(); ++k) {
    depth += representatives.area_m2[k] * representatives.depth_m[k];
    area += representatives.area_m2[k];
  }
  put(Series::FilmDepth, depth / area);
  put(Series::BareShare, crop_.bare_share_now_fraction());
}

void ObserverPart::note_surfaces() {
  const air::HouseFixed& fixed = shared_.plan.fixed;
  put(Series::CoverTemperature, kelvin(mean_state(shared_, CellState::Cover)));
  put(Series::FloorTemperature, kelvin(mean_state(shared_, CellState::Floor)));
  double medium = 0.0;
  double bench = 0.0;
  double cover_water = 0.0;
  double cover_area = 0.0;
  for (std::size_t c = 0; c < fixed.cells; ++c) {
    medium += fixed.bench_area_m2[c] * shared_.air[state_index(c, CellState::Medium)];
    bench += fixed.bench_area_m2[c];
    cover_water += shared_.air[state_index(c, CellState::CoverWater)];
    cover_area += fixed.cover_area_m2[c];
  }
  put(Series::MediumTemperature, kelvin(medium / bench));
  put(Series::CoverCondensate, cover_water / cover_area);
  double water = 0.0;
  for (const double w : crop_.medium().water_m) water += w;
  put(Series::MediumWater,
      water / static_cast<double>(crop_.medium().water_m.size()) / shared_.house.medium.depth_m);
}

void ObserverPart::note_maps(SimTime now) {
  const Plan& plan = shared_.plan;
  frames_.map_time_us.push_back(static_cast<double>(now.time_since_epoch().count()));
  const auto append = [](std::vector<double>& to, const std::vector<double>& from) {
    to.insert(to.end(), from.begin(), from.end());
  };
  append(frames_.bare_share, crop_.bare_share());
  append(frames_.film_depth_m, crop_.mean_depth_m());
  if (shared_.house.numerics.airflow == flow::AirflowModel::Momentum) {
    const BenchAir over =
        bench_air(plan, shared_.airflow.regime(shared_.devices), climate_.moment_now());
    append(frames_.bench_air_temperature_K, over.temperature_K);
    append(frames_.bench_air_deficit_Pa, over.deficit_Pa);
    append(frames_.bench_air_speed_m_per_s, over.speed_m_per_s);
  }
  const LeafHistory& leaves = crop_.leaves();
  for (std::size_t b = 0; b < plan.benches.cells.size(); ++b) {
    double dry = 0.0;
    for (std::uint32_t i = plan.first_leaf[b]; i < plan.first_leaf[b + 1]; ++i)
      dry += leaves.dry_s[i];
    const auto count = plan.first_leaf[b + 1] - plan.first_leaf[b];
    frames_.dry_s.push_back(count > 0 ? dry / count : 0.0);
    frames_.mist_m.push_back(crop_.medium().mist_m[b] + crop_.medium().leaves_mist_m[b]);
    frames_.demand_m.push_back(crop_.medium().demand_m[b]);
  }
}

void ObserverPart::state(engine::StateVisitor& visitor) {
  visitor.value(next_series_);
  visitor.value(next_map_);
}

}  // namespace mistwright
