#include "sim/study/rearranged.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "models/contracts.h"
#include "models/units.h"

namespace mistwright::study {

namespace {

/// A pipe is never shorter; the network needs some length.
constexpr double least_pipe_m = 0.01;

/// A tube as a riser is one: the riser's own, or without it the narrowest pipe at the node.
water::Pipe tube_like(const House& house, std::size_t head) {
  if (const auto riser = riser_of(house, head)) return house.network.pipes[*riser];
  const std::uint32_t node = house.heads[head].node;
  water::Pipe tube;
  for (const water::Pipe& pipe : house.network.pipes) {
    if (pipe.from != node && pipe.to != node) continue;
    if (tube.diameter_m == 0.0 || pipe.diameter_m < tube.diameter_m) tube = pipe;
  }
  tube.valve.reset();
  tube.minor_loss_coefficient = 0.0;
  return tube;
}

/// Feeds a head from a node by a tube of its own.
void feed(House& house, PlacedHead& head, std::uint32_t foot, water::Pipe tube, double level_m) {
  const double rise_m = std::abs(head.z_m - house.network.nodes[foot].elevation_m);
  head.node = static_cast<std::uint32_t>(house.network.nodes.size());
  house.network.nodes.push_back({fmt::format("head {}", head.name), head.z_m, head.x_m, head.y_m});
  tube.name = fmt::format("tube {}", head.name);
  tube.from = foot;
  tube.to = head.node;
  tube.length_m = std::max(least_pipe_m, level_m + rise_m);
  house.network.pipes.push_back(tube);
}

Wall across(Wall wall) {
  switch (wall) {
    case Wall::Front:
      return Wall::Back;
    case Wall::Back:
      return Wall::Front;
    case Wall::Right:
      return Wall::Left;
    case Wall::Left:
      return Wall::Right;
    case Wall::Roof:
      break;
  }
  return Wall::Roof;
}

/// A stretch of a wall, along it or upwards.
struct Stretch {
  double middle_m = 0.0, long_m = 0.0;
};

bool overlap(const Stretch& a, const Stretch& b) {
  return std::abs(a.middle_m - b.middle_m) < 0.5 * (a.long_m + b.long_m);
}

std::string metres(double length_m) {
  return fmt::format("{:.2f} m", length_m);
}

}  // namespace

std::optional<std::size_t> riser_of(const House& house, std::size_t head) {
  const std::uint32_t node = house.heads[head].node;
  std::optional<std::size_t> riser;
  const auto& pipes = house.network.pipes;
  for (std::size_t p = 0; p < pipes.size(); ++p) {
    if (pipes[p].from != node && pipes[p].to != node) continue;
    if (riser || pipes[p].valve) return std::nullopt;
    riser = p;
  }
  const auto there = std::count_if(house.heads.begin(), house.heads.end(),
                                   [&](const PlacedHead& h) { return h.node == node; });
  return there == 1 && node != house.network.supply.node ? riser : std::nullopt;
}

std::uint32_t foot_of(const House& house, std::size_t head) {
  const std::uint32_t node = house.heads[head].node;
  const auto riser = riser_of(house, head);
  if (!riser) return node;
  const water::Pipe& pipe = house.network.pipes[*riser];
  return pipe.from == node ? pipe.to : pipe.from;
}

std::string head_hindrance(const House& house, const Place& place) {
  const Structure& s = house.structure;
  if (place.x_m < head_room_m || place.x_m > s.length_m - head_room_m || place.y_m < head_room_m ||
      place.y_m > s.width_m - head_room_m)
    return "it would stand in a wall or outside";
  if (place.z_m > s.roof_height_m(place.y_m) - head_room_m) return "the roof is too low there";
  for (const Bench& b : house.benches) {
    const bool over = place.x_m >= b.x_m && place.x_m <= b.x_m + b.length_m && place.y_m >= b.y_m &&
                      place.y_m <= b.y_m + b.width_m;
    if (over && place.z_m < b.height_m + head_room_m) return "it would stand among the leaves";
  }
  return place.z_m < head_room_m ? "it would lie on the floor" : "";
}

House with_head_at(const House& house, std::size_t head, const Place& place) {
  EXPECT(head < house.heads.size());
  House changed = house;
  PlacedHead& moved = changed.heads[head];
  const double level_m = std::hypot(place.x_m - moved.x_m, place.y_m - moved.y_m);
  const double before_m = moved.z_m;
  moved.x_m = place.x_m;
  moved.y_m = place.y_m;
  moved.z_m = place.z_m;
  const auto riser = riser_of(house, head);
  if (!riser) {
    feed(changed, moved, moved.node, tube_like(house, head), level_m);
    return changed;
  }
  const double foot_m = house.network.nodes[foot_of(house, head)].elevation_m;
  double& length_m = changed.network.pipes[*riser].length_m;
  length_m = std::max(least_pipe_m, length_m + level_m + std::abs(place.z_m - foot_m) -
                                        std::abs(before_m - foot_m));
  changed.network.nodes[moved.node].elevation_m = place.z_m;
  changed.network.nodes[moved.node].x_m = place.x_m;
  changed.network.nodes[moved.node].y_m = place.y_m;
  return changed;
}

House with_heads_raised(const House& house, const std::vector<std::size_t>& heads, double rise_m) {
  House changed = house;
  for (const std::size_t head : heads) {
    const PlacedHead& one = house.heads[head];
    changed = with_head_at(changed, head, {one.x_m, one.y_m, one.z_m + rise_m});
  }
  return changed;
}

House with_one_more_head(const House& house, std::size_t like, const Place& place) {
  EXPECT(like < house.heads.size());
  House changed = house;
  PlacedHead more = house.heads[like];
  const double level_m = std::hypot(place.x_m - more.x_m, place.y_m - more.y_m);
  const auto taken = [&](const std::string& name) {
    return std::any_of(house.heads.begin(), house.heads.end(),
                       [&](const PlacedHead& h) { return h.name == name; });
  };
  more.name = "one more";
  for (int n = 2; taken(more.name); ++n) more.name = fmt::format("one more {}", n);
  more.x_m = place.x_m;
  more.y_m = place.y_m;
  more.z_m = place.z_m;
  feed(changed, more, foot_of(house, like), tube_like(house, like), level_m);
  changed.heads.push_back(more);
  return changed;
}

std::string skirt_hindrance(const House& house, std::size_t bench, double skirt_m) {
  if (house.numerics.airflow != flow::AirflowModel::Momentum || house.numerics.uniform_flow)
    return "this scenario's airflow passes through skirts; take airflow = \"momentum\"";
  const Bench& b = house.benches[bench];
  const Structure& s = house.structure;
  const double roof_m = std::min(s.roof_height_m(b.y_m), s.roof_height_m(b.y_m + b.width_m));
  return b.height_m + skirt_m > roof_m
             ? fmt::format("a skirt of {} would reach above the roof", metres(skirt_m))
             : "";
}

House with_skirt(const House& house, std::size_t bench, double skirt_m) {
  House changed = house;
  changed.benches[bench].skirt_m = skirt_m;
  return changed;
}

House with_fan_other_way(const House& house, std::size_t fan) {
  House changed = house;
  Fan& turned = changed.fans[fan];
  if (turned.kind == FanKind::Exhaust) {
    turned.wall = across(turned.wall);
  } else {
    turned.bearing_rad = std::remainder(turned.bearing_rad + pi, 2.0 * pi);
  }
  return changed;
}

std::string fan_hindrance(const House& house, std::size_t fan) {
  const Fan& one = house.fans[fan];
  if (one.kind == FanKind::Circulation) return "";
  if (one.wall == Wall::Roof) return "no wall lies across from the roof";
  const Wall wall = across(one.wall);
  const Stretch along{one.along_m, one.diameter_m}, upwards{one.height_m, one.diameter_m};
  for (const Opening& o : house.openings)
    if (o.wall == wall && overlap(along, {o.along_m, o.width_m}) &&
        overlap(upwards, {o.height_m, o.tall_m}))
      return fmt::format("vent `{}` is in its place across", o.name);
  for (const Fan& other : house.fans)
    if (other.kind == FanKind::Exhaust && other.wall == wall &&
        overlap(along, {other.along_m, other.diameter_m}) &&
        overlap(upwards, {other.height_m, other.diameter_m}))
      return fmt::format("fan `{}` is in its place across", other.name);
  return "";
}

}  // namespace mistwright::study
