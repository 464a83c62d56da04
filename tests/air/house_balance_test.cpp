#include "models/air/house_balance.h"

#include <cmath>
#include <set>

#include "models/air/psychrometrics.h"
#include "models/random.h"
#include "models/units.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::air;
using mistwright::test::abs;
using mistwright::test::rel;

namespace {

/// A hoop house of a few air cells, numbers about those of the demonstration.
HouseFixed house(std::size_t cells) {
  HouseFixed fixed;
  fixed.cells = cells;
  for (std::size_t c = 0; c < cells; ++c) {
    const auto i = static_cast<double>(c);
    fixed.air_mass_kg.push_back(4.0 + 0.3 * i);
    fixed.floor_area_m2.push_back(1.6 + 0.1 * i);
    fixed.bare_floor_area_m2.push_back(0.9);
    fixed.bench_area_m2.push_back(c % 3 == 2 ? 0.0 : 0.7);
    fixed.cover_area_m2.push_back(3.1 + 0.2 * i);
  }
  fixed.heat_capacity_air_J_per_kg_K = 1030.0;
  fixed.latent_heat_J_per_kg = 2.44e6;
  fixed.pressure_Pa = 99'000.0;
  fixed.cover_heat_capacity_J_per_m2_K = 900.0;
  fixed.cover_conductance_W_per_m2_K = 500.0;
  fixed.cover_longwave_transmittance_fraction = 0.6;
  fixed.cover_sky_view_fraction = 0.7;
  fixed.floor_heat_capacity_J_per_m2_K = 9e4;
  fixed.floor_ground_conductance_W_per_m2_K = 2.0;
  fixed.floor_wet_fraction = 0.5;
  fixed.ground_temperature_K = 286.0;
  fixed.medium_heat_capacity_J_per_m2_K = 1.4e5;
  fixed.medium_bare_fraction = 0.3;
  return fixed;
}

HouseNow windy_noon(const HouseFixed& fixed, Random& random) {
  HouseNow now;
  now.outside_temperature_K = 290.0 + 10.0 * random.uniform();
  now.outside_humidity_ratio = 0.004 + 0.006 * random.uniform();
  now.sky_temperature_K = 270.0 + 15.0 * random.uniform();
  now.wind_speed_m_per_s = 4.0 * random.uniform();
  now.sun_on_floor_W_per_m2 = 200.0 * random.uniform();
  now.sun_on_medium_W_per_m2 = 100.0 * random.uniform();
  now.sun_on_cover_W_per_m2 = 80.0 * random.uniform();
  for (std::uint32_t c = 0; c < fixed.cells; ++c) {
    now.inflow_kg_per_s.push_back(0.05 * random.uniform());
    now.outflow_kg_per_s.push_back(0.05 * random.uniform());
    if (c + 1 < fixed.cells) {
      now.moves.push_back({c, c + 1, 0.1 * random.uniform()});
      now.moves.push_back({c + 1, c, 0.1 * random.uniform()});
    }
  }
  return now;
}

std::vector<double> state_of(const HouseFixed& fixed, Random& random) {
  std::vector<double> state(fixed.cells * states_a_cell);
  for (std::size_t c = 0; c < fixed.cells; ++c) {
    const auto put = [&](CellState which, double value) { state[state_index(c, which)] = value; };
    put(CellState::Air, 15.0 + 20.0 * random.uniform());
    put(CellState::Humidity, 0.004 + 0.02 * random.uniform());
    put(CellState::Cover, 10.0 + 25.0 * random.uniform());
    put(CellState::Floor, 12.0 + 25.0 * random.uniform());
    put(CellState::Medium, 12.0 + 20.0 * random.uniform());
    put(CellState::CoverWater, random.uniform() < 0.5 ? 0.0 : 0.3 * random.uniform());
    put(CellState::FloorWater, random.uniform() < 0.5 ? 0.0 : 0.3 * random.uniform());
  }
  return state;
}

/// Which side of the house's skin a line's heat comes from: +1 in, -1 out, 0 within.
int heat_from_outside(Line line) {
  switch (line) {
    case Line::SunOnFloor:
    case Line::SunOnMedium:
    case Line::SunOnCover:
    case Line::AirInHeat:
      return 1;
    case Line::AirOutHeat:
    case Line::CoverToOutside:
    case Line::CoverToSky:
    case Line::InsideToSky:
    case Line::Ground:
      return -1;
    default:
      return 0;
  }
}

struct Crossing {
  double net = 0.0, gross = 0.0;
  void add(double amount) {
    net += amount;
    gross += std::abs(amount);
  }
};

/// Heat [W] and vapour [kg/s] through the skin, vapour counted with its latent heat.
Crossing heat_through_skin_W(const HouseFixed& fixed, const std::vector<Flux>& fluxes,
                             const std::vector<double>& state) {
  Crossing heat;
  for (const Flux& flux : fluxes) {
    const auto line = static_cast<Line>(flux.line);
    const double size = flux.size.value(state);
    heat.add(heat_from_outside(line) * size);
    if (line == Line::AirInVapour) heat.add(fixed.latent_heat_J_per_kg * size);
    if (line == Line::AirOutVapour) heat.add(-fixed.latent_heat_J_per_kg * size);
  }
  return heat;
}

Crossing vapour_gained_kg_per_s(const std::vector<Flux>& fluxes, const std::vector<double>& state) {
  Crossing vapour;
  for (const Flux& flux : fluxes) {
    const double size = flux.size.value(state);
    switch (static_cast<Line>(flux.line)) {
      case Line::AirInVapour:
      case Line::MediumEvaporation:
        vapour.add(size);
        break;
      case Line::AirOutVapour:
      case Line::CoverCondensation:
      case Line::FloorEvaporation:
        vapour.add(-size);
        break;
      default:
        break;
    }
  }
  return vapour;
}

std::vector<double> rates(const std::vector<Flux>& fluxes, const std::vector<double>& state) {
  std::vector<double> rate(state.size(), 0.0);
  for (const Flux& flux : fluxes) {
    for (const auto& fed : flux.feeds) rate[fed.state] += fed.coefficient * flux.size.value(state);
  }
  return rate;
}

/// One cell, closed, dry, no sun but on the floor, sky as warm as the air outside.
struct Shed {
  HouseFixed fixed = house(1);
  HouseNow now;
  std::vector<double> state;
};

Shed shed() {
  Shed shed;
  shed.fixed.bench_area_m2 = {0.0};
  shed.fixed.cover_longwave_transmittance_fraction = 0.0;
  shed.fixed.floor_ground_conductance_W_per_m2_K = 0.0;
  shed.fixed.floor_heat_capacity_J_per_m2_K = 2e3;
  shed.now.outside_temperature_K = 283.15;
  shed.now.sky_temperature_K = 283.15;
  shed.now.wind_speed_m_per_s = 2.0;
  shed.now.sun_on_floor_W_per_m2 = 250.0;
  shed.now.inflow_kg_per_s = {0.0};
  shed.now.outflow_kg_per_s = {0.0};
  shed.state = {10.0, 0.001, 10.0, 10.0, 10.0, 0.0, 0.0};
  return shed;
}

}  // namespace

TEST_CASE("air: heat held changes by what passes the house's skin to 1e-12", "[air][law]") {
  Random random(11, stream_of("heat"));
  for (int n = 0; n < 300; ++n) {
    const HouseFixed fixed = house(1 + static_cast<std::size_t>(n % 7));
    const HouseNow now = windy_noon(fixed, random);
    const std::vector<double> state = state_of(fixed, random);
    const auto fluxes = house_fluxes(fixed, now, state);
    const Crossing through = heat_through_skin_W(fixed, fluxes, state);
    // Held heat is linear in the state: its rate is itself of the rates.
    const double rate_W = heat_held_J(fixed, rates(fluxes, state));
    CHECK(std::abs(rate_W - through.net) < 1e-12 * through.gross);
  }
}

TEST_CASE("air: vapour held changes by what comes in and evaporates less what goes and condenses",
          "[air][law]") {
  Random random(12, stream_of("vapour"));
  std::set<std::uint32_t> met;
  for (int n = 0; n < 300; ++n) {
    const HouseFixed fixed = house(1 + static_cast<std::size_t>(n % 7));
    const HouseNow now = windy_noon(fixed, random);
    const std::vector<double> state = state_of(fixed, random);
    const auto fluxes = house_fluxes(fixed, now, state);
    for (const Flux& flux : fluxes) met.insert(flux.line);
    const Crossing gained = vapour_gained_kg_per_s(fluxes, state);
    const std::vector<double> rate = rates(fluxes, state);
    CHECK(std::abs(vapour_held_kg(fixed, rate) - gained.net) < 1e-12 * gained.gross);
    // What condenses lies on its surface.
    double water = 0.0, onto = 0.0;
    for (std::size_t c = 0; c < fixed.cells; ++c) {
      water += rate[state_index(c, CellState::CoverWater)];
      water += rate[state_index(c, CellState::FloorWater)];
    }
    for (const Flux& flux : fluxes) {
      const auto line = static_cast<Line>(flux.line);
      if (line == Line::CoverCondensation || line == Line::FloorEvaporation) {
        onto += flux.size.value(state);
      }
    }
    CHECK(std::abs(water - onto) <= 1e-12 * gained.gross);
  }
  // Every line but those of the leaves has been tried.
  CHECK(met.size() == static_cast<std::size_t>(Line::Count) - 4);
}

TEST_CASE("air: over an hour of a closed box heat changes by the booked lines and water is kept",
          "[air][law]") {
  Random random(13, stream_of("box"));
  for (int n = 0; n < 10; ++n) {
    HouseFixed fixed = house(4);
    fixed.bench_area_m2.assign(4, 0.0);
    HouseNow now = windy_noon(fixed, random);
    now.inflow_kg_per_s.assign(4, 0.0);
    now.outflow_kg_per_s.assign(4, 0.0);
    const std::vector<double> start = state_of(fixed, random);
    const auto fluxes = house_fluxes(fixed, now, start);
    const Stretch stretch(assemble(fluxes, start.size()), start, state_scale(fixed), 3600.0);
    const std::vector<double> end = stretch.at(3600.0), area = stretch.integral(3600.0);
    Crossing heat;
    for (const Flux& flux : fluxes) {
      double booked_J = flux.size.constant * 3600.0;
      for (const auto& term : flux.size.terms) booked_J += term.coefficient * area[term.state];
      heat.add(heat_from_outside(static_cast<Line>(flux.line)) * booked_J);
    }
    const double change_J = heat_held_J(fixed, end) - heat_held_J(fixed, start);
    CHECK(std::abs(change_J - heat.net) < 1e-12 * (heat.gross + heat_held_J(fixed, start)));
    const auto water_kg = [&](const std::vector<double>& state) {
      double sum = vapour_held_kg(fixed, state);
      for (std::size_t c = 0; c < fixed.cells; ++c) {
        sum += state[state_index(c, CellState::CoverWater)];
        sum += state[state_index(c, CellState::FloorWater)];
      }
      return sum;
    };
    CHECK_THAT(water_kg(end), rel(water_kg(start), 1e-12));
  }
}

TEST_CASE("air: a closed house comes to rest where sun in equals U A dT out", "[air][exact]") {
  Shed a = shed();
  // Coefficients are frozen for a minute, then taken anew; rest comes within hours.
  for (int minute = 0; minute < 3000; ++minute) {
    const auto fluxes = house_fluxes(a.fixed, a.now, a.state);
    const Stretch stretch(assemble(fluxes, a.state.size()), a.state, state_scale(a.fixed), 60.0);
    a.state = stretch.at(60.0);
  }
  const double outside_K = a.now.outside_temperature_K;
  const double air_K = kelvin(a.state[state_index(0, CellState::Air)]);
  const double cover_K = kelvin(a.state[state_index(0, CellState::Cover)]);
  const double floor_K = kelvin(a.state[state_index(0, CellState::Floor)]);
  const double cover_m2 = a.fixed.cover_area_m2[0], floor_m2 = a.fixed.floor_area_m2[0];
  const double bare_m2 = a.fixed.bare_floor_area_m2[0];
  const double sun_W = 250.0 * bare_m2;
  const auto radiated_W_per_m2 = [](double from_K, double to_K) {
    return 0.93 * 5.670374419e-8 * (std::pow(from_K, 4) - std::pow(to_K, 4));
  };
  // Out: film of 2.8 + 3 u = 8.8 W/(m2 K) in series with the cover, and long-wave beside it.
  const double series_W_per_m2_K = 1.0 / (1.0 / 8.8 + 1.0 / 500.0);
  CHECK_THAT(cover_m2 * (series_W_per_m2_K * (cover_K - outside_K) +
                         radiated_W_per_m2(cover_K, outside_K)),
             rel(sun_W, 1e-9));
  // Within: floor to air to cover by free convection, floor to cover by long-wave.
  const auto free_W_per_m2 = [](double step_K) { return 1.52 * std::pow(step_K, 4.0 / 3.0); };
  REQUIRE(floor_K - air_K > 1.0);
  REQUIRE(air_K - cover_K > 1.0);
  const double to_air_W = floor_m2 * free_W_per_m2(floor_K - air_K);
  CHECK_THAT(to_air_W + bare_m2 * radiated_W_per_m2(floor_K, cover_K), rel(sun_W, 1e-9));
  CHECK_THAT(cover_m2 * free_W_per_m2(air_K - cover_K), rel(to_air_W, 1e-9));
}

TEST_CASE("air: ventilation alone carries its mass flow times heat capacity times dT",
          "[air][exact]") {
  Shed a = shed();
  a.now.inflow_kg_per_s = {0.02};
  a.now.outflow_kg_per_s = {0.02};
  a.now.outside_humidity_ratio = 0.001;
  const auto fluxes = house_fluxes(a.fixed, a.now, {25.0, 0.009, 25.0, 25.0, 25.0, 0.0, 0.0});
  double heat_W = 0.0, vapour_kg_per_s = 0.0;
  for (const Flux& flux : fluxes) {
    const double size = flux.size.value({25.0, 0.009, 25.0, 25.0, 25.0, 0.0, 0.0});
    const auto line = static_cast<Line>(flux.line);
    if (line == Line::AirOutHeat) heat_W += size;
    if (line == Line::AirInHeat) heat_W -= size;
    if (line == Line::AirOutVapour) vapour_kg_per_s += size;
    if (line == Line::AirInVapour) vapour_kg_per_s -= size;
  }
  CHECK_THAT(heat_W, rel(0.02 * 1030.0 * 15.0, 1e-12));
  CHECK_THAT(vapour_kg_per_s, rel(0.02 * 0.008, 1e-12));
}

TEST_CASE("air: a surface takes vapour below the dew point and a dry one gives none above it",
          "[air][law]") {
  Shed a = shed();
  const auto onto_cover = [&](double humidity, double cover, double water_kg) {
    const std::vector<double> state = {25.0, humidity, cover, 25.0, 25.0, water_kg, 0.0};
    double onto = 0.0;
    for (const Flux& flux : house_fluxes(a.fixed, a.now, state)) {
      if (static_cast<Line>(flux.line) == Line::CoverCondensation) onto += flux.size.value(state);
    }
    return onto;
  };
  const double full_at_15 = saturation_line(kelvin(15.0), a.fixed.pressure_Pa).humidity_ratio;
  CHECK(onto_cover(full_at_15 + 1e-4, 15.0, 0.0) > 0.0);
  CHECK(onto_cover(full_at_15 - 1e-4, 15.0, 0.0) == 0.0);
  CHECK(onto_cover(full_at_15 - 1e-4, 15.0, 0.5) < 0.0);
  // By the Lewis relation: area h / cp times the step of humidity ratio.
  const double h = inside_convection_W_per_m2_K(10.0);
  CHECK_THAT(onto_cover(full_at_15 + 1e-3, 15.0, 0.0),
             rel(a.fixed.cover_area_m2[0] * h / 1030.0 * 1e-3, 1e-9));
}

TEST_CASE("air: the saturation line touches the curve of saturated air", "[air][exact]") {
  for (double t_c = 1.0; t_c < 50.0; t_c += 3.7) {
    const auto ratio = [](double t) { return saturation_line(kelvin(t), 99'000.0).humidity_ratio; };
    const SaturationLine line = saturation_line(kelvin(t_c), 99'000.0);
    CHECK_THAT(line.humidity_ratio,
               rel(humidity_ratio(saturation_pressure_Pa(kelvin(t_c)), 99'000.0), 1e-12));
    CHECK_THAT(line.slope_per_K, rel((ratio(t_c + 1e-3) - ratio(t_c - 1e-3)) / 2e-3, 1e-6));
  }
}

TEST_CASE("air: surface conductances take the values of their formulas", "[air][worked]") {
  CHECK_THAT(inside_convection_W_per_m2_K(8.0), rel(3.04, 1e-12));
  CHECK_THAT(inside_convection_W_per_m2_K(-8.0), rel(3.04, 1e-12));
  CHECK_THAT(inside_convection_W_per_m2_K(0.0), rel(1.52 * std::cbrt(0.3), 1e-14));
  CHECK_THAT(outside_convection_W_per_m2_K(4.0), rel(14.8, 1e-12));
  // 4 sigma T^3 at 300 K is 6.12 W/(m2 K) (any textbook of heat transfer).
  CHECK_THAT(radiative_conductance_W_per_m2_K(300.0, 300.0), rel(6.124, 1e-4));
}

TEST_CASE("air: a wet film lets through a quarter of the long-wave that a dry one does",
          "[air][exact]") {
  const HouseFixed fixed = house(1);
  const auto through = [&](double water_kg_per_m2) {
    const std::vector<double> state = {
        20.0, 0.01, 20.0, 20.0, 20.0, water_kg_per_m2 * fixed.cover_area_m2[0], 0.0};
    return cover_longwave_transmittance_fraction(fixed, state, 0);
  };
  CHECK(through(0.0) == 0.6);
  CHECK_THAT(through(0.02), rel(0.15, 1e-12));
  CHECK_THAT(through(0.5), rel(0.15, 1e-12));
  CHECK(through(0.01) < through(0.005));
}

TEST_CASE("air: under a cloth the sky is the sky where it is open and the warm threads elsewhere",
          "[air][exact]") {
  const ShadeCloth open{1.0, 900.0, 298.0, 278.0, 2.0};
  CHECK_THAT(sky_under_cloth_K(open), rel(278.0, 1e-12));
  // Closed and dark in a gale the threads are as warm as the air.
  CHECK_THAT(sky_under_cloth_K({0.0, 0.0, 298.0, 278.0, 1e6}), abs(298.0, 1e-3));
  // A sky as warm as the air, no sun: all is at one temperature.
  CHECK_THAT(sky_under_cloth_K({0.3, 0.0, 298.0, 298.0, 1.0}), rel(298.0, 1e-12));
  // The sun warms threads above the air, the less the more wind there is.
  CHECK(sky_under_cloth_K({0.0, 900.0, 298.0, 278.0, 1.0}) > 298.0);
  CHECK(sky_under_cloth_K({0.0, 900.0, 298.0, 278.0, 1.0}) >
        sky_under_cloth_K({0.0, 900.0, 298.0, 278.0, 4.0}));
  // The threads' own balance: absorbed = convection from two sides + long-wave up and down.
  const double t = sky_under_cloth_K({0.0, 900.0, 298.0, 278.0, 1.0});
  const double up = 0.93 * radiative_conductance_W_per_m2_K(298.0, 278.0) * (t - 278.0);
  const double down = 0.93 * radiative_conductance_W_per_m2_K(298.0, 298.0) * (t - 298.0);
  CHECK_THAT(2.0 * 5.8 * (t - 298.0) + up + down, rel(0.9 * 900.0, 1e-9));
}
