#include <fmt/core.h>

#include "models/flow/vents.h"
#include "models/units.h"
#include "sim/scenario/readers.h"

namespace mistwright::scenario {
namespace {

/// In the order of the schema's words.
enum class VentKind { Plain, Door, Louvre, Flap, InsectScreen };

/// A coefficient with its honest range.
struct Coefficient {
  double value = 0.0, low = 0.0, high = 0.0;
  const char* evidence = "";
};

Coefficient spread(double value, double share, const char* evidence) {
  return {value, value * (1.0 - share), value * (1.0 + share), evidence};
}

/// How far the air on the two sides of a door differs where its coefficient is assumed.
constexpr double door_step_K = 10.0;

Coefficient coefficient_of(VentKind kind, double angle_rad, double width_to_tall_ratio) {
  switch (kind) {
    case VentKind::Plain:
      break;
    case VentKind::Door:
      return {flow::door_discharge_coefficient(door_step_K), 0.4, 0.65, "memory"};
    case VentKind::Louvre:
      return spread(flow::louvre_discharge_coefficient(angle_rad), 1.0 / 3.0, "derived");
    case VentKind::Flap:
      return spread(flow::flap_discharge_coefficient(angle_rad, width_to_tall_ratio), 0.25,
                    "memory");
    case VentKind::InsectScreen: {
      const auto behind = [](double screen) {
        return flow::in_series_coefficient(flow::plain_discharge_coefficient, screen);
      };
      return {behind(flow::usual_screen_coefficient), behind(flow::tightest_screen_coefficient),
              behind(flow::widest_screen_coefficient), "source"};
    }
  }
  return {flow::plain_discharge_coefficient, 0.5, 0.7, "memory"};
}

/// The angle of a louvre or flap; nothing can be said of the coefficient when it is not good.
Got<double> read_angle(Table& table, Reading& reading, VentKind kind, const std::string& name) {
  Got<double> angle = table.quantity("angle");
  if (angle.given) return angle;
  if (kind == VentKind::Louvre) {
    angle.value = radians(45.0);
    angle.good = true;
    reading.assume({fmt::format("vent.angle ({})", name), "45 degree", "30 degree", "60 degree",
                    "common practice", find_key("vent", "angle")->help});
  }
  if (kind == VentKind::Flap)
    reading.error("E0201", table.at(), "a vent with `kind` \"flap\" needs `angle`",
                  "how far it opens from shut, such as \"30 degree\"");
  return angle;
}

/// Whether `angle` stands where it means something.
bool angle_fits(Table& table, Reading& reading, const Got<std::size_t>& kind) {
  if (!table.has("angle")) return true;
  const bool turns = kind.given && (!kind.good || kind.value >= 2);
  const bool screen = kind.good && static_cast<VentKind>(kind.value) == VentKind::InsectScreen;
  if (!turns || screen) {
    reading.error("E0418", table.key_span("angle"),
                  "`angle` is for a vent with `kind` \"louvre\" or \"flap\"",
                  kind.given ? "leave it out, or change `kind`" : "add `kind`");
    return false;
  }
  if (!table.has("discharge_coefficient")) return true;
  reading.error("E0419", table.key_span("angle"),
                "`angle` and `discharge_coefficient` describe the same vent", "keep one of them");
  return false;
}

}  // namespace

double read_discharge_coefficient(Table& table, Reading& reading, const VentShape& vent) {
  const auto kind = table.choice("kind");
  const bool fits = angle_fits(table, reading, kind);
  if (table.has("discharge_coefficient") || !kind.given)
    return table.quantity("discharge_coefficient").value;
  if (!fits || !kind.good) return 0.0;
  const auto word = static_cast<VentKind>(kind.value);
  const bool turns = word == VentKind::Louvre || word == VentKind::Flap;
  Got<double> angle;
  if (turns) angle = read_angle(table, reading, word, vent.name);
  if (turns && !angle.good) return 0.0;
  const Coefficient found = coefficient_of(word, angle.value, vent.width_to_tall_ratio);
  const auto shown = [](double value) { return fmt::format("{:.3g}", value); };
  reading.assume({fmt::format("vent.discharge_coefficient ({})", vent.name), shown(found.value),
                  shown(found.low), shown(found.high), found.evidence,
                  fmt::format("of width times tall, as `kind` \"{}\" gives", kind.typed)});
  return found.value;
}

}  // namespace mistwright::scenario
