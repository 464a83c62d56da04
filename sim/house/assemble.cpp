#include "sim/house/assemble.h"

#include <algorithm>

#include "models/contracts.h"
#include "sim/house/clock_part.h"
#include "sim/house/ledger_part.h"
#include "sim/house/observer_part.h"

namespace mistwright {

Building::Building(const House& described, std::shared_ptr<FieldStore> store)
    : house(described), plan(make_plan(house)), airflow(house, plan, std::move(store)) {}

namespace {

template <class List, class Same>
bool all_same(const List& a, const List& b, const Same& same) {
  if (a.size() != b.size()) return false;
  for (std::size_t i = 0; i < a.size(); ++i) {
    if (!same(a[i], b[i])) return false;
  }
  return true;
}

bool same_structure(const Structure& a, const Structure& b) {
  return a.length_m == b.length_m && a.width_m == b.width_m && a.eave_height_m == b.eave_height_m &&
         a.ridge_height_m == b.ridge_height_m && a.orientation_rad == b.orientation_rad &&
         a.leakage_air_changes_per_h == b.leakage_air_changes_per_h &&
         a.cover.heat_capacity_J_per_m2_K == b.cover.heat_capacity_J_per_m2_K &&
         a.cover.conductance_W_per_m2_K == b.cover.conductance_W_per_m2_K &&
         a.cover.solar_transmittance_fraction == b.cover.solar_transmittance_fraction &&
         a.cover.longwave_transmittance_fraction == b.cover.longwave_transmittance_fraction &&
         a.floor_heat_capacity_J_per_m2_K == b.floor_heat_capacity_J_per_m2_K &&
         a.floor_ground_conductance_W_per_m2_K == b.floor_ground_conductance_W_per_m2_K &&
         a.floor_wet_fraction == b.floor_wet_fraction &&
         a.ground_temperature_K == b.ground_temperature_K;
}

bool same_numerics(const Numerics& a, const Numerics& b) {
  return a.seed == b.seed && a.parcels_per_class == b.parcels_per_class &&
         a.deposit_noise_ratio == b.deposit_noise_ratio && a.drops_redrawn == b.drops_redrawn &&
         a.air_cells_x == b.air_cells_x && a.air_cells_y == b.air_cells_y &&
         a.flow_cell_m == b.flow_cell_m && a.bench_cell_m == b.bench_cell_m &&
         a.uniform_flow == b.uniform_flow && a.airflow == b.airflow;
}

bool same_crop(const Crop& a, const Crop& b) {
  return a.cuttings_per_m2 == b.cuttings_per_m2 && a.leaves_min == b.leaves_min &&
         a.leaves_max == b.leaves_max && a.leaf_area_m2 == b.leaf_area_m2 &&
         a.leaf_length_m == b.leaf_length_m && a.layers == b.layers &&
         a.leaf_angle_mean_rad == b.leaf_angle_mean_rad &&
         a.leaf_angle_spread_rad == b.leaf_angle_spread_rad && a.wettability == b.wettability;
}

bool same_medium(const Medium& a, const Medium& b) {
  return a.depth_m == b.depth_m && a.porosity_fraction == b.porosity_fraction &&
         a.container_capacity_fraction == b.container_capacity_fraction &&
         a.start_water_fraction == b.start_water_fraction &&
         a.needed_air_fraction == b.needed_air_fraction && a.drainage_time_s == b.drainage_time_s &&
         a.solid_heat_capacity_J_per_m3_K == b.solid_heat_capacity_J_per_m3_K;
}

bool same_weather(const sky::WeatherSeries& a, const sky::WeatherSeries& b) {
  return all_same(a.rows, b.rows, [](const sky::WeatherRow& x, const sky::WeatherRow& y) {
    return x.weather.wind_speed_m_per_s == y.weather.wind_speed_m_per_s &&
           x.weather.wind_from_rad == y.weather.wind_from_rad &&
           x.weather.temperature_K == y.weather.temperature_K &&
           x.weather.global_horizontal_W_per_m2 == y.weather.global_horizontal_W_per_m2;
  });
}

}  // namespace

bool same_building(const House& a, const House& b) {
  return a.site.altitude_m == b.site.altitude_m && same_structure(a.structure, b.structure) &&
         same_numerics(a.numerics, b.numerics) && same_crop(a.crop, b.crop) &&
         same_medium(a.medium, b.medium) && same_weather(a.weather, b.weather) &&
         all_same(a.benches, b.benches,
                  [](const Bench& x, const Bench& y) {
                    return x.x_m == y.x_m && x.y_m == y.y_m && x.length_m == y.length_m &&
                           x.width_m == y.width_m && x.height_m == y.height_m &&
                           x.skirt_m == y.skirt_m;
                  }) &&
         all_same(a.openings, b.openings,
                  [](const Opening& x, const Opening& y) {
                    return x.wall == y.wall && x.along_m == y.along_m && x.height_m == y.height_m &&
                           x.width_m == y.width_m && x.tall_m == y.tall_m &&
                           x.discharge_coefficient == y.discharge_coefficient &&
                           x.open_fraction == y.open_fraction;
                  }) &&
         all_same(a.fans, b.fans, [](const Fan& x, const Fan& y) {
           return x.kind == y.kind && x.wall == y.wall && x.along_m == y.along_m &&
                  x.height_m == y.height_m && x.x_m == y.x_m && x.y_m == y.y_m &&
                  x.bearing_rad == y.bearing_rad && x.diameter_m == y.diameter_m &&
                  x.curve == y.curve;
         });
}

HouseRun::HouseRun(const House& described, int threads, std::shared_ptr<Building> building)
    : house_(described),
      building_(building ? std::move(building) : std::make_shared<Building>(house_)),
      works_(house_),
      shared_{house_, building_->plan, building_->airflow, threads} {
  EXPECT(same_building(house_, building_->house));
  const droplet::SizeClasses classes = droplet::size_classes(house_.numerics.size_classes);
  auto climate = std::make_unique<ClimatePart>(shared_);
  auto devices = std::make_unique<DevicesPart>(shared_);
  auto crop = std::make_unique<CropPart>(shared_);
  auto water = std::make_unique<WaterPart>(shared_, works_, classes);
  climate_ = climate.get();
  crop_ = crop.get();
  water_ = water.get();
  auto ledger = std::make_unique<LedgerPart>(shared_, *climate_, *crop_, *water_, frames_);
  auto observer = std::make_unique<ObserverPart>(shared_, *climate_, *crop_, *water_, frames_);
  std::vector<std::unique_ptr<engine::Part>> parts;
  parts.push_back(std::move(climate));   // climate_part
  parts.push_back(std::move(crop));      // crop_part
  parts.push_back(std::move(water));     // water_part
  parts.push_back(std::move(devices));   // devices_part
  parts.push_back(std::move(ledger));    // ledger_part
  parts.push_back(std::move(observer));  // observer_part
  for (std::size_t clock = 0; clock < house_.clocks.size(); ++clock) {
    parts.push_back(std::make_unique<ClockPart>(shared_, clock));
  }
  engine_ = std::make_unique<engine::Engine>(std::move(parts));
  engine_->observer = [this](const engine::Event& event) {
    const bool told = event.part == water_part || event.part == devices_part ||
                      (event.part == crop_part &&
                       event.kind == static_cast<std::uint32_t>(CropEvent::SignChange));
    if (!told) return;
    Frames::Note note{event.time, event.part, event.kind, event.first, event.second};
    if (event.part == devices_part) {
      // What runs and stands open from now on says more than which of them was asked.
      const DeviceState& state = shared_.devices;
      note.first = static_cast<double>(std::count(state.fan_on.begin(), state.fan_on.end(), 1));
      note.second =
          static_cast<double>(std::count(state.opening_open.begin(), state.opening_open.end(), 1));
    }
    frames_.notes.push_back(note);
  };
}

std::vector<std::uint8_t> HouseRun::save() {
  engine::StateWriter writer;
  engine_->state(writer);
  return writer.buffer();
}

void HouseRun::restore(const std::vector<std::uint8_t>& bytes) {
  engine::StateReader reader(bytes);
  engine_->state(reader);
  ENSURE(reader.at_end());
  crop_->resume();
  climate_->resume();
}

}  // namespace mistwright
