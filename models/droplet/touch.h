#pragma once
// What does one touch do to a drop: how much of it stays, and how does the rest fly on?
#include "models/droplet/contact.h"
#include "models/droplet/footprint.h"
#include "models/droplet/parcel.h"

namespace mistwright::droplet {

/// Touches in one step after which a drop stays where it is.
inline constexpr int most_touches = 4;
/// A parcel with less than this of its mass left stays where it touches.
inline constexpr double least_left_fraction = 1e-3;

/// What becomes of water that stays on a surface; from boxes it drips to the floor.
[[nodiscard]] inline Fate fate_on(Surface surface) {
  switch (surface) {
    case Surface::BenchTop:
      return Fate::Bench;
    case Surface::Wall:
      return Fate::Wall;
    case Surface::Cover:
      return Fate::Cover;
    case Surface::Opening:
      return Fate::Out;
    case Surface::Floor:
    case Surface::BoxTop:
    case Surface::BoxSide:
      break;
  }
  return Fate::Floor;
}

/// What a drop brings to a surface besides its velocity.
struct Approach {
  double relaxation_s = 0.0;
  double sink_m_per_s = 0.0;   ///< its fall speed in still air
  double sigma_m_per_s = 0.0;  ///< rms turbulent speed there
};

/// Share that stays of what touches a surface, by settling where it is level and by inertia; all of
/// it in an opening.
[[nodiscard]] inline double kept_fraction(const Velocity& v, const Approach& drop,
                                          const Contact& touch) {
  if (touch.surface == Surface::Opening) return 1.0;
  const Point& n = touch.normal;
  const double approach = -(v.u_m_per_s * n.x_m + v.v_m_per_s * n.y_m + v.w_m_per_s * n.z_m);
  const double impacted = impacted_fraction(approach, drop.relaxation_s);
  const bool level = touch.surface == Surface::BenchTop || touch.surface == Surface::Floor ||
                     touch.surface == Surface::BoxTop;
  const double settled = level ? settled_fraction(drop.sink_m_per_s, drop.sigma_m_per_s) : 0.0;
  return 1.0 - (1.0 - settled) * (1.0 - impacted);
}

/// Turns a velocity back into the air when it points into a surface.
/// @param normal  unit, into the air
inline void reflect(Velocity& v, const Point& normal) {
  const double across =
      v.u_m_per_s * normal.x_m + v.v_m_per_s * normal.y_m + v.w_m_per_s * normal.z_m;
  if (across >= 0.0) return;
  v.u_m_per_s -= 2.0 * across * normal.x_m;
  v.v_m_per_s -= 2.0 * across * normal.y_m;
  v.w_m_per_s -= 2.0 * across * normal.z_m;
}

/// Throws a parcel back into the air from where it touches, its gust with it.
/// @param normal  unit, into the air
inline void bounce(Parcel& p, const Point& at, const Point& normal, const Surroundings& around) {
  reflect(p.v, normal);
  Velocity turned{p.omega[0], p.omega[1], p.omega[2]};
  reflect(turned, normal);
  p.omega = {turned.u_m_per_s, turned.v_m_per_s, turned.w_m_per_s};
  p.at = around.inside(
      {at.x_m + 1e-9 * normal.x_m, at.y_m + 1e-9 * normal.y_m, at.z_m + 1e-9 * normal.z_m});
}

/// Where a path ends that is thrown back by a plane through a point.
[[nodiscard]] inline Point mirrored(const Point& to, const Point& at, const Point& normal) {
  const double depth = (to.x_m - at.x_m) * normal.x_m + (to.y_m - at.y_m) * normal.y_m +
                       (to.z_m - at.z_m) * normal.z_m;
  const double back = depth < 0.0 ? 2.0 * depth : 0.0;
  return {to.x_m - back * normal.x_m, to.y_m - back * normal.y_m, to.z_m - back * normal.z_m};
}

}  // namespace mistwright::droplet
