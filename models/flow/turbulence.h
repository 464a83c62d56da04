#pragma once
// How strongly does the air fluctuate, and over what time does a parcel remember its fluctuation?
// Level of the room: what the jets bring in, P = sum Q U0^2 / 2 for unit density, is dissipated in
// its volume, eps = Cmu^(3/4) k^(3/2) / l, with l = 0.07 H (the size law of fully developed
// channels). In a jet: 0.24 of its speed. Still house: a floor for thermal convection. Squares add.
// Memory: T_L = k / ((1/2 + 3 C0 / 4) eps) (Pope 2000, eq. 12.100), l no larger than 0.41 of the
// distance to the nearest surface. Left out: anisotropy, damping at walls, stratification.
#include <vector>

#include "models/flow/enclosure.h"
#include "models/flow/grid.h"
#include "models/flow/target_field.h"

namespace mistwright::flow {

/// Von Karman's constant (Pope 2000).
inline constexpr double karman_coefficient = 0.41;

/// Mixing length far from surfaces [m]; height above zero.
double room_mixing_length_m(double height_m);

/// What a house of one volume and height receives from its jets.
struct JetPower {
  double power_m5_per_s3 = 0.0;  ///< sum of flow times half the speed squared
  double volume_m3 = 0.0, height_m = 0.0;
};

/// Rms of each velocity component, from the energy balance.
double room_turbulence_m_per_s(const JetPower& given);

/// Lagrangian time scale [s] for a mixing length and an rms speed above zero.
double lagrangian_timescale_s(double mixing_length_m, double sigma_m_per_s);

struct Turbulence {
  std::vector<double> sigma_m_per_s, timescale_s;  ///< per cell
};

/// @param local_jets  false leaves the room's level alone everywhere
Turbulence turbulence(const Enclosure& enclosure, const Grid& grid,
                      const std::vector<PlacedJet>& jets, double background_m_per_s,
                      bool local_jets);

}  // namespace mistwright::flow
