#include "sim/house/plan.h"

#include <algorithm>
#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/contracts.h"
#include "models/flow/momentum_field.h"
#include "models/random.h"
#include "models/units.h"

namespace mistwright {

flow::Side side_of(Wall wall) {
  switch (wall) {
    case Wall::Front:
      return flow::Side::Front;
    case Wall::Back:
      return flow::Side::Back;
    case Wall::Right:
      return flow::Side::Right;
    case Wall::Left:
      return flow::Side::Left;
    case Wall::Roof:
      return flow::Side::Roof;
  }
  return flow::Side::Front;
}

namespace {

/// The reference state of the run's constants: warm, moist, as under mist.
constexpr double reference_temperature_K = 298.15;
constexpr double reference_relative_humidity_fraction = 0.7;

/// Openings come as two halves, one above the other, so that warm air can leave above while cool
/// air enters below.
void add_ports(const House& house, Plan& plan) {
  for (const Opening& opening : house.openings) {
    plan.opening_ports.push_back(plan.enclosure.ports.size());
    for (const double side : {-0.25, 0.25}) {
      plan.enclosure.ports.push_back({opening.name, side_of(opening.wall), opening.along_m,
                                      opening.height_m + side * opening.tall_m, opening.width_m,
                                      0.5 * opening.tall_m, opening.open_fraction});
    }
  }
  for (const Fan& fan : house.fans) {
    plan.fan_ports.push_back(plan.enclosure.ports.size());
    if (fan.kind != FanKind::Exhaust) continue;
    const double edge_m = fan.diameter_m * std::sqrt(pi / 4.0);
    plan.enclosure.ports.push_back(
        {fan.name, side_of(fan.wall), fan.along_m, fan.height_m, edge_m, edge_m});
  }
}

/// A sheet on each edge of a bench, from its surface up.
void add_skirt(const Bench& bench, flow::Enclosure& enclosure) {
  if (bench.skirt_m <= 0.0) return;
  const double x1_m = bench.x_m + bench.length_m, y1_m = bench.y_m + bench.width_m;
  const double z0_m = bench.height_m, z1_m = bench.height_m + bench.skirt_m;
  enclosure.sheets.push_back({0, bench.x_m, bench.y_m, y1_m, z0_m, z1_m, 1.0});
  enclosure.sheets.push_back({0, x1_m, bench.y_m, y1_m, z0_m, z1_m, -1.0});
  enclosure.sheets.push_back({1, bench.y_m, bench.x_m, x1_m, z0_m, z1_m, 1.0});
  enclosure.sheets.push_back({1, y1_m, bench.x_m, x1_m, z0_m, z1_m, -1.0});
}

void add_benches(const House& house, Plan& plan) {
  std::vector<droplet::BenchRect> rectangles;
  for (const Bench& bench : house.benches) {
    const double leaves_m = bench.height_m + plan.canopy_height_m;
    const flow::Box box{bench.x_m,
                        bench.x_m + bench.length_m,
                        bench.y_m,
                        bench.y_m + bench.width_m,
                        std::max(0.0, bench.height_m - 0.1),
                        leaves_m};
    plan.enclosure.boxes.push_back(
        flow::thick_enough(box, house.structure.ridge_height_m, house.numerics.flow_cell_m));
    add_skirt(bench, plan.enclosure);
    rectangles.push_back(
        {bench.x_m, bench.y_m, bench.x_m + bench.length_m, bench.y_m + bench.width_m, leaves_m});
  }
  plan.benches = droplet::make_bench_grid(rectangles, house.numerics.bench_cell_m);
}

/// Cuttings stand on an even lattice in each bench cell; their leaves climb the layers.
void place_leaves(const House& house, Plan& plan) {
  const Crop& crop = house.crop;
  const auto layers = static_cast<std::size_t>(crop.layers);
  Random random(house.numerics.seed, stream_of("leaves"));
  plan.layer_leaf_area_m2.assign(plan.benches.cells.size() * layers, 0.0);
  double owed =
      0.0;  // cuttings still to be placed: carried over, so that the count is right overall
  std::uint32_t cutting = 0;
  const auto spread = static_cast<std::uint32_t>(crop.leaves_max - crop.leaves_min + 1);
  for (std::uint32_t cell = 0; cell < plan.benches.cells.size(); ++cell) {
    plan.first_leaf.push_back(static_cast<std::uint32_t>(plan.leaves.count()));
    owed += crop.cuttings_per_m2 * plan.benches.cells[cell].area_m2;
    struct Placed {
      std::uint8_t layer;
      double tilt_rad;
    };
    std::vector<Placed> placed;
    const auto here = static_cast<int>(std::floor(owed + 0.5));
    owed -= here;
    for (int n = 0; n < here; ++n, ++cutting) {
      const auto leaves = static_cast<std::size_t>(crop.leaves_min) + cutting % spread;
      for (std::size_t i = 0; i < leaves; ++i) {
        const double tilt =
            std::clamp(crop.leaf_angle_mean_rad + crop.leaf_angle_spread_rad * random.normal(), 0.0,
                       radians(85.0));
        placed.push_back({static_cast<std::uint8_t>(i * layers / leaves), tilt});
      }
    }
    std::stable_sort(placed.begin(), placed.end(),
                     [](const Placed& a, const Placed& b) { return a.layer < b.layer; });
    for (const Placed& leaf : placed) {
      plan.leaves.bench_cell.push_back(cell);
      plan.leaves.layer.push_back(leaf.layer);
      plan.leaves.tilt_rad.push_back(leaf.tilt_rad);
      plan.leaves.area_m2.push_back(crop.leaf_area_m2);
      plan.leaves.leaf_class.push_back(
          plan.air_cell_of_bench_cell[cell] * static_cast<std::uint32_t>(layers) + leaf.layer);
      plan.layer_leaf_area_m2[cell * layers + leaf.layer] += crop.leaf_area_m2;
    }
  }
  plan.first_leaf.push_back(static_cast<std::uint32_t>(plan.leaves.count()));
}

/// A tilted leaf meets light and falling drops by its level projection; averaged over all bearings
/// that is the cosine of its tilt. Factors are scaled so that the shares of a class, or of a cell's
/// layer, add up.
void weigh_leaves(Plan& plan, std::size_t layers) {
  Leaves& leaves = plan.leaves;
  plan.classes.resize(plan.air.count() * layers);
  for (std::uint32_t c = 0; c < plan.classes.size(); ++c) {
    plan.classes[c].air_cell = c / static_cast<std::uint32_t>(layers);
    plan.classes[c].layer = c % static_cast<std::uint32_t>(layers);
  }
  std::vector<double> class_projected(plan.classes.size(), 0.0);
  std::vector<double> cell_projected(plan.benches.cells.size() * layers, 0.0);
  for (std::size_t i = 0; i < leaves.count(); ++i) {
    const double projected = leaves.area_m2[i] * std::cos(leaves.tilt_rad[i]);
    plan.classes[leaves.leaf_class[i]].area_m2 += leaves.area_m2[i];
    class_projected[leaves.leaf_class[i]] += projected;
    cell_projected[leaves.bench_cell[i] * layers + leaves.layer[i]] += projected;
  }
  for (std::size_t i = 0; i < leaves.count(); ++i) {
    const double projection = std::cos(leaves.tilt_rad[i]);
    const std::uint32_t c = leaves.leaf_class[i];
    leaves.radiation_factor.push_back(projection * plan.classes[c].area_m2 / class_projected[c]);
    leaves.deposit_per_cell_1_per_m2.push_back(
        projection / cell_projected[leaves.bench_cell[i] * layers + leaves.layer[i]]);
  }
}

void set_light(const House& house, Plan& plan) {
  double bench_area = 0.0;
  for (const auto& cell : plan.benches.cells) bench_area += cell.area_m2;
  double leaf_area = 0.0;
  for (const double area : plan.leaves.area_m2) leaf_area += area;
  plan.leaf_area_index = leaf_area / bench_area;
  double above = 1.0;
  double sum = 0.0;
  const auto layers = static_cast<std::size_t>(house.crop.layers);
  for (std::size_t layer = 0; layer < layers; ++layer) {
    double area = 0.0;
    for (const LeafClass& c : plan.classes) {
      if (c.layer == layer) area += c.area_m2;
    }
    sum += area / bench_area;
    const double below = std::exp(-canopy_extinction_coefficient * sum);
    plan.layer_sun_fraction.push_back(above - below);
    above = below;
  }
  plan.medium_sun_fraction = above;
}

/// The leaves of each bench, as the air above its top feels them.
void add_foliage(Plan& plan) {
  for (const flow::Box& bench : plan.enclosure.boxes) {
    flow::Box leaves = bench;
    leaves.z0_m = bench.z1_m;
    leaves.z1_m = bench.z1_m + leaf_height_over_medium_m;
    plan.enclosure.foliage.push_back({leaves, plan.leaf_area_index / leaf_height_over_medium_m});
  }
}

void set_constants(const House& house, Plan& plan) {
  air::HouseFixed& fixed = plan.fixed;
  const double pressure_Pa = air::pressure_at_altitude_Pa(house.site.altitude_m);
  const double e_Pa =
      reference_relative_humidity_fraction * air::saturation_pressure_Pa(reference_temperature_K);
  const double humidity = air::humidity_ratio(e_Pa, pressure_Pa);
  plan.drop_air = {reference_temperature_K, e_Pa, pressure_Pa};
  plan.air_density_kg_per_m3 =
      (pressure_Pa - e_Pa) / (gas_constant_dry_air_J_per_kg_K * reference_temperature_K);
  fixed.cells = plan.air.count();
  fixed.pressure_Pa = pressure_Pa;
  fixed.heat_capacity_air_J_per_kg_K =
      heat_capacity_dry_air_J_per_kg_K + humidity * heat_capacity_vapour_J_per_kg_K;
  fixed.latent_heat_J_per_kg = air::latent_heat_J_per_kg(reference_temperature_K);
  fixed.floor_area_m2 = plan.air.floor_area_m2;
  fixed.cover_area_m2 = plan.air.cover_area_m2;
  fixed.bench_area_m2.assign(fixed.cells, 0.0);
  for (std::size_t b = 0; b < plan.benches.cells.size(); ++b) {
    fixed.bench_area_m2[plan.air_cell_of_bench_cell[b]] += plan.benches.cells[b].area_m2;
  }
  double cover = 0.0;
  double plan_area = 0.0;
  for (std::size_t c = 0; c < fixed.cells; ++c) {
    fixed.air_mass_kg.push_back(plan.air_density_kg_per_m3 * plan.air.volume_m3[c]);
    // Bench cells are handed to air cells whole, so at an edge they may overhang by half a cell.
    fixed.bare_floor_area_m2.push_back(
        std::max(0.0, fixed.floor_area_m2[c] - fixed.bench_area_m2[c]));
    cover += fixed.cover_area_m2[c];
    plan_area += fixed.floor_area_m2[c];
  }
  const Structure& structure = house.structure;
  fixed.cover_heat_capacity_J_per_m2_K = structure.cover.heat_capacity_J_per_m2_K;
  fixed.cover_conductance_W_per_m2_K = structure.cover.conductance_W_per_m2_K;
  fixed.cover_longwave_transmittance_fraction = structure.cover.longwave_transmittance_fraction;
  fixed.cover_sky_view_fraction =
      0.5 + 0.5 * plan_area / cover;  // level parts see the sky, upright ones half
  fixed.floor_heat_capacity_J_per_m2_K = structure.floor_heat_capacity_J_per_m2_K;
  fixed.floor_ground_conductance_W_per_m2_K = structure.floor_ground_conductance_W_per_m2_K;
  fixed.floor_wet_fraction = structure.floor_wet_fraction;
  fixed.ground_temperature_K = structure.ground_temperature_K;
  fixed.medium_heat_capacity_J_per_m2_K =
      house.medium.depth_m * (house.medium.solid_heat_capacity_J_per_m3_K +
                              house.medium.start_water_fraction * water_density_kg_per_m3 *
                                  heat_capacity_water_J_per_kg_K);
  fixed.medium_bare_fraction = plan.medium_sun_fraction;
}

}  // namespace

Plan make_plan(const House& house) {
  EXPECT(!house.benches.empty());
  Plan plan;
  const Structure& structure = house.structure;
  plan.enclosure.length_m = structure.length_m;
  plan.enclosure.width_m = structure.width_m;
  plan.enclosure.eave_height_m = structure.eave_height_m;
  plan.enclosure.ridge_height_m = structure.ridge_height_m;
  plan.canopy_height_m = leaf_height_over_medium_m;
  add_benches(house, plan);
  add_ports(house, plan);
  for (const Fan& fan : house.fans) {
    if (fan.kind != FanKind::Circulation) continue;
    // In free air: the flow at the end of its curve.
    plan.enclosure.stirrers.push_back(
        {fan.x_m, fan.y_m, fan.height_m, fan.bearing_rad, fan.diameter_m, fan.curve.back().first});
  }
  plan.grid = flow::make_grid(plan.enclosure, house.numerics.flow_cell_m);
  plan.air = flow::make_air_cells(plan.enclosure, plan.grid,
                                  static_cast<std::size_t>(house.numerics.air_cells_x),
                                  static_cast<std::size_t>(house.numerics.air_cells_y));
  for (const auto& cell : plan.benches.cells) {
    plan.air_cell_of_bench_cell.push_back(
        static_cast<std::uint32_t>(plan.air.cell_at(cell.x_m, cell.y_m)));
  }
  place_leaves(house, plan);
  weigh_leaves(plan, static_cast<std::size_t>(house.crop.layers));
  set_light(house, plan);
  add_foliage(plan);
  set_constants(house, plan);
  plan.medium = {house.medium.depth_m, house.medium.porosity_fraction,
                 house.medium.container_capacity_fraction, house.medium.needed_air_fraction,
                 house.medium.drainage_time_s};
  plan.canopy.leaf_area_index = plan.leaf_area_index;
  plan.canopy.layers = house.crop.layers;
  plan.canopy.mean_tilt_rad = house.crop.leaf_angle_mean_rad;
  plan.canopy.leaf_length_m = house.crop.leaf_length_m;
  switch (house.crop.wettability) {
    case Wettability::Waxy:
      plan.canopy.surface = droplet::LeafSurface::Waxy;
      break;
    case Wettability::Ordinary:
      plan.canopy.surface = droplet::LeafSurface::Ordinary;
      break;
    case Wettability::Wettable:
      plan.canopy.surface = droplet::LeafSurface::Wettable;
      break;
  }
  return plan;
}

}  // namespace mistwright
