#include "sim/app/calc.h"

#include <fmt/format.h>

#include <cmath>
#include <limits>
#include <vector>

#include "models/air/psychrometrics.h"
#include "models/contracts.h"
#include "models/droplet/flight.h"
#include "models/leaf/drying.h"
#include "models/sky/radiation.h"
#include "models/sky/sun.h"
#include "models/units.h"
#include "models/water/pipe.h"
#include "sim/app/progress.h"

namespace mistwright::app {
namespace {

using scenario::Kind;
using scenario::rounded;

// The room in which each question makes sense; beyond it some published relation ends.
constexpr Wanted air_temperature{"--temperature", Kind::Temperature, "-40 degC", "60 degC"};
constexpr Wanted leaf_air_temperature{"--temperature", Kind::Temperature, "0.01 degC", "59 degC"};
constexpr Wanted humidity{"--humidity", Kind::Fraction, "0 %", "100 %"};
constexpr Wanted barometer{"--pressure", Kind::AbsolutePressure, "50 kPa", "110 kPa"};
constexpr Wanted drop_diameter{"--diameter", Kind::DropSize, "0.1 um", "6000 um"};
constexpr Wanted fall_height{"--height", Kind::Length, "0 m", "1000 m"};
constexpr Wanted wind{"--wind", Kind::Speed, "0 m/s", "50 m/s"};
constexpr Wanted film_depth{"--depth", Kind::SmallLength, "0 mm", "10 mm"};
constexpr Wanted air_speed{"--air-speed", Kind::Speed, "0 m/s", "20 m/s"};
constexpr Wanted net_radiation{"--net-radiation", Kind::Irradiance, "-500 W/m2", "1500 W/m2"};
constexpr Wanted leaf_length{"--leaf-length", Kind::SmallLength, "1 mm", "1000 mm"};
constexpr Wanted break_depth{"--break-depth", Kind::DropSize, "0.01 um", "1000 um"};
constexpr Wanted pipe_length{"--length", Kind::Length, "0 m", "100000 m"};
constexpr Wanted pipe_bore{"--diameter", Kind::SmallLength, "0.1 mm", "2000 mm"};
constexpr Wanted pipe_flow{"--flow", Kind::Flow, "0.000001 L/min", "1000000 L/min"};
constexpr Wanted pipe_roughness{"--roughness", Kind::DropSize, "0 um", "10000 um"};
constexpr Wanted water_temperature{"--temperature", Kind::Temperature, "0 degC", "60 degC"};
constexpr Wanted latitude{"--latitude", Kind::Angle, "-90 degree", "90 degree"};
constexpr Wanted longitude{"--longitude", Kind::Angle, "-180 degree", "360 degree"};
constexpr Wanted altitude{"--altitude", Kind::Length, "-500 m", "9000 m"};

/// One number of an answer: its JSON key and value, and how a person reads it.
struct Line {
  const char* key = "";
  double value = 0.0;
  const char* words = "";
  std::string shown;
};

int say(const Manners& manners, const std::vector<Line>& lines) {
  if (manners.json) {
    JsonObject object;
    for (const Line& line : lines) object.number(line.key, line.value);
    fmt::print("{}\n", object.str());
    return done;
  }
  std::vector<Row> rows;
  rows.reserve(lines.size());
  for (const Line& line : lines) rows.push_back({line.words, line.shown});
  fmt::print("{}", aligned(rows));
  return done;
}

/// Answers, or tells what is wrong with the values.
template <class Answer>
int reply(const Manners& manners, Values& values, const Answer& answer) {
  if (values.good()) {
    try {
      return say(manners, answer());
    } catch (const RangeError& error) {
      values.out_of_reach(error.what());
    }
  }
  return refuse(manners, input_error, values.problems());
}

/// A temperature in both scales.
std::string both(double temperature_K) {
  return fmt::format("{} ({})", rounded(temperature_K, "degC", 4), rounded(temperature_K, "degF"));
}

std::string duration(double time_s, const char* never) {
  if (!std::isfinite(time_s)) return never;
  return time_s < 60.0 ? rounded(time_s, "s") : spoken_time(time_s);
}

std::string plain(double value_number, int digits = 4) {
  return rounded(value_number, "1", digits);
}

double or_none(bool exists, double value_number) {
  return exists ? value_number : std::numeric_limits<double>::quiet_NaN();
}

}  // namespace

int calc(const Manners& manners, const AirQuestion& question) {
  Values values;
  const double temperature_K = values.needed(question.temperature, air_temperature);
  const double relative_fraction = values.needed(question.humidity, humidity);
  const double pressure_Pa = values.given_or(question.pressure, barometer, standard_pressure_Pa);
  return reply(manners, values, [&]() -> std::vector<Line> {
    const double saturation_Pa = air::saturation_pressure_Pa(temperature_K);
    const double vapour_Pa = relative_fraction * saturation_Pa;
    const air::MoistAir moist{.temperature_K = temperature_K,
                              .humidity_ratio = air::humidity_ratio(vapour_Pa, pressure_Pa),
                              .pressure_Pa = pressure_Pa};
    // Air drier than the curve reaches has no dew point that anybody could name.
    const bool has_dew = vapour_Pa > air::saturation_pressure_Pa(air::saturation_lowest_K);
    const double dew_K = has_dew ? air::dew_point_K(vapour_Pa) : 0.0;
    const double wet_K = air::wet_bulb_K(moist);
    const double deficit_Pa = saturation_Pa - vapour_Pa;
    const double enthalpy = air::enthalpy_J_per_kg(moist);
    const double density = air::density_kg_per_m3(moist);
    return {
        {"vapour_pressure_pa", vapour_Pa, "vapour pressure", rounded(vapour_Pa, "kPa", 4)},
        {"saturation_pressure_pa", saturation_Pa, "saturation pressure",
         rounded(saturation_Pa, "kPa", 4)},
        {"vapour_pressure_deficit_pa", deficit_Pa, "vapour pressure deficit",
         rounded(deficit_Pa, "kPa", 4)},
        {"dew_point_c", or_none(has_dew, celsius(dew_K)), "dew point",
         has_dew ? both(dew_K) : "none: the air is too dry"},
        {"wet_bulb_c", celsius(wet_K), "wet bulb", both(wet_K)},
        {"humidity_ratio", moist.humidity_ratio, "humidity ratio",
         fmt::format("{} kg vapour in a kg of dry air", plain(moist.humidity_ratio))},
        {"enthalpy_j_kg", enthalpy, "enthalpy",
         fmt::format("{} kJ with a kg of dry air", plain(enthalpy / 1000.0))},
        {"density_kg_m3", density, "density", fmt::format("{} kg/m3", plain(density))},
    };
  });
}

int calc(const Manners& manners, const DropletQuestion& question) {
  Values values;
  const double diameter_m = values.needed(question.diameter, drop_diameter);
  const double temperature_K = values.needed(question.temperature, air_temperature);
  const double relative_fraction = values.needed(question.humidity, humidity);
  const double height_m =
      values.given_or(question.height, fall_height, std::numeric_limits<double>::infinity());
  const double wind_m_per_s = values.given_or(question.wind, wind, 0.0);
  const double pressure_Pa = values.given_or(question.pressure, barometer, standard_pressure_Pa);
  return reply(manners, values, [&]() -> std::vector<Line> {
    const droplet::AirState air{
        .temperature_K = temperature_K,
        .vapour_pressure_Pa = relative_fraction * air::saturation_pressure_Pa(temperature_K),
        .pressure_Pa = pressure_Pa};
    const double speed = droplet::terminal_velocity_m_per_s(diameter_m, air);
    const droplet::Fall fall = droplet::fall(diameter_m, height_m, wind_m_per_s, air);
    const bool lands = fall.landing_diameter_m > 0.0;
    return {
        {"terminal_velocity_m_s", speed, "falls at", rounded(speed, "m/s")},
        {"lifetime_s", fall.lifetime_s, "life at rest",
         duration(fall.lifetime_s, "no end in this air")},
        {"fall_time_s", fall.fall_time_s, lands ? "reaches the floor after" : "is gone after",
         duration(fall.fall_time_s, "never")},
        {"drift_m", fall.drift_m, "carried sideways",
         std::isfinite(fall.drift_m) ? rounded(fall.drift_m, "m") : "without end"},
        {"landing_diameter_um", fall.landing_diameter_m * 1e6, "diameter at landing",
         lands ? rounded(fall.landing_diameter_m, "um") : "none: it dries in the air"},
        {"evaporated_fraction", fall.evaporated_fraction, "evaporated on its way",
         rounded(fall.evaporated_fraction, "%")},
    };
  });
}

int calc(const Manners& manners, const FilmQuestion& question) {
  Values values;
  leaf::FilmQuery query;
  query.depth_m = values.needed(question.depth, film_depth);
  query.temperature_K = values.needed(question.temperature, leaf_air_temperature);
  query.relative_humidity_fraction = values.needed(question.humidity, humidity);
  query.air_speed_m_per_s = values.needed(question.air_speed, air_speed);
  query.net_radiation_W_per_m2 = values.needed(question.net_radiation, net_radiation);
  query.leaf_length_m = values.needed(question.leaf_length, leaf_length);
  query.break_depth_m = values.given_or(question.break_depth, break_depth, query.break_depth_m);
  return reply(manners, values, [&]() -> std::vector<Line> {
    const leaf::FilmDrying drying = leaf::film_drying(query);
    const char* never = "never: dew falls";
    // A kilogram on a square metre of leaf stands a millimetre deep.
    const double loss_mm_per_h = drying.evaporation_kg_per_m2_s * 3600.0;
    return {
        {"evaporation_kg_m2_s", drying.evaporation_kg_per_m2_s, "evaporation",
         fmt::format("{} mm an hour", plain(loss_mm_per_h, 3))},
        {"time_to_half_bare_s", drying.time_to_half_bare_s, "half bare after",
         duration(drying.time_to_half_bare_s, never)},
        {"time_to_dry_s", drying.time_to_dry_s, "dry after", duration(drying.time_to_dry_s, never)},
        {"leaf_temperature_c", celsius(drying.leaf_temperature_K), "leaf, wet",
         both(drying.leaf_temperature_K)},
        {"boundary_conductance_m_s", drying.boundary_conductance_m_per_s,
         "boundary layer lets pass", rounded(drying.boundary_conductance_m_per_s, "mm/s")},
    };
  });
}

int calc(const Manners& manners, const PipeQuestion& question) {
  Values values;
  water::PipeQuestion pipe;
  pipe.length_m = values.needed(question.length, pipe_length);
  pipe.diameter_m = values.needed(question.diameter, pipe_bore);
  pipe.flow_m3_per_s = values.needed(question.flow, pipe_flow);
  pipe.roughness_m = values.given_or(question.roughness, pipe_roughness, pipe.roughness_m);
  pipe.temperature_K = values.given_or(question.temperature, water_temperature, pipe.temperature_K);
  return reply(manners, values, [&]() -> std::vector<Line> {
    const water::PipeAnswer answer = water::ask_pipe(pipe);
    const auto pressure = [](double drop_Pa) {
      return fmt::format("{} ({})", rounded(drop_Pa, "bar"), rounded(drop_Pa, "psi"));
    };
    return {
        {"velocity_m_s", answer.velocity_m_per_s, "speed of the water",
         rounded(answer.velocity_m_per_s, "m/s")},
        {"reynolds", answer.reynolds_number, "Reynolds number", plain(answer.reynolds_number)},
        {"friction_factor", answer.friction_factor, "friction factor (Darcy)",
         plain(answer.friction_factor)},
        {"pressure_drop_pa", answer.pressure_drop_Pa, "pressure lost",
         pressure(answer.pressure_drop_Pa)},
        {"hazen_williams_drop_pa", answer.hazen_williams_drop_Pa, "the same by Hazen and Williams",
         pressure(answer.hazen_williams_drop_Pa)},
    };
  });
}

int calc(const Manners& manners, const SunQuestion& question) {
  Values values;
  sky::SunQuery query;
  query.utc_s = values.moment_s(question.time, "--time");
  query.latitude_rad = values.needed(question.latitude, latitude);
  query.longitude_rad = values.needed(question.longitude, longitude);
  query.altitude_m = values.given_or(question.altitude, altitude, 0.0);
  return reply(manners, values, [&]() -> std::vector<Line> {
    query.pressure_Pa = air::pressure_at_altitude_Pa(query.altitude_m);
    const sky::SunPosition sun = sky::sun_position(query);
    const double outside = sky::extraterrestrial_normal_W_per_m2(sun.distance_AU);
    const double clear = sky::clear_sky_global_W_per_m2(sun.zenith_rad);
    return {
        {"zenith_deg", degrees(sun.zenith_rad), "from the vertical",
         rounded(sun.zenith_rad, "degree", 5)},
        {"azimuth_deg", degrees(sun.azimuth_rad), "clockwise from north",
         rounded(sun.azimuth_rad, "degree", 5)},
        {"extraterrestrial_w_m2", outside, "outside the air, facing the sun",
         rounded(outside, "W/m2", 4)},
        {"clear_sky_w_m2", clear, "on the level under a clear sky", rounded(clear, "W/m2", 4)},
    };
  });
}

}  // namespace mistwright::app
