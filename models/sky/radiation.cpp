#include "models/sky/radiation.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"
#include "models/units.h"

namespace mistwright::sky {
namespace {

// Transmittance of a sheet without absorption, from the reflectance r of one of its surfaces for
// one polarisation, with all inner reflections: Duffie and Beckman equation 5.1.6.
double sheet_fraction(double r) {
  return (1.0 - r) / (1.0 + r);
}

double sheet_transmittance_fraction(double incidence_rad, double refractive_index) {
  const double cos_in = std::cos(incidence_rad);
  const double sin_out = std::sin(incidence_rad) / refractive_index;
  const double cos_out = std::sqrt(1.0 - sin_out * sin_out);
  const double across =
      (cos_in - refractive_index * cos_out) / (cos_in + refractive_index * cos_out);
  const double along =
      (refractive_index * cos_in - cos_out) / (refractive_index * cos_in + cos_out);
  return 0.5 * (sheet_fraction(across * across) + sheet_fraction(along * along));
}

}  // namespace

double clear_sky_global_W_per_m2(double zenith_rad) {
  EXPECT(zenith_rad >= 0.0 && zenith_rad <= pi);
  const double cosine = std::cos(zenith_rad);
  return cosine > 0.0 ? 1098.0 * cosine * std::exp(-0.059 / cosine) : 0.0;
}

double cloud_transmission_fraction(double cloud_fraction) {
  EXPECT(cloud_fraction >= 0.0 && cloud_fraction <= 1.0);
  return 1.0 - 0.75 * std::pow(cloud_fraction, 3.4);
}

double erbs_diffuse_fraction(double clearness_index) {
  EXPECT(clearness_index >= 0.0);
  const double kt = clearness_index;
  if (kt <= 0.22) return 1.0 - 0.09 * kt;
  if (kt > 0.80) return 0.165;
  return 0.9511 + kt * (-0.1604 + kt * (4.388 + kt * (-16.638 + kt * 12.336)));
}

SolarSplit split_global(const GlobalRadiation& radiation) {
  const double global = radiation.global_horizontal_W_per_m2;
  const double cosine = std::cos(radiation.zenith_rad);
  if (cosine <= 0.0 || global <= 0.0) return {0.0, std::max(global, 0.0)};
  const double outside = radiation.extraterrestrial_normal_W_per_m2;
  EXPECT(outside > 0.0);
  const double direct_share_fraction = 1.0 - erbs_diffuse_fraction(global / (outside * cosine));
  const double direct_normal = std::min(direct_share_fraction * global / cosine, outside);
  return {direct_normal, global - direct_normal * cosine};
}

double swinbank_sky_temperature_K(double temperature_K) {
  EXPECT(temperature_K > 200.0 && temperature_K < 350.0);
  return 0.0552 * temperature_K * std::sqrt(temperature_K);
}

double brunt_sky_emissivity_fraction(double vapour_pressure_Pa) {
  EXPECT(vapour_pressure_Pa >= 0.0);
  // Never above a black body's, which the fit would reach at 55 hPa.
  return std::min(1.0, 0.52 + 0.065 * std::sqrt(vapour_pressure_Pa / 100.0));
}

double sky_temperature_K(const LongwaveSky& sky) {
  EXPECT(sky.temperature_K > 200.0 && sky.temperature_K < 350.0);
  EXPECT(sky.cloud_fraction >= 0.0 && sky.cloud_fraction <= 1.0);
  const double clear = brunt_sky_emissivity_fraction(sky.vapour_pressure_Pa);
  const double emissivity = clear + 0.84 * sky.cloud_fraction * (1.0 - clear);
  return sky.temperature_K * std::sqrt(std::sqrt(emissivity));
}

double cover_incidence_factor(double incidence_rad, double refractive_index) {
  EXPECT(incidence_rad >= 0.0 && incidence_rad <= 0.5 * pi + 1e-9);
  EXPECT(refractive_index > 1.0);
  const double relative_fraction = sheet_transmittance_fraction(incidence_rad, refractive_index) /
                                   sheet_transmittance_fraction(0.0, refractive_index);
  return std::max(0.0, relative_fraction);
}

double cover_diffuse_factor(double refractive_index) {
  return cover_incidence_factor(radians(60.0), refractive_index);
}

}  // namespace mistwright::sky
