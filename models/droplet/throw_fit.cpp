#include <algorithm>
#include <cmath>
#include <vector>

#include "models/contracts.h"
#include "models/droplet/induced_air.h"
#include "models/droplet/launch_directions.h"
#include "models/droplet/motion.h"
#include "models/droplet/spectrum.h"

namespace mistwright::droplet {

namespace {

constexpr int fit_classes = 48;
constexpr int slices = 5;
constexpr double longest_s = 120.0;  // what floats longer is not counted in a test of a head
/// Half of a fog's water takes longer than this to fall to where a circle would be measured: our
/// line between fog and mist, 37 um at 0.6 m.
constexpr double fog_falls_s = 15.0;

struct Drop {
  double diameter_m, height_m;
};

struct Landed {
  double radius_m, mass;
};

/// Radius at which a drop comes down, in the plane of its launch; below zero when it does not.
double landing_radius_m(const Motion& motion, const InducedAir& induced, const Velocity& start,
                        const Drop& drop) {
  const double slip = slip_factor(drop.diameter_m, motion.air);
  double r = 0.0, z = 0.0, vr = start.u_m_per_s, vz = start.w_m_per_s, t = 0.0;
  while (t < longest_s && r < farthest_reach_m) {
    const Velocity air = induced.any() ? induced.carrying({std::max(r, 1e-9), 0.0, z}) : Velocity{};
    const double relative = std::hypot(vr - air.u_m_per_s, vz - air.w_m_per_s);
    const double rate = motion.drag_rate_per_s(
        drop.diameter_m, slip, motion.reynolds_s_per_m2 * drop.diameter_m * relative);
    const double sink = motion.weight_m_per_s2 / rate;
    const double wind = std::hypot(air.u_m_per_s, air.w_m_per_s);
    const double speed = std::hypot(vr, vz) + wind;
    const double scale_m = 0.05 * std::max(std::hypot(r, z), 0.05);
    double dt = std::min(1.0, scale_m / std::max(speed, 1e-4));
    // A drop that lags little behind air that turns needs no steps of its own time.
    if (relative > std::max(1.5 * sink, 0.2 * wind)) dt = std::min(dt, 0.1 / rate);
    const Relaxation relax = Relaxation::over(dt, rate);
    const double dr = air.u_m_per_s * dt + (vr - air.u_m_per_s) * relax.reach_s;
    const double drift = air.w_m_per_s - sink;
    const double dz = drift * dt + (vz - drift) * relax.reach_s;
    if (z + dz <= -drop.height_m) {
      const double share = dz < 0.0 ? (-drop.height_m - z) / dz : 1.0;
      return std::abs(r + share * dr);
    }
    vr = air.u_m_per_s + (vr - air.u_m_per_s) * relax.decay_factor;
    vz = drift + (vz - drift) * relax.decay_factor;
    r += dr;
    z += dz;
    t += dt;
  }
  return -1.0;
}

}  // namespace

bool is_fog(const water::HeadType& type) {
  const double fall_m_per_s =
      terminal_velocity_m_per_s(water::head_dv50_m(type, type.rated_pressure_Pa), reference_air);
  return type.wetted_height_m > fog_falls_s * fall_m_per_s;
}

double reach_m(const water::HeadType& type, double pressure_Pa, const Throw& thrown,
               double share_fraction) {
  EXPECT(share_fraction > 0.0 && share_fraction < 1.0);
  const Motion motion(reference_air);
  const Launch launch = launch_at(type, pressure_Pa, thrown, {0.0, 0.0, type.wetted_height_m});
  const InducedAir induced(launch);
  const SizeClasses classes = size_classes(fit_classes);
  const std::vector<double> volume = volume_fractions(spectrum_at(type, pressure_Pa), classes);
  std::vector<Landed> landed;
  double mass = 0.0;
  for (std::size_t c = 0; c < classes.count(); ++c) {
    if (volume[c] < 1e-6) continue;
    for (int slice = 0; slice < slices; ++slice) {
      const Velocity start = launch_velocity(launch, {0.0, (slice + 0.5) / slices});
      const double r =
          landing_radius_m(motion, induced, start, {classes.diameter_m[c], launch.z_m});
      if (r < 0.0) continue;
      landed.push_back({r, volume[c] / slices});
      mass += volume[c] / slices;
    }
  }
  if (mass < 0.5) return farthest_reach_m;  // most of it floats away
  std::stable_sort(landed.begin(), landed.end(),
                   [](const Landed& a, const Landed& b) { return a.radius_m < b.radius_m; });
  double below = 0.0, radius = 0.0;
  for (const Landed& drop : landed) {
    if (below + drop.mass >= share_fraction * mass) {
      const double share = (share_fraction * mass - below) / drop.mass;
      return radius + share * (drop.radius_m - radius);
    }
    below += drop.mass;
    radius = drop.radius_m;
  }
  return radius;
}

Throw fit_throw(const water::HeadType& type) {
  EXPECT(type.wetted_diameter_m > 0.0 && type.wetted_height_m > 0.0);
  const double target_m = 0.5 * type.wetted_diameter_m;
  const auto with = [&](double entrainment, double velocity) {
    Throw thrown{entrainment, velocity};
    thrown.reach_m = reach_m(type, type.rated_pressure_Pa, thrown);
    return thrown;
  };
  const auto off_m = [&](const Throw& thrown) { return std::abs(thrown.reach_m - target_m); };
  const auto bisect = [&](double low, double high, const auto& at) {
    Throw best = at(high);
    if (best.reach_m <= target_m) return best;
    for (int i = 0; i < 30 && off_m(best) > 1e-4 * target_m; ++i) {
      const double middle = 0.5 * (low + high);
      const Throw tried = at(middle);
      if (off_m(tried) < off_m(best)) best = tried;
      (tried.reach_m < target_m ? low : high) = middle;
    }
    return best;
  };
  const double usual = usual_velocity_coefficient(type);
  const Throw whole = with(1.0, usual);
  // Fog has no wetted circle to fit: its drops hand over all their momentum.
  Throw carried = whole;
  carried.floats = whole.reach_m >= farthest_reach_m;
  if (is_fog(type)) {
    carried.floats = true;
    return carried;
  }
  const double least = type.launch == water::LaunchPattern::Disc ? least_entrainment_fraction : 0.0;
  const auto slower = [&](double v) { return with(least, v); };
  const auto faster = [&](double v) { return with(1.0, v); };
  const auto carrying = [&](double k) { return with(k, usual); };
  const auto nearer = [&](const Throw& a, const Throw& b) { return off_m(b) < off_m(a) ? b : a; };
  const Throw bare = with(least, usual);
  Throw fitted;
  if (bare.reach_m > target_m)
    fitted = bisect(lowest_velocity_coefficient, usual, slower);
  else if (whole.reach_m < target_m)
    fitted = bisect(usual, 1.0, faster);
  else
    fitted = bisect(least, 1.0, carrying);
  // The jet of a narrow cone may draw its drops in.
  if (off_m(fitted) > 0.01 * target_m && bare.reach_m > target_m)
    fitted = nearer(fitted, bisect(1.0, least, carrying));
  if (off_m(fitted) > 0.01 * target_m) fitted = nearer(fitted, bare);
  fitted.reached = off_m(fitted) <= 0.01 * target_m;
  // Fine mist may fall close by or be carried off whole, with nothing between that meets the
  // circle.
  return carried.floats && !fitted.reached ? carried : fitted;
}

}  // namespace mistwright::droplet
