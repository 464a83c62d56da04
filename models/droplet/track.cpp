#include "models/droplet/track.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "models/contracts.h"
#include "models/droplet/flight.h"
#include "models/droplet/launch_directions.h"
#include "models/droplet/parcel.h"
#include "models/droplet/touch.h"
#include "models/random.h"

namespace mistwright::droplet {

namespace {

constexpr int most_touches = 4;  ///< in one step, as footprint.cpp has it

double wrapped(double value) {
  return value - std::floor(value);
}

/// One drop and what it draws.
struct Drop {
  Parcel p;
  Shaker shaker;
  Random random;
  Track track;
  bool ended = false;

  void note() { track.points.push_back({p.at, p.age_s, p.diameter_m}); }

  void end(Fate fate) {
    track.fate = fate;
    ended = true;
  }
};

Fate fate_on(Surface surface) {
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
    case Surface::BoxSide:  // drips to the floor
      break;
  }
  return Fate::Floor;
}

class Flying {
 public:
  Flying(const FootprintCase& a_case, const Launch& launch, double K_m2_per_s)
      : case_(a_case),
        sky_{launch, FieldSeen(a_case.field), Motion(a_case.state), InducedAir(launch)},
        surroundings_(a_case.house, a_case.benches, a_case.field),
        ventilation_(0.3 * std::cbrt(schmidt_number(a_case.state))),
        K_m2_per_s_(K_m2_per_s) {}

  /// @param shift  of the whole lattice of directions, by lot
  [[nodiscard]] Drop start(std::uint64_t n, const Placement& shift, double diameter_m,
                           std::uint64_t stream) const {
    Drop drop{{}, Shaker(case_.seed, stream), Random(case_.seed, stream), {}};
    Parcel& p = drop.p;
    const auto index = static_cast<double>(n);
    // The two-dimensional lattice of Roberts 2018, and a third number of the kind for the age of
    // the burst.
    const Placement placement{
        wrapped(shift.turn_fraction + (index + 0.5) / static_cast<double>(case_.parcels)),
        wrapped(shift.slice_fraction + index * 0.7548776662466927)};
    p.at = surroundings_.inside({sky_.launch.x_m, sky_.launch.y_m, sky_.launch.z_m});
    p.v = p.slip = launch_velocity(sky_.launch, placement);
    for (double& omega : p.omega) omega = drop.random.normal();
    p.diameter_m = diameter_m;
    p.mass_fraction = p.first_mass_fraction = 1.0;
    p.patch = Patch::none();
    if (sky_.induced.any())
      p.jet_ends_s = sky_.launch.jet_lasts_s *
                     (1.0 - wrapped(shift.turn_fraction + index * 0.5698402909980532));
    drop.note();
    return drop;
  }

  void fly(Drop& drop, double until_s) const {
    while (!drop.ended && drop.p.age_s < until_s) move(drop, until_s);
    if (drop.ended) return;
    if (until_s < longest_flight_s)
      drop.track.afloat = true;
    else
      give_up(drop);
  }

 private:
  /// Shrinks a drop; false when nothing is left of it.
  bool dry(Drop& drop, const Pace& pace, double dt_s) const {
    const double vent = 1.0 + ventilation_ * std::sqrt(pace.reynolds_number);
    const double d2 = drop.p.diameter_m * drop.p.diameter_m - K_m2_per_s_ * vent * dt_s;
    if (d2 <= smallest_drop_m * smallest_drop_m) return false;
    drop.p.diameter_m = std::sqrt(d2);
    return true;
  }

  void move(Drop& drop, double until_s) const {
    Parcel& p = drop.p;
    const Met met = meet(sky_, p);
    const Pace pace = pace_of(sky_.motion, p, met.air);
    const double crossing_s =
        crossing_time_s(met.seen.timescale_s, std::max(speed_m_per_s(p.slip), pace.sink_m_per_s),
                        met.seen.sigma_m_per_s);
    double dt_s = std::min(step_s(sky_, p, met, pace, crossing_s), until_s - p.age_s + 1e-9);
    if (K_m2_per_s_ > 0.0) dt_s = std::min(dt_s, 0.25 * p.diameter_m * p.diameter_m / K_m2_per_s_);
    const Relaxation relax = Relaxation::over(dt_s, pace.rate_per_s);
    const double drift_w = met.air.w_m_per_s - pace.sink_m_per_s;
    const Velocity off{p.v.u_m_per_s - met.air.u_m_per_s, p.v.v_m_per_s - met.air.v_m_per_s,
                       p.v.w_m_per_s - drift_w};
    const Point to{p.at.x_m + met.air.u_m_per_s * dt_s + off.u_m_per_s * relax.reach_s,
                   p.at.y_m + met.air.v_m_per_s * dt_s + off.v_m_per_s * relax.reach_s,
                   p.at.z_m + drift_w * dt_s + off.w_m_per_s * relax.reach_s};
    const double decay = relax.decay_factor;
    p.v = {met.air.u_m_per_s + off.u_m_per_s * decay, met.air.v_m_per_s + off.v_m_per_s * decay,
           drift_w + off.w_m_per_s * decay};
    p.slip = {p.slip.u_m_per_s * decay, p.slip.v_m_per_s * decay,
              (p.slip.w_m_per_s + pace.sink_m_per_s) * decay - pace.sink_m_per_s};
    // Until it touches something a drop dries.
    const auto touch = surroundings_.first_contact(p.at, to);
    const double in_air_s = touch ? touch->share_fraction * dt_s : dt_s;
    const double before_s = p.age_s;
    if (K_m2_per_s_ > 0.0 && !dry(drop, pace, in_air_s)) {
      p.age_s = before_s + in_air_s;
      p.at = touch ? between(p.at, to, touch->share_fraction) : to;
      drop.note();
      drop.end(Fate::Evaporated);
      return;
    }
    const double leak_per_s = sky_.seen.leak_per_s(met.seen.cell);
    if (leak_per_s > 0.0 && drop.random.uniform() > std::exp(-leak_per_s * dt_s)) {
      drop.end(Fate::Out);
      return;
    }
    const std::array<double, 3> shake = drop.shaker.draw();
    const std::array<double, 3> slope = {met.seen.slope_x_per_s, met.seen.slope_y_per_s,
                                         met.seen.slope_z_per_s};
    for (std::size_t i = 0; i < 3; ++i)
      p.omega[i] = walk_step_ratio(p.omega[i], {dt_s / crossing_s, slope[i] * dt_s, shake[i]});
    travel(drop, to, touch, {met, pace}, dt_s);
    p.age_s = before_s + dt_s;
    if (!drop.ended) drop.note();
  }

  struct Passing {
    const Met& met;
    const Pace& pace;
  };

  /// To where a step would end, thrown back by what it touches or kept there.
  void travel(Drop& drop, Point to, std::optional<Contact> touch, const Passing& passing,
              double dt_s) const {
    Parcel& p = drop.p;
    for (int count = 0; count < most_touches; ++count) {
      if (!touch) {
        p.at = to;
        return;
      }
      const Point& n = touch->normal;
      const Approach approach{p.v, 1.0 / passing.pace.rate_per_s, passing.pace.sink_m_per_s,
                              passing.met.seen.sigma_m_per_s};
      const bool stays = drop.random.uniform() < kept_fraction(approach, *touch);
      const Point at = between(p.at, to, touch->share_fraction);
      if (count == 0) p.age_s += touch->share_fraction * dt_s;
      p.at = at;
      drop.note();
      if (stays) {
        drop.end(fate_on(touch->surface));
        return;
      }
      reflect(p.v, n);
      Velocity turned{p.omega[0], p.omega[1], p.omega[2]};
      reflect(turned, n);
      p.omega = {turned.u_m_per_s, turned.v_m_per_s, turned.w_m_per_s};
      p.at = surroundings_.inside(
          {at.x_m + 1e-9 * n.x_m, at.y_m + 1e-9 * n.y_m, at.z_m + 1e-9 * n.z_m});
      to = mirrored(to, at, n);
      touch = surroundings_.first_contact(p.at, to);
    }
  }

  /// What still floats at the end.
  void give_up(Drop& drop) const {
    const Point& at = drop.p.at;
    if (K_m2_per_s_ > 0.0)
      drop.end(Fate::Evaporated);
    else
      drop.end(case_.benches.cell_below(at.x_m, at.y_m, at.z_m) ? Fate::Bench : Fate::Floor);
  }

  const FootprintCase& case_;
  Sky sky_;
  Surroundings surroundings_;
  double ventilation_;
  double K_m2_per_s_;
};

double distance_m(const Point& a, const Point& b) {
  return std::hypot(a.x_m - b.x_m, a.y_m - b.y_m, a.z_m - b.z_m);
}

/// From a point to the straight line between two others.
double distance_m(const Point& point, const Point& from, const Point& to) {
  const double dx = to.x_m - from.x_m, dy = to.y_m - from.y_m, dz = to.z_m - from.z_m;
  const double length2 = dx * dx + dy * dy + dz * dz;
  const double along =
      (point.x_m - from.x_m) * dx + (point.y_m - from.y_m) * dy + (point.z_m - from.z_m) * dz;
  const double share = length2 > 0.0 ? std::clamp(along / length2, 0.0, 1.0) : 0.0;
  return distance_m(point, between(from, to, share));
}

std::vector<TrackPoint> thinned_once(const std::vector<TrackPoint>& points, double tolerance_m) {
  std::vector<std::uint8_t> keep(points.size(), 0);
  keep.front() = keep.back() = 1;
  std::vector<std::pair<std::size_t, std::size_t>> waiting = {{0, points.size() - 1}};
  while (!waiting.empty()) {
    const auto [from, to] = waiting.back();
    waiting.pop_back();
    std::size_t farthest = from;
    double most_m = tolerance_m;
    for (std::size_t i = from + 1; i < to; ++i) {
      const double off_m = distance_m(points[i].at, points[from].at, points[to].at);
      if (off_m <= most_m) continue;
      most_m = off_m;
      farthest = i;
    }
    if (farthest == from) continue;
    keep[farthest] = 1;
    waiting.emplace_back(from, farthest);
    waiting.emplace_back(farthest, to);
  }
  std::vector<TrackPoint> kept;
  for (std::size_t i = 0; i < points.size(); ++i)
    if (keep[i] != 0) kept.push_back(points[i]);
  return kept;
}

}  // namespace

double Track::left_fraction() const {
  if (fate == Fate::Evaporated && !afloat) return 0.0;
  const double ratio = points.back().diameter_m / points.front().diameter_m;
  return ratio * ratio * ratio;
}

std::vector<Track> tracks(const FootprintCase& a_case, const Launch& launch, double diameter_m,
                          double evaporation_constant_m2_per_s, std::uint64_t stream,
                          const LetBe& let_be) {
  EXPECT(let_be.age_s > 0.0 && let_be.age_s <= longest_flight_s);
  EXPECT(diameter_m >= 1e-6 && diameter_m <= 2e-3);
  EXPECT(evaporation_constant_m2_per_s >= 0.0);
  EXPECT(a_case.parcels >= 1 && a_case.parcels <= 10'000'000);
  const Flying flying(a_case, launch, evaporation_constant_m2_per_s);
  Random lot(a_case.seed, stream);
  const Placement shift{lot.uniform(), lot.uniform()};
  std::vector<Track> flown;
  const auto count = static_cast<std::uint64_t>(a_case.parcels);
  for (std::uint64_t n = 0; n < count; ++n) {
    Drop drop = flying.start(n, shift, diameter_m, stream + 0x9E3779B97F4A7C15ULL * (n + 1));
    flying.fly(drop, let_be.age_s);
    flown.push_back(std::move(drop.track));
  }
  return flown;
}

std::vector<TrackPoint> thinned(const std::vector<TrackPoint>& points, double tolerance_m,
                                std::size_t most_points) {
  EXPECT(tolerance_m > 0.0 && most_points >= 2);
  if (points.size() <= 2) return points;
  std::vector<TrackPoint> kept = thinned_once(points, tolerance_m);
  while (kept.size() > most_points) kept = thinned_once(points, tolerance_m *= 1.5);
  return kept;
}

}  // namespace mistwright::droplet
