#include "models/droplet/spectrum.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "models/contracts.h"

namespace mistwright::droplet {

SizeClasses size_classes(int count) {
  EXPECT(count >= 12 && count <= 256);
  SizeClasses classes;
  const double step = std::log(largest_edge_m / smallest_edge_m) / count;
  for (int i = 0; i <= count; ++i) classes.edges_m.push_back(smallest_edge_m * std::exp(step * i));
  for (int i = 0; i < count; ++i)
    classes.diameter_m.push_back(smallest_edge_m * std::exp(step * (i + 0.5)));
  return classes;
}

Spectrum spectrum_at(const water::HeadType& type, double pressure_Pa) {
  EXPECT(pressure_Pa > 0.0);
  const double scale = std::pow(pressure_Pa / type.spectrum_pressure_Pa, -type.spectrum_exponent);
  return {type.dv10_m * scale, type.dv50_m * scale, type.dv90_m * scale};
}

double volume_below_fraction(const Spectrum& spectrum, double diameter_m) {
  EXPECT(spectrum.dv10_m > 0.0 && spectrum.dv10_m < spectrum.dv50_m &&
         spectrum.dv50_m < spectrum.dv90_m);
  EXPECT(diameter_m >= 0.0);
  if (diameter_m == 0.0) return 0.0;
  const double ln2 = std::numbers::ln2;
  const bool below = diameter_m < spectrum.dv50_m;
  const double tail = below ? -std::log(0.9) : -std::log(0.1);
  const double percentile_m = below ? spectrum.dv10_m : spectrum.dv90_m;
  const double q = std::log(tail / ln2) / std::log(percentile_m / spectrum.dv50_m);
  return -std::expm1(-ln2 * std::pow(diameter_m / spectrum.dv50_m, q));
}

std::vector<double> volume_fractions(const Spectrum& spectrum, const SizeClasses& classes) {
  const std::size_t count = classes.count();
  EXPECT(count > 1 && classes.edges_m.size() == count + 1);
  std::vector<double> fractions(count);
  double below = 0.0;
  for (std::size_t i = 0; i < count; ++i) {
    const double through =
        i + 1 < count ? volume_below_fraction(spectrum, classes.edges_m[i + 1]) : 1.0;
    fractions[i] = through - below;
    below = through;
  }
  return fractions;
}

double sauter_mean_m(const std::vector<double>& fractions, const SizeClasses& classes) {
  EXPECT(fractions.size() == classes.count());
  double surface_per_m = 0.0, volume = 0.0;
  for (std::size_t i = 0; i < fractions.size(); ++i) {
    surface_per_m += fractions[i] / classes.diameter_m[i];
    volume += fractions[i];
  }
  return volume / surface_per_m;
}

}  // namespace mistwright::droplet
