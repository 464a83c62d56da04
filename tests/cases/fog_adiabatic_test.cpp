// Fog into a shut house through the whole engine, against the adiabatic path of moist air by
// formulas of other hands.
#include <algorithm>
#include <cmath>
#include <vector>

#include "models/air/house_balance.h"
#include "tests/cases/small_house.h"
#include "tests/support/catch.h"

using namespace mistwright;

namespace {

/// The house's dry air together.
struct HouseAir {
  double mass_kg = 0.0, temperature_degC = 0.0, humidity_ratio = 0.0;
};

HouseAir air_of(const HouseRun& run, SimTime now) {
  HouseAir sum;
  const Shared& shared = run.shared();
  const std::vector<double> states =
      shared.stretch.at(std::min(shared.stretch.length_s(), seconds(now - shared.stretch_start)));
  const auto& fixed = run.plan().fixed;
  for (std::size_t c = 0; c < fixed.cells; ++c) {
    const double mass = fixed.air_mass_kg[c];
    sum.mass_kg += mass;
    sum.temperature_degC += mass * states[air::state_index(c, air::CellState::Air)];
    sum.humidity_ratio += mass * states[air::state_index(c, air::CellState::Humidity)];
  }
  sum.temperature_degC /= sum.mass_kg;
  sum.humidity_ratio /= sum.mass_kg;
  return sum;
}

/// Enthalpy of moist air a kilogram of dry air [kJ]. Source: ASHRAE Handbook Fundamentals,
/// Psychrometrics: h = 1.006 t + W (2501 + 1.86 t).
double enthalpy_kJ_per_kg(double temperature_degC, double humidity_ratio) {
  return 1.006 * temperature_degC + humidity_ratio * (2501.0 + 1.86 * temperature_degC);
}

/// Saturated humidity ratio at 99.2 kPa or so. Source: Buck 1981, J. Appl. Meteorol. 20:1527.
double full_humidity_ratio(double temperature_degC, double pressure_kPa) {
  const double e =
      0.61121 * std::exp(17.502 * temperature_degC / (240.97 + temperature_degC)) * 1.004;
  return 0.62198 * e / (pressure_kPa - e);
}

/// Where saturated air has the same enthalpy but for that of the water added (ASHRAE, as above).
double wet_bulb_degC(const HouseAir& air, double pressure_kPa) {
  double low = air.temperature_degC - 30.0, high = air.temperature_degC;
  for (int i = 0; i < 60; ++i) {
    const double t = 0.5 * (low + high), full = full_humidity_ratio(t, pressure_kPa);
    const double left = enthalpy_kJ_per_kg(air.temperature_degC, air.humidity_ratio) +
                        (full - air.humidity_ratio) * 4.186 * t;
    (enthalpy_kJ_per_kg(t, full) < left ? low : high) = t;
  }
  return low;
}

/// Water sprayed so far that did not land on the medium [kg].
double in_air_kg(const HouseRun& run) {
  const auto& ledger = run.water().ledger();
  return ledger.sprayed_kg.value() - ledger.to_medium_kg.value();
}

/// Air temperature at which air of an enthalpy holds a humidity.
double temperature_at_degC(double enthalpy, double humidity_ratio) {
  return (enthalpy - 2501.0 * humidity_ratio) / (1.006 + 1.86 * humidity_ratio);
}

}  // namespace

TEST_CASE(
    "cases: fog in a shut house moves its air along adiabatic saturation with the heat of the "
    "water",
    "[cases][published]") {
  auto read = scenario::read_file(
      MISTWRIGHT_SOURCE_DIR "/tests/cases/fog_shut.toml",
      {"span.start=2025-06-03T06:30:00", "span.length=4 h", "numerics.parcels_per_class=100",
       "numerics.size_classes=12", "numerics.flow_cell=0.3 m", "numerics.bench_cell=0.3 m",
       "house.leakage=0 1/h", "head_type.\"medium mist\".dv50=12 um"});
  for (const auto& problem : read.problems) UNSCOPED_INFO(scenario::render(problem));
  REQUIRE(read.house);
  const double water_degC = read.house->network.supply.temperature_K - 273.15;
  HouseRun run(*read.house, 1);
  const double pressure_kPa = run.plan().fixed.pressure_Pa / 1e3;
  // Looks so close together that walls and sun give the air nothing that counts between two.
  const SimDuration look{20'000};
  int bursts = 0;
  double most_K = 0.0, fullest = 0.0;
  for (SimTime t = run_start + SimDuration{1'800'000'000}; t < run.end();) {
    run.engine().advance_to(t);
    HouseAir before = air_of(run, t);
    const double carried_kg = in_air_kg(run);
    bool taken = false;
    for (int i = 0; i < 1500 && !taken && t < run.end(); ++i) {
      t += look;
      run.engine().advance_to(t);
      const HouseAir after = air_of(run, t);
      const double given = after.humidity_ratio - before.humidity_ratio;
      if (given > 1e-5) {
        taken = true;
        ++bursts;
        // Water that the air carried came in cold; what did not dry leaves it at the wet bulb.
        const double in_air = in_air_kg(run) - carried_kg, dried = given * before.mass_kg;
        const double start = enthalpy_kJ_per_kg(before.temperature_degC, before.humidity_ratio);
        const double bulb_degC = wet_bulb_degC(before, pressure_kPa);
        const double energy =
            start + 4.186 * (in_air * water_degC - (in_air - dried) * bulb_degC) / before.mass_kg;
        const double expected_degC = temperature_at_degC(energy, after.humidity_ratio);
        CHECK(in_air >= dried * (1.0 - 1e-9));
        most_K = std::max(most_K, std::abs(after.temperature_degC - expected_degC));
        CAPTURE(bursts, before.temperature_degC, before.humidity_ratio, after.temperature_degC,
                after.humidity_ratio);
        CHECK_THAT(after.temperature_degC, test::abs(expected_degC, 0.05));
        fullest = std::max(fullest, after.humidity_ratio /
                                        full_humidity_ratio(after.temperature_degC, pressure_kPa));
      }
      before = after;
    }
    t += SimDuration{600'000'000} - (taken ? SimDuration{20'000'000} : SimDuration{0});
  }
  CAPTURE(most_K, fullest);
  CHECK(fullest > 0.97);
  // Cold water that does not dry cools full air further: the house stands a little over-full after
  // a burst, until its surfaces take that.
  CHECK(fullest < 1.03);
  CHECK(bursts >= 3);
}

namespace {

/// A shut dark house whose cover and floor and flats hold their heat and exchange nothing, with one
/// tiny leaf a cutting.
House insulated_house(double supply_degC) {
  auto read = scenario::read_file(
      MISTWRIGHT_SOURCE_DIR "/tests/cases/fog_shut.toml",
      {"span.start=2025-06-03T08:05:00", "span.length=2 h", "numerics.parcels_per_class=100",
       "numerics.size_classes=12", "numerics.flow_cell=0.3 m", "numerics.bench_cell=0.3 m",
       "numerics.airflow=jets", "house.leakage=0 1/h", "head_type.\"medium mist\".dv50=12 um",
       "head_type.\"medium mist\".flow=6 L/h", "crop.cuttings_per_area=1 1/m2",
       "weather.lowest=18 degC", "weather.highest=32 degC", "weather.dew_point=2 degC"});
  for (const auto& problem : read.problems) UNSCOPED_INFO(scenario::render(problem));
  REQUIRE(read.house);
  House house = *std::move(read.house);
  house.structure.cover.solar_transmittance_fraction = 0.0;
  house.crop.leaf_area_m2 = 1e-10;
  house.network.supply.temperature_K = supply_degC + 273.15;
  return house;
}

std::shared_ptr<Building> insulated(const House& house) {
  auto building = std::make_shared<Building>(house);
  air::HouseFixed& fixed = building->plan.fixed;
  constexpr double nil = 1e-9;
  for (auto* area_m2 : {&fixed.cover_area_m2, &fixed.floor_area_m2, &fixed.bare_floor_area_m2,
                        &fixed.bench_area_m2})
    for (double& area : *area_m2) area *= nil;
  for (double* heat_J_per_m2_K :
       {&fixed.cover_heat_capacity_J_per_m2_K, &fixed.floor_heat_capacity_J_per_m2_K,
        &fixed.medium_heat_capacity_J_per_m2_K})
    *heat_J_per_m2_K /= nil;
  return building;
}

}  // namespace

TEST_CASE(
    "cases: fog cools the air of an insulated house along adiabatic saturation within 0.05 K from "
    "start to full air",
    "[cases][published]") {
  // Water near the wet bulb leaves the wet bulb as it was; warm water brings its own heat.
  for (const double water_degC : {12.0, 30.0}) {
    const House house = insulated_house(water_degC);
    HouseRun run(house, 1, insulated(house));
    const double pressure_kPa = run.plan().fixed.pressure_Pa / 1e3;
    SimTime t = run_start + SimDuration{1'000'000};
    run.engine().advance_to(t);
    const HouseAir start = air_of(run, t);
    const double start_kJ_per_kg = enthalpy_kJ_per_kg(start.temperature_degC, start.humidity_ratio);
    const double bulb_degC = wet_bulb_degC(start, pressure_kPa);
    CHECK(start.temperature_degC - bulb_degC > 10.0);
    double fullest = 0.0;
    int looks = 0;
    for (; t < run.end(); t += SimDuration{60'000'000}) {
      run.engine().advance_to(t);
      const HouseAir now = air_of(run, t);
      const double dried = now.humidity_ratio - start.humidity_ratio;
      fullest = now.humidity_ratio / full_humidity_ratio(now.temperature_degC, pressure_kPa);
      // What can no longer dry lies at the wet bulb; of warm water that is left out here.
      if (water_degC > bulb_degC + 1.0 && fullest > 0.9) break;
      ++looks;
      const double expected_degC =
          temperature_at_degC(start_kJ_per_kg + 4.186 * water_degC * dried, now.humidity_ratio);
      CAPTURE(water_degC, seconds(t - run_start), fullest, now.humidity_ratio);
      CHECK_THAT(now.temperature_degC, test::abs(expected_degC, 0.05));
      if (water_degC < bulb_degC)
        CHECK_THAT(wet_bulb_degC(now, pressure_kPa), test::abs(bulb_degC, 0.05));
    }
    CHECK(looks > 30);
    CHECK(fullest > (water_degC < bulb_degC ? 0.985 : 0.9));
  }
}
