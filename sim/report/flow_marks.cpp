#include "sim/report/flow_marks.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "sim/report/words.h"

namespace mistwright::report {
namespace {

using record::Group;

constexpr double bench_thick_m = 0.03;

/// Something in a wall or, a fan, inside the house.
struct Way {
  MarkKind kind;
  std::string name, wall;
  double x_m, y_m, z_m, wide_m, tall_m;
};

std::vector<Way> ways_of(const Group* house) {
  std::vector<Way> ways;
  if (house == nullptr) return ways;
  const auto number = [&](const char* name, std::size_t i) {
    return house->variable(name).values[i];
  };
  for (std::size_t i = 0; i < house->variable("opening").values.size(); ++i)
    ways.push_back({MarkKind::Opening, flag_word(house->variable("opening"), i),
                    flag_word(house->variable("opening_wall"), i), number("opening_x", i),
                    number("opening_y", i), number("opening_z", i), number("opening_width", i),
                    number("opening_tall", i)});
  for (std::size_t i = 0; i < house->variable("fan").values.size(); ++i)
    ways.push_back({MarkKind::Fan, flag_word(house->variable("fan"), i),
                    flag_word(house->variable("fan_wall"), i), number("fan_x", i),
                    number("fan_y", i), number("fan_z", i), number("fan_diameter", i),
                    number("fan_diameter", i)});
  return ways;
}

Side side_from_above(const std::string& wall) {
  if (wall == "front") return Side::Left;
  if (wall == "back") return Side::Right;
  if (wall == "right") return Side::Below;
  return wall == "left" ? Side::Above : Side::Inside;
}

/// The middle of something in a picture.
struct Middle {
  double across_m, up_m;
};

/// A size, wide and tall.
struct Size {
  double wide_m, tall_m;
};

Box about(const Middle& centre, const Size& size) {
  return {centre.across_m - 0.5 * size.wide_m, centre.up_m - 0.5 * size.tall_m, size.wide_m,
          size.tall_m};
}

/// Which cells of the flow's grid along one axis lie within `half_m` of a centre; at least the
/// nearest.
std::vector<std::size_t> within(const std::vector<double>& places_m, double centre_m,
                                double half_m) {
  std::vector<std::size_t> found;
  std::size_t nearest = 0;
  for (std::size_t i = 0; i < places_m.size(); ++i) {
    if (std::abs(places_m[i] - centre_m) <= half_m) found.push_back(i);
    if (std::abs(places_m[i] - centre_m) < std::abs(places_m[nearest] - centre_m)) nearest = i;
  }
  if (found.empty()) found.push_back(nearest);
  return found;
}

/// The mean of what is finite.
struct Mean {
  double sum = 0.0, count = 0.0;
  void add(double value) {
    if (!std::isfinite(value)) return;
    sum += value;
    count += 1.0;
  }
  [[nodiscard]] double value() const { return count > 0.0 ? sum / count : 0.0; }
};

/// Which cells along x, y and z touch a way.
struct Touched {
  std::vector<std::size_t> columns, rows, heights;
};

Touched touched_by(const Group& flow, const Way& way) {
  const auto &x = flow.variable("x").values, &y = flow.variable("y").values,
             &z = flow.variable("z").values;
  const bool ends = way.wall == "front" || way.wall == "back", roof = way.wall == "roof";
  const bool sides = way.wall == "right" || way.wall == "left";
  Touched touched;
  touched.columns = within(x, way.x_m, 0.5 * way.wide_m);
  if (ends) touched.columns = {way.wall == "front" ? 0 : x.size() - 1};
  touched.rows = within(y, way.y_m, 0.5 * (roof ? way.tall_m : way.wide_m));
  if (sides) touched.rows = {way.wall == "right" ? 0 : y.size() - 1};
  touched.heights = within(z, way.z_m, roof ? 1e9 : 0.5 * way.tall_m);
  return touched;
}

/// Mean speed into the house [m/s] in the cells that touch a way; 0 for a fan that stirs.
double inward_m_per_s(const Group& flow, const Way& way) {
  const char* across = nullptr;
  if (way.wall == "front" || way.wall == "back") across = "u";
  if (way.wall == "right" || way.wall == "left") across = "v";
  if (way.wall == "roof") across = "w";
  if (across == nullptr) return 0.0;
  const auto& speed = flow.variable(across).values;
  const std::size_t nx = flow.variable("x").values.size(), ny = flow.variable("y").values.size();
  const Touched touched = touched_by(flow, way);
  Mean mean;
  for (const std::size_t j : touched.rows)
    for (const std::size_t i : touched.columns) {
      double highest = std::nan("");
      for (const std::size_t k : touched.heights) {
        const double value = speed[(k * ny + j) * nx + i];
        if (way.wall != "roof") mean.add(value);
        if (std::isfinite(value)) highest = value;
      }
      if (way.wall == "roof") mean.add(highest);
    }
  return (way.wall == "front" || way.wall == "right" ? 1.0 : -1.0) * mean.value();
}

/// False where the regime's words say that the way is shut or off: air that stirs beside it does
/// not pass it.
bool stands_open(const Group& flow, const Way& way) {
  const auto words = flow.attributes.find("regime");
  if (words == flow.attributes.end()) return true;
  const std::string all = "; " + words->second + ";";
  const auto says = [&](const char* state) {
    return all.find("; " + way.name + state) != std::string::npos;
  };
  return !says(" shut;") && !says(" off;");
}

}  // namespace

std::vector<FlowMark> marks_from_above(const Places& places, const Group* house) {
  std::vector<FlowMark> marks;
  for (const Places::Table& b : places.benches())
    marks.push_back({MarkKind::Bench, Side::Inside, {b.x_m, b.y_m, b.length_m, b.width_m}, b.name});
  for (const Way& way : ways_of(house)) {
    if (way.wall == "roof") continue;
    const bool ends = way.wall == "front" || way.wall == "back" || way.wall == "inside";
    marks.push_back({way.kind, side_from_above(way.wall),
                     about({way.x_m, way.y_m}, {ends ? 0.0 : way.wide_m, ends ? way.wide_m : 0.0}),
                     way.name});
  }
  return marks;
}

std::vector<FlowMark> marks_from_side(const Places& places, const Group* house) {
  std::vector<FlowMark> marks;
  for (const Places::Table& b : places.benches())
    marks.push_back({MarkKind::Bench,
                     Side::Inside,
                     {b.x_m, b.height_m - bench_thick_m, b.length_m, bench_thick_m},
                     {}});
  for (const Places::Table& b : places.benches())
    for (const double x_m : {b.x_m, b.x_m + b.length_m})
      if (b.skirt_m > 0.0)
        marks.push_back({MarkKind::Skirt, Side::Inside, {x_m, b.height_m, 0.0, b.skirt_m}, {}});
  for (const Way& way : ways_of(house)) {
    const bool ends = way.wall == "front" || way.wall == "back";
    if (way.wall == "roof") continue;
    marks.push_back({way.kind, ends ? side_from_above(way.wall) : Side::Inside,
                     about({way.x_m, way.z_m}, {ends ? 0.0 : way.wide_m, way.tall_m}),
                     ends ? way.name : std::string()});
  }
  return marks;
}

std::string ways_words(const Group& flow, const Group* house) {
  const std::vector<Way> ways = ways_of(house);
  std::vector<double> inward;
  double most = 0.0;
  for (const Way& way : ways) {
    inward.push_back(stands_open(flow, way) ? inward_m_per_s(flow, way) : 0.0);
    most = std::max(most, std::abs(inward.back()));
  }
  std::vector<std::string> in, out;
  for (std::size_t i = 0; i < ways.size(); ++i)
    if (std::abs(inward[i]) > std::max(0.05 * most, 0.01))
      (inward[i] > 0.0 ? in : out).push_back("the " + ways[i].name);
  if (in.empty() && out.empty()) return "Air comes and goes by cracks alone.";
  return fmt::format("Air comes in by {} and goes out by {}.",
                     in.empty() ? "cracks" : list_words(in),
                     out.empty() ? "cracks" : list_words(out));
}

}  // namespace mistwright::report
