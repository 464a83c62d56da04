#pragma once
// Where the sun stands, and how strong its light is outside the atmosphere.
// Equations: the Solar Position Algorithm of Reda and Andreas 2004 in full: periodic terms of the
// Earth's heliocentric longitude, latitude and radius, nutation, aberration, apparent sidereal
// time, parallax, refraction. Its authors state it good to 0.0003 degrees from -2000 to 6000.
// Left out: shading by terrain; sunrise and sunset, which callers find from the elevation.

namespace mistwright::sky {

/// Total solar irradiance at 1 astronomical unit, Kopp and Lean 2011.
inline constexpr double solar_constant_W_per_m2 = 1361.0;

inline constexpr double day_s = 86400.0;

/// A moment and a place.
struct SunQuery {
  double utc_s = 0.0;                              ///< seconds since 1970-01-01T00:00Z
  double latitude_rad = 0.0, longitude_rad = 0.0;  ///< north and east positive
  double altitude_m = 0.0;
  double pressure_Pa = 101325.0, temperature_K = 288.15;  ///< for the refraction alone
  double delta_t_s =
      69.0;  ///< terrestrial time minus UT1: 63.8 in 2000, 69.2 in 2025 (from memory)
};

struct SunPosition {
  double zenith_rad = 0.0;   ///< from the vertical, with refraction
  double azimuth_rad = 0.0;  ///< clockwise from north, 0 to 2 pi
  double distance_AU = 0.0;
  double declination_rad = 0.0;            ///< geocentric
  double unrefracted_elevation_rad = 0.0;  ///< above the horizon, without refraction
};

/// The sun as seen from a place.
/// @param query  latitude -pi/2 to pi/2; any year from 1000 to 3000
/// Source: Reda and Andreas 2004 (NREL/TP-560-34302 revised 2008), section 3. Checked in
/// tests/sky/sun_test.cpp against its worked example.
[[nodiscard]] SunPosition sun_position(const SunQuery& query);

/// The sun as seen from the Earth's centre, for those who follow the hour angle themselves.
struct SunDirection {
  double declination_rad = 0.0;
  double greenwich_hour_angle_rad = 0.0;  ///< 0 to 2 pi; add the longitude for the local one
  double distance_AU = 0.0;
};

/// @param utc_s seconds since 1970-01-01T00:00Z
[[nodiscard]] SunDirection sun_direction(double utc_s, double delta_t_s = 69.0);

/// Sunlight on a surface that faces the sun outside the atmosphere.
/// @param distance_AU  0.98 to 1.02
/// @return irradiance [W/m2]: the solar constant over the square of the distance
[[nodiscard]] double extraterrestrial_normal_W_per_m2(double distance_AU);

}  // namespace mistwright::sky
