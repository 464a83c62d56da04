#include "models/water/hammer.h"

#include <cmath>

#include "models/contracts.h"

namespace mistwright::water {
namespace {

void check_column([[maybe_unused]] const WaterColumn& column) {
  EXPECT(column.length_m > 0.0);
  EXPECT(column.wave_speed_m_per_s > 0.0);
  EXPECT(column.velocity_m_per_s >= 0.0);
  EXPECT(column.density_kg_per_m3 > 0.0);
}

/// Only called where the pipe is too weak but holds the still pressure, so that a cure exists.
HammerRemedies cure(const HammerQuestion& question, double rise_Pa) {
  // Keeps rounding from undoing a cure.
  constexpr double hair_ratio = 1e-9;
  const WaterColumn& column = question.column;
  const double room_Pa = question.pressure_rating_Pa - question.static_pressure_Pa;
  // Both rises are proportional to the velocity. That room is less than Joukowsky's rise makes the
  // closing time longer than the echo, where the slow formula holds.
  HammerRemedies remedies;
  remedies.closing_s = slow_closing_rise_Pa(column, 1.0) / room_Pa * (1.0 + hair_ratio);
  remedies.velocity_m_per_s = column.velocity_m_per_s * room_Pa / rise_Pa * (1.0 - hair_ratio);
  const double still_Pa = question.static_pressure_Pa + standard_pressure_Pa;
  remedies.arrestor_gas_m3 = arrestor_gas_m3(column, {.diameter_m = question.diameter_m,
                                                      .still_pressure_Pa = still_Pa,
                                                      .greatest_pressure_Pa = still_Pa + room_Pa}) *
                             (1.0 + hair_ratio);
  // Filling a line is slow enough for the air to keep its temperature.
  remedies.arrestor_empty_m3 = remedies.arrestor_gas_m3 * still_Pa / standard_pressure_Pa;
  return remedies;
}

}  // namespace

double wave_speed_m_per_s(const PipeWall& wall, const HammerWater& water) {
  EXPECT(wall.diameter_m > 0.0 && wall.modulus_Pa > 0.0);
  EXPECT(wall.wall_m > 0.0 && wall.wall_m <= 0.25 * wall.diameter_m);
  EXPECT(wall.restraint_factor >= 0.5 && wall.restraint_factor <= 1.5);
  EXPECT(water.density_kg_per_m3 > 0.0 && water.bulk_modulus_Pa > 0.0);
  const double K = water.bulk_modulus_Pa;
  const double softness_ratio = K * wall.diameter_m / (wall.modulus_Pa * wall.wall_m);
  return std::sqrt(K / water.density_kg_per_m3 / (1.0 + wall.restraint_factor * softness_ratio));
}

double echo_s(const WaterColumn& column) {
  check_column(column);
  return 2.0 * column.length_m / column.wave_speed_m_per_s;
}

double joukowsky_rise_Pa(const WaterColumn& column) {
  check_column(column);
  return column.density_kg_per_m3 * column.wave_speed_m_per_s * column.velocity_m_per_s;
}

double slow_closing_rise_Pa(const WaterColumn& column, double closing_s) {
  check_column(column);
  EXPECT(closing_s > 0.0);
  return 2.0 * column.density_kg_per_m3 * column.length_m * column.velocity_m_per_s / closing_s;
}

double closing_rise_Pa(const WaterColumn& column, double closing_s) {
  EXPECT(closing_s >= 0.0);
  if (closing_s <= echo_s(column)) return joukowsky_rise_Pa(column);
  return slow_closing_rise_Pa(column, closing_s);
}

double arrestor_gas_m3(const WaterColumn& column, const ArrestorQuestion& question) {
  check_column(column);
  const double p0 = question.still_pressure_Pa;
  const double n = question.polytropic_exponent;
  EXPECT(question.diameter_m > 0.0);
  EXPECT(p0 > 0.0 && question.greatest_pressure_Pa > p0);
  EXPECT(n >= 1.0 && n <= 1.4);
  const double area_m2 = 0.25 * pi * question.diameter_m * question.diameter_m;
  const double kinetic_J = 0.5 * column.density_kg_per_m3 * area_m2 * column.length_m *
                           column.velocity_m_per_s * column.velocity_m_per_s;
  const double log_ratio = std::log(question.greatest_pressure_Pa / p0);
  // (r^((n-1)/n) - 1)/(n - 1), which tends to ln r as n tends to 1.
  const double work_ratio =
      n - 1.0 < 1e-9 ? log_ratio : std::expm1((n - 1.0) / n * log_ratio) / (n - 1.0);
  const double pushed_ratio = -std::expm1(-log_ratio / n);
  return kinetic_J / (p0 * (work_ratio - pushed_ratio));
}

HammerVerdict judge_hammer(const HammerQuestion& question) {
  EXPECT(question.static_pressure_Pa >= 0.0);
  EXPECT(question.pressure_rating_Pa > 0.0);
  EXPECT(question.diameter_m > 0.0);
  HammerVerdict verdict;
  verdict.echo_s = echo_s(question.column);
  verdict.quick = question.closing_s <= verdict.echo_s;
  verdict.rise_Pa = closing_rise_Pa(question.column, question.closing_s);
  verdict.peak_pressure_Pa = question.static_pressure_Pa + verdict.rise_Pa;
  verdict.least_pressure_Pa = question.static_pressure_Pa - verdict.rise_Pa;
  verdict.margin_Pa = question.pressure_rating_Pa - verdict.peak_pressure_Pa;
  verdict.exceeds_rating = verdict.margin_Pa < 0.0;
  verdict.column_may_part =
      verdict.least_pressure_Pa < water_vapour_pressure_Pa - standard_pressure_Pa;
  const bool holds_when_still = question.static_pressure_Pa < question.pressure_rating_Pa;
  if (verdict.exceeds_rating && holds_when_still) {
    verdict.remedies = cure(question, verdict.rise_Pa);
  }
  return verdict;
}

}  // namespace mistwright::water
