#include "models/leaf/drying.h"

#include <cmath>

#include "models/air/psychrometrics.h"
#include "models/leaf/leaf_energy.h"
#include "models/units.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::leaf;
using mistwright::test::abs;
using mistwright::test::rel;

namespace {
FilmQuery hot_and_dry(double speed) {
  return {.depth_m = 50e-6,
          .temperature_K = kelvin(35.0),
          .relative_humidity_fraction = 0.25,
          .air_speed_m_per_s = speed,
          .net_radiation_W_per_m2 = 300.0,
          .leaf_length_m = 0.05};
}
FilmQuery dull_winter(double speed) {
  return {.depth_m = 50e-6,
          .temperature_K = kelvin(20.0),
          .relative_humidity_fraction = 0.85,
          .air_speed_m_per_s = speed,
          .net_radiation_W_per_m2 = 40.0,
          .leaf_length_m = 0.05};
}
}  // namespace

TEST_CASE(
    "leaf: a film of 0.05 mm dries in 3 to 6 minutes at 35 degC and 25 % and 300 W/m2 in moving "
    "air",
    "[leaf][worked]") {
  // Common practice; derived elsewhere by Penman as about 1 mm/h. From the loop of circulation fans
  // (0.25 to 0.5 m/s, common practice) to a fan that blows on the bench.
  for (const double speed : {0.3, 0.5, 1.0}) {
    const FilmDrying drying = film_drying(hot_and_dry(speed));
    CAPTURE(speed, drying.evaporation_kg_per_m2_s * 3600.0, drying.boundary_conductance_m_per_s);
    CHECK(drying.time_to_dry_s > 3.0 * 60.0);
    CHECK(drying.time_to_dry_s < 6.0 * 60.0);
    CHECK(drying.time_to_half_bare_s < drying.time_to_dry_s);
  }
}

TEST_CASE("leaf: a film of 0.05 mm dries in 40 to 80 minutes at 20 degC and 85 % and 40 W/m2",
          "[leaf][worked]") {
  // Common practice and derived: 0.08 mm/h at 0.012 m/s. Air that leaves cuttings in peace.
  for (const double speed : {0.05, 0.1, 0.2, 0.3}) {
    const FilmDrying drying = film_drying(dull_winter(speed));
    CAPTURE(speed, drying.evaporation_kg_per_m2_s * 3600.0, drying.boundary_conductance_m_per_s);
    CHECK(drying.time_to_dry_s > 40.0 * 60.0);
    CHECK(drying.time_to_dry_s < 80.0 * 60.0);
  }
}

TEST_CASE("leaf: under a steady demand the drying moments are the film law's", "[leaf][exact]") {
  const FilmDrying drying = film_drying(hot_and_dry(0.5));
  const double demand_m_per_s = drying.evaporation_kg_per_m2_s / water_density_kg_per_m3;
  CHECK_THAT(drying.time_to_dry_s * demand_m_per_s, rel(70e-6, 1e-12));
  CHECK_THAT(drying.time_to_half_bare_s * demand_m_per_s,
             rel(40e-6 + 30e-6 * (1.0 - std::sqrt(0.5)), 1e-12));
}

TEST_CASE("leaf: a drying leaf's net radiation leaves as vapour and heat to 1e-6", "[leaf][law]") {
  for (const FilmQuery& query : {hot_and_dry(0.5), dull_winter(0.1), dull_winter(0.0)}) {
    const FilmDrying drying = film_drying(query);
    const LeafState state{.air_temperature_K = query.temperature_K,
                          .vapour_pressure_Pa = query.relative_humidity_fraction *
                                                air::saturation_pressure_Pa(query.temperature_K),
                          .pressure_Pa = query.pressure_Pa,
                          .cover_temperature_K = query.temperature_K};
    const double rise_K = drying.leaf_temperature_K - query.temperature_K;
    const LeafConductance g = leaf_conductance({.air_speed_m_per_s = query.air_speed_m_per_s,
                                                .leaf_length_m = query.leaf_length_m,
                                                .temperature_difference_K = rise_K},
                                               state);
    const double latent =
        drying.evaporation_kg_per_m2_s * air::latent_heat_J_per_kg(drying.leaf_temperature_K);
    const double sensible = air_heat_capacity_J_per_m3_K(state) * g.heat_m_per_s * rise_K;
    CAPTURE(rise_K, latent, sensible);
    CHECK_THAT(latent + sensible, rel(query.net_radiation_W_per_m2, 1e-6));
    CHECK(drying.boundary_conductance_m_per_s == g.vapour_m_per_s);
  }
}

TEST_CASE("leaf: a wet leaf without radiation lies between the wet bulb and the air",
          "[leaf][law]") {
  // 40 degC with a wet bulb of 20 degC: ASHRAE Fundamentals 2017 chapter 1 example 1 (14 %).
  FilmQuery query = hot_and_dry(1.0);
  query.temperature_K = kelvin(40.0);
  query.relative_humidity_fraction = 0.14;
  query.net_radiation_W_per_m2 = 0.0;
  const FilmDrying drying = film_drying(query);
  CHECK(drying.leaf_temperature_K > kelvin(20.0));
  CHECK(drying.leaf_temperature_K < kelvin(40.0));
}

TEST_CASE("leaf: a film under dew never dries and no film is dry at once", "[leaf][law]") {
  FilmQuery query = dull_winter(0.1);
  query.relative_humidity_fraction = 1.0;
  query.net_radiation_W_per_m2 = -30.0;
  const FilmDrying dew = film_drying(query);
  CHECK(dew.evaporation_kg_per_m2_s < 0.0);
  CHECK(std::isinf(dew.time_to_dry_s));
  query.depth_m = 0.0;
  CHECK(film_drying(query).time_to_dry_s == 0.0);
}

TEST_CASE("leaf: drying comes sooner with sun and heat and wind and later with depth and humidity",
          "[leaf][law]") {
  const FilmQuery base = hot_and_dry(0.5);
  const double time_s = film_drying(base).time_to_dry_s;
  FilmQuery query = base;
  query.net_radiation_W_per_m2 += 50.0;
  CHECK(film_drying(query).time_to_dry_s < time_s);
  query = base;
  query.temperature_K += 2.0;
  CHECK(film_drying(query).time_to_dry_s < time_s);
  query = base;
  query.air_speed_m_per_s = 1.0;
  CHECK(film_drying(query).time_to_dry_s < time_s);
  query = base;
  query.depth_m = 80e-6;
  CHECK(film_drying(query).time_to_dry_s > time_s);
  query = base;
  query.relative_humidity_fraction = 0.5;
  CHECK(film_drying(query).time_to_dry_s > time_s);
}

TEST_CASE("leaf: still air without radiation still lets a film dry by free convection",
          "[leaf][law]") {
  FilmQuery query = hot_and_dry(0.0);
  query.net_radiation_W_per_m2 = 0.0;
  const FilmDrying drying = film_drying(query);
  CHECK(drying.leaf_temperature_K < kelvin(30.0));
  CHECK(drying.evaporation_kg_per_m2_s > 0.0);
}
