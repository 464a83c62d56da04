#include "models/sky/fao56.h"

#include <string>

#include "models/units.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using namespace mistwright::sky::fao56;
using test::abs;

namespace {

/// A matcher for a printed answer of one of the paper's examples.
auto printed(const std::string& example, const std::string& quantity) {
  for (const auto& row : test::table("fao56_examples.csv")) {
    if (row.text("example") == example && row.text("quantity") == quantity) {
      // A hair more than half a digit, for answers that end in a five before rounding.
      return abs(row.number("value"), row.number("tolerance") * (1.0 + 1e-9));
    }
  }
  throw std::runtime_error("no such answer: " + example + " " + quantity);
}

}  // namespace

TEST_CASE(
    "sky: FAO-56 pressure and humidity examples 2 to 6 and 20 are met to their printed digits",
    "[sky][worked]") {
  CHECK_THAT(pressure_kPa(1800.0), printed("2", "pressure"));
  CHECK_THAT(psychrometric_constant_kPa_per_degC(pressure_kPa(1800.0)),
             printed("2", "psychrometric_constant"));
  CHECK_THAT(saturation_kPa(24.5), printed("3", "saturation_24.5"));
  CHECK_THAT(saturation_kPa(15.0), printed("3", "saturation_15"));
  CHECK_THAT(mean_saturation_kPa(24.5, 15.0), printed("3", "saturation_mean"));
  CHECK_THAT(saturation_kPa(19.75), printed("3", "saturation_19.75"));
  CHECK_THAT(pressure_kPa(1200.0), printed("4", "pressure"));
  CHECK_THAT(actual_from_wet_bulb_kPa({25.6, 19.5, pressure_kPa(1200.0), 0.000662}),
             printed("4", "actual"));
  const DayAir day{25.0, 18.0, 0.82, 0.54};
  CHECK_THAT(actual_from_extremes_kPa(day), printed("5", "actual"));
  CHECK_THAT(actual_from_highest_humidity_kPa(day), printed("5", "actual_highest"));
  CHECK_THAT(actual_from_mean_humidity_kPa(day), printed("5", "actual_mean"));
  CHECK_THAT(mean_saturation_kPa(25.0, 18.0) - actual_from_extremes_kPa(day),
             printed("6", "deficit"));
  CHECK_THAT(saturation_kPa(14.8), printed("20", "actual"));
}

TEST_CASE("sky: FAO-56 annex tables 2.3 and 2.4 are met to their printed digits",
          "[sky][published]") {
  for (const auto& row : test::table("sat_vapour_pressure.csv")) {
    const double t = row.number("temperature_degC");
    CAPTURE(t);
    CHECK_THAT(saturation_kPa(t), abs(row.number("fao56_kPa"), 5e-4));
    CHECK_THAT(saturation_slope_kPa_per_degC(t), abs(row.number("fao56_slope_kPa_per_degC"), 5e-4));
  }
}

TEST_CASE("sky: FAO-56 radiation examples 8 to 16 are met to their printed digits",
          "[sky][worked]") {
  const double south_20 = radians(-20.0);
  CHECK_THAT(inverse_distance_ratio(246), printed("8", "inverse_distance"));
  CHECK_THAT(declination_rad(246), printed("8", "declination"));
  CHECK_THAT(sunset_hour_angle_rad(south_20, 246), printed("8", "sunset_angle"));
  CHECK_THAT(extraterrestrial_MJ_per_m2_d(south_20, 246), printed("8", "extraterrestrial"));
  CHECK_THAT(daylight_h(south_20, 246), printed("9", "daylight"));
  const double rio = radians(-22.9);
  const double Ra = extraterrestrial_MJ_per_m2_d(rio, 135);
  CHECK_THAT(Ra, printed("10", "extraterrestrial"));
  CHECK_THAT(daylight_h(rio, 135), printed("10", "daylight"));
  CHECK_THAT(solar_MJ_per_m2_d({7.1, daylight_h(rio, 135), Ra}), printed("10", "solar"));
  const double Rnl = net_longwave_MJ_per_m2_d({25.1, 19.1, 2.1, 14.5 / 18.8});
  CHECK_THAT(Rnl, printed("11", "net_longwave"));
  CHECK_THAT(net_shortwave_MJ_per_m2(14.5) - Rnl, printed("12", "net"));
  CHECK_THAT(soil_heat_MJ_per_m2_d(14.1, 18.8), printed("13", "soil_heat"));
  CHECK_THAT(wind_at_2m_m_per_s(3.2, 10.0), printed("14", "wind"));
  CHECK_THAT(solar_from_range_MJ_per_m2_d({26.6, 14.8, 40.6, 0.16}), printed("15", "solar"));
}

TEST_CASE("sky: FAO-56 example 17 in Bangkok is met step by step to its printed digits",
          "[sky][worked]") {
  const double latitude = radians(13.0 + 44.0 / 60.0);
  // The paper goes on with the pressure as it prints it, 101.3 kPa.
  CHECK_THAT(pressure_kPa(2.0), abs(101.3, 0.05));
  const double gamma = psychrometric_constant_kPa_per_degC(101.3);
  const double es = mean_saturation_kPa(34.8, 25.6);
  CHECK_THAT(saturation_slope_kPa_per_degC(30.2), printed("17", "slope"));
  CHECK_THAT(gamma, printed("17", "psychrometric_constant"));
  CHECK_THAT(es, printed("17", "saturation_mean"));
  const double Ra = extraterrestrial_MJ_per_m2_d(latitude, 105);
  const double N = daylight_h(latitude, 105);
  CHECK_THAT(Ra, printed("17", "extraterrestrial"));
  CHECK_THAT(N, printed("17", "daylight"));
  const double Rs = solar_MJ_per_m2_d({8.5, N, Ra});
  const double Rso = clear_sky_MJ_per_m2(Ra, 2.0);
  CHECK_THAT(Rs, printed("17", "solar"));
  CHECK_THAT(Rso, printed("17", "clear_sky"));
  const double Rns = net_shortwave_MJ_per_m2(Rs);
  const double Rnl = net_longwave_MJ_per_m2_d({34.8, 25.6, 2.85, Rs / Rso});
  CHECK_THAT(Rns, printed("17", "net_shortwave"));
  CHECK_THAT(Rnl, printed("17", "net_longwave"));
  CHECK_THAT(Rns - Rnl, printed("17", "net"));
  const double G = soil_heat_from_previous_MJ_per_m2_d(29.2, 30.2);
  CHECK_THAT(G, printed("17", "soil_heat"));
  CHECK_THAT(penman_monteith_mm_per_d({30.2, es, 2.85, gamma, 2.0, Rns - Rnl, G}),
             printed("17", "reference"));
}

TEST_CASE("sky: FAO-56 example 18 in Uccle is met step by step to its printed digits",
          "[sky][worked]") {
  const double latitude = radians(50.0 + 48.0 / 60.0);
  const double u2 = wind_at_2m_m_per_s(10.0 / 3.6, 10.0);
  CHECK_THAT(u2, printed("18", "wind"));
  const double P = pressure_kPa(100.0);
  const double gamma = psychrometric_constant_kPa_per_degC(P);
  CHECK_THAT(P, printed("18", "pressure"));
  CHECK_THAT(gamma, printed("18", "psychrometric_constant"));
  CHECK_THAT(saturation_slope_kPa_per_degC(16.9), printed("18", "slope"));
  const double es = mean_saturation_kPa(21.5, 12.3);
  const double ea = actual_from_extremes_kPa({21.5, 12.3, 0.84, 0.63});
  CHECK_THAT(es, printed("18", "saturation_mean"));
  CHECK_THAT(ea, printed("18", "actual"));
  const double Ra = extraterrestrial_MJ_per_m2_d(latitude, 187);
  const double N = daylight_h(latitude, 187);
  CHECK_THAT(Ra, printed("18", "extraterrestrial"));
  CHECK_THAT(N, printed("18", "daylight"));
  const double Rs = solar_MJ_per_m2_d({9.25, N, Ra});
  const double Rso = clear_sky_MJ_per_m2(Ra, 100.0);
  CHECK_THAT(Rs, printed("18", "solar"));
  CHECK_THAT(Rso, printed("18", "clear_sky"));
  const double Rns = net_shortwave_MJ_per_m2(Rs);
  const double Rnl = net_longwave_MJ_per_m2_d({21.5, 12.3, ea, Rs / Rso});
  CHECK_THAT(Rns, printed("18", "net_shortwave"));
  CHECK_THAT(Rnl, printed("18", "net_longwave"));
  CHECK_THAT(Rns - Rnl, printed("18", "net"));
  CHECK_THAT(penman_monteith_mm_per_d({16.9, es, ea, gamma, u2, Rns - Rnl, 0.0}),
             printed("18", "reference"));
}

TEST_CASE("sky: FAO-56 example 19 by the hour is met to its printed digits", "[sky][worked]") {
  // N'Diaye, 1 October, 16 deg 13 min N, 16 deg 15 min W, 8 m.
  const Hour night{radians(16.217), 16.25, 15.0, 274, 2.5, 1.0};
  CHECK_THAT(solar_time_angle_rad(night), printed("19", "solar_angle_night"));
  CHECK(extraterrestrial_hour_MJ_per_m2(night) == 0.0);
  const double gamma = psychrometric_constant_kPa_per_degC(pressure_kPa(8.0));
  CHECK_THAT(saturation_slope_kPa_per_degC(38.0), printed("19", "slope_day"));
  CHECK_THAT(saturation_slope_kPa_per_degC(28.0), printed("19", "slope_night"));

  Hour day = night;
  day.middle_h = 14.5;
  const double Rso = clear_sky_MJ_per_m2(extraterrestrial_hour_MJ_per_m2(day), 8.0);
  const double ea_day = 0.52 * saturation_kPa(38.0);
  const double Rns = net_shortwave_MJ_per_m2(2.450);
  const double Rnl = net_longwave_MJ_per_m2_d({38.0, 38.0, ea_day, 2.450 / Rso}) / 24.0;
  CHECK_THAT(Rns, printed("19", "net_shortwave_day"));
  CHECK_THAT(Rnl, printed("19", "net_longwave_day"));
  CHECK_THAT(penman_monteith_mm_per_h(
                 {38.0, saturation_kPa(38.0), ea_day, gamma, 3.3, Rns - Rnl, 0.1 * (Rns - Rnl)}),
             printed("19", "reference_day"));

  const double ea_night = 0.90 * saturation_kPa(28.0);
  const double Rn = -net_longwave_MJ_per_m2_d({28.0, 28.0, ea_night, 0.8}) / 24.0;
  CHECK_THAT(
      penman_monteith_mm_per_h({28.0, saturation_kPa(28.0), ea_night, gamma, 1.9, Rn, 0.5 * Rn}),
      printed("19", "reference_night"));
}

TEST_CASE("sky: FAO-56 example 20 by Hargreaves is met to its printed digit", "[sky][worked]") {
  const double Ra = extraterrestrial_MJ_per_m2_d(radians(45.72), 196);
  CHECK_THAT(hargreaves_mm_per_d({26.6, 14.8, Ra, 0.16}), printed("20", "reference"));
}

TEST_CASE("sky: a day's hours of extraterrestrial radiation add up to the day's", "[sky][law]") {
  for (const double latitude_deg : {-35.0, 0.0, 43.0}) {
    for (const int day : {15, 105, 196, 288}) {
      double sum = 0.0;
      for (int hour = 0; hour < 24; ++hour) {
        sum += extraterrestrial_hour_MJ_per_m2(
            {radians(latitude_deg), 0.0, 0.0, day, hour + 0.5, 1.0});
      }
      CAPTURE(latitude_deg, day);
      CHECK_THAT(sum, test::rel(extraterrestrial_MJ_per_m2_d(radians(latitude_deg), day), 1e-12));
    }
  }
}

TEST_CASE("sky: the poles have no day in winter and no night in summer", "[sky][exact]") {
  CHECK(daylight_h(radians(80.0), 355) == 0.0);
  CHECK_THAT(daylight_h(radians(80.0), 172), abs(24.0, 1e-12));
  CHECK_THAT(extraterrestrial_MJ_per_m2_d(radians(80.0), 355), abs(0.0, 1e-12));
}
