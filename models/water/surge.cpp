#include "models/water/surge.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "models/contracts.h"

namespace mistwright::water {
namespace {

double bore_area_m2(const SurgeLine& line) {
  return 0.25 * pi * line.diameter_m * line.diameter_m;
}

void check_line([[maybe_unused]] const SurgeLine& line) {
  EXPECT(line.length_m > 0.0 && line.diameter_m > 0.0);
  EXPECT(line.wave_speed_m_per_s > 0.0 && line.density_kg_per_m3 > 0.0);
  EXPECT(line.friction_factor >= 0.0);
  EXPECT(line.reservoir_pressure_Pa > line.outlet_pressure_Pa);
  EXPECT(!line.heads_flow_coefficient_m3_per_s_per_sqrtPa ||
         *line.heads_flow_coefficient_m3_per_s_per_sqrtPa > 0.0);
  EXPECT(line.vapour_pressure_Pa >= 0.0);
}

/// Pressure lost over the square of the velocity, of an orifice law on the pipe's velocity.
double orifice_loss_kg_per_m3(const SurgeLine& line, double flow_coefficient) {
  const double ratio = bore_area_m2(line) / flow_coefficient;
  return ratio * ratio;
}

double heads_loss_kg_per_m3(const SurgeLine& line) {
  const auto& coefficient = line.heads_flow_coefficient_m3_per_s_per_sqrtPa;
  return coefficient ? orifice_loss_kg_per_m3(line, *coefficient) : 0.0;
}

double friction_loss_kg_per_m3(const SurgeLine& line) {
  return line.density_kg_per_m3 * line.friction_factor * line.length_m / (2.0 * line.diameter_m);
}

/// Velocity v with linear v + square v|v| = drive, written so that nothing cancels.
double driven_velocity_m_per_s(double drive_Pa, double linear, double square) {
  return 2.0 * drive_Pa / (linear + std::sqrt(linear * linear + 4.0 * square * std::abs(drive_Pa)));
}

/// Pressure and velocity along the pipe, from reservoir to valve.
struct WaveState {
  std::vector<double> pressure_Pa, velocity_m_per_s;
};

/// What a step of the wave needs, in the letters of the source: B the impedance rho a, R the
/// friction of one reach.
struct WaveStep {
  double B = 0.0, R = 0.0;
  double reservoir_Pa = 0.0, outlet_Pa = 0.0;
};

/// @param orifices  loss of valve and heads over the square of the velocity; none: shut
void step_wave(const WaveStep& step, std::optional<double> orifices, const WaveState& old,
               WaveState& now) {
  const auto arriving_down = [&](std::size_t i) {
    return old.pressure_Pa[i - 1] + step.B * old.velocity_m_per_s[i - 1];
  };
  const auto arriving_up = [&](std::size_t i) {
    return old.pressure_Pa[i + 1] - step.B * old.velocity_m_per_s[i + 1];
  };
  const std::size_t last = old.pressure_Pa.size() - 1;
  now.pressure_Pa[0] = step.reservoir_Pa;
  now.velocity_m_per_s[0] =
      driven_velocity_m_per_s(step.reservoir_Pa - arriving_up(0), step.B, step.R);
  for (std::size_t i = 1; i < last; ++i) {
    const double down = arriving_down(i), up = arriving_up(i);
    now.pressure_Pa[i] = 0.5 * (down + up);
    now.velocity_m_per_s[i] = driven_velocity_m_per_s(0.5 * (down - up), step.B, step.R);
  }
  const double down = arriving_down(last);
  const double v =
      orifices ? driven_velocity_m_per_s(down - step.outlet_Pa, step.B, step.R + *orifices) : 0.0;
  now.velocity_m_per_s[last] = v;
  now.pressure_Pa[last] = down - step.B * v - step.R * v * std::abs(v);
}

/// The sum that the exact wave keeps: the two end nodes stand for half a reach each.
double wave_energy_J(const SurgeLine& line, const WaveState& state) {
  const double rho = line.density_kg_per_m3, a = line.wave_speed_m_per_s;
  const std::size_t last = state.pressure_Pa.size() - 1;
  double sum_J_per_m3 = 0.0;
  for (std::size_t i = 0; i <= last; ++i) {
    const double v = state.velocity_m_per_s[i];
    const double p = state.pressure_Pa[i] - line.reservoir_pressure_Pa;
    const double weight = i == 0 || i == last ? 0.5 : 1.0;
    sum_J_per_m3 += weight * 0.5 * (rho * v * v + p * p / (rho * a * a));
  }
  return sum_J_per_m3 * bore_area_m2(line) * line.length_m / static_cast<double>(last);
}

void note(const SurgeLine& line, double time_s, const WaveState& state, Surge& surge) {
  const double vapour_Pa = line.vapour_pressure_Pa - standard_pressure_Pa;
  for (std::size_t i = 0; i < state.pressure_Pa.size(); ++i) {
    const double p = state.pressure_Pa[i];
    surge.greatest_pressure_Pa[i] = std::max(surge.greatest_pressure_Pa[i], p);
    surge.least_pressure_Pa[i] = std::min(surge.least_pressure_Pa[i], p);
    if (p < vapour_Pa && !surge.vapour_after_s) surge.vapour_after_s = time_s;
  }
  surge.valve.push_back({.time_s = time_s,
                         .pressure_Pa = state.pressure_Pa.back(),
                         .velocity_m_per_s = state.velocity_m_per_s.back(),
                         .wave_energy_J = wave_energy_J(line, state)});
}

}  // namespace

double open_fraction(const ClosingLaw& law, double time_s) {
  EXPECT(law.closing_s >= 0.0);
  EXPECT(law.closing_exponent >= 0.25 && law.closing_exponent <= 4.0);
  if (time_s <= 0.0) return 1.0;
  if (time_s >= law.closing_s) return 0.0;
  return std::pow(1.0 - time_s / law.closing_s, law.closing_exponent);
}

double steady_velocity_m_per_s(const SurgeLine& line) {
  check_line(line);
  EXPECT(line.valve_flow_coefficient_m3_per_s_per_sqrtPa > 0.0);
  const double loss_kg_per_m3 =
      friction_loss_kg_per_m3(line) + heads_loss_kg_per_m3(line) +
      orifice_loss_kg_per_m3(line, line.valve_flow_coefficient_m3_per_s_per_sqrtPa);
  return std::sqrt((line.reservoir_pressure_Pa - line.outlet_pressure_Pa) / loss_kg_per_m3);
}

double valve_coefficient_m3_per_s_per_sqrtPa(const SurgeLine& line, double velocity_m_per_s) {
  check_line(line);
  EXPECT(velocity_m_per_s > 0.0);
  const double all_kg_per_m3 = (line.reservoir_pressure_Pa - line.outlet_pressure_Pa) /
                               (velocity_m_per_s * velocity_m_per_s);
  const double left_kg_per_m3 =
      all_kg_per_m3 - friction_loss_kg_per_m3(line) - heads_loss_kg_per_m3(line);
  if (!(left_kg_per_m3 > 0.0)) {
    throw RangeError("the pipe and its heads alone do not let " + std::to_string(velocity_m_per_s) +
                     " m/s through at this pressure");
  }
  return bore_area_m2(line) / std::sqrt(left_kg_per_m3);
}

Surge shut_valve(const SurgeLine& line, const ClosingLaw& law, const SurgeGrid& grid) {
  const double v0 = steady_velocity_m_per_s(line);
  EXPECT(grid.reaches_number >= 1 && grid.reaches_number <= 10000);
  EXPECT(grid.duration_s > 0.0);
  const std::size_t nodes = grid.reaches_number + 1;
  const double reaches = static_cast<double>(grid.reaches_number);
  Surge surge;
  surge.step_s = line.length_m / (line.wave_speed_m_per_s * reaches);
  EXPECT(grid.duration_s <= 1e7 * surge.step_s);
  const WaveStep step{.B = line.density_kg_per_m3 * line.wave_speed_m_per_s,
                      .R = friction_loss_kg_per_m3(line) / reaches,
                      .reservoir_Pa = line.reservoir_pressure_Pa,
                      .outlet_Pa = line.outlet_pressure_Pa};
  WaveState state{.pressure_Pa = std::vector<double>(nodes),
                  .velocity_m_per_s = std::vector<double>(nodes, v0)};
  for (std::size_t i = 0; i < nodes; ++i) {
    state.pressure_Pa[i] = step.reservoir_Pa - static_cast<double>(i) * step.R * v0 * v0;
  }
  surge.greatest_pressure_Pa = state.pressure_Pa;
  surge.least_pressure_Pa = state.pressure_Pa;
  note(line, 0.0, state, surge);

  WaveState next = state;
  const double heads = heads_loss_kg_per_m3(line);
  const auto steps = static_cast<std::size_t>(std::ceil(grid.duration_s / surge.step_s));
  for (std::size_t k = 1; k <= steps; ++k) {
    const double time_s = static_cast<double>(k) * surge.step_s;
    const double tau = open_fraction(law, time_s);
    std::optional<double> orifices;
    if (tau > 0.0) {
      const double C = tau * line.valve_flow_coefficient_m3_per_s_per_sqrtPa;
      orifices = heads + orifice_loss_kg_per_m3(line, C);
    }
    step_wave(step, orifices, state, next);
    std::swap(state, next);
    note(line, time_s, state, surge);
  }
  return surge;
}

}  // namespace mistwright::water
