#include "models/water/pipe.h"

#include <array>
#include <cmath>

#include "models/contracts.h"
#include "models/units.h"

namespace mistwright::water {
namespace {

/// A friction factor and its slope in Re.
struct Friction {
  double factor = 0.0;
  double slope_factor = 0.0;
};

/// With x = 1/sqrt(f) Colebrook's equation is x + 2 log10(a + b x) = 0, rising and concave in x, so
/// that Newton from any start below the root climbs to it without overshoot.
Friction colebrook(double Re, double relative_roughness_ratio) {
  const double a = relative_roughness_ratio / 3.7;
  const double b = 2.51 / Re;
  const double two_over_ln10 = 2.0 / std::numbers::ln10;
  // Haaland 1983, within 2 % of the root, as the start.
  double x = -1.8 * std::log10(std::pow(a, 1.11) + 6.9 / Re);
  double rise = 1.0;
  for (int step = 0; step < 20; ++step) {
    const double inside = a + b * x;
    rise = 1.0 + two_over_ln10 * b / inside;
    const double change = (x + 2.0 * std::log10(inside)) / rise;
    x -= change;
    if (std::abs(change) <= 1e-15 * x) break;
  }
  // The root moves with Re by the implicit derivative: db/dRe = -b/Re.
  const double dx_dRe = two_over_ln10 * x * (b / Re) / (a + b * x) / rise;
  const double factor = 1.0 / (x * x);
  return {.factor = factor, .slope_factor = -2.0 * factor / x * dx_dRe};
}

Friction laminar(double Re) {
  return {.factor = 64.0 / Re, .slope_factor = -64.0 / (Re * Re)};
}

/// The cubic of Hermite between the end of laminar flow and the start of turbulent flow.
Friction bridge(double Re, double relative_roughness_ratio) {
  const double width = turbulent_start_reynolds_number - laminar_end_reynolds_number;
  const Friction low = laminar(laminar_end_reynolds_number);
  const Friction high = colebrook(turbulent_start_reynolds_number, relative_roughness_ratio);
  const double s = (Re - laminar_end_reynolds_number) / width;
  const double rise = high.factor - low.factor;
  const double m0 = low.slope_factor * width;
  const double m1 = high.slope_factor * width;
  const double c2 = 3.0 * rise - 2.0 * m0 - m1;
  const double c3 = m0 + m1 - 2.0 * rise;
  return {.factor = low.factor + s * (m0 + s * (c2 + s * c3)),
          .slope_factor = (m0 + s * (2.0 * c2 + s * 3.0 * c3)) / width};
}

Friction friction(double Re, double relative_roughness_ratio) {
  if (Re <= laminar_end_reynolds_number) return laminar(Re);
  if (Re < turbulent_start_reynolds_number) return bridge(Re, relative_roughness_ratio);
  return colebrook(Re, relative_roughness_ratio);
}

/// f Re^2 and its slope in Re: the shape of Darcy-Weisbach's loss, finite and smooth through Re =
/// 0.
Friction friction_times_square(const Pipe& pipe, double Re) {
  if (pipe.fixed_friction_factor) {
    const double f = *pipe.fixed_friction_factor;
    return {.factor = f * Re * Re, .slope_factor = 2.0 * f * Re};
  }
  if (Re <= laminar_end_reynolds_number) return {.factor = 64.0 * Re, .slope_factor = 64.0};
  const Friction f = friction(Re, pipe.roughness_m / pipe.diameter_m);
  return {.factor = f.factor * Re * Re,
          .slope_factor = f.slope_factor * Re * Re + 2.0 * f.factor * Re};
}

void check_temperature(double temperature_K) {
  if (!(temperature_K >= 273.15 && temperature_K <= 333.15)) {
    throw RangeError("liquid water is described from 273.15 K to 333.15 K, and was asked at " +
                     std::to_string(temperature_K) + " K");
  }
}

}  // namespace

double liquid_density_kg_per_m3(double temperature_K) {
  check_temperature(temperature_K);
  const double t = celsius(temperature_K);
  const double a1 = -3.983035, a2 = 301.797, a3 = 522528.9, a4 = 69.34881, a5 = 999.974950;
  return a5 * (1.0 - (t + a1) * (t + a1) * (t + a2) / (a3 * (t + a4)));
}

double liquid_viscosity_Pa_s(double temperature_K) {
  check_temperature(temperature_K);
  constexpr std::array<double, 4> a = {280.68, 511.45, 61.131, 0.45903};
  constexpr std::array<double, 4> b = {-1.9, -7.7, -19.6, -40.0};
  const double reduced_temperature = temperature_K / 300.0;
  double micro = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) micro += a[i] * std::pow(reduced_temperature, b[i]);
  return micro * 1e-6;
}

Water liquid_water(double temperature_K) {
  return {.density_kg_per_m3 = liquid_density_kg_per_m3(temperature_K),
          .viscosity_Pa_s = liquid_viscosity_Pa_s(temperature_K)};
}

double reynolds_number(double flow_m3_per_s, double diameter_m, const Water& water) {
  EXPECT(diameter_m > 0.0 && water.viscosity_Pa_s > 0.0);
  return 4.0 * water.density_kg_per_m3 * std::abs(flow_m3_per_s) /
         (pi * diameter_m * water.viscosity_Pa_s);
}

double friction_factor(double Re_number, double relative_roughness_ratio) {
  EXPECT(Re_number > 0.0);
  EXPECT(relative_roughness_ratio >= 0.0 && relative_roughness_ratio <= greatest_roughness_ratio);
  return friction(Re_number, relative_roughness_ratio).factor;
}

Drop pipe_drop(const Pipe& pipe, double flow_m3_per_s, const Water& water) {
  const double d = pipe.diameter_m;
  const double rho = water.density_kg_per_m3;
  const double mu = water.viscosity_Pa_s;
  const double Re = reynolds_number(flow_m3_per_s, d, water);
  const double sign = flow_m3_per_s < 0.0 ? -1.0 : 1.0;
  const Friction shape = friction_times_square(pipe, Re);
  const double scale_Pa = pipe.length_m * mu * mu / (2.0 * rho * d * d * d);
  const double Re_per_flow = 4.0 * rho / (pi * d * mu);
  const double area_m2 = 0.25 * pi * d * d;
  const double minor = pipe.minor_loss_coefficient * rho / (2.0 * area_m2 * area_m2);
  return {
      .drop_Pa = sign * scale_Pa * shape.factor + minor * flow_m3_per_s * std::abs(flow_m3_per_s),
      .slope_Pa_s_per_m3 =
          scale_Pa * shape.slope_factor * Re_per_flow + 2.0 * minor * std::abs(flow_m3_per_s)};
}

double pipe_drop_Pa(const Pipe& pipe, double flow_m3_per_s, const Water& water) {
  return pipe_drop(pipe, flow_m3_per_s, water).drop_Pa;
}

double hazen_williams_drop_Pa(const Pipe& pipe, double flow_m3_per_s,
                              double hazen_williams_coefficient) {
  EXPECT(pipe.diameter_m > 0.0 && hazen_williams_coefficient > 0.0);
  const double head_m = 10.67 * pipe.length_m *
                        std::pow(std::abs(flow_m3_per_s) / hazen_williams_coefficient, 1.852) /
                        std::pow(pipe.diameter_m, 4.8704);
  const double drop_Pa = water_density_kg_per_m3 * gravity_m_per_s2 * head_m;
  return flow_m3_per_s < 0.0 ? -drop_Pa : drop_Pa;
}

PipeAnswer ask_pipe(const PipeQuestion& question) {
  EXPECT(question.flow_m3_per_s > 0.0);
  if (!(question.roughness_m <= greatest_roughness_ratio * question.diameter_m)) {
    throw RangeError("a roughness above a tenth of the bore is beyond Colebrook's equation");
  }
  const Water water = liquid_water(question.temperature_K);
  Pipe pipe;
  pipe.length_m = question.length_m;
  pipe.diameter_m = question.diameter_m;
  pipe.roughness_m = question.roughness_m;
  const double Re = reynolds_number(question.flow_m3_per_s, pipe.diameter_m, water);
  return {
      .velocity_m_per_s = question.flow_m3_per_s / (0.25 * pi * pipe.diameter_m * pipe.diameter_m),
      .reynolds_number = Re,
      .friction_factor = friction_factor(Re, pipe.roughness_m / pipe.diameter_m),
      .pressure_drop_Pa = pipe_drop_Pa(pipe, question.flow_m3_per_s, water),
      .hazen_williams_drop_Pa =
          hazen_williams_drop_Pa(pipe, question.flow_m3_per_s, plastic_hazen_williams_coefficient)};
}

}  // namespace mistwright::water
