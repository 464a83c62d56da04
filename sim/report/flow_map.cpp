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

/// A layer of cells with the two components of the air speed that lie in it.
struct Layer {
  std::vector<double> across, up;  ///< centres of columns and rows [m]
  std::vector<double> across_m_per_s, up_m_per_s,
      speed_m_per_s;  ///< row by row; speed is of all three components
  [[nodiscard]] std::size_t at(std::size_t row, std::size_t column) const {
    return row * across.size() + column;
  }
};

double spacing(const std::vector<double>& centres) {
  return centres.size() > 1 ? centres[1] - centres[0] : 0.2;
}

std::string draw_layer(const Layer& layer, const MapScale& scale, const std::vector<Box>& benches_m,
                       const std::string& name) {
  const double dx = spacing(layer.across), dy = spacing(layer.up);
  const double long_m = layer.across.back() + 0.5 * dx, tall_m = layer.up.back() + 0.5 * dy;
  const double px = (width - 2.0 * margin) / long_m;
  const double height = px * tall_m + 2.0 * margin;
  Svg svg(width, height);
  const auto at = [&](double x_m, double y_m) {
    return Point{margin + px * x_m, height - margin - px * y_m};
  };
  const auto colours = ramp_colours(scale.ramp, map_levels);
  std::vector<std::string> paths(map_levels);
  for (std::size_t r = 0; r < layer.up.size(); ++r)
    for (std::size_t c = 0; c < layer.across.size(); ++c) {
      const double speed = layer.speed_m_per_s[layer.at(r, c)];
      if (!std::isfinite(speed)) continue;
      const Point corner = at(layer.across[c] - 0.5 * dx, layer.up[r] + 0.5 * dy);
      paths[Plan::level(speed, scale)] +=
          fmt::format("M{:.1f} {:.1f}h{:.2f}v{:.2f}h-{:.2f}z", corner.x_px, corner.y_px,
                      px * dx + seam_px, px * dy + seam_px, px * dx + seam_px);
    }
  for (std::size_t i = 0; i < map_levels; ++i)
    if (!paths[i].empty()) {
      svg.open_group(fmt::format("class=\"cell\" fill=\"{}\"", colours[i]));
      svg.path(paths[i]);
      svg.close_group();
    }
  for (const Box& bench : benches_m) {
    const Point corner = at(bench.x_px, bench.y_px + bench.height_px);
    const Box outline{corner.x_px, corner.y_px, px * bench.width_px,
                      std::max(2.0, px * bench.height_px)};
    svg.rect(outline, "halo-line");
    svg.rect(outline, "bench-line");
  }
  // About twenty arrows along the house; the longest is as long as the space between two.
  const std::size_t every = std::max<std::size_t>(
      1, static_cast<std::size_t>(std::lround(static_cast<double>(layer.across.size()) / 18.0)));
  const double reach = 1.05 * px * dx * static_cast<double>(every);
  for (std::size_t r = every / 2; r < layer.up.size(); r += every)
    for (std::size_t c = every / 2; c < layer.across.size(); c += every) {
      const std::size_t i = layer.at(r, c);
      const double u = layer.across_m_per_s[i], v = layer.up_m_per_s[i], speed = std::hypot(u, v);
      if (!std::isfinite(speed) || !(speed > 0.02 * scale.high)) continue;
      // Length goes with the square root of speed, so that slow air is seen too.
      const double length = reach * std::sqrt(std::min(1.0, speed / scale.high));
      const Point centre = at(layer.across[c], layer.up[r]);
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
MapScale scale_of(const Layer& layer) {
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

constexpr double slow_m_per_s = 0.02;  // below it, speeds are told in mm/s

MapScale bar_of(MapScale scale) {
  if (scale.high < slow_m_per_s) {
    scale.high *= 1e3;
    scale.words = "air speed, mm/s";
  }
  return scale;
}

}  // namespace

std::string speed_words(double speed_m_per_s) {
  if (speed_m_per_s < slow_m_per_s)
    return fmt::format("{} mm/s", number_words(1e3 * speed_m_per_s));
  return fmt::format("{:.2f} m/s", speed_m_per_s);
}

FlowPictures draw_flow(const record::Group& flow, const Plan& house, double height_m, double y_m) {
  const auto &x = flow.variable("x").values, &y = flow.variable("y").values,
             &z = flow.variable("z").values;
  const auto &u = flow.variable("u").values, &v = flow.variable("v").values,
             &w = flow.variable("w").values;
  const std::size_t iz = nearest(z, height_m), iy = nearest(y, y_m);
  Layer plan{x, y, {}, {}, {}}, side{x, z, {}, {}, {}};
  const auto add = [&](Layer& layer, std::size_t cell, const std::vector<double>& up) {
    layer.across_m_per_s.push_back(u[cell]);
    layer.up_m_per_s.push_back(up[cell]);
    layer.speed_m_per_s.push_back(std::hypot(u[cell], v[cell], w[cell]));
  };
  for (std::size_t r = 0; r < y.size(); ++r)
    for (std::size_t c = 0; c < x.size(); ++c) add(plan, (iz * y.size() + r) * x.size() + c, v);
  for (std::size_t r = 0; r < z.size(); ++r)
    for (std::size_t c = 0; c < x.size(); ++c) add(side, (r * y.size() + iy) * x.size() + c, w);
  FlowPictures pictures;
  pictures.plan_height_m = z[iz];
  pictures.side_y_m = y[iy];
  double sum = 0.0;
  std::size_t count = 0;
  for (const double speed : plan.speed_m_per_s)
    if (std::isfinite(speed)) {
      sum += speed;
      ++count;
      pictures.top_speed_m_per_s = std::max(pictures.top_speed_m_per_s, speed);
    }
  pictures.mean_speed_m_per_s = count > 0 ? sum / static_cast<double>(count) : 0.0;
  std::vector<Box> from_above, from_side;
  for (const Places::Table& b : house.places().benches()) {
    from_above.push_back({b.x_m, b.y_m, b.length_m, b.width_m});
    from_side.push_back({b.x_m, b.height_m - 0.03, b.length_m, 0.03});
  }
  const auto with_bar = [&](const Layer& layer, const std::vector<Box>& benches_m,
                            const std::string& name) {
    const MapScale scale = scale_of(layer);
    return draw_layer(layer, scale, benches_m, name) + house.colour_bar(bar_of(scale));
  };
  const std::string words =
      flow.attributes.contains("regime") ? flow.attributes.at("regime") : flow.name;
  pictures.plan = with_bar(plan, from_above, "Air flow from above: " + words);
  pictures.side = with_bar(side, from_side, "Air flow from the side: " + words);
  return pictures;
}

}  // namespace mistwright::report
