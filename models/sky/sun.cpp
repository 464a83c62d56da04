#include "models/sky/sun.h"

#include <array>
#include <cmath>
#include <cstddef>

#include "models/contracts.h"
#include "models/sky/sun_terms.h"
#include "models/units.h"

// The names are those of Reda and Andreas 2004; angles in radians unless the name says degrees.
namespace mistwright::sky {
namespace {

// 2000-01-01T12:00Z, the epoch J2000.0, in seconds since 1970.
constexpr double j2000_utc_s = 946728000.0;

double turned(double angle_rad) {
  const double rest = std::fmod(angle_rad, 2.0 * pi);
  return rest < 0.0 ? rest + 2.0 * pi : rest;
}

template <std::size_t N>
double sum(const std::array<terms::Periodic, N>& rows, double JME) {
  double total = 0.0;
  for (const auto& row : rows) total += row.A * std::cos(row.B + row.C * JME);
  return total;
}

// Equations 9 to 12.
double heliocentric_longitude(double JME) {
  return 1e-8 * (sum(terms::L0, JME) +
                 JME * (sum(terms::L1, JME) +
                        JME * (sum(terms::L2, JME) +
                               JME * (sum(terms::L3, JME) +
                                      JME * (sum(terms::L4, JME) + JME * sum(terms::L5, JME))))));
}

double heliocentric_latitude(double JME) {
  return 1e-8 * (sum(terms::B0, JME) + JME * sum(terms::B1, JME));
}

double radius_AU(double JME) {
  return 1e-8 * (sum(terms::R0, JME) +
                 JME * (sum(terms::R1, JME) +
                        JME * (sum(terms::R2, JME) +
                               JME * (sum(terms::R3, JME) + JME * sum(terms::R4, JME)))));
}

struct Nutation {
  double psi, epsilon;
};

// Equations 15 to 23.
Nutation nutation(double JCE) {
  const auto cubic = [JCE](double c0, double c1, double c2, double c3) {
    return radians(c0 + JCE * (c1 + JCE * (c2 + JCE * c3)));
  };
  const double X0 = cubic(297.85036, 445267.111480, -0.0019142, 1.0 / 189474.0);
  const double X1 = cubic(357.52772, 35999.050340, -0.0001603, -1.0 / 300000.0);
  const double X2 = cubic(134.96298, 477198.867398, 0.0086972, 1.0 / 56250.0);
  const double X3 = cubic(93.27191, 483202.017538, -0.0036825, 1.0 / 327270.0);
  const double X4 = cubic(125.04452, -1934.136261, 0.0020708, 1.0 / 450000.0);
  Nutation total{0.0, 0.0};
  for (const auto& row : terms::nutation) {
    const double angle = X0 * row.Y0 + X1 * row.Y1 + X2 * row.Y2 + X3 * row.Y3 + X4 * row.Y4;
    total.psi += (row.a + row.b * JCE) * std::sin(angle);
    total.epsilon += (row.c + row.d * JCE) * std::cos(angle);
  }
  return {radians(total.psi / 36e6), radians(total.epsilon / 36e6)};
}

// Equation 24, the mean obliquity of the ecliptic.
double mean_obliquity(double JME) {
  constexpr std::array<double, 11> seconds_of_arc = {
      84381.448, -4680.93, -1.55, 1999.25, -51.38, -249.67, -39.05, 7.12, 27.87, 5.79, 2.45};
  const double U = JME / 10.0;
  double total = 0.0;
  for (std::size_t i = seconds_of_arc.size(); i-- > 0;) total = total * U + seconds_of_arc[i];
  return radians(total / 3600.0);
}

// Equation 42, with the cut of its authors' code: below the horizon by more than the sun's radius
// and the refraction there, none.
double refraction(double elevation_rad, const SunQuery& query) {
  const double e0 = degrees(elevation_rad);
  constexpr double sun_radius_deg = 0.26667, refraction_at_horizon_deg = 0.5667;
  if (e0 < -(sun_radius_deg + refraction_at_horizon_deg)) return 0.0;
  return radians(query.pressure_Pa / 101000.0 * 283.0 / (273.0 + celsius(query.temperature_K)) *
                 1.02 / (60.0 * std::tan(radians(e0 + 10.3 / (e0 + 5.11)))));
}

}  // namespace

SunDirection sun_direction(double utc_s, double delta_t_s) {
  const double days = (utc_s - j2000_utc_s) / day_s;
  const double JC = days / 36525.0;
  const double JCE = (days + delta_t_s / day_s) / 36525.0;
  const double JME = JCE / 10.0;
  const double R = radius_AU(JME);
  const double beta = -heliocentric_latitude(JME);
  const Nutation delta = nutation(JCE);
  const double epsilon = mean_obliquity(JME) + delta.epsilon;
  const double aberration = -radians(20.4898 / (3600.0 * R));
  const double lambda = heliocentric_longitude(JME) + pi + delta.psi + aberration;
  // Equations 28 and 29. Whole turns of the day are taken off first, for the sake of the last
  // digits.
  const double nu0_deg = 280.46061837 + 360.0 * (days - std::floor(days)) + 0.98564736629 * days +
                         JC * JC * (0.000387933 - JC / 38710000.0);
  const double nu = radians(nu0_deg) + delta.psi * std::cos(epsilon);
  const double alpha = std::atan2(
      std::sin(lambda) * std::cos(epsilon) - std::tan(beta) * std::sin(epsilon), std::cos(lambda));
  const double declination = std::asin(std::sin(beta) * std::cos(epsilon) +
                                       std::cos(beta) * std::sin(epsilon) * std::sin(lambda));
  return {declination, turned(nu - alpha), R};
}

SunPosition sun_position(const SunQuery& query) {
  EXPECT(std::fabs(query.latitude_rad) <= 0.5 * pi + 1e-9);
  EXPECT(std::fabs(query.longitude_rad) <= 2.0 * pi + 1e-9);
  EXPECT(query.temperature_K > 150.0 && query.temperature_K < 350.0);
  const SunDirection sun = sun_direction(query.utc_s, query.delta_t_s);
  const double phi = query.latitude_rad;
  const double H = sun.greenwich_hour_angle_rad + query.longitude_rad;
  const double delta = sun.declination_rad;

  // Equations 33 to 41: parallax.
  const double xi = radians(8.794 / (3600.0 * sun.distance_AU));
  const double u = std::atan(0.99664719 * std::tan(phi));
  const double height = query.altitude_m / 6378140.0;
  const double x = std::cos(u) + height * std::cos(phi);
  const double y = 0.99664719 * std::sin(u) + height * std::sin(phi);
  const double across = std::cos(delta) - x * std::sin(xi) * std::cos(H);
  const double shift = std::atan2(-x * std::sin(xi) * std::sin(H), across);
  const double delta_prime =
      std::atan2((std::sin(delta) - y * std::sin(xi)) * std::cos(shift), across);
  const double H_prime = H - shift;

  const double e0 = std::asin(std::sin(phi) * std::sin(delta_prime) +
                              std::cos(phi) * std::cos(delta_prime) * std::cos(H_prime));
  const double from_south = std::atan2(
      std::sin(H_prime), std::cos(H_prime) * std::sin(phi) - std::tan(delta_prime) * std::cos(phi));
  return {.zenith_rad = 0.5 * pi - (e0 + refraction(e0, query)),
          .azimuth_rad = turned(from_south + pi),
          .distance_AU = sun.distance_AU,
          .declination_rad = delta,
          .unrefracted_elevation_rad = e0};
}

double extraterrestrial_normal_W_per_m2(double distance_AU) {
  EXPECT(distance_AU > 0.9 && distance_AU < 1.1);
  return solar_constant_W_per_m2 / (distance_AU * distance_AU);
}

}  // namespace mistwright::sky
