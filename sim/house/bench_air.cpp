#include "sim/house/bench_air.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <utility>

#include "models/air/psychrometrics.h"
#include "models/units.h"
#include "sim/house/airflow.h"

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

struct AirState {
  double temperature_K = 0.0, humidity_ratio = 0.0;
};

/// The air at any place of the house, of one moment. A house that has just been shut is not yet as
/// warm as its surfaces would make it in the end: the differences within it are taken to have come
/// as far as the whole.
class AirWithin {
 public:
  AirWithin(const Plan& plan, const BenchResponse& response, const RegimeMoment& now)
      : across_(plan.air) {
    const air::HouseFixed& fixed = plan.fixed;
    const auto sum = [](const std::vector<double>& of) {
      return std::max(1e-9, std::accumulate(of.begin(), of.end(), 0.0));
    };
    // Air that passes twice as fast warms half as much; far from the nominal flows that no longer
    // holds, since warmth and eddies carry on.
    const double slower = 1.0 / std::clamp(now.speed_ratio, 0.25, 4.0);
    const double per_floor = slower / sum(fixed.floor_area_m2);
    const double per_bench = slower / sum(fixed.bench_area_m2);
    floor_W_per_m2_ = per_floor * now.gifts.floor_heat_W;
    bench_W_per_m2_ = per_bench * now.gifts.bench_heat_W;
    // As much vapour as heat would be by the air's heat capacity.
    const double cp = fixed.heat_capacity_air_J_per_kg_K;
    floor_vapour_ = per_floor * cp * now.gifts.floor_vapour_kg_per_s;
    bench_vapour_ = per_bench * cp * now.gifts.bench_vapour_kg_per_s;
    const auto by = [&](const std::vector<double>& means, std::size_t a) {
      return means.empty() ? 0.0 : means[a];
    };
    double warmth = 0.0, moisture = 0.0, warmer = 0.0, moister = 0.0;
    for (std::size_t a = 0; a < fixed.cells; ++a) {
      const double by_floor = by(response.floor_mean_K_m2_per_W, a);
      const double by_bench = by(response.bench_mean_K_m2_per_W, a);
      warm_.push_back(floor_W_per_m2_ * by_floor + bench_W_per_m2_ * by_bench);
      humid_.push_back(floor_vapour_ * by_floor + bench_vapour_ * by_bench);
      warmth += warm_[a];
      moisture += humid_[a];
      warmer += kelvin(now.air[state_index(a, CellState::Air)]) - now.outside_temperature_K;
      moister += now.air[state_index(a, CellState::Humidity)] - now.outside_humidity_ratio;
    }
    const auto reached = [](double present, double steady) {
      return steady * present > 0.0 ? std::min(present / steady, 1.0) : 0.0;
    };
    const double of_warmth = reached(warmer, warmth), of_moisture = reached(moister, moisture);
    floor_W_per_m2_ *= of_warmth;
    bench_W_per_m2_ *= of_warmth;
    floor_vapour_ *= of_moisture;
    bench_vapour_ *= of_moisture;
    for (std::size_t a = 0; a < fixed.cells; ++a) {
      warm_[a] = now.air[state_index(a, CellState::Air)] - of_warmth * warm_[a];
      humid_[a] = now.air[state_index(a, CellState::Humidity)] - of_moisture * humid_[a];
    }
  }

  /// @param by_floor, by_bench  responses there [K m2 W-1]
  [[nodiscard]] AirState at(double x_m, double y_m, double by_floor, double by_bench) const {
    return {kelvin(across_.at(warm_, x_m, y_m) + floor_W_per_m2_ * by_floor +
                   bench_W_per_m2_ * by_bench),
            std::max(0.0, across_.at(humid_, x_m, y_m) + floor_vapour_ * by_floor +
                              bench_vapour_ * by_bench)};
  }

 private:
  AcrossCells across_;
  std::vector<double> warm_, humid_;  ///< offsets by air cell
  double floor_W_per_m2_ = 0.0, bench_W_per_m2_ = 0.0, floor_vapour_ = 0.0, bench_vapour_ = 0.0;
};

}  // namespace

double bench_air_height_m(const House& house, const Plan& plan, std::size_t bench) {
  return house.benches[bench].height_m + plan.canopy_height_m + 0.5 * plan.grid.dz_m;
}

std::vector<double> bench_air_speeds_m_per_s(const House& house, const Plan& plan,
                                             const flow::RegimeField& field) {
  const flow::Grid& grid = field.grid;
  std::vector<double> squares(grid.cells(), 0.0);
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    const flow::AirSample air = field.in_cell(c);
    squares[c] = air.u_m_per_s * air.u_m_per_s + air.v_m_per_s * air.v_m_per_s +
                 air.w_m_per_s * air.w_m_per_s + 3.0 * air.sigma_m_per_s * air.sigma_m_per_s;
  }
  std::vector<double> speeds;
  for (const auto& cell : plan.benches.cells)
    speeds.push_back(std::sqrt(
        about(grid, squares, {cell.x_m, cell.y_m, bench_air_height_m(house, plan, cell.bench)})));
  return speeds;
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

void RegimeMean::add(const RegimeMoment& moment, double weight_J_per_m2) {
  weight_J_per_m2_ += weight_J_per_m2;
  sum_.speed_ratio += weight_J_per_m2 * moment.speed_ratio;
  sum_.gifts.floor_heat_W += weight_J_per_m2 * moment.gifts.floor_heat_W;
  sum_.gifts.bench_heat_W += weight_J_per_m2 * moment.gifts.bench_heat_W;
  sum_.gifts.floor_vapour_kg_per_s += weight_J_per_m2 * moment.gifts.floor_vapour_kg_per_s;
  sum_.gifts.bench_vapour_kg_per_s += weight_J_per_m2 * moment.gifts.bench_vapour_kg_per_s;
  sum_.outside_temperature_K += weight_J_per_m2 * moment.outside_temperature_K;
  sum_.outside_humidity_ratio += weight_J_per_m2 * moment.outside_humidity_ratio;
  sum_.air.resize(moment.air.size(), 0.0);
  for (std::size_t i = 0; i < moment.air.size(); ++i)
    sum_.air[i] += weight_J_per_m2 * moment.air[i];
}

RegimeMoment RegimeMean::mean() const {
  RegimeMoment mean = sum_;
  if (weight_J_per_m2_ <= 0.0) return mean;
  mean.speed_ratio /= weight_J_per_m2_;
  mean.gifts.floor_heat_W /= weight_J_per_m2_;
  mean.gifts.bench_heat_W /= weight_J_per_m2_;
  mean.gifts.floor_vapour_kg_per_s /= weight_J_per_m2_;
  mean.gifts.bench_vapour_kg_per_s /= weight_J_per_m2_;
  mean.outside_temperature_K /= weight_J_per_m2_;
  mean.outside_humidity_ratio /= weight_J_per_m2_;
  for (double& value : mean.air) value /= weight_J_per_m2_;
  return mean;
}

BenchAir bench_air(const Plan& plan, const Regime& regime, const RegimeMoment& now) {
  const BenchResponse& response = regime.bench_response;
  const bool told = !response.floor_K_m2_per_W.empty();
  const AirWithin air(plan, response, now);
  BenchAir over;
  for (std::size_t b = 0; b < plan.benches.cells.size(); ++b) {
    const auto& cell = plan.benches.cells[b];
    const AirState here = air.at(cell.x_m, cell.y_m, told ? response.floor_K_m2_per_W[b] : 0.0,
                                 told ? response.bench_K_m2_per_W[b] : 0.0);
    over.temperature_K.push_back(here.temperature_K);
    over.deficit_Pa.push_back(
        std::max(0.0, air::saturation_pressure_Pa(here.temperature_K) -
                          air::vapour_pressure_Pa(here.humidity_ratio, plan.fixed.pressure_Pa)));
    over.speed_m_per_s.push_back(now.speed_ratio * regime.bench_air_speed_m_per_s[b]);
  }
  return over;
}

GridAir grid_air(const Plan& plan, const Regime& regime, const RegimeMoment& moment) {
  GridAir all;
  const flow::RegimeField& field = regime.field;
  if (regime.bench_response.floor_K_m2_per_W.empty() || moment.air.empty()) return all;
  const AirWithin air(plan, regime.bench_response, moment);
  const flow::Grid& grid = field.grid;
  for (std::size_t c = 0; c < grid.cells(); ++c) {
    const auto [i, j, k] = grid.place(c);
    const AirState here =
        air.at(grid.x_centre_m(i), grid.y_centre_m(j), field.floor_response_K_m2_per_W[c],
               field.bench_response_K_m2_per_W[c]);
    all.temperature_K.push_back(here.temperature_K);
    all.humidity_ratio.push_back(here.humidity_ratio);
  }
  return all;
}

}  // namespace mistwright
