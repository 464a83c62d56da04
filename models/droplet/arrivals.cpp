#include "models/droplet/arrivals.h"

#include <algorithm>
#include <cmath>

namespace mistwright::droplet {

namespace {

/// A patch narrower than this, over a cell's edge, is a point.
constexpr double narrowest_patch_ratio = 0.02;
/// Of a patch less than this beside a bench falls to the floor there.
constexpr double least_beside_share = 0.005;

}  // namespace

Arrivals::Arrivals(const FootprintCase& a_case)
    : surroundings(a_case.house, a_case.benches, a_case.field), case_(a_case) {
  for (const auto& block : a_case.benches.blocks)
    if (std::find(bench_heights_m_.begin(), bench_heights_m_.end(), block.rect.height_m) ==
        bench_heights_m_.end())
      bench_heights_m_.push_back(block.rect.height_m);
  outcome.bench.assign(a_case.benches.cells.size(), 0.0);
  outcome.evaporated_by_air_cell.assign(a_case.air.count(), 0.0);
  landed = &outcome.bench;
}

/// Whether a parcel's patch is too narrow to tell from a point.
bool Arrivals::is_point(const Parcel& p) const {
  return p.patch.width_m() < narrowest_patch_ratio * case_.benches.edge_m;
}

/// Lands mass on the cells of a bench that a parcel's patch covers.
/// @return share of it that falls beside the bench
double Arrivals::landed_beside_fraction(std::size_t bench, const Parcel& p, const Point& at,
                                        double mass) {
  const BenchGrid& benches = case_.benches;
  if (is_point(p)) {
    (*landed)[benches.cell_on(bench, at.x_m, at.y_m)] += mass;
    return 0.0;
  }
  const double width = p.patch.width_m();
  const BenchGrid::Block& block = benches.blocks[bench];
  along_.of({block.rect.x0_m, block.rect.x1_m, block.nx}, {at.x_m, width}, case_.house.length_m);
  across_.of({block.rect.y0_m, block.rect.y1_m, block.ny}, {at.y_m, width}, case_.house.width_m);
  double inside = 0.0;
  for (std::size_t j = 0; j < across_.share.size(); ++j) {
    const std::size_t row = block.first + (across_.first + j) * block.nx + along_.first;
    for (std::size_t i = 0; i < along_.share.size(); ++i) {
      const double share = across_.share[j] * along_.share[i];
      (*landed)[row + i] += mass * share;
      inside += share;
    }
  }
  return 1.0 - inside;
}

/// What lands elsewhere than on a bench, or beyond its edge.
void Arrivals::deposit(const Contact& touch, double mass) {
  const Fate fate = fate_on(touch.surface);
  outcome.fate_fraction(fate == Fate::Bench ? Fate::Floor : fate) += mass;
}

/// A point of a parcel's patch over a bench, or off it; the parcel's own place when none is found.
Point Arrivals::drawn_from_patch(const Point& centre, double width_m, const BenchRect& bench,
                                 bool over, Random& random) const {
  constexpr int most_tries = 64;
  const flow::Enclosure& house = case_.house;
  const auto folded = [](double x, double wall) {
    x = std::fabs(x);
    return x > wall ? 2.0 * wall - x : x;
  };
  for (int tries = 0; tries < most_tries; ++tries) {
    const double x = folded(centre.x_m + width_m * random.normal(), house.length_m);
    const double y = folded(centre.y_m + width_m * random.normal(), house.width_m);
    const bool here = x >= bench.x0_m && x <= bench.x1_m && y >= bench.y0_m && y <= bench.y1_m;
    if (here == over && x > 0.0 && y > 0.0) return {x, y, centre.z_m};
  }
  return centre;
}

/// What is left of a patch that a bench has divided goes on as one point, by lot over the bench or
/// beside it.
struct Arrivals::Divided {
  std::size_t bench = 0;
  double over_mass = 0.0, beside_mass = 0.0;
};

/// Over the bench it bounces.
void Arrivals::go_on(Parcel& p, const Divided& rest, const Point& at, Random& random) {
  const double mass = rest.over_mass + rest.beside_mass;
  const bool over = random.uniform() * mass < rest.over_mass;
  const BenchRect& rect = case_.benches.blocks[rest.bench].rect;
  p.at = drawn_from_patch(at, p.patch.width_m(), rect, over, random);
  p.mass_fraction = mass;
  p.v.u_m_per_s += p.patch.speed_there_m_per_s(p.at.x_m - at.x_m);
  p.v.v_m_per_s += p.patch.speed_there_m_per_s(p.at.y_m - at.y_m);
  p.omega[0] = p.patch.eddy_there_ratio(p.at.x_m - at.x_m, p.omega[0], random.normal());
  p.omega[1] = p.patch.eddy_there_ratio(p.at.y_m - at.y_m, p.omega[1], random.normal());
  p.patch = Patch::none();
  if (!over) return;
  reflect(p.v, {0.0, 0.0, 1.0});
  p.omega[2] = std::fabs(p.omega[2]);
}

/// Lands what a parcel's patch holds over benches beside which the parcel itself falls. False: the
/// parcel goes on from elsewhere.
bool Arrivals::passes_beside(Parcel& p, const Point& to, const Contact* touch,
                             const Passing& passing) {
  if (is_point(p)) return true;
  const auto& blocks = case_.benches.blocks;
  for (std::size_t b = 0; b < blocks.size(); ++b) {
    const BenchRect& r = blocks[b].rect;
    if (!(p.at.z_m >= r.height_m && to.z_m < r.height_m)) continue;
    const double s = (p.at.z_m - r.height_m) / (p.at.z_m - to.z_m);
    if (touch &&
        (s > touch->share_fraction || (touch->surface == Surface::BenchTop && touch->bench == b)))
      continue;
    const Point at = between(p.at, to, s);
    const double reach = patch_reach_width_ratio * p.patch.width_m();
    if (at.x_m < r.x0_m - reach || at.x_m > r.x1_m + reach || at.y_m < r.y0_m - reach ||
        at.y_m > r.y1_m + reach)
      continue;
    const Contact level{Surface::BenchTop, s, {0.0, 0.0, 1.0}, b};
    const double kept = kept_fraction(p.v, passing.approach, level);
    const double mass = p.mass_fraction;
    const double over = 1.0 - landed_beside_fraction(b, p, at, mass * kept);
    p.mass_fraction = mass * (1.0 - over * kept);
    const double bounced = mass * over * (1.0 - kept);
    if (over < least_beside_share) continue;
    go_on(p, {b, bounced, mass * (1.0 - over)}, at, passing.random);
    return false;
  }
  return true;
}

/// What happens to a parcel where it touches a surface. False: its path ends there.
bool Arrivals::touches(Parcel& p, const Contact& touch, const Point& at, const Passing& passing) {
  const double mass = p.mass_fraction;
  const double kept = kept_fraction(p.v, passing.approach, touch);
  const bool stays =
      kept >= 1.0 || mass * (1.0 - kept) < least_left_fraction * p.first_mass_fraction;
  const double landing = stays ? mass : mass * kept;
  p.mass_fraction = mass - landing;
  if (touch.surface != Surface::BenchTop) {
    deposit(touch, landing);
    return !stays;
  }
  const double beside_share = landed_beside_fraction(touch.bench, p, at, landing);
  if (beside_share < least_beside_share) {
    deposit(touch, landing * beside_share);
    return !stays;
  }
  const double over = (1.0 - beside_share) * (mass - landing);
  go_on(p, {touch.bench, over, mass * beside_share}, at, passing.random);
  return false;
}

/// Moves a parcel to where its step would end, sharing it between surfaces on the way and what goes
/// on.
/// @param touch  the first contact on the way
void Arrivals::travel(Parcel& p, Point to, std::optional<Contact> touch, const Passing& passing) {
  for (int count = 0; count < most_touches; ++count) {
    if (sinks_past_a_bench(p.at.z_m, to.z_m) &&
        !passes_beside(p, to, touch ? &*touch : nullptr, passing))
      return;
    if (!touch) {
      p.at = to;
      return;
    }
    const Point at = between(p.at, to, touch->share_fraction);
    if (!touches(p, *touch, at, passing)) return;
    bounce(p, at, touch->normal, surroundings);
    to = mirrored(to, at, touch->normal);
    touch = surroundings.first_contact(p.at, to);
  }
}

void Arrivals::give_up(const Parcel& p, bool drying) {
  if (drying) {
    evaporate(case_.field.grid.cell_at(p.at.x_m, p.at.y_m, p.at.z_m), p.mass_fraction);
    return;
  }
  if (const auto cell = case_.benches.cell_below(p.at.x_m, p.at.y_m, p.at.z_m))
    (*landed)[*cell] += p.mass_fraction;
  else
    outcome.floor_fraction += p.mass_fraction;
}

}  // namespace mistwright::droplet
