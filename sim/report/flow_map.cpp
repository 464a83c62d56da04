#include "sim/report/flow_map.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "sim/report/map_words.h"
#include "sim/report/streamlines.h"
#include "sim/report/words.h"

namespace mistwright::report {
namespace {

constexpr double side_px = 24.0, edge_px = 24.0;
constexpr double line_px = 15.0;         // between lines of flow
constexpr double head_every_px = 110.0;  // between arrowheads of a line

std::size_t nearest(const std::vector<double>& places, double wanted) {
  const auto it = std::min_element(places.begin(), places.end(), [&](double a, double b) {
    return std::abs(a - wanted) < std::abs(b - wanted);
  });
  return static_cast<std::size_t>(it - places.begin());
}

double spacing(const std::vector<double>& centres) {
  return centres.size() > 1 ? centres[1] - centres[0] : 0.2;
}

/// The highest row in which air is known: above it is the roof, or the sky.
std::size_t highest_row(const FlowLayer& layer) {
  for (std::size_t i = layer.speed_m_per_s.size(); i-- > 0;)
    if (std::isfinite(layer.speed_m_per_s[i])) return i / layer.across_m.size();
  return layer.up_m.size() - 1;
}

/// Where a section lies in its picture.
struct Frame {
  double dx_m, dy_m, long_m, tall_m, px, height;
  [[nodiscard]] Point at(double x_m, double y_m) const {
    return {side_px + px * x_m, height - edge_px - px * y_m};
  }
};

Frame frame_of(const FlowLayer& layer) {
  const double dx = spacing(layer.across_m), dy = spacing(layer.up_m);
  const double long_m = layer.across_m.back() + 0.5 * dx,
               tall_m = layer.up_m[highest_row(layer)] + 0.5 * dy;
  const double px = (picture_width_px - 2.0 * side_px) / long_m;
  return {dx, dy, long_m, tall_m, px, px * tall_m + 2.0 * edge_px};
}

/// Points of a line without those that lie within a quarter of a unit of the chord about them
/// (Ramer, Douglas and Peucker).
std::vector<Point> thinned(const std::vector<Point>& line) {
  std::vector<bool> kept(line.size(), false);
  kept.front() = kept.back() = true;
  std::vector<std::pair<std::size_t, std::size_t>> parts{{0, line.size() - 1}};
  while (!parts.empty()) {
    const auto [from, to] = parts.back();
    parts.pop_back();
    const double dx = line[to].x_px - line[from].x_px, dy = line[to].y_px - line[from].y_px;
    const double length = std::hypot(dx, dy);
    double most = 0.25;
    std::size_t farthest = from;
    for (std::size_t i = from + 1; i < to; ++i) {
      const double ax = line[i].x_px - line[from].x_px, ay = line[i].y_px - line[from].y_px;
      const double off = length > 0.5 ? std::abs(ax * dy - ay * dx) / length : std::hypot(ax, ay);
      if (off <= most) continue;
      most = off;
      farthest = i;
    }
    if (farthest == from) continue;
    kept[farthest] = true;
    parts.emplace_back(from, farthest);
    parts.emplace_back(farthest, to);
  }
  std::vector<Point> few;
  for (std::size_t i = 0; i < line.size(); ++i)
    if (kept[i]) few.push_back(line[i]);
  return few;
}

/// SVG path data of lines and arrowheads, those over dark colours (1) apart from the others (0).
struct Strokes {
  std::array<std::string, 2> lines, heads;

  void line(const std::vector<Point>& points, bool light) {
    if (points.size() < 2) return;
    // Steps from point to point take fewer letters than places; each starts where the last, as
    // rounded, ended.
    std::string& data = lines[light ? 1 : 0];
    const auto rounded = [](double px) { return std::round(10.0 * px) / 10.0; };
    Point pen{0.0, 0.0};
    char before = 'M';
    for (const Point& p : thinned(points)) {
      const Point step{rounded(p.x_px - pen.x_px), rounded(p.y_px - pen.y_px)};
      data += fmt::format("{}{}{}{}", before, short_number(step.x_px), step.y_px < 0.0 ? "" : " ",
                          short_number(step.y_px));
      pen = {pen.x_px + step.x_px, pen.y_px + step.y_px};
      before = before == 'M' ? 'l' : ' ';
    }
  }
  /// A head whose middle is `at`, pointing away from `from`.
  void head(const Point& from, const Point& at, bool light) {
    const double length = std::hypot(at.x_px - from.x_px, at.y_px - from.y_px);
    if (!(length > 0.0)) return;
    const double ux = (at.x_px - from.x_px) / length, uy = (at.y_px - from.y_px) / length;
    constexpr double half_long = 4.2, half_wide = 3.0;
    const auto corner = [&](double along, double aside) {
      return short_number(at.x_px + along * ux - aside * uy) + ' ' +
             short_number(at.y_px + along * uy + aside * ux);
    };
    heads[light ? 1 : 0] += "M" + corner(half_long, 0.0) + ' ' + corner(-half_long, half_wide) +
                            ' ' + corner(-half_long, -half_wide) + "z";
  }
};

void draw_streamlines(Svg& svg, const Frame& frame, const FlowLayer& layer,
                      const std::vector<double>& values, const MapScale& scale) {
  const PlaneFlow flow{layer.across_m.size(), layer.up_m.size(), frame.dx_m, frame.dy_m,
                       layer.across_m_per_s,  layer.up_m_per_s};
  const double apart_px = std::min(line_px, frame.px * frame.tall_m / 5.0);
  const double most = spread_of(layer.speed_m_per_s).high;
  Strokes strokes;
  const auto is_light = [&](const Place& p) {
    const std::size_t c = std::min(flow.columns - 1, static_cast<std::size_t>(p.x_m / flow.dx_m)),
                      r = std::min(flow.rows - 1, static_cast<std::size_t>(p.y_m / flow.dy_m));
    return values[layer.at(r, c)] > scale.low + 0.55 * (scale.high - scale.low);
  };
  for (const Streamline& line :
       streamlines(flow, {.spacing_m = apart_px / frame.px, .still_m_per_s = 1e-3 * most})) {
    std::vector<Point> run;
    bool light = is_light(line.points.front());
    double since_head_px = 0.5 * head_every_px;
    for (std::size_t i = 0; i < line.points.size(); ++i) {
      const Point p = frame.at(line.points[i].x_m, line.points[i].y_m);
      if (!run.empty()) {
        since_head_px += std::hypot(p.x_px - run.back().x_px, p.y_px - run.back().y_px);
        if (since_head_px > head_every_px) {
          strokes.head(run.back(), p, light);
          since_head_px = 0.0;
        }
      }
      run.push_back(p);
      if (is_light(line.points[i]) == light) continue;
      strokes.line(run, light);
      run = {p};
      light = !light;
    }
    strokes.line(run, light);
  }
  for (const std::size_t i : {0U, 1U}) {
    for (const auto& [what, data] :
         {std::pair{"stream", &strokes.lines[i]}, std::pair{"stream-head", &strokes.heads[i]}}) {
      if (data->empty()) continue;
      svg.open_group(fmt::format("class=\"{}{}\"", what, i == 1 ? " light" : ""));
      svg.path(*data);
      svg.close_group();
    }
  }
}

void name_mark(Svg& svg, const FlowMark& mark, const Box& box, double height) {
  const std::string name = shortened(mark.name, 22);
  const double middle_x = box.x_px + 0.5 * box.width_px;
  // Upright names stay within the picture.
  const double half_px = std::min(4.2 * static_cast<double>(name.size()), 0.5 * height);
  const double middle_y = std::clamp(box.y_px + 0.5 * box.height_px, half_px, height - half_px);
  switch (mark.side) {
    case Side::Left:
      return svg.text_up({side_px - 8.0, middle_y}, name, "tick");
    case Side::Right:
      return svg.text_up({picture_width_px - side_px + 17.0, middle_y}, name, "tick");
    case Side::Below:
      return svg.text({middle_x, box.y_px + box.height_px + 16.0}, name, Anchor::Middle, "tick");
    case Side::Above:
      return svg.text({middle_x, box.y_px - 8.0}, name, Anchor::Middle, "tick");
    case Side::Inside:
      if (mark.kind == MarkKind::Bench)
        return svg.text({box.x_px + 5.0, box.y_px + 15.0}, name, Anchor::Start, "on-map");
      return svg.text({middle_x, box.y_px - 6.0}, name, Anchor::Middle, "on-map");
  }
}

void draw_marks(Svg& svg, const Frame& frame, const std::vector<FlowMark>& marks) {
  for (const FlowMark& mark : marks) {
    const Point corner = frame.at(mark.box_m.x_px, mark.box_m.y_px + mark.box_m.height_px);
    Box box{corner.x_px, corner.y_px, frame.px * mark.box_m.width_px,
            frame.px * mark.box_m.height_px};
    const bool film = mark.kind == MarkKind::Skirt;
    const double least = film ? 1.0 : mark.kind == MarkKind::Bench ? 2.0 : 6.0;
    if (box.width_px < least) box = {box.x_px - 0.5 * least, box.y_px, least, box.height_px};
    if (box.height_px < least) box = {box.x_px, box.y_px - 0.5 * least, box.width_px, least};
    if (film || mark.kind == MarkKind::Bench ||
        (mark.side == Side::Inside && box.width_px > least && box.height_px > least)) {
      svg.rect(box, "halo-line");
      svg.rect(box, film || mark.kind == MarkKind::Bench ? "bench-line" : "outline");
    } else {
      svg.rect(box, mark.kind == MarkKind::Fan ? "fan" : "vent-bar");
    }
    if (!mark.name.empty()) name_mark(svg, mark, box, frame.height);
  }
}

/// Values held at the middles of twelve steps of a scale, so that equal air shows as bands.
std::vector<double> in_bands(std::vector<double> values, const MapScale& scale) {
  constexpr double bands = 12.0;
  const double step = (scale.high - scale.low) / bands;
  for (double& value : values)
    if (std::isfinite(value))
      value = scale.low +
              step * (0.5 + std::clamp(std::floor((value - scale.low) / step), 0.0, bands - 1.0));
  return values;
}

std::string draw_layer(const FlowLayer& layer, const MapScale& scale,
                       const std::vector<double>& all_values, const std::vector<FlowMark>& marks,
                       const std::string& name, bool lines) {
  const std::vector<double> values = in_bands(all_values, scale);
  const Frame frame = frame_of(layer);
  Svg svg(picture_width_px, frame.height);
  std::vector<Box> cells;
  for (const double up_m : layer.up_m)
    for (const double across_m : layer.across_m) {
      const Point corner = frame.at(across_m - 0.5 * frame.dx_m, up_m + 0.5 * frame.dy_m);
      cells.push_back({corner.x_px, corner.y_px, frame.px * frame.dx_m, frame.px * frame.dy_m});
    }
  paint_cells(svg, cells, values, scale);
  if (lines) draw_streamlines(svg, frame, layer, values, scale);
  svg.rect({side_px, edge_px, frame.px * frame.long_m, frame.px * frame.tall_m}, "wall");
  draw_marks(svg, frame, marks);
  return svg.finish(name, "map");
}

/// The fastest hundredth (jets at openings) is held at the ramp's end, so that the rest can be told
/// apart.
MapScale scale_of(const FlowLayer& layer) {
  std::vector<double> speeds;
  for (const double speed : layer.speed_m_per_s)
    if (std::isfinite(speed)) speeds.push_back(speed);
  std::sort(speeds.begin(), speeds.end());
  const double high =
      speeds.empty()
          ? 1.0
          : speeds[static_cast<std::size_t>(0.99 * static_cast<double>(speeds.size() - 1))];
  return {Ramp::Wet,        0.0,     round_ticks(0.0, std::max(high, 1e-6), 5).back(),
          "air speed, m/s", "still", "fastest"};
}

MapScale bar_of(MapScale scale) {
  if (scale.high < slow_m_per_s) {
    scale.high *= 1e3;
    scale.words = "air speed, mm/s";
  }
  return scale;
}

void add_cell(FlowLayer& layer, const record::Group& flow, std::size_t cell, const char* up) {
  const double u = flow.variable("u").values[cell], v = flow.variable("v").values[cell],
               w = flow.variable("w").values[cell];
  layer.across_m_per_s.push_back(u);
  layer.up_m_per_s.push_back(*up == 'v' ? v : w);
  layer.speed_m_per_s.push_back(std::hypot(u, v, w));
  layer.cells.push_back(cell);
}

}  // namespace

std::string speed_words(double speed_m_per_s) {
  if (speed_m_per_s < slow_m_per_s)
    return fmt::format("{} mm/s", number_words(1e3 * speed_m_per_s));
  return fmt::format("{:.2f} m/s", speed_m_per_s);
}

FlowLayer layer_from_above(const record::Group& flow, double height_m) {
  const auto &x = flow.variable("x").values, &y = flow.variable("y").values,
             &z = flow.variable("z").values;
  const std::size_t iz = nearest(z, height_m);
  FlowLayer layer{x, y, {}, {}, {}, z[iz]};
  for (std::size_t r = 0; r < y.size(); ++r)
    for (std::size_t c = 0; c < x.size(); ++c)
      add_cell(layer, flow, (iz * y.size() + r) * x.size() + c, "v");
  return layer;
}

FlowLayer layer_from_side(const record::Group& flow, double y_m) {
  const auto &x = flow.variable("x").values, &y = flow.variable("y").values,
             &z = flow.variable("z").values;
  const std::size_t iy = nearest(y, y_m);
  FlowLayer layer{x, z, {}, {}, {}, y[iy]};
  for (std::size_t r = 0; r < z.size(); ++r)
    for (std::size_t c = 0; c < x.size(); ++c)
      add_cell(layer, flow, (r * y.size() + iy) * x.size() + c, "w");
  return layer;
}

std::vector<double> layer_values(const FlowLayer& layer, const record::Variable& variable) {
  std::vector<double> values;
  values.reserve(layer.cells.size());
  for (const std::size_t cell : layer.cells) values.push_back(variable.values[cell]);
  return values;
}

std::string draw(const FlowLayer& layer, const Plan& house, const std::vector<FlowMark>& marks,
                 const std::string& name) {
  const MapScale scale = scale_of(layer);
  return draw_layer(layer, scale, layer.speed_m_per_s, marks, name, true) +
         house.colour_bar(bar_of(scale));
}

std::string draw(const FlowLayer& layer, const Plan& house, const std::vector<FlowMark>& marks,
                 const std::string& name, const std::vector<double>& values,
                 const MapScale& scale) {
  return draw_layer(layer, scale, values, marks, name, false) + house.colour_bar(scale);
}

std::string draw(const FlowLayer& layer, const std::vector<FlowMark>& marks,
                 const std::string& name, const std::vector<std::vector<Flights>>& by_kind) {
  const Frame frame = frame_of(layer);
  Svg svg(picture_width_px, frame.height);
  svg.rect({side_px, edge_px, frame.px * frame.long_m, frame.px * frame.tall_m}, "wall");
  draw_marks(svg, frame, marks);
  for (std::size_t kind = 0; kind < by_kind.size(); ++kind) {
    Strokes strokes;
    for (const Flights& flight : by_kind[kind]) {
      std::vector<Point> points;
      for (std::size_t i = 0; i < flight.across_m.size(); ++i)
        points.push_back(frame.at(flight.across_m[i], flight.up_m[i]));
      strokes.line(points, false);
    }
    svg.open_group(fmt::format("class=\"curve track c{}\"", kind + 1));
    svg.path(strokes.lines[0]);
    svg.close_group();
  }
  return svg.finish(name, "map");
}

}  // namespace mistwright::report
