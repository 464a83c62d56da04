#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "sim/scenario/pipework.h"
#include "sim/scenario/readers.h"

namespace mistwright::scenario {
namespace {

/// How high a head stands: exactly one of three keys.
struct Height {
  const char* key = nullptr;
  Got<double> value;
};

std::optional<Height> read_height(Table& table, Reading& reading) {
  std::optional<Height> found;
  for (const char* key : {"riser", "height", "hung"}) {
    const auto got = table.quantity(key);
    if (!got.given) continue;
    if (found) {
      Problem& p = reading.error("E0405", got.key_at,
                                 fmt::format("`{}` and `{}` both say how high", found->key, key),
                                 "keep one of them");
      p.second = Second{found->value.key_at, "given here already"};
      return std::nullopt;
    }
    found = Height{key, got};
  }
  if (!found) {
    reading.error(
        "E0201", table.at(),
        fmt::format("{} needs `riser`, `height` or `hung`", table_heading(table.schema())),
        "`riser` is above the bench, `height` above the floor, `hung` below the roof");
  }
  return found && found->value.good ? found : std::nullopt;
}

double surface_m(const House& house, double x_m, double y_m) {
  double top_m = 0.0;
  for (const Bench& b : house.benches) {
    const bool over = x_m >= b.x_m - 1e-9 && x_m <= b.x_m + b.length_m + 1e-9 &&
                      y_m >= b.y_m - 1e-9 && y_m <= b.y_m + b.width_m + 1e-9;
    if (over) top_m = std::max(top_m, b.height_m);
  }
  return top_m;
}

/// A place for a head, checked against walls and roof.
struct Place {
  double x_m = 0.0, y_m = 0.0;
  Span x_at, y_at;
};

std::optional<double> head_height_m(Reading& reading, const std::string& name, const Place& place,
                                    const Height& height) {
  const House& house = reading.house;
  if (!reading.house_good) return std::nullopt;
  const Structure& s = house.structure;
  const auto beyond = [&](double past_m, const char* wall, bool along_x) {
    Problem& p = reading.error(
        "E0402", along_x ? place.x_at : place.y_at,
        fmt::format("head `{}` stands {} beyond the {} wall", name, rounded(past_m, "m"), wall),
        fmt::format("the house runs from {} = 0 to {}", along_x ? "x" : "y",
                    rounded(along_x ? s.length_m : s.width_m, "m")));
    p.second =
        Second{reading.places[along_x ? "house.length" : "house.width"], "the house ends here"};
  };
  const double past_x_m = std::max(-place.x_m, place.x_m - s.length_m);
  const double past_y_m = std::max(-place.y_m, place.y_m - s.width_m);
  if (past_x_m > 1e-9) beyond(past_x_m, place.x_m < 0.0 ? "front" : "back", true);
  if (past_y_m > 1e-9) beyond(past_y_m, place.y_m < 0.0 ? "right" : "left", false);
  if (past_x_m > 1e-9 || past_y_m > 1e-9) return std::nullopt;
  const double roof_m = s.roof_height_m(place.y_m);
  const std::string_view key = height.key;
  const double bench_m = surface_m(house, place.x_m, place.y_m);
  const double z_m = key == "riser"  ? bench_m + height.value.value
                     : key == "hung" ? roof_m - height.value.value
                                     : height.value.value;
  if (z_m >= roof_m) {
    Problem& p = reading.error("E0406", height.value.at,
                               fmt::format("head `{}` is {} above the roof at y = {}", name,
                                           rounded(z_m - roof_m, "m"), rounded(place.y_m, "m")),
                               fmt::format("highest head that fits there: {}",
                                           rounded(std::floor(roof_m * 100.0 - 1.0) / 100.0, "m")));
    p.second = Second{reading.places["house.ridge_height"],
                      "the roof is highest in the middle, and falls to the eaves"};
    return std::nullopt;
  }
  if (z_m < bench_m) {
    reading.error("E0407", height.value.at,
                  fmt::format("head `{}` is {} below the top of the bench there", name,
                              rounded(bench_m - z_m, "m")),
                  fmt::format("the bench is {} high", rounded(bench_m, "m")));
    return std::nullopt;
  }
  const double leaves_m = bench_m + leaf_height_over_medium_m;
  if (bench_m > 0.0 && z_m < leaves_m - 1e-9) {
    reading.error("E0422", height.value.at,
                  fmt::format("head `{}` stands among the leaves, which reach {}", name,
                              rounded(leaves_m, "m")),
                  fmt::format("heads spray from above: at least {} over the bench",
                              rounded(leaf_height_over_medium_m, "m")));
    return std::nullopt;
  }
  return z_m;
}

/// The tube from the line to a head; a head at the line's own height stands on it.
struct Riser {
  double bore_m = 0.0;
  double minor_loss_coefficient = 0.0;
};

std::uint32_t raise_head(Pipework& pipework, const House& house, const std::string& name,
                         std::uint32_t node, const Place& place, double z_m, const Riser& riser) {
  const double rise_m = std::abs(z_m - house.network.nodes[node].elevation_m);
  if (rise_m < 0.01) return node;
  const std::uint32_t top =
      pipework.add_node(fmt::format("head {}", name), place.x_at,
                        {.elevation_m = z_m, .x_m = place.x_m, .y_m = place.y_m, .placed = true});
  pipework.add_pipe({.name = fmt::format("riser {}", name),
                     .from = node,
                     .to = top,
                     .length_m = rise_m,
                     .diameter_m = riser.bore_m,
                     .roughness_m = 1.5e-6,
                     .minor_loss_coefficient = riser.minor_loss_coefficient},
                    place.x_at);
  return top;
}

std::optional<std::uint32_t> read_zone(Table& table, Reading& reading, const Names& valves,
                                       Span& at) {
  if (!table.has("zone")) return std::nullopt;
  const auto zone = table.text("zone");
  at = zone.at;
  return valves.find(reading, zone);
}

/// The type of a head or row, when it can stand there.
std::optional<std::uint32_t> read_type(Table& table, Reading& reading, const Names& types) {
  const auto named = table.text("type");
  auto type = types.find(reading, named);
  if (type && !can_stand(reading, named, reading.house.head_types[*type])) type.reset();
  return type;
}

struct Ends {
  double x0_m = 0.0, y0_m = 0.0, x1_m = 0.0, y1_m = 0.0;
  Span from_at, to_at;
};

std::optional<Ends> read_ends(Table& table, Reading& reading, std::int64_t heads) {
  Ends ends;
  const auto point = [&](const char* key, double& x_m, double& y_m, Span& at) {
    const Value* list = table.raw(key);
    if (!list) return false;
    at = list->at;
    if (list->items.size() != 2) {
      reading.error("E0408", list->at, fmt::format("`{}` must be x and y", key),
                    "write [\"1.2 m\", \"0.9 m\"]");
      return false;
    }
    const auto x = table.item(list->items[0], Kind::Length, key);
    const auto y = table.item(list->items[1], Kind::Length, key);
    x_m = x.value;
    y_m = y.value;
    return x.good && y.good;
  };
  if (!point("from", ends.x0_m, ends.y0_m, ends.from_at)) return std::nullopt;
  if (heads == 1 && !table.has("to")) {
    ends.x1_m = ends.x0_m;
    ends.y1_m = ends.y0_m;
    return ends;
  }
  if (!table.has("to")) {
    table.missing("to");
    return std::nullopt;
  }
  if (!point("to", ends.x1_m, ends.y1_m, ends.to_at)) return std::nullopt;
  if (heads > 1 && std::hypot(ends.x1_m - ends.x0_m, ends.y1_m - ends.y0_m) < 0.01) {
    reading.error("E0409", ends.to_at, fmt::format("a row of {} heads ends where it begins", heads),
                  "`to` is the place of the last head");
    return std::nullopt;
  }
  return ends;
}

void read_row(Table& table, Reading& reading, Pipework& pipework, const Names& types,
              const Names& valves) {
  const auto name = table.text("name");
  // All that a row of a taken name brings would be told again, head by head.
  const bool fresh = name.good && pipework.rows.add(reading, name.value, name.at);
  const auto type = read_type(table, reading, types);
  const auto count = table.whole("heads");
  const auto at = table.text("at");
  const auto feed = pipework.nodes.find(reading, at);
  const auto height = read_height(table, reading);
  const auto material = table.choice("material");
  const Preset* rough = material.good ? find_preset("pipe", material.typed, "roughness") : nullptr;
  water::Pipe pipe;
  pipe.diameter_m = table.quantity("diameter").value;
  pipe.minor_loss_coefficient = table.quantity("minor_loss").value;
  if (rough) pipe.roughness_m = read_quantity(rough->value, Kind::DropSize, "").value;
  const Riser riser{table.quantity("riser_bore").value, table.quantity("riser_minor_loss").value};
  Pipework::Standing standing{.at = name.at, .zone = {}, .zone_at = {}};
  standing.zone = read_zone(table, reading, valves, standing.zone_at);
  const auto ends = count.good ? read_ends(table, reading, count.value) : std::nullopt;
  if (!fresh || !type || !feed || !height || !ends || pipe.diameter_m <= 0.0) return;
  if (reading.house.heads.size() + static_cast<std::size_t>(count.value) > 100'000) {
    reading.error("E0541", count.at, "more than 100000 heads; at most 100000 are simulated");
    return;
  }
  std::uint32_t before = *feed;
  for (std::int64_t i = 0; i < count.value; ++i) {
    const double share =
        count.value > 1 ? static_cast<double>(i) / static_cast<double>(count.value - 1) : 0.0;
    const Place place{ends->x0_m + share * (ends->x1_m - ends->x0_m),
                      ends->y0_m + share * (ends->y1_m - ends->y0_m),
                      share > 0.5 ? ends->to_at : ends->from_at,
                      share > 0.5 ? ends->to_at : ends->from_at};
    const std::string head = fmt::format("{} {}", name.value, i + 1);
    const auto z_m = head_height_m(reading, head, place, *height);
    if (!z_m) return;
    const bool risen = std::string_view(height->key) == "riser";
    const NodeData data{.elevation_m = risen ? *z_m - height->value.value : *z_m,
                        .x_m = place.x_m,
                        .y_m = place.y_m,
                        .placed = true};
    const auto& last = reading.house.network.nodes[before];
    // The first stretch begins at a node whose place may be unknown; it then counts only its rise.
    const bool known = i > 0 || pipework.placed(before);
    const double flat_m = known ? std::hypot(place.x_m - last.x_m, place.y_m - last.y_m) : 0.0;
    pipe.length_m = std::max(0.05, std::hypot(flat_m, data.elevation_m - last.elevation_m));
    const std::uint32_t node = pipework.add_node(head, standing.at, data);
    pipe.name = fmt::format("line {}", head);
    pipe.from = before;
    pipe.to = node;
    pipework.add_pipe(pipe, standing.at);
    before = node;
    PlacedHead placed{.name = head, .type = *type, .x_m = place.x_m, .y_m = place.y_m, .z_m = *z_m};
    placed.node = raise_head(pipework, reading.house, head, node, place, *z_m, riser);
    pipework.add_head(placed, standing);
  }
}

}  // namespace

void read_rows(Reading& reading, const Value& root, Pipework& pipework, const Names& types,
               const Names& valves) {
  for_each_table(reading, root, "row",
                 [&](Table& table) { read_row(table, reading, pipework, types, valves); });
}

void read_heads(Reading& reading, const Value& root, Pipework& pipework, const Names& types,
                const Names& valves) {
  Names told("head");
  for_each_table(reading, root, "head", [&](Table& table) {
    const auto name = table.text("name");
    // A head is known by its name, and so are the pipe and the node that it brings.
    const bool fresh = name.good && !pipework.heads.taken(reading, name.value, name.at) &&
                       told.add(reading, name.value, name.at);
    const auto type = read_type(table, reading, types);
    const auto x = table.quantity("x");
    const auto y = table.quantity("y");
    const auto at = table.text("at");
    const auto node = pipework.nodes.find(reading, at);
    const auto height = read_height(table, reading);
    const Riser riser{table.quantity("riser_bore").value, table.quantity("riser_minor_loss").value};
    Pipework::Standing standing{.at = name.at, .zone = {}, .zone_at = {}};
    standing.zone = read_zone(table, reading, valves, standing.zone_at);
    if (!x.good || !y.good || !height) return;
    const Place place{x.value, y.value, x.at, y.at};
    const auto z_m = head_height_m(reading, name.value, place, *height);
    if (!fresh || !type || !node || !z_m) return;
    PlacedHead placed{
        .name = name.value, .type = *type, .x_m = place.x_m, .y_m = place.y_m, .z_m = *z_m};
    placed.node = raise_head(pipework, reading.house, name.value, *node, place, *z_m, riser);
    pipework.add_head(placed, standing);
  });
}

}  // namespace mistwright::scenario
