#include "models/droplet/track.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "models/contracts.h"
#include "models/droplet/lanes.h"
#include "models/droplet/touch.h"

namespace mistwright::droplet {

namespace {

/// Flies whole drops one by one: each stays by lot where a parcel would be shared out.
class Tracked {
 public:
  Tracked(const FootprintCase& a_case, const Launch& launch, double K_m2_per_s)
      : case_(a_case),
        flying_(a_case, launch, K_m2_per_s),
        surroundings_(a_case.house, a_case.benches, a_case.field),
        head_(surroundings_.inside(flying_.sky.head())),
        lanes_(flying_, a_case.seed) {}

  /// @param stream  of the drop's own draws
  [[nodiscard]] Track track(double diameter_m, const Turn& turn, std::uint64_t stream,
                            double until_s) {
    random_ = Random(case_.seed, stream);
    lanes_.start(0, launched(flying_, head_, diameter_m, turn, random_), stream);
    track_ = {};
    ended_ = false;
    note(lanes_.get(0));
    while (!ended_ && lanes_.age_s[0] < until_s) move(until_s);
    if (!ended_) {
      if (until_s < longest_flight_s)
        track_.afloat = true;
      else
        give_up();
    }
    return std::move(track_);
  }

 private:
  void note(const Parcel& p) { track_.points.push_back({p.at, p.age_s, p.diameter_m}); }

  void end(Fate fate) {
    track_.fate = fate;
    ended_ = true;
  }

  void move(double until_s) {
    const double before_s = lanes_.age_s[0];
    look(lanes_);
    lanes_.dt_s[0] = std::min(lanes_.dt_s[0], until_s - before_s + 1e-9);
    const auto touch = step_after_look(lanes_, surroundings_);
    const Point from = lanes_.at(0), to = lanes_.to(0);
    if (lanes_.mass[0] <= 0.0) {
      track_.points.push_back({touch ? between(from, to, touch->share_fraction) : to,
                               before_s + lanes_.in_air_s[0], lanes_.diameter_m[0]});
      return end(Fate::Evaporated);
    }
    const double leak_per_s = flying_.sky.seen.leak_per_s(lanes_.cell[0]);
    if (leak_per_s > 0.0 && random_.uniform() > std::exp(-leak_per_s * lanes_.dt_s[0]))
      return end(Fate::Out);
    if (touch)
      travel(to, *touch, before_s);
    else
      lanes_.reach(0);
    if (!ended_) note(lanes_.get(0));
  }

  /// To where a step would end, thrown back by what it touches or kept there.
  void travel(Point to, std::optional<Contact> touch, double before_s) {
    Parcel p = lanes_.get(0);
    const double after_s = p.age_s;
    p.age_s = before_s + lanes_.in_air_s[0];
    for (int count = 0; count < most_touches && touch; ++count) {
      const bool stays = random_.uniform() < kept_fraction(p.v, lanes_.approach(0), *touch);
      p.at = between(p.at, to, touch->share_fraction);
      note(p);
      if (stays) return end(fate_on(touch->surface));
      const Point at = p.at;
      bounce(p, at, touch->normal, surroundings_);
      to = mirrored(to, at, touch->normal);
      touch = surroundings_.first_contact(p.at, to);
    }
    if (!touch) p.at = to;
    p.age_s = after_s;
    lanes_.put(0, p);
  }

  /// What still floats at the end.
  void give_up() {
    const Point at = lanes_.at(0);
    if (flying_.K_m2_per_s > 0.0)
      end(Fate::Evaporated);
    else
      end(case_.benches.cell_below(at.x_m, at.y_m, at.z_m) ? Fate::Bench : Fate::Floor);
  }

  const FootprintCase& case_;
  Flying flying_;
  Surroundings surroundings_;
  Point head_;
  Lanes<1> lanes_;
  Random random_ = Random(0, 0);
  Track track_;
  bool ended_ = false;
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
  Tracked flight(a_case, launch, evaporation_constant_m2_per_s);
  Random lot(a_case.seed, stream);
  const double turn = lot.uniform();
  const Placement shift{turn, lot.uniform()};
  std::vector<Track> flown;
  const auto count = static_cast<std::size_t>(a_case.parcels);
  for (std::size_t n = 0; n < count; ++n)
    flown.push_back(flight.track(diameter_m, turn_on_lattice(n, count, shift),
                                 stream + 0x9E3779B97F4A7C15ULL * (n + 1), let_be.age_s));
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
