#pragma once
// How much of a head's water flies in drops of which size?
// A volume distribution drawn exactly through Dv0.1, Dv0.5 and Dv0.9: Rosin-Rammler about the
// median, F(d) = 1 - exp(-ln 2 (d/Dv0.5)^q), with one exponent below the median and one above it.
// When the three percentiles come from one Rosin-Rammler law the two exponents are equal and the
// law is that one. Size classes are bins of diameter with equal ratios of their edges. Left out:
// break-up and coalescence in flight, the difference of spectra across the spray.
#include <vector>

#include "models/water/head.h"

namespace mistwright::droplet {

inline constexpr double smallest_edge_m = 5e-6;
inline constexpr double largest_edge_m = 1e-3;

/// Bins of droplet diameter: edges_m has one more entry than diameter_m.
struct SizeClasses {
  std::vector<double> edges_m;
  std::vector<double> diameter_m;  ///< geometric mean of a bin's edges
  [[nodiscard]] std::size_t count() const { return diameter_m.size(); }
};

/// Bins of equal ratio from 5 um to 1 mm.
/// @param count  number of bins, 12 to 256
[[nodiscard]] SizeClasses size_classes(int count = 16);

/// Diameters below which 10, 50 and 90 % of the water's volume flies; strictly rising, above zero.
struct Spectrum {
  double dv10_m = 0.0, dv50_m = 0.0, dv90_m = 0.0;
};

/// The spectrum of a head at a gauge pressure: all three percentiles move as p^-n.
/// @param pressure_Pa  above zero
/// Source: Lefebvre 1989, Atomization and Sprays (form of the power law; from memory).
[[nodiscard]] Spectrum spectrum_at(const water::HeadType& type, double pressure_Pa);

/// Share of the volume in drops smaller than a diameter, 0 to 1.
/// @param diameter_m  zero or above
/// Source: Rosin and Rammler 1933 on either side of the median. Checked in
/// tests/droplet/spectrum_test.cpp.
[[nodiscard]] double volume_below_fraction(const Spectrum& spectrum, double diameter_m);

/// Share of the volume in each class; what lies beyond the outer edges is counted in the outer
/// classes.
/// @return fractions, 0 to 1, that sum to 1
[[nodiscard]] std::vector<double> volume_fractions(const Spectrum& spectrum,
                                                   const SizeClasses& classes);

/// Sauter mean diameter of the classes: volume over surface.
[[nodiscard]] double sauter_mean_m(const std::vector<double>& fractions,
                                   const SizeClasses& classes);

}  // namespace mistwright::droplet
