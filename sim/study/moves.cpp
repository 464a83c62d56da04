// Which changes are worth a run: placement.h.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "models/units.h"
#include "sim/report/words.h"
#include "sim/study/placement.h"

namespace mistwright::study {

namespace {

/// "30 cm (12 in)"
std::string short_words(double length_m) {
  return fmt::format("{:.0f} cm ({:.0f} in)", 100.0 * length_m, length_m / 0.0254);
}

/// "2.3 m along and 0.9 m across": from the front wall and from the right-hand wall.
std::string place_words(const Place& place) {
  return fmt::format("{:.1f} m along and {:.1f} m across", place.x_m, place.y_m);
}

Place place_of(const PlacedHead& head) {
  return {head.x_m, head.y_m, head.z_m};
}

double apart_m(const Place& a, double x_m, double y_m) {
  return std::hypot(a.x_m - x_m, a.y_m - y_m);
}

/// A step that a head could take.
struct Step {
  std::size_t head = 0;
  Place to;
  const char* towards = "";
  double gain_fraction = 0.0;  ///< of its water, more on the driest leaves by the map
};

struct Direction {
  double x_m, y_m;
  const char* towards;
};

constexpr Direction directions[] = {{head_step_m, 0.0, "the back wall"},
                                    {-head_step_m, 0.0, "the front wall"},
                                    {0.0, head_step_m, "the left-hand wall"},
                                    {0.0, -head_step_m, "the right-hand wall"}};

Move head_move(const House& house, const Step& step) {
  const PlacedHead& head = house.heads[step.head];
  return {MoveKind::Head,
          fmt::format("head `{}` {} towards {}", head.name,
                      short_words(apart_m(place_of(head), step.to.x_m, step.to.y_m)), step.towards),
          with_head_at(house, step.head, step.to), place_of(head), step.to};
}

std::size_t nearest_head(const House& house, double x_m, double y_m) {
  const auto nearer = [&](const PlacedHead& a, const PlacedHead& b) {
    return apart_m(place_of(a), x_m, y_m) < apart_m(place_of(b), x_m, y_m);
  };
  return static_cast<std::size_t>(std::min_element(house.heads.begin(), house.heads.end(), nearer) -
                                  house.heads.begin());
}

/// The head nearest to the worst place, a step towards it.
void add_towards_worst(const House& house, const report::Corner& worst, Moves& moves) {
  const std::size_t head = nearest_head(house, worst.x_m, worst.y_m);
  const Place from = place_of(house.heads[head]);
  const double far_m = apart_m(from, worst.x_m, worst.y_m);
  if (far_m < 0.05) {
    moves.left_out.push_back("no head towards the worst place: one stands over it");
    return;
  }
  const double share = std::min(1.0, head_step_m / far_m);
  const Step step{head,
                  {from.x_m + share * (worst.x_m - from.x_m),
                   from.y_m + share * (worst.y_m - from.y_m), from.z_m},
                  "the worst place",
                  0.0};
  if (const std::string why = head_hindrance(house, step.to); !why.empty()) {
    moves.left_out.push_back(
        fmt::format("head `{}` towards the worst place: {}", house.heads[head].name, why));
    return;
  }
  moves.moves.push_back(head_move(house, step));
}

/// The steps by which the map says that most comes to the driest leaves.
void add_head_steps(const House& house, const Influence& influence, Moves& moves) {
  std::vector<Step> steps;
  std::size_t hindered = 0;
  for (std::size_t h = 0; h < house.heads.size(); ++h) {
    const PlacedHead& head = house.heads[h];
    for (const Direction& d : directions) {
      const Place to{head.x_m + d.x_m, head.y_m + d.y_m, head.z_m};
      if (!head_hindrance(house, to).empty()) {
        ++hindered;
        continue;
      }
      steps.push_back({h, to, d.towards,
                       influence.share_at_fraction(to.x_m, to.y_m) -
                           influence.share_at_fraction(head.x_m, head.y_m)});
    }
  }
  if (hindered > 0)
    moves.left_out.push_back(
        fmt::format("{} step{} of heads into a wall, out of the house, above the roof or among "
                    "the leaves",
                    hindered, hindered == 1 ? "" : "s"));
  std::stable_sort(steps.begin(), steps.end(),
                   [](const Step& a, const Step& b) { return a.gain_fraction > b.gain_fraction; });
  const std::size_t tried = std::min(most_head_moves, steps.size());
  for (std::size_t n = 0; n < tried; ++n) moves.moves.push_back(head_move(house, steps[n]));
  if (tried < steps.size())
    moves.left_out.push_back(fmt::format("{} further steps of heads that promise less by the map",
                                         steps.size() - tried));
}

/// Whether a head hangs over a bench, or a hand's breadth or two beside it.
bool over(const Bench& bench, const PlacedHead& head) {
  constexpr double beside_m = 0.3;
  return head.x_m > bench.x_m - beside_m && head.x_m < bench.x_m + bench.length_m + beside_m &&
         head.y_m > bench.y_m - beside_m && head.y_m < bench.y_m + bench.width_m + beside_m;
}

void add_heights(const House& house, const std::vector<std::size_t>& heads,
                 const std::string& which, Moves& moves) {
  for (const double rise_m : {rise_step_m, -rise_step_m}) {
    const std::string words =
        fmt::format("{} {} {}", which, short_words(rise_step_m), rise_m > 0.0 ? "higher" : "lower");
    std::string why;
    for (const std::size_t h : heads) {
      Place to = place_of(house.heads[h]);
      to.z_m += rise_m;
      if (why.empty()) why = head_hindrance(house, to);
    }
    if (why.empty())
      moves.moves.push_back(
          {MoveKind::Heights, words, with_heads_raised(house, heads, rise_m), {}, {}});
    else
      moves.left_out.push_back(fmt::format("{}: {}", words, why));
  }
}

/// All heads, and those over the bench with the worst place alone.
void add_all_heights(const House& house, const report::Corner& worst, Moves& moves) {
  std::vector<std::size_t> all;
  for (std::size_t h = 0; h < house.heads.size(); ++h) all.push_back(h);
  add_heights(house, all, "all heads", moves);
  for (const Bench& bench : house.benches) {
    const bool here = worst.x_m >= bench.x_m && worst.x_m <= bench.x_m + bench.length_m &&
                      worst.y_m >= bench.y_m && worst.y_m <= bench.y_m + bench.width_m;
    if (!here) continue;
    std::vector<std::size_t> row;
    for (const std::size_t h : all)
      if (over(bench, house.heads[h])) row.push_back(h);
    if (!row.empty() && row.size() < all.size())
      add_heights(house, row, fmt::format("the heads over bench `{}`", bench.name), moves);
    return;
  }
}

const char* wall_words(Wall wall) {
  switch (wall) {
    case Wall::Front:
      return "front";
    case Wall::Back:
      return "back";
    case Wall::Right:
      return "right-hand";
    case Wall::Left:
      return "left-hand";
    case Wall::Roof:
      break;
  }
  return "roof";
}

void add_fans(const House& house, Moves& moves) {
  if (house.fans.empty()) moves.left_out.push_back("a fan the other way: there is none");
  for (std::size_t f = 0; f < house.fans.size(); ++f) {
    const Fan& fan = house.fans[f];
    if (f >= most_fans) {
      moves.left_out.push_back(
          fmt::format("{} fans beyond the first {}", house.fans.size() - most_fans, most_fans));
      return;
    }
    if (const std::string why = fan_hindrance(house, f); !why.empty()) {
      moves.left_out.push_back(fmt::format("fan `{}` the other way: {}", fan.name, why));
      continue;
    }
    House changed = with_fan_other_way(house, f);
    std::string words = fmt::format("stirring fan `{}` turned about", fan.name);
    if (fan.kind == FanKind::Exhaust)
      words = fmt::format("fan `{}` in the {} wall, not the {} one", fan.name,
                          wall_words(changed.fans[f].wall), wall_words(fan.wall));
    moves.moves.push_back({MoveKind::Fan, std::move(words), std::move(changed), {}, {}});
  }
}

void add_skirts(const House& house, Moves& moves) {
  std::size_t added = 0, further = 0;
  for (std::size_t b = 0; b < house.benches.size(); ++b) {
    const Bench& bench = house.benches[b];
    if (bench.skirt_m > 0.0) {
      moves.left_out.push_back(fmt::format("a skirt round bench `{}`: it has one", bench.name));
      continue;
    }
    if (const std::string why = skirt_hindrance(house, b, skirt_m); !why.empty()) {
      moves.left_out.push_back(fmt::format("a skirt round bench `{}`: {}", bench.name, why));
      continue;
    }
    if (added == most_skirts) {
      ++further;
      continue;
    }
    ++added;
    moves.moves.push_back(
        {MoveKind::Skirt,
         fmt::format("a skirt of {} round bench `{}`", short_words(skirt_m), bench.name),
         with_skirt(house, b, skirt_m),
         {},
         {}});
  }
  if (further > 0)
    moves.left_out.push_back(fmt::format("skirts round {} further benches", further));
}

/// Places on the map where one more head brings most, each well away from the one before.
std::vector<Place> best_places(const House& house, const Influence& influence) {
  struct Found {
    Place place;
    double share_fraction;
  };
  std::vector<Found> found;
  for (std::size_t j = 0; j < influence.y_m.size(); ++j)
    for (std::size_t i = 0; i < influence.x_m.size(); ++i) {
      const Place place{influence.x_m[i], influence.y_m[j], influence.height_m};
      const std::size_t near = nearest_head(house, place.x_m, place.y_m);
      const bool taken = apart_m(place, house.heads[near].x_m, house.heads[near].y_m) < head_step_m;
      const double share = influence.thrown_fraction[j * influence.x_m.size() + i];
      if (!taken && share > 0.0 && head_hindrance(house, place).empty())
        found.push_back({place, share});
    }
  std::stable_sort(found.begin(), found.end(), [](const Found& a, const Found& b) {
    return a.share_fraction > b.share_fraction;
  });
  const double away_m =
      std::max(2.0 * head_step_m, 0.5 * house.head_types[influence.type].wetted_diameter_m);
  std::vector<Place> places;
  for (const Found& one : found) {
    if (places.size() == most_more_heads) break;
    const bool far = std::all_of(places.begin(), places.end(), [&](const Place& other) {
      return apart_m(one.place, other.x_m, other.y_m) >= away_m;
    });
    if (far) places.push_back(one.place);
  }
  return places;
}

/// The nearest head of a type.
std::size_t nearest_alike(const House& house, std::size_t type, const Place& place) {
  std::size_t best = house.heads.size();
  for (std::size_t h = 0; h < house.heads.size(); ++h) {
    if (house.heads[h].type != type) continue;
    if (best == house.heads.size() ||
        apart_m(place, house.heads[h].x_m, house.heads[h].y_m) <
            apart_m(place, house.heads[best].x_m, house.heads[best].y_m))
      best = h;
  }
  return best;
}

void add_more_heads(const House& house, const Influence& influence, Moves& moves) {
  const std::vector<Place> places = best_places(house, influence);
  if (places.empty())
    moves.left_out.push_back(
        "one more head: by the map it would bring nothing to the driest leaves");
  for (const Place& place : places) {
    const std::size_t like = nearest_alike(house, influence.type, place);
    moves.moves.push_back({MoveKind::OneMore,
                           fmt::format("one more `{}`, {}, {:.2f} m above the floor, fed from head "
                                       "`{}`",
                                       house.head_types[influence.type].name, place_words(place),
                                       place.z_m, house.heads[like].name),
                           with_one_more_head(house, like, place), place, place});
  }
}

}  // namespace

Moves moves_worth_running(const House& house, const Influence& influence,
                          const report::Corner& worst) {
  Moves moves;
  add_towards_worst(house, worst, moves);
  add_head_steps(house, influence, moves);
  add_all_heights(house, worst, moves);
  add_fans(house, moves);
  add_skirts(house, moves);
  add_more_heads(house, influence, moves);
  return moves;
}

}  // namespace mistwright::study
