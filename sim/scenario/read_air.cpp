#include <fmt/core.h>

#include <cmath>

#include "sim/scenario/readers.h"

namespace mistwright::scenario {
namespace {

struct OnWall {
  Wall wall = Wall::Front;
  Got<double> along, height;
  double wide_m = 0.0, tall_m = 0.0;
};

/// Whether a rectangle lies wholly on its wall.
void check_on_wall(Reading& reading, const char* what, const std::string& name, const OnWall& on) {
  if (!reading.house_good || !on.along.good || (on.wall != Wall::Roof && !on.height.good)) return;
  const Structure& s = reading.house.structure;
  const bool end = on.wall == Wall::Front || on.wall == Wall::Back;
  const double wall_m = end ? s.width_m : s.length_m;
  const double from_m = on.along.value - on.wide_m / 2.0;
  const double to_m = on.along.value + on.wide_m / 2.0;
  if (from_m < -1e-9 || to_m > wall_m + 1e-9) {
    Problem& p = reading.error(
        "E0411", on.along.at,
        fmt::format("{} `{}` reaches from {} to {}, but its wall runs from 0 to {}", what, name,
                    rounded(from_m, "m"), rounded(to_m, "m"), rounded(wall_m, "m")),
        on.wide_m > wall_m ? "it is wider than the wall" : "`along` is the place of its centre");
    p.second = Second{reading.places[end ? "house.width" : "house.length"], "the wall ends here"};
    return;
  }
  if (on.wall == Wall::Roof) return;
  const double top_m = on.height.value + on.tall_m / 2.0;
  const double corner_m =
      end ? std::min(s.roof_height_m(from_m), s.roof_height_m(to_m)) : s.eave_height_m;
  if (top_m > corner_m + 1e-9 || on.height.value - on.tall_m / 2.0 < -1e-9) {
    reading.error(
        "E0412", on.height.at,
        fmt::format("{} `{}` reaches from {} to {} in height, but its wall there from 0 to {}",
                    what, name, rounded(on.height.value - on.tall_m / 2.0, "m"),
                    rounded(top_m, "m"), rounded(corner_m, "m")),
        end ? "the end wall is cut by the curve of the roof" : "the side wall ends at the eaves");
  }
}

void need(Reading& reading, Table& table, const char* key, const char* why) {
  if (table.has(key)) return;
  reading.error("E0201", table.at(),
                fmt::format("{} needs `{}`", table_heading(table.schema()), key), why);
}

void read_fan_curve(Table& table, Reading& reading, Fan& fan) {
  if (table.has("curve")) {
    fan.curve = read_curve(table, reading, "curve", Kind::GaugePressure, "fan curve");
    if (table.has("flow"))
      reading.error("E0413", table.key_span("flow"), "`flow` and `curve` describe the same fan",
                    "keep one of them");
    return;
  }
  need(reading, table, "flow", "`flow` of free air, or a `curve`");
  const auto flow = table.quantity("flow");
  auto shut_off = table.quantity("shut_off_pressure");
  if (!shut_off.given) {
    shut_off.value = 100.0;
    reading.assume({"fan.shut_off_pressure", "100 Pa", "50 Pa", "200 Pa", "memory",
                    find_key("fan", "shut_off_pressure")->help});
  }
  // Panel fans: pressure falls about as the square of flow; five straight pieces keep within 4 % of
  // it.
  for (int i = 0; i <= 5; ++i) {
    const double share = i / 5.0;
    fan.curve.emplace_back(share * flow.value, shut_off.value * (1.0 - share * share));
  }
}

Names read_fans(Reading& reading, const Value& root) {
  Names names("fan");
  for_each_table(reading, root, "fan", [&](Table& table) {
    Fan fan;
    const auto name = table.text("name");
    names.add(reading, name.value, name.at);
    fan.name = name.value;
    const auto kind = table.choice("kind");
    fan.kind = static_cast<FanKind>(kind.value);
    const auto diameter = table.quantity("diameter");
    fan.diameter_m = diameter.value;
    const auto height = table.quantity("height");
    fan.height_m = height.value;
    need(reading, table, "height", "its centre above the floor");
    if (fan.kind == FanKind::Exhaust) {
      need(reading, table, "wall", "on which wall an exhaust fan hangs");
      need(reading, table, "along", "its centre along that wall");
      const auto wall = table.choice("wall");
      const auto along = table.quantity("along");
      fan.wall = static_cast<Wall>(wall.value);
      fan.along_m = along.value;
      if (wall.good && along.given && diameter.good) {
        check_on_wall(reading, "fan", fan.name,
                      {fan.wall, along, height, diameter.value, diameter.value});
      }
    } else {
      need(reading, table, "x", "where a circulation fan hangs");
      need(reading, table, "y", "where a circulation fan hangs");
      const auto x = table.quantity("x");
      const auto y = table.quantity("y");
      fan.x_m = x.value;
      fan.y_m = y.value;
      fan.bearing_rad = table.quantity("blows").value;
      const Structure& s = reading.house.structure;
      const bool outside =
          reading.house_good && x.good && y.good && height.good &&
          (x.value > s.length_m || y.value > s.width_m || height.value >= s.roof_height_m(y.value));
      if (outside)
        reading.error("E0414", name.at,
                      fmt::format("circulation fan `{}` hangs outside the house", fan.name));
    }
    read_fan_curve(table, reading, fan);
    fan.switched_by = read_thermostat(table, reading, "on_above", "off_below");
    fan.off_while_misting = table.flag("off_while_misting").value;
    fan.off_after_burst_s = table.quantity("off_after_burst").value;
    reading.house.fans.push_back(std::move(fan));
  });
  return names;
}

}  // namespace

std::optional<control::Thermostat> read_thermostat(Table& table, Reading& reading, const char* on,
                                                   const char* off) {
  if (!table.has(on) && !table.has(off)) return std::nullopt;
  const auto above = table.quantity(on);
  const auto below = table.quantity(off);
  if (!above.given || !below.given) {
    reading.error(
        "E0201", above.given ? above.key_at : below.key_at,
        fmt::format("`{}` needs `{}` beside it", above.given ? on : off, above.given ? off : on),
        "a switch needs both, some kelvins apart, or it would chatter");
    return std::nullopt;
  }
  if (!above.good || !below.good) return std::nullopt;
  // A pair of thresholds closer than this could not be told apart from numerical error.
  if (above.value - below.value < 0.01) {
    Problem& p = reading.error(
        "E0415", above.at,
        fmt::format("`{}` ({}) must be above `{}` ({})", on, above.typed, off, below.typed),
        "between the two the switch keeps its state");
    p.second = Second{below.at, "not below the first"};
    return std::nullopt;
  }
  return control::Thermostat{above.value, below.value};
}

void read_air(Reading& reading, const Value& root) {
  const Names fans = read_fans(reading, root);
  Names names("vent");
  for_each_table(reading, root, "vent", [&](Table& table) {
    Opening vent;
    const auto name = table.text("name");
    names.add(reading, name.value, name.at);
    vent.name = name.value;
    const auto wall = table.choice("wall");
    const auto along = table.quantity("along");
    const auto height = table.quantity("height");
    const auto width = table.quantity("width");
    const auto tall = table.quantity("tall");
    vent.wall = static_cast<Wall>(wall.value);
    vent.along_m = along.value;
    vent.height_m = height.value;
    vent.width_m = width.value;
    vent.tall_m = tall.value;
    if (wall.good && vent.wall != Wall::Roof)
      need(reading, table, "height", "its centre above the floor");
    if (wall.good && width.good && tall.good && (vent.wall == Wall::Roof || height.given)) {
      check_on_wall(reading, "vent", vent.name,
                    {vent.wall, along, height, width.value, tall.value});
    }
    vent.discharge_coefficient = read_discharge_coefficient(
        table, reading, {vent.name, width.good && tall.good ? vent.width_m / vent.tall_m : 1.0});
    vent.open_fraction = table.quantity("open_share").value;
    vent.opened_by = read_thermostat(table, reading, "on_above", "off_below");
    if (table.has("with_fan")) {
      vent.with_fan = fans.find(reading, table.text("with_fan"));
      if (vent.opened_by)
        reading.error("E0416", table.key_span("with_fan"),
                      fmt::format("vent `{}` obeys a fan and a thermostat", vent.name),
                      "keep one of them");
    }
    reading.house.openings.push_back(std::move(vent));
  });
  const House& house = reading.house;
  for (std::size_t i = 0; i < house.fans.size(); ++i) {
    if (house.fans[i].kind == FanKind::Exhaust && house.openings.empty()) {
      reading.warning("W0417", fans.at(i),
                      fmt::format("fan `{}` has no vent to draw through", house.fans[i].name),
                      "add [[vent]]; only leaks let air in");
    }
  }
}

}  // namespace mistwright::scenario
