#pragma once
// The velocity of the air that a spray drags along (entrainment.h), written without a branch or a
// call so that many drops can be asked about at once.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "models/droplet/entrainment.h"
#include "models/droplet/motion.h"

namespace mistwright::droplet {

namespace jets {

inline constexpr double ln2_number = std::numbers::ln2;
/// Nearer than this to the head the jet is held as it is here: the head itself is about this large.
inline constexpr double nearest_m = 0.01;

/// The error function within 3e-7. Source: Abramowitz and Stegun 1964, Handbook of Mathematical
/// Functions, 7.1.28.
[[gnu::always_inline]] inline double error_function_ratio(double x) {
  const double t = std::fabs(x);
  const double p =
      1.0 +
      t * (0.0705230784 +
           t * (0.0422820123 +
                t * (0.0092705272 + t * (0.0001520143 + t * (0.0002765672 + t * 0.0000430638)))));
  const double p2 = p * p, p4 = p2 * p2, p8 = p4 * p4;
  return std::copysign(1.0 - 1.0 / (p8 * p8), x);
}

/// The jet's strength along its way: root of the share of momentum that it carries by then, and the
/// slope of that.
struct Growth {
  double strength_ratio, slope_per_m;
};

[[gnu::always_inline]] inline Growth growth(double s_m, double growth_m) {
  const double left = exp_factor(-std::min(s_m / growth_m, 600.0));
  const double strength_ratio = std::sqrt(1.0 - left);
  return {strength_ratio, 0.5 * left / (growth_m * strength_ratio)};
}

/// A self-similar jet: distance times speed on its axis at its whole momentum, the distance over
/// which it takes that up, and its half-width over distance.
struct Jet {
  double amplitude_m2_per_s, growth_m, spread;
};

struct Planar {
  double along_m_per_s, across_m_per_s;
  double
      spreading_m_per_s;  ///< across, for what the head itself has sent: see InducedAir::carrying
};

/// How far a point counts to the jet, 1 on its axis to 0 outside: 0.94 where the speed is half the
/// axis's and 0.23 at twice that width (ours).
[[gnu::always_inline]] inline double within_jet_fraction(double gaussian_ratio) {
  const double out = (1.0 - gaussian_ratio) * (1.0 - gaussian_ratio);
  return 1.0 - out * out;
}

/// Radial jet in the plane of (s, n), s along the sheet and n across it: s U = dpsi/dn, s W =
/// -dpsi/ds, psi = A(s) b s I(n/(b s)) T(n/s), I the integral of the Gaussian, T = 1/(1 + (n/s)^2)
/// the share of the inflow that still passes at an angle off the sheet (ours: a smooth way to
/// nought on the axis).
[[gnu::always_inline]] inline Planar radial_jet(const Jet& jet, double s_m, double n_m) {
  constexpr double root_ln2 = 0.8325546111576977, half_root_pi_per_ln2 = 1.0644670194312262;
  const double b = jet.spread;
  const double s = std::max(s_m, nearest_m);
  const Growth g = growth(s, jet.growth_m);
  const double A = jet.amplitude_m2_per_s * g.strength_ratio;
  const double slope = s_m > nearest_m ? jet.amplitude_m2_per_s * g.slope_per_m : 0.0;
  const double xi = n_m / s;
  // Seven half-widths off the sheet the Gaussian is 2e-15.
  const double eta = std::max(std::min(xi / b, 7.0), -7.0);
  const double E = exp_factor(-ln2_number * eta * eta);
  const double I = half_root_pi_per_ln2 * error_function_ratio(root_ln2 * eta);
  const double T = 1.0 / (1.0 + xi * xi), dT = -2.0 * xi * T * T;
  const double along = A / s * (E * T + b * I * dT);
  const double across = -b / s * ((slope * s + A) * I * T - A * (E * eta * T + I * dT * xi));
  return {along, across, across + within_jet_fraction(E) * (along * xi - across)};
}

/// Round jet in (x, r): r U = dpsi/dr, r V = -dpsi/dx, psi = A(x) b^2 x (1 - E)/(2 ln 2).
[[gnu::always_inline]] inline Planar round_jet(const Jet& jet, double x_m, double r_m) {
  const double spread = jet.spread;
  const double x = std::max(x_m, nearest_m);
  const double r = std::max(r_m, 1e-6);
  const Growth g = growth(x, jet.growth_m);
  const double before = x_m > 0.0 ? 1.0 : 0.0;
  const double A = before * jet.amplitude_m2_per_s * g.strength_ratio;
  const double slope = x_m > nearest_m ? jet.amplitude_m2_per_s * g.slope_per_m : 0.0;
  const double eta = r / (spread * x);
  const double power = std::min(ln2_number * eta * eta, 600.0);
  const double E = exp_factor(-power);
  const double dpsi =
      spread * spread / (2.0 * ln2_number) * ((slope * x + A) * (1.0 - E) - A * E * 2.0 * power);
  const double along = A / x * E, across = -dpsi / r;
  return {along, across, across + within_jet_fraction(E) * (along * r / x - across)};
}

}  // namespace jets

/// The air that a launch drags along, with what does not change from place to place worked out
/// once.
class InducedAir {
 public:
  explicit InducedAir(const Launch& launch);
  [[nodiscard]] bool any() const { return amplitude_m2_per_s_ > 0.0 || down_.column_m_per_s > 0.0; }
  /// Whether it is a round jet; else a sheet's radial one.
  [[nodiscard]] bool cone() const { return cone_; }
  /// Mean velocity; see induced_air().
  [[nodiscard]] Velocity at(const Offset& from_head) const {
    return cone_ ? velocity<true, false>(from_head) : velocity<false, false>(from_head);
  }
  /// Velocity with which it carries what the head itself sent out. Inside the jet, spreading by its
  /// turbulence makes up for the inflow: a conserved load in a self-similar jet moves on straight
  /// rays from the head at the mean speed along them (closed form: speed and concentration both go
  /// with one over distance, so that the load's flux along rays is free of divergence). Outside the
  /// jet, the mean velocity; between, a smooth change. Without this, fine drops would be
  /// gathered on the axis.
  [[nodiscard]] Velocity carrying(const Offset& from_head) const {
    return cone_ ? carrying_in<true>(from_head) : carrying_in<false>(from_head);
  }
  /// The same where the kind of jet is known.
  template <bool Cone>
  [[gnu::always_inline]] [[nodiscard]] Velocity carrying_in(const Offset& from_head) const {
    return velocity<Cone, true>(from_head);
  }
  [[nodiscard]] double flow_m3_per_s(double distance_m) const;

 private:
  template <bool Cone, bool Spreading>
  [[gnu::always_inline]] [[nodiscard]] Velocity velocity(const Offset& from_head) const;

  bool cone_;
  double axis_factor_ = 1.0;        ///< +1: the cone opens upward
  double cos_factor_, sin_factor_;  ///< of a sheet's elevation
  double spread_ratio_;
  double amplitude_m2_per_s_;  ///< distance times speed on the jet's axis at its whole momentum
  double growth_m_;
  Downdraught down_;
  double fastest_m_per_s_;
};

template <bool Cone, bool Spreading>
inline Velocity InducedAir::velocity(const Offset& from_head) const {
  const double r = std::sqrt(from_head.x_m * from_head.x_m + from_head.y_m * from_head.y_m);
  const jets::Jet jet{amplitude_m2_per_s_, growth_m_, spread_ratio_};
  double radial = 0.0, up = 0.0;
  if constexpr (Cone) {
    const jets::Planar flow = jets::round_jet(jet, axis_factor_ * from_head.z_m, r);
    radial = Spreading ? flow.spreading_m_per_s : flow.across_m_per_s;
    up = axis_factor_ * flow.along_m_per_s;
  } else {
    // The bent jet is the straight one sheared, which keeps its air whole and its momentum along.
    const double s = r * cos_factor_ + from_head.z_m * sin_factor_;
    const double bent_m = std::max(std::min(s, down_.sag_ends_m), 0.0);
    const double slope = down_.sag_per_m2 * bent_m * bent_m;
    const double n = from_head.z_m * cos_factor_ - r * sin_factor_ +
                     slope * (std::max(s, 0.0) - 2.0 / 3.0 * bent_m);
    const jets::Planar flow = jets::radial_jet(jet, s, n);
    const double across =
        (Spreading ? flow.spreading_m_per_s : flow.across_m_per_s) - slope * flow.along_m_per_s;
    const ColumnFlow column = column_flow(down_, r, -from_head.z_m);
    radial = flow.along_m_per_s * cos_factor_ - across * sin_factor_ + column.outward_m_per_s;
    up = flow.along_m_per_s * sin_factor_ + across * cos_factor_ + column.up_m_per_s;
  }
  const double speed = std::sqrt(radial * radial + up * up);
  const double cap = std::min(1.0, fastest_m_per_s_ / std::max(speed, 1e-30));
  const double over_r = cap * radial / std::max(r, 1e-12);
  return {over_r * from_head.x_m, over_r * from_head.y_m, cap * up};
}

}  // namespace mistwright::droplet
