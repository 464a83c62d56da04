#include "sim/report/line_plot.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <iterator>

#include "sim/report/svg.h"
#include "sim/report/words.h"

namespace mistwright::report {
namespace {

constexpr double axis_px = 62.0, margin_px = 16.0, plot_height = 170.0, key_row_px = 18.0;
constexpr double character = 7.8;  // width of a letter, generous

/// A line sample and its word for each curve, in as many rows as they need. Returns where they end.
double draw_keys(Svg& svg, const std::vector<Curve>& curves, bool draw_them) {
  double x = axis_px, y = 34.0;
  for (std::size_t i = 0; i < curves.size(); ++i) {
    const double needed = 34.0 + character * static_cast<double>(curves[i].label.size());
    if (x > axis_px && x + needed > picture_width_px - 4.0) {
      x = axis_px;
      y += key_row_px;
    }
    if (draw_them) {
      svg.line({x, y - 4.0}, {x + 22.0, y - 4.0}, fmt::format("curve c{}", i + 1));
      svg.text({x + 27.0, y}, curves[i].label, Anchor::Start);
    }
    x += needed + 8.0;
  }
  return y + 12.0;
}

struct Range {
  double low = 0.0, high = 1.0;
};

/// From the least to the most of all that is drawn.
Range range_of(const LinePlot& plot) {
  std::vector<double> all;
  for (const Curve& curve : plot.curves)
    for (const auto* values : {&curve.values, &curve.low, &curve.high})
      std::copy_if(values->begin(), values->end(), std::back_inserter(all),
                   [](double value) { return std::isfinite(value); });
  if (all.empty()) return {};
  const auto [low, high] = std::minmax_element(all.begin(), all.end());
  return {plot.from_zero ? std::min(0.0, *low) : *low,
          plot.from_zero ? std::max(0.0, *high) : *high};
}

void draw_curve(Svg& svg, const LinePlot& plot, std::size_t i, const Scale& x, const Scale& y) {
  const Curve& curve = plot.curves[i];
  std::vector<Point> band;
  for (std::size_t k = 0; k < curve.high.size(); ++k)
    band.push_back({x(plot.elapsed_h[k]), y(curve.high[k])});
  for (std::size_t k = curve.low.size(); k-- > 0;)
    band.push_back({x(plot.elapsed_h[k]), y(curve.low[k])});
  if (!band.empty()) svg.polygon(band, fmt::format("area a{}", i + 1));
  std::vector<Point> points;
  for (std::size_t k = 0; k < curve.values.size() && k < plot.elapsed_h.size(); ++k)
    if (std::isfinite(curve.values[k]))
      points.push_back({x(plot.elapsed_h[k]), y(curve.values[k])});
  svg.polyline(points, fmt::format("curve c{}", i + 1));
}

}  // namespace

void draw_hours(Svg& svg, const HourGrid& grid) {
  const Scale& x = grid.x;
  const double last = grid.first_hour_h + x.high;
  const bool days = x.high > 30.0;
  const double step = days ? 24.0 : x.high > 12.0 ? 6.0 : 2.0;
  const auto first_tick = static_cast<long>(std::ceil(grid.first_hour_h / step - 1e-9));
  const auto last_tick = static_cast<long>(std::floor(last / step + 1e-9));
  for (long tick = first_tick; tick <= last_tick; ++tick) {
    const double hour = static_cast<double>(tick) * step;
    const double at = x(hour - grid.first_hour_h);
    svg.line({at, grid.top_px}, {at, grid.bottom_px}, "grid");
    const std::string words = days ? fmt::format("day {:.0f}", hour / 24.0 + 1.0)
                                   : clock_words(hour >= 24.0 && hour < last ? hour - 24.0 : hour);
    const Anchor anchor = at > picture_width_px - margin_px - 16.0 ? Anchor::End : Anchor::Middle;
    svg.text({anchor == Anchor::End ? at + 8.0 : at, grid.bottom_px + 17.0}, words, anchor, "tick");
  }
}

std::string draw(const LinePlot& plot) {
  Svg measure(picture_width_px, 1.0);
  const double top = draw_keys(measure, plot.curves, false), bottom = top + plot_height;
  Svg svg(picture_width_px, bottom + 26.0);
  const Range range = range_of(plot);
  const std::vector<double> ticks = round_ticks(range.low, range.high, 5);
  const double step = ticks.size() > 1 ? ticks[1] - ticks[0] : 1.0;
  const Scale y{ticks.front(), ticks.back(), bottom, top};
  const Scale x{0.0, std::max(plot.end_h, 1e-6), axis_px, picture_width_px - margin_px};
  svg.text({4.0, 14.0}, plot.value_words, Anchor::Start, "axis");
  for (const double tick : ticks) {
    svg.line({axis_px, y(tick)}, {picture_width_px - margin_px, y(tick)}, "grid");
    const std::string words = tick_words(tick, step);
    svg.text({axis_px - 6.0, y(tick) + 4.0},
             plot.second_unit ? words + plot.second_unit(tick) : words, Anchor::End, "tick");
  }
  draw_hours(svg, {plot.first_hour_h, x, top, bottom});
  draw_keys(svg, plot.curves, true);
  for (std::size_t i = 0; i < plot.curves.size(); ++i) draw_curve(svg, plot, i, x, y);
  return svg.finish(plot.name);
}

}  // namespace mistwright::report
