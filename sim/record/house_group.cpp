#include "sim/record/house_group.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <sstream>

namespace mistwright::record {
namespace {

const std::vector<std::string> wall_words{"front", "back", "right", "left", "roof", "inside"};
constexpr double inside_flag = 5.0;

struct Place {
  double x_m = 0.0, y_m = 0.0, z_m = 0.0;
};

/// Where something at `along_m` of a wall and `height_m` lies.
Place on_wall(const Structure& house, Wall wall, double along_m, double height_m) {
  switch (wall) {
    case Wall::Front:
      return {0.0, along_m, height_m};
    case Wall::Back:
      return {house.length_m, along_m, height_m};
    case Wall::Right:
      return {along_m, 0.0, height_m};
    case Wall::Left:
      return {along_m, house.width_m, height_m};
    case Wall::Roof:
      return {along_m, 0.5 * house.width_m, house.ridge_height_m};
  }
  return {};
}

/// Collects the columns of one kind of thing.
class Table {
 public:
  Table(Group& group, std::string kind) : group_(group), kind_(std::move(kind)) {}

  void names(std::vector<std::string> words) {
    Variable coordinate{.name = kind_,
                        .long_name = kind_,
                        .units = "1",
                        .dimensions = {kind_},
                        .values = {},
                        .whole = true};
    for (std::size_t i = 0; i < words.size(); ++i)
      coordinate.values.push_back(static_cast<double>(i));
    group_.dimensions.push_back({kind_, words.size()});
    coordinate.flag_meanings = std::move(words);
    group_.variables.push_back(std::move(coordinate));
  }
  void column(const std::string& name, const std::string& meaning, const std::string& units,
              std::vector<double> values) {
    group_.variables.push_back({.name = kind_ + "_" + name,
                                .long_name = kind_ + ": " + meaning,
                                .units = units,
                                .dimensions = {kind_},
                                .values = std::move(values)});
  }
  void flags(const std::string& name, const std::string& meaning, std::vector<double> values,
             std::vector<std::string> words) {
    column(name, meaning, "1", std::move(values));
    group_.variables.back().whole = true;
    group_.variables.back().flag_meanings = std::move(words);
  }

 private:
  Group& group_;
  std::string kind_;
};

template <class Thing, class Function>
auto column_of(const std::vector<Thing>& things, Function&& function) {
  std::vector<decltype(function(things.front()))> values;
  values.reserve(things.size());
  for (const Thing& thing : things) values.push_back(function(thing));
  return values;
}

void add_benches(Group& group, const std::vector<Bench>& benches) {
  Table table(group, "bench");
  table.names(column_of(benches, [](const Bench& b) { return b.name; }));
  table.column("x", "corner nearest the front, along the house", "m",
               column_of(benches, [](const Bench& b) { return b.x_m; }));
  table.column("y", "corner nearest the right-hand wall, across the house", "m",
               column_of(benches, [](const Bench& b) { return b.y_m; }));
  table.column("length", "size along the house", "m",
               column_of(benches, [](const Bench& b) { return b.length_m; }));
  table.column("width", "size across the house", "m",
               column_of(benches, [](const Bench& b) { return b.width_m; }));
  table.column("height", "height of the surface on which the leaves stand", "m",
               column_of(benches, [](const Bench& b) { return b.height_m; }));
  table.column("skirt", "height of the film round its edges, above that surface", "m",
               column_of(benches, [](const Bench& b) { return b.skirt_m; }));
}

void add_fans(Group& group, const House& house) {
  const auto place = [&](const Fan& fan) {
    return fan.kind == FanKind::Exhaust
               ? on_wall(house.structure, fan.wall, fan.along_m, fan.height_m)
               : Place{fan.x_m, fan.y_m, fan.height_m};
  };
  Table table(group, "fan");
  table.names(column_of(house.fans, [](const Fan& f) { return f.name; }));
  table.column("x", "centre, along the house", "m",
               column_of(house.fans, [&](const Fan& f) { return place(f).x_m; }));
  table.column("y", "centre, across the house", "m",
               column_of(house.fans, [&](const Fan& f) { return place(f).y_m; }));
  table.column("z", "centre, above the floor", "m",
               column_of(house.fans, [&](const Fan& f) { return place(f).z_m; }));
  table.column("diameter", "diameter", "m",
               column_of(house.fans, [](const Fan& f) { return f.diameter_m; }));
  table.flags("wall", "wall that holds it",
              column_of(house.fans,
                        [](const Fan& f) {
                          return f.kind == FanKind::Exhaust ? static_cast<double>(f.wall)
                                                            : inside_flag;
                        }),
              wall_words);
}

void add_openings(Group& group, const House& house) {
  const auto place = [&](const Opening& o) {
    return on_wall(house.structure, o.wall, o.along_m, o.height_m);
  };
  Table table(group, "opening");
  table.names(column_of(house.openings, [](const Opening& o) { return o.name; }));
  table.column("x", "centre, along the house", "m",
               column_of(house.openings, [&](const Opening& o) { return place(o).x_m; }));
  table.column("y", "centre, across the house", "m",
               column_of(house.openings, [&](const Opening& o) { return place(o).y_m; }));
  table.column("z", "centre, above the floor", "m",
               column_of(house.openings, [&](const Opening& o) { return place(o).z_m; }));
  table.column("width", "size along its wall", "m",
               column_of(house.openings, [](const Opening& o) { return o.width_m; }));
  table.column("tall", "size up its wall", "m",
               column_of(house.openings, [](const Opening& o) { return o.tall_m; }));
  table.flags(
      "wall", "wall that holds it",
      column_of(house.openings, [](const Opening& o) { return static_cast<double>(o.wall); }),
      wall_words);
}

/// Text of a cell: what would break the table becomes a blank.
std::string cell(std::string text) {
  std::replace_if(
      text.begin(), text.end(), [](char c) { return c == '\t' || c == '\n' || c == '\r'; }, ' ');
  return text;
}

}  // namespace

Group house_group(const House& house) {
  Group group{.name = "house", .dimensions = {}, .variables = {}, .attributes = {}};
  const Structure& s = house.structure;
  group.attributes = {{"name", house.name},
                      {"length_m", fmt::format("{}", s.length_m)},
                      {"width_m", fmt::format("{}", s.width_m)},
                      {"eave_height_m", fmt::format("{}", s.eave_height_m)},
                      {"ridge_height_m", fmt::format("{}", s.ridge_height_m)},
                      {"bearing_of_x_rad", fmt::format("{}", s.orientation_rad)},
                      {"latitude_rad", fmt::format("{}", house.site.latitude_rad)},
                      {"altitude_m", fmt::format("{}", house.site.altitude_m)},
                      {"film_capacity_m", fmt::format("{}", house.crop.film_capacity_m)},
                      {"dry_share_fraction", fmt::format("{}", house.crop.dry_share_fraction)}};
  add_benches(group, house.benches);
  add_fans(group, house);
  add_openings(group, house);
  return group;
}

std::string assumed_text(const std::vector<Assumed>& assumed) {
  std::string text;
  for (const Assumed& a : assumed)
    text += cell(a.key) + '\t' + cell(a.value) + '\t' + cell(a.low) + '\t' + cell(a.high) + '\t' +
            cell(a.evidence) + '\t' + cell(a.meaning) + '\n';
  return text;
}

std::vector<Assumed> assumed_rows(const std::string& text) {
  std::vector<Assumed> rows;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    std::vector<std::string> cells(1);
    for (const char c : line) {
      if (c == '\t')
        cells.emplace_back();
      else
        cells.back() += c;
    }
    if (cells.size() == 6)
      rows.push_back({cells[0], cells[1], cells[2], cells[3], cells[4], cells[5]});
  }
  return rows;
}

}  // namespace mistwright::record
