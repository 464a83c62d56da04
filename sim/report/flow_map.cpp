#include "sim/report/flow_map.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "sim/report/words.h"

namespace mistwright::report {
namespace {

constexpr double width = 460.0, margin = 8.0;

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

std::string draw_layer(const FlowLayer& layer, const MapScale& scale,
                       const std::vector<Box>& benches_m, const std::string& name) {
  const double dx = spacing(layer.across_m), dy = spacing(layer.up_m);
  const double long_m = layer.across_m.back() + 0.5 * dx,
               tall_m = layer.up_m[highest_row(layer)] + 0.5 * dy;
  const double px = (width - 2.0 * margin) / long_m;
  const double height = px * tall_m + 2.0 * margin;
  Svg svg(width, height);
  const auto at = [&](double x_m, double y_m) {
    return Point{margin + px * x_m, height - margin - px * y_m};
  };
  std::vector<Box> cells;
  for (const double up_m : layer.up_m)
    for (const double across_m : layer.across_m) {
      const Point corner = at(across_m - 0.5 * dx, up_m + 0.5 * dy);
      cells.push_back({corner.x_px, corner.y_px, px * dx, px * dy});
    }
  paint_cells(svg, cells, layer.speed_m_per_s, scale);
  for (const Box& bench : benches_m) {
    const Point corner = at(bench.x_px, bench.y_px + bench.height_px);
    const Box outline{corner.x_px, corner.y_px, px * bench.width_px,
                      std::max(2.0, px * bench.height_px)};
    svg.rect(outline, "halo-line");
    svg.rect(outline, "bench-line");
  }
  // About twenty arrows along the house; the longest is as long as the space between two.
  const std::size_t every = std::max<std::size_t>(
      1, static_cast<std::size_t>(std::lround(static_cast<double>(layer.across_m.size()) / 18.0)));
  const double reach = 1.05 * px * dx * static_cast<double>(every);
  for (std::size_t r = every / 2; r < layer.up_m.size(); r += every)
    for (std::size_t c = every / 2; c < layer.across_m.size(); c += every) {
      const std::size_t i = layer.at(r, c);
      const double u = layer.across_m_per_s[i], v = layer.up_m_per_s[i], speed = std::hypot(u, v);
      if (!std::isfinite(speed) || !(speed > 0.02 * scale.high)) continue;
      // Length goes with the square root of speed, so that slow air is seen too.
      const double length = reach * std::sqrt(std::min(1.0, speed / scale.high));
      const Point centre = at(layer.across_m[c], layer.up_m[r]);
      const Point half{0.5 * length * u / speed, 0.5 * length * v / speed};
      svg.arrow({centre.x_px - half.x_px, centre.y_px + half.y_px},
                {centre.x_px + half.x_px, centre.y_px - half.y_px}, 5.0,
                layer.speed_m_per_s[i] > 0.55 * scale.high ? "wind light" : "wind");
    }
  svg.rect({margin, margin, px * long_m, px * tall_m}, "wall");
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

std::string draw(const FlowLayer& layer, const Plan& house, const std::vector<Box>& benches_m,
                 const std::string& name) {
  const MapScale scale = scale_of(layer);
  return draw_layer(layer, scale, benches_m, name) + house.colour_bar(bar_of(scale));
}

}  // namespace mistwright::report
