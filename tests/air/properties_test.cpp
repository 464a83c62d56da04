#include "models/air/properties.h"

#include "models/air/psychrometrics.h"
#include "models/contracts.h"
#include "models/units.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using test::abs;
using test::rel;

TEST_CASE("air: properties agree with Cengel and Ghajar table A-15 within the textbooks' spread",
          "[air][published]") {
  constexpr double p = standard_pressure_Pa;
  for (const auto& row : test::table("air_properties.csv")) {
    const double T = kelvin(row.number("temperature_degC"));
    CAPTURE(row.text("temperature_degC"));
    CHECK_THAT(air::density_kg_per_m3({T, 0.0, p}), rel(row.number("density_kg_m3"), 2e-3));
    CHECK_THAT(air::dynamic_viscosity_Pa_s(T), rel(row.number("viscosity_Pa_s"), 1e-2));
    CHECK_THAT(air::kinematic_viscosity_m2_per_s(T, p),
               rel(row.number("kinematic_viscosity_m2_s"), 1e-2));
    CHECK_THAT(air::thermal_conductivity_W_per_m_K(T), rel(row.number("conductivity_W_m_K"), 3e-2));
    CHECK_THAT(air::thermal_diffusivity_m2_per_s(T, p),
               rel(row.number("thermal_diffusivity_m2_s"), 3e-2));
  }
}

TEST_CASE("air: viscosity and conductivity are those printed by the U.S. Standard Atmosphere 1976",
          "[air][published]") {
  int rows = 0;
  for (const auto& row : test::table("standard_atmosphere.csv")) {
    const auto expected = [&] {
      return rel(row.number("value"), row.number("tolerance_fraction"));
    };
    CAPTURE(row.text("quantity"), row.text("altitude_m"));
    if (row.text("quantity") == "viscosity") {
      CHECK_THAT(air::dynamic_viscosity_Pa_s(row.number("temperature_K")), expected());
      ++rows;
    } else if (row.text("quantity") == "conductivity") {
      CHECK_THAT(air::thermal_conductivity_W_per_m_K(row.number("temperature_K")), expected());
      ++rows;
    }
  }
  CHECK(rows == 3);
}

TEST_CASE("air: transport properties are their published formulas to the digits worked by hand",
          "[air][worked]") {
  constexpr double p = standard_pressure_Pa;
  for (const auto& row : test::table("air_transport_formulas.csv")) {
    const double T = kelvin(row.number("temperature_degC"));
    CAPTURE(row.text("temperature_degC"));
    CHECK_THAT(air::dynamic_viscosity_Pa_s(T), abs(row.number("viscosity_Pa_s"), 0.5e-9));
    CHECK_THAT(air::thermal_conductivity_W_per_m_K(T),
               abs(row.number("conductivity_W_m_K"), 0.5e-5));
    CHECK_THAT(air::vapour_diffusivity_m2_per_s(T, p), abs(row.number("massman_m2_s"), 0.5e-8));
    // Measured diffusivities scatter by about 4 %: the older fit must lie within that.
    CHECK_THAT(air::vapour_diffusivity_m2_per_s(T, p),
               rel(row.number("marrero_mason_m2_s"), 4.5e-2));
  }
}

TEST_CASE("air: diffusivities go as one over the pressure", "[air][law]") {
  const double T = kelvin(22.0);
  CHECK_THAT(air::vapour_diffusivity_m2_per_s(T, 50662.5),
             rel(2.0 * air::vapour_diffusivity_m2_per_s(T, 101325.0), 1e-14));
  CHECK_THAT(air::thermal_diffusivity_m2_per_s(T, 50662.5),
             rel(2.0 * air::thermal_diffusivity_m2_per_s(T, 101325.0), 1e-14));
}

TEST_CASE("air: a temperature meant in degC breaks the contract of every property",
          "[air][input]") {
  CHECK_THROWS_AS(air::dynamic_viscosity_Pa_s(25.0), ContractError);
  CHECK_THROWS_AS(air::thermal_conductivity_W_per_m_K(25.0), ContractError);
  CHECK_THROWS_AS(air::vapour_diffusivity_m2_per_s(25.0, 101325.0), ContractError);
  CHECK_THROWS_AS(air::vapour_diffusivity_m2_per_s(298.0, 0.0), ContractError);
}
