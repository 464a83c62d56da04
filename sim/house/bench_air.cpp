#include "sim/house/bench_air.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <utility>

#include "models/air/psychrometrics.h"
#include "models/units.h"
#include "sim/house/shared.h"

namespace mistwright {
namespace {

using air::CellState;
using air::state_index;

/// Mean of a grid's values about a point, by nearness, over the cells of air among the eight
/// around.
double about(const flow::Grid& grid, const std::vector<double>& values,
             const std::array<double, 3>& at_m) {
  const auto x = flow::detail::between(at_m[0] / grid.dx_m - 0.5, grid.nx);
  const auto y = flow::detail::between(at_m[1] / grid.dy_m - 0.5, grid.ny);
  const auto z = flow::detail::between(at_m[2] / grid.dz_m - 0.5, grid.nz);
  const auto side = [](const flow::detail::Between& along, bool high) {
    return std::pair{high ? along.high : along.low, high ? along.share : 1.0 - along.share};
  };
  double sum = 0.0, weights = 0.0;
  for (unsigned corner = 0; corner < 8; ++corner) {
    const auto [i, along] = side(x, (corner & 1U) != 0);
    const auto [j, across] = side(y, (corner & 2U) != 0);
    const auto [k, up] = side(z, (corner & 4U) != 0);
    const std::size_t c = grid.cell(i, j, k);
    const double weight = along * across * up * grid.fluid[c];
    sum += weight * values[c];
    weights += weight;
  }
  return weights > 0.0 ? sum / weights : 0.0;
}

std::vector<double> mean_by_air_cell(const Plan& plan, const flow::Grid& grid,
                                     const std::vector<double>& values) {
  std::vector<double> sum(plan.air.count(), 0.0), count(plan.air.count(), 0.0);
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    if (grid.fluid[c] == 0) continue;
    sum[plan.air.cell_of_grid[c]] += values[c];
    count[plan.air.cell_of_grid[c]] += 1.0;
  }
  for (std::size_t a = 0; a < sum.size(); ++a) sum[a] /= std::max(1.0, count[a]);
  return sum;
}

/// Air cells' values drawn straight between their centres, level beyond the outermost.
class AcrossCells {
 public:
  explicit AcrossCells(const flow::AirCells& cells) : cells_(cells) {}

  [[nodiscard]] double at(const std::vector<double>& values, double x_m, double y_m) const {
    const auto x = place(cells_.nx, 1, cells_.x_m, x_m);
    const auto y = place(cells_.ny, cells_.nx, cells_.y_m, y_m);
    const auto row = [&](std::size_t j) {
      const double* line = values.data() + j * cells_.nx;
      return line[x.low] + x.share * (line[x.high] - line[x.low]);
    };
    return row(y.low) + y.share * (row(y.high) - row(y.low));
  }

 private:
  static flow::detail::Between place(std::size_t count, std::size_t stride,
                                     const std::vector<double>& centre_m, double at_m) {
    std::size_t high = 0;
    while (high < count && centre_m[high * stride] < at_m) ++high;
    if (high == 0) return {0, 0, 0.0};
    if (high == count) return {count - 1, count - 1, 0.0};
    const double low_m = centre_m[(high - 1) * stride];
    return {high - 1, high, (at_m - low_m) / (centre_m[high * stride] - low_m)};
  }

  const flow::AirCells& cells_;
};

}  // namespace

double bench_air_height_m(const House& house, const Plan& plan, std::size_t bench) {
  return house.benches[bench].height_m + plan.canopy_height_m + 0.5 * plan.grid.dz_m;
}

BenchResponse bench_response(const House& house, const Plan& plan, const flow::RegimeField& field) {
  BenchResponse response;
  if (field.floor_response_K_m2_per_W.empty() || field.bench_response_K_m2_per_W.empty())
    return response;
  for (const auto& cell : plan.benches.cells) {
    const std::array<double, 3> at_m{cell.x_m, cell.y_m,
                                     bench_air_height_m(house, plan, cell.bench)};
    response.floor_K_m2_per_W.push_back(about(field.grid, field.floor_response_K_m2_per_W, at_m));
    response.bench_K_m2_per_W.push_back(about(field.grid, field.bench_response_K_m2_per_W, at_m));
  }
  response.floor_mean_K_m2_per_W =
      mean_by_air_cell(plan, field.grid, field.floor_response_K_m2_per_W);
  response.bench_mean_K_m2_per_W =
      mean_by_air_cell(plan, field.grid, field.bench_response_K_m2_per_W);
  return response;
}

BenchAir bench_air(const Shared& shared, const Regime& regime, const SurfaceGifts& gifts,
                   double flow_scale_ratio) {
  const Plan& plan = shared.plan;
  const air::HouseFixed& fixed = plan.fixed;
  const BenchResponse& response = regime.bench_response;
  const bool told = !response.floor_K_m2_per_W.empty();
  // Air that passes twice as fast warms half as much; far from the nominal flows that no longer
  // holds, since warmth and eddies carry on.
  const double slower = 1.0 / std::clamp(flow_scale_ratio, 0.25, 4.0);
  const double floor_m2 = std::max(
      1e-9, std::accumulate(fixed.bare_floor_area_m2.begin(), fixed.bare_floor_area_m2.end(), 0.0));
  const double bench_m2 =
      std::max(1e-9, std::accumulate(fixed.bench_area_m2.begin(), fixed.bench_area_m2.end(), 0.0));
  const double floor_W_per_m2 = slower * gifts.floor_heat_W / floor_m2;
  const double bench_W_per_m2 = slower * gifts.bench_heat_W / bench_m2;
  // As much vapour as heat would be by the air's heat capacity.
  const double cp = fixed.heat_capacity_air_J_per_kg_K;
  const double floor_vapour = slower * cp * gifts.floor_vapour_kg_per_s / floor_m2;
  const double bench_vapour = slower * cp * gifts.bench_vapour_kg_per_s / bench_m2;

  std::vector<double> warm(fixed.cells), humid(fixed.cells);
  for (std::size_t a = 0; a < fixed.cells; ++a) {
    const double by_floor = told ? response.floor_mean_K_m2_per_W[a] : 0.0;
    const double by_bench = told ? response.bench_mean_K_m2_per_W[a] : 0.0;
    warm[a] = shared.air[state_index(a, CellState::Air)] - floor_W_per_m2 * by_floor -
              bench_W_per_m2 * by_bench;
    humid[a] = shared.air[state_index(a, CellState::Humidity)] - floor_vapour * by_floor -
               bench_vapour * by_bench;
  }
  BenchAir over;
  const AcrossCells across(plan.air);
  for (std::size_t b = 0; b < plan.benches.cells.size(); ++b) {
    const auto& cell = plan.benches.cells[b];
    const double by_floor = told ? response.floor_K_m2_per_W[b] : 0.0;
    const double by_bench = told ? response.bench_K_m2_per_W[b] : 0.0;
    const double temperature_K = kelvin(across.at(warm, cell.x_m, cell.y_m) +
                                        floor_W_per_m2 * by_floor + bench_W_per_m2 * by_bench);
    const double humidity = std::max(0.0, across.at(humid, cell.x_m, cell.y_m) +
                                              floor_vapour * by_floor + bench_vapour * by_bench);
    over.temperature_K.push_back(temperature_K);
    over.deficit_Pa.push_back(
        std::max(0.0, air::saturation_pressure_Pa(temperature_K) -
                          air::vapour_pressure_Pa(humidity, fixed.pressure_Pa)));
    over.speed_m_per_s.push_back(flow_scale_ratio * regime.bench_air_speed_m_per_s[b]);
  }
  return over;
}

}  // namespace mistwright
