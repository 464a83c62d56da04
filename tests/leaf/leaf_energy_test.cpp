#include "models/leaf/leaf_energy.h"

#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/random.h"
#include "models/units.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using namespace mistwright::leaf;
using mistwright::test::abs;
using mistwright::test::rel;

namespace {

LeafState air_at(double celsius_value, double relative_humidity, double pressure_Pa = 101325.0) {
  const double T = kelvin(celsius_value);
  return {.air_temperature_K = T,
          .vapour_pressure_Pa = relative_humidity * air::saturation_pressure_Pa(T),
          .pressure_Pa = pressure_Pa,
          .cover_temperature_K = T};
}

struct Weather {
  double celsius, humidity, radiation, speed;
};
constexpr Weather bench_weathers[] = {{18.0, 0.92, -10.0, 0.1}, {20.0, 0.85, 40.0, 0.1},
                                      {16.0, 0.85, 80.0, 0.1},  {27.0, 0.70, 180.0, 0.2},
                                      {25.0, 0.60, 150.0, 0.3}, {32.0, 0.50, 300.0, 0.4},
                                      {35.0, 0.25, 300.0, 1.0}, {12.0, 0.95, -40.0, 0.1}};

/// A leaf's balance with nothing straightened, solved by bisection: the judge of the linear one.
LeafBalance curved_balance(const LeafState& state, const LeafConductance& g, double surface_m_per_s,
                           double net_radiation) {
  const double vapour_m_per_s = std::isinf(surface_m_per_s)
                                    ? g.vapour_m_per_s
                                    : 1.0 / (1.0 / g.vapour_m_per_s + 1.0 / surface_m_per_s);
  const double Ta = state.air_temperature_K;
  const double rho_cp = air_heat_capacity_J_per_m3_K(state);
  const auto at = [&](double T) {
    LeafBalance b{.leaf_temperature_K = T};
    b.evaporation_kg_per_m2_s = vapour_m_per_s *
                                (air::saturation_pressure_Pa(T) - state.vapour_pressure_Pa) /
                                (gas_constant_vapour_J_per_kg_K * Ta);
    b.latent_W_per_m2 = air::latent_heat_J_per_kg(T) * b.evaporation_kg_per_m2_s;
    b.sensible_W_per_m2 = rho_cp * g.heat_m_per_s * (T - Ta);
    b.longwave_W_per_m2 = leaf_emissivity_fraction * stefan_boltzmann_W_per_m2_K4 *
                          (std::pow(T, 4) - std::pow(Ta, 4));
    return b;
  };
  double low = Ta - 40.0;
  double high = Ta + 60.0;
  for (int i = 0; i < 100; ++i) {
    const double T = 0.5 * (low + high);
    const LeafBalance b = at(T);
    const double surplus =
        net_radiation - b.latent_W_per_m2 - b.sensible_W_per_m2 - b.longwave_W_per_m2;
    (surplus > 0.0 ? low : high) = T;
  }
  return at(0.5 * (low + high));
}

}  // namespace

TEST_CASE(
    "leaf: boundary-layer conductances agree with the Campbell and Norman correlations to printed "
    "digits",
    "[leaf][published]") {
  for (const auto& row : test::table("leaf_conductance.csv")) {
    const double drive = row.number("u [m/s] or dT [K]");
    const double length_m = row.number("d [m]");
    CAPTURE(row.text("mode"), drive, length_m);
    const MolarConductance g = row.text("mode") == "forced" ? forced_conductance(drive, length_m)
                                                            : free_conductance(drive, length_m);
    CHECK_THAT(g.heat_mol_per_m2_s, abs(row.number("gHa one side [mol/m2/s]"), 0.5001e-4));
    CHECK_THAT(g.vapour_mol_per_m2_s, abs(row.number("gva one side [mol/m2/s]"), 0.5001e-4));
  }
}

TEST_CASE(
    "leaf: Penman's combination gives 0.65 cm a day in the SDSU CIVE 445 midterm of fall 2006",
    "[leaf][worked]") {
  // Problem 3: alpha 1.66, energy term 0.935 cm/d, drying term (0.013 + 0.00016 x 150) x 17.04 x
  // 0.30.
  const double drying_cm_per_d = (0.013 + 0.00016 * 150.0) * 17.04 * 0.30;
  CHECK_THAT(combination(1.66, 0.935, drying_cm_per_d), abs(0.65, 0.005));
}

TEST_CASE("leaf: a wet surface loses what Penman's equation gives by hand", "[leaf][worked]") {
  // Derived rows: one side, heat and vapour through one resistance ra. Computed by hand with dry
  // air of 1010 J/(kg K); counting the vapour in the air's heat moves them by up to 0.5 %.
  struct Case {
    double celsius, humidity, radiation, resistance, latent;
  };
  for (const Case& c : {Case{25.0, 0.70, 100.0, 50.0, 162.4}, Case{25.0, 0.90, 0.0, 100.0, 14.8},
                        Case{30.0, 0.60, 200.0, 30.0, 371.0}}) {
    CAPTURE(c.celsius, c.humidity, c.radiation, c.resistance);
    const LeafState state = air_at(c.celsius, c.humidity);
    const LeafConductance g{.heat_m_per_s = 1.0 / c.resistance,
                            .vapour_m_per_s = 1.0 / c.resistance};
    const DemandCoefficients line = demand_coefficients(state, g, wet_surface_m_per_s);
    const LeafBalance balance = leaf_balance(line, c.radiation, state);
    CHECK_THAT(balance.latent_W_per_m2, rel(c.latent, 5e-3));
  }
}

TEST_CASE(
    "leaf: net radiation at air temperature is absorbed sun and the upper side's exchange with the "
    "cover",
    "[leaf][exact]") {
  LeafState state = air_at(26.85, 0.5);
  CHECK(isothermal_net_radiation_W_per_m2(250.0, state) == 250.0);
  state.cover_temperature_K = 280.0;  // 0.97 x 5.670374419e-8 x (280^4 - 300^4) by hand
  CHECK_THAT(isothermal_net_radiation_W_per_m2(250.0, state), abs(250.0 - 107.4443, 1e-4));
}

TEST_CASE("leaf: the straight-line balance closes to 1e-12 wet and dry", "[leaf][law]") {
  Random random(5, stream_of("leaf balance"));
  for (int i = 0; i < 500; ++i) {
    LeafState state =
        air_at(5.0 + 35.0 * random.uniform(), random.uniform(), 80e3 + 22e3 * random.uniform());
    state.cover_temperature_K += 20.0 * (random.uniform() - 0.5);
    const LeafConductance g = leaf_conductance({.air_speed_m_per_s = 2.0 * random.uniform(),
                                                .leaf_length_m = 0.01 + 0.1 * random.uniform(),
                                                .temperature_difference_K = 4.0 * random.normal()},
                                               state);
    const double surface = i % 2 == 0 ? wet_surface_m_per_s : 0.01 * random.uniform();
    const double radiation = isothermal_net_radiation_W_per_m2(500.0 * random.uniform(), state);
    const DemandCoefficients line = demand_coefficients(state, g, surface);
    const LeafBalance b = leaf_balance(line, radiation, state);
    CAPTURE(i, radiation, surface);
    const double scale = std::abs(radiation) + std::abs(b.latent_W_per_m2) + 1.0;
    CHECK_THAT(radiation - b.latent_W_per_m2 - b.sensible_W_per_m2 - b.longwave_W_per_m2,
               abs(0.0, 1e-12 * scale));
    // The same fluxes read from the leaf's temperature: nothing is the remainder of the rest.
    const double rise_K = b.leaf_temperature_K - state.air_temperature_K;
    const double rho_cp = air_heat_capacity_J_per_m3_K(state);
    CHECK_THAT(b.sensible_W_per_m2, abs(rho_cp * g.heat_m_per_s * rise_K, 1e-11 * scale));
    CHECK_THAT(b.longwave_W_per_m2, abs(rho_cp * g.radiative_m_per_s * rise_K, 1e-11 * scale));
    const double vapour_m_per_s =
        std::isinf(surface) ? g.vapour_m_per_s : 1.0 / (1.0 / g.vapour_m_per_s + 1.0 / surface);
    const double e_leaf_less_air_Pa =
        air::saturation_pressure_Pa(state.air_temperature_K) +
        air::saturation_slope_Pa_per_K(state.air_temperature_K) * rise_K - state.vapour_pressure_Pa;
    CHECK_THAT(b.latent_W_per_m2,
               abs(line.latent_heat_J_per_kg * vapour_m_per_s * e_leaf_less_air_Pa /
                       (gas_constant_vapour_J_per_kg_K * state.air_temperature_K),
                   1e-11 * scale));
  }
}

TEST_CASE(
    "leaf: lines drawn where the typical leaf lies meet its curved balance within 0.5 % and 0.05 K",
    "[leaf][exact]") {
  for (const Weather& w : bench_weathers) {
    const LeafState state = air_at(w.celsius, w.humidity);
    for (const double surface : {wet_surface_m_per_s, 0.002}) {
      const LeafLine line = leaf_line({.air_speed_m_per_s = w.speed, .leaf_length_m = 0.05}, state,
                                      surface, w.radiation);
      const LeafBalance curved = curved_balance(state, line.conductance, surface, w.radiation);
      const LeafBalance straight = leaf_balance(line.coefficients, w.radiation, line.state);
      CAPTURE(w.celsius, w.humidity, w.radiation, w.speed, surface);
      CHECK_THAT(straight.evaporation_kg_per_m2_s, rel(curved.evaporation_kg_per_m2_s, 5e-3));
      CHECK_THAT(straight.leaf_temperature_K, abs(curved.leaf_temperature_K, 0.05));
    }
  }
}

TEST_CASE(
    "leaf: lines drawn where the typical leaf lies use the conductance of that leaf's own warmth",
    "[leaf][exact]") {
  for (const Weather& w : bench_weathers) {
    const LeafState state = air_at(w.celsius, w.humidity);
    LeafWind wind{.air_speed_m_per_s = w.speed, .leaf_length_m = 0.05};
    const LeafLine line = leaf_line(wind, state, wet_surface_m_per_s, w.radiation);
    const LeafBalance balance = leaf_balance(line.coefficients, w.radiation, line.state);
    wind.temperature_difference_K = balance.leaf_temperature_K - state.air_temperature_K;
    const LeafConductance own = leaf_conductance(wind, state);
    CAPTURE(w.celsius, w.radiation, w.speed, wind.temperature_difference_K);
    CHECK_THAT(line.conductance.heat_m_per_s, rel(own.heat_m_per_s, 1e-3));
    CHECK_THAT(line.conductance.vapour_m_per_s, rel(own.vapour_m_per_s, 1e-3));
    // 4 emissivity sigma T^3 over the air's heat, T midway between leaf and air.
    const double T = state.air_temperature_K + 0.5 * wind.temperature_difference_K;
    CHECK_THAT(line.conductance.radiative_m_per_s * air_heat_capacity_J_per_m3_K(state),
               rel(4.0 * 0.97 * 5.670374419e-8 * T * T * T, 1e-4));
  }
}

TEST_CASE(
    "leaf: one place's lines serve wet leaves of half to one and a half times its sun within 2 % "
    "and 0.2 K",
    "[leaf][exact]") {
  for (const Weather& w : bench_weathers) {
    const LeafState state = air_at(w.celsius, w.humidity);
    const LeafLine line = leaf_line({.air_speed_m_per_s = w.speed, .leaf_length_m = 0.05}, state,
                                    wet_surface_m_per_s, w.radiation);
    for (const double share : {0.5, 0.75, 1.25, 1.5}) {
      const double radiation = share * w.radiation;
      const LeafBalance curved =
          curved_balance(state, line.conductance, wet_surface_m_per_s, radiation);
      const LeafBalance straight = leaf_balance(line.coefficients, radiation, line.state);
      // Near dew the two terms of Penman's sum cancel, so the error is held against their size.
      const DemandCoefficients& c = line.coefficients;
      const double terms = std::abs(c.per_radiation_kg_per_J * radiation) +
                           std::abs(c.per_deficit_kg_per_m2_s_Pa * c.deficit_Pa);
      CAPTURE(w.celsius, w.humidity, radiation, w.speed);
      CHECK_THAT(straight.evaporation_kg_per_m2_s,
                 abs(curved.evaporation_kg_per_m2_s, 0.02 * terms));
      CHECK_THAT(straight.leaf_temperature_K, abs(curved.leaf_temperature_K, 0.2));
    }
  }
}

TEST_CASE("leaf: evaporation rises with sun and dryness and wind and falls with closing stomata",
          "[leaf][law]") {
  Random random(6, stream_of("leaf order"));
  const auto loss = [](const LeafState& state, double speed, double surface, double radiation) {
    const LeafConductance g = leaf_conductance(
        {.air_speed_m_per_s = speed, .leaf_length_m = 0.05, .temperature_difference_K = 1.0},
        state);
    return demand_coefficients(state, g, surface).evaporation_kg_per_m2_s(radiation);
  };
  for (int i = 0; i < 300; ++i) {
    const double t = 5.0 + 30.0 * random.uniform();
    const double rh = 0.1 + 0.85 * random.uniform();
    const double speed = 0.02 + random.uniform();
    const double radiation = 400.0 * random.uniform();
    const double base = loss(air_at(t, rh), speed, wet_surface_m_per_s, radiation);
    CAPTURE(i, t, rh, speed, radiation);
    CHECK(loss(air_at(t, rh), speed, wet_surface_m_per_s, radiation + 10.0) > base);
    CHECK(loss(air_at(t, rh - 0.05), speed, wet_surface_m_per_s, radiation) > base);
    CHECK(loss(air_at(t, rh), speed, 0.01, radiation) < base);
    CHECK(loss(air_at(t, rh), speed, 0.0, radiation) == 0.0);
    // Wind helps a leaf that is cooler than the air; without sun it always is.
    CHECK(loss(air_at(t, rh), speed * 1.5, wet_surface_m_per_s, 0.0) >
          loss(air_at(t, rh), speed, wet_surface_m_per_s, 0.0));
  }
}

TEST_CASE("leaf: forced and free convection join between the greater of them and their sum",
          "[leaf][law]") {
  const LeafState state = air_at(25.0, 0.7);
  const auto heat = [&](double speed, double rise_K) {
    return leaf_conductance({.air_speed_m_per_s = speed,
                             .leaf_length_m = 0.05,
                             .temperature_difference_K = rise_K,
                             .unsteady_factor = 1.0},
                            state)
        .heat_m_per_s;
  };
  for (const double speed : {0.01, 0.05, 0.2, 1.0}) {
    for (const double rise_K : {-3.0, -0.5, 0.5, 3.0}) {
      CAPTURE(speed, rise_K);
      CHECK(heat(speed, rise_K) > std::max(heat(speed, 0.0), heat(0.0, rise_K)));
      CHECK(heat(speed, rise_K) < heat(speed, 0.0) + heat(0.0, rise_K));
    }
  }
  // 0.4269 mol/(m2 s) a side at 0.5 m/s and 5 cm, two sides, 24.465 L/mol at 25 degC and 101.325
  // kPa.
  CHECK_THAT(heat(0.5, 0.0), rel(2.0 * 0.4269 * 0.0244654, 2e-4));
}
