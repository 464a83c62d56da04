#pragma once
// Houses and fields simple enough to know the answer beforehand; invented.
#include <array>

#include "models/air/psychrometrics.h"
#include "models/droplet/footprint.h"
#include "models/droplet/lanes.h"
#include "models/flow/air_cells.h"
#include "models/flow/enclosure.h"
#include "models/flow/grid.h"
#include "models/flow/regime_field.h"
#include "models/units.h"

namespace mistwright::test {

/// Air that moves everywhere alike.
struct PlainAir {
  double u_m_per_s = 0.0, v_m_per_s = 0.0, w_m_per_s = 0.0;
  double sigma_m_per_s = 1e-6;
  double timescale_s = 1.0;
  double cell_m = 0.25;
};

inline flow::RegimeField plain_field(const flow::Enclosure& house, const PlainAir& air) {
  flow::RegimeField field;
  field.grid = flow::make_grid(house, air.cell_m);
  field.u_m_per_s.assign(field.grid.u_faces(), air.u_m_per_s);
  field.v_m_per_s.assign(field.grid.v_faces(), air.v_m_per_s);
  field.w_m_per_s.assign(field.grid.w_faces(), air.w_m_per_s);
  field.sigma_m_per_s.assign(field.grid.cells(), air.sigma_m_per_s);
  field.timescale_s.assign(field.grid.cells(), air.timescale_s);
  field.leak_in_m3_per_s.assign(field.grid.cells(), 0.0);
  field.converged = true;
  return field;
}

/// A box of a house: the roof hardly higher than the eaves.
inline flow::Enclosure box_house(double length_m, double width_m, double height_m) {
  flow::Enclosure house;
  house.length_m = length_m;
  house.width_m = width_m;
  house.eave_height_m = height_m;
  house.ridge_height_m = height_m + 1e-3;
  return house;
}

/// One house with everything that a footprint needs, kept together.
struct Setting {
  flow::Enclosure house;
  flow::RegimeField field;
  droplet::BenchGrid benches;
  flow::AirCells air;

  [[nodiscard]] droplet::FootprintCase with(int parcels, std::uint64_t seed = 1) const {
    return {field, house, benches, air, parcels, seed};
  }
};

inline Setting plain_setting(const flow::Enclosure& house, const PlainAir& air,
                             const std::vector<droplet::BenchRect>& benches, double edge_m) {
  Setting s{house, plain_field(house, air), droplet::make_bench_grid(benches, edge_m), {}};
  s.air = flow::make_air_cells(s.house, s.field.grid, 2, 1);
  return s;
}

/// The walk's lots one by one, as the engine draws them.
class Shaker {
 public:
  Shaker(std::uint64_t seed, std::uint64_t stream) : lots_(seed) { lots_.start(0, stream); }
  std::array<double, 3> draw() {
    droplet::Row<1> x, y, z;
    lots_.draw(x, y, z);
    return {x[0], y[0], z[0]};
  }

 private:
  droplet::Shakers<1> lots_;
};

/// Drops let go at rest.
inline droplet::Launch let_go(double x_m, double y_m, double z_m) {
  droplet::Launch launch;
  launch.x_m = x_m;
  launch.y_m = y_m;
  launch.z_m = z_m;
  launch.pattern = water::LaunchPattern::Downward;
  launch.speed_m_per_s = 1e-6;
  return launch;
}

/// A mist head like the demonstration's; invented.
inline water::HeadType mist_head() {
  water::HeadType head;
  head.rated_flow_m3_per_s = 60e-3 / 3600.0;
  head.rated_pressure_Pa = 2.8e5;
  head.dv10_m = 75e-6;
  head.dv50_m = 150e-6;
  head.dv90_m = 250e-6;
  head.spectrum_pressure_Pa = 2.8e5;
  head.spectrum_exponent = 0.3;
  head.wetted_diameter_m = 1.8;
  head.wetted_height_m = 0.6;
  return head;
}

/// A hoop house with two benches, an inlet and a fan; invented.
inline Setting hoop_house(double fan_m3_per_s) {
  flow::Enclosure house;
  house.length_m = 7.2;
  house.width_m = 3.6;
  house.eave_height_m = 1.2;
  house.ridge_height_m = 2.4;
  house.boxes.push_back({1.8, 5.4, 0.2, 1.4, 0.6, 0.75});
  house.boxes.push_back({1.8, 5.4, 2.2, 3.4, 0.6, 0.75});
  house.ports.push_back({"inlet", flow::Side::Front, 1.8, 1.0, 0.6, 0.6});
  house.ports.push_back({"fan", flow::Side::Back, 1.8, 1.4, 0.6, 0.6});
  std::vector<flow::PortFlow> flows;
  if (fan_m3_per_s > 0.0) flows = {{0, fan_m3_per_s}, {1, -fan_m3_per_s}};
  Setting s{house,
            flow::solve_field(house, flows, 0.004, {.cell_m = 0.3}),
            droplet::make_bench_grid({{1.8, 0.2, 5.4, 1.4, 0.75}, {1.8, 2.2, 5.4, 3.4, 0.75}}, 0.3),
            {}};
  s.air = flow::make_air_cells(s.house, s.field.grid, 6, 2);
  return s;
}

inline droplet::AirState air_at(double temperature_degC, double humidity_pct) {
  const double T = kelvin(temperature_degC);
  return {T, humidity_pct / 100.0 * air::saturation_pressure_Pa(T), standard_pressure_Pa};
}

}  // namespace mistwright::test
