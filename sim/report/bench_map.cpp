#include "sim/report/bench_map.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "sim/report/words.h"

namespace mistwright::report {

namespace {

/// Ticks of a colour bar that lie within it.
std::vector<double> bar_ticks(const MapScale& scale) {
  std::vector<double> ticks = round_ticks(scale.low, scale.high, 5);
  const double slack = 1e-6 * (scale.high - scale.low);
  ticks.erase(
      std::remove_if(ticks.begin(), ticks.end(),
                     [&](double t) { return t < scale.low - slack || t > scale.high + slack; }),
      ticks.end());
  return ticks;
}

void draw_bar(Svg& svg, const MapScale& scale, double top) {
  constexpr double from = 20.0, to = picture_width_px - 20.0, height = 12.0;
  const auto colours = ramp_colours(scale.ramp, map_levels);
  svg.text({from, top - 6.0}, scale.words, Anchor::Start, "axis");
  const double step_px = (to - from) / static_cast<double>(map_levels);
  // Each colour runs on to the end, under those after it.
  svg.open_group(fmt::format("stroke-width=\"{}\"", height));
  for (std::size_t i = 0; i < map_levels; ++i) {
    const double start = from + step_px * static_cast<double>(i);
    svg.stroke(fmt::format("M{} {}H{}", short_number(start), short_number(top + 0.5 * height), to),
               colours[i]);
  }
  svg.close_group();
  svg.rect({from, top, to - from, height}, "frame");
  const std::vector<double> ticks = bar_ticks(scale);
  const Scale place{scale.low, scale.high, from, to};
  for (const double tick : ticks) {
    svg.line({place(tick), top + height}, {place(tick), top + height + 4.0}, "frame");
    svg.text({place(tick), top + height + 17.0},
             tick_words(tick, ticks.size() > 1 ? ticks[1] - ticks[0] : 1.0), Anchor::Middle,
             "tick");
  }
  svg.text({from, top + height + 32.0}, scale.low_words, Anchor::Start, "tick");
  svg.text({to, top + height + 32.0}, scale.high_words, Anchor::End, "tick");
}

/// Half the size in the picture of something in a wall: `half_px` along it, `deep_px` through it.
Point along_wall(const std::string& wall, double half_px, double deep_px) {
  const bool along_house = wall == "right" || wall == "left";
  return along_house ? Point{half_px, deep_px} : Point{deep_px, half_px};
}

/// The name of something in a wall, outside the house.
void label_outside(Svg& svg, const Point& at, const std::string& wall, const std::string& name) {
  if (wall == "front") svg.text_up({at.x_px - 8.0, at.y_px}, name, "tick");
  if (wall == "back") svg.text_up({at.x_px + 18.0, at.y_px}, name, "tick");
  if (wall == "right") svg.text({at.x_px, at.y_px + 17.0}, name, Anchor::Middle, "tick");
  if (wall == "left") svg.text({at.x_px, at.y_px - 8.0}, name, Anchor::Middle, "tick");
}

/// Whether two places in the picture are one.
bool near(double a_px, double b_px) {
  return std::abs(a_px - b_px) < 0.01;
}

/// Adds a box, as one with the box below or above it that is as wide and in line with it.
void stack(const Box& box, std::vector<Box>& boxes) {
  for (Box& other : boxes) {
    if (!near(other.x_px, box.x_px) || !near(other.width_px, box.width_px)) continue;
    const bool above = near(box.y_px + box.height_px, other.y_px);
    if (!above && !near(other.y_px + other.height_px, box.y_px)) continue;
    if (above) other.y_px = box.y_px;
    other.height_px += box.height_px;
    return;
  }
  boxes.push_back(box);
}

/// Columns of a line of words below a picture.
constexpr std::size_t legend_columns = 64;

/// Words broken at blanks; lines after the first are set in.
std::vector<std::string> lines_of(const std::string& words, std::size_t columns) {
  std::vector<std::string> lines{""};
  for (const std::string& word : unbroken_words(words)) {
    if (!lines.back().empty() && lines.back().size() + 1 + word.size() > columns)
      lines.emplace_back("\u00a0\u00a0\u00a0");
    lines.back() += (lines.back().empty() ? "" : " ") + word;
  }
  return lines;
}

}  // namespace

void paint_cells(Svg& svg, const std::vector<Box>& cells, const std::vector<double>& values,
                 const MapScale& scale) {
  if (cells.empty()) return;
  std::vector<std::vector<Box>> painted(map_levels);
  for (std::size_t c = 0; c < cells.size(); ++c) {
    if (!std::isfinite(values[c])) continue;
    const std::size_t level = Plan::level(values[c], scale);
    Box box = cells[c];
    const auto goes_on = [&](std::size_t next) {
      return next < cells.size() && std::isfinite(values[next]) &&
             Plan::level(values[next], scale) == level && near(cells[next].y_px, box.y_px) &&
             near(cells[next].x_px, box.x_px + box.width_px);
    };
    for (; goes_on(c + 1); ++c) box.width_px += cells[c + 1].width_px;
    stack(box, painted[level]);
  }
  // In units of the first cell, so that most numbers are whole and short.
  const Box& unit = cells.front();
  const auto in_units = [](double length_px, double unit_px) {
    std::string text = fmt::format("{:.3f}", length_px / unit_px);
    while (text.back() == '0') text.pop_back();
    if (text.back() == '.') text.pop_back();
    return text == "-0" ? std::string("0") : text;
  };
  const auto colours = ramp_colours(scale.ramp, map_levels);
  for (std::size_t i = 0; i < map_levels; ++i) {
    if (painted[i].empty()) continue;
    std::string path;
    for (const Box& box : painted[i]) {
      const std::string wide = in_units(box.width_px, unit.width_px);
      path += fmt::format("M{} {}h{}v{}h-{}z", in_units(box.x_px - unit.x_px, unit.width_px),
                          in_units(box.y_px - unit.y_px, unit.height_px), wide,
                          in_units(box.height_px, unit.height_px), wide);
    }
    // The outline, always half a pixel wide, hides the seams between cells.
    svg.open_group(fmt::format(
        "class=\"cell\" fill=\"{0}\" stroke=\"{0}\" transform=\"translate({1:.2f} {2:.2f}) "
        "scale({3:.3f} {4:.3f})\"",
        colours[i], unit.x_px, unit.y_px, unit.width_px, unit.height_px));
    svg.path(path);
    svg.close_group();
  }
}

/// Metres of the plan to units of the picture: x to the right, y upwards.
struct Plan::View {
  double left = 0.0, bottom = 0.0, scale = 1.0;
  double start = 0.0, end = 0.0;  ///< top and bottom of what is shown, for close views
  [[nodiscard]] Point at(double x_m, double y_m) const {
    return {left + scale * x_m, bottom - scale * y_m};
  }
};

Plan::Plan(const record::Record& record) : house_(record.find("house")), places_(record) {
  const record::Group& bench = record.group("bench");
  x_m_ = bench.variable("x").values;
  y_m_ = bench.variable("y").values;
  const auto& area = bench.variable("area").values;
  edge_m_ = attribute_number(bench, "cell_edge_m", area.empty() ? 0.1 : std::sqrt(area.front()));
  if (house_ != nullptr) {
    length_m_ = attribute_number(*house_, "length_m", 1.0);
    width_m_ = attribute_number(*house_, "width_m", 1.0);
    bearing_rad_ = attribute_number(*house_, "bearing_of_x_rad", 0.0);
  }
}

Plan::View Plan::view(double top_px, double side_px) const {
  const double scale = std::min((picture_width_px - 2.0 * side_px) / length_m_, 380.0 / width_m_);
  return {0.5 * (picture_width_px - scale * length_m_), top_px + scale * width_m_, scale};
}

/// The benches alone, as large as the picture is wide.
Plan::View Plan::close_view(double top_px) const {
  if (x_m_.empty()) return view(top_px, 4.0);
  const auto [x_low, x_high] = std::minmax_element(x_m_.begin(), x_m_.end());
  const auto [y_low, y_high] = std::minmax_element(y_m_.begin(), y_m_.end());
  const double long_m = *x_high - *x_low + edge_m_, wide_m = *y_high - *y_low + edge_m_;
  const double scale = std::min((picture_width_px - 8.0) / long_m, 420.0 / wide_m);
  const double left = 0.5 * (picture_width_px - scale * long_m) - scale * (*x_low - 0.5 * edge_m_);
  return {left, top_px + scale * (*y_high + 0.5 * edge_m_), scale, top_px, top_px + scale * wide_m};
}

std::size_t Plan::level(double value, const MapScale& scale) {
  const double share = (value - scale.low) / (scale.high - scale.low);
  const double place = std::floor(std::clamp(std::isfinite(share) ? share : 0.0, 0.0, 1.0) *
                                  static_cast<double>(map_levels));
  return std::min(map_levels - 1, static_cast<std::size_t>(place));
}

void Plan::draw_house(Svg& svg, const View& v) const {
  const Point corner = v.at(0.0, width_m_);
  svg.rect({corner.x_px, corner.y_px, v.scale * length_m_, v.scale * width_m_}, "wall");
}

void Plan::draw_cells(Svg& svg, const View& v, const std::vector<double>& values,
                      const MapScale& scale) const {
  const double size = v.scale * edge_m_;
  std::vector<Box> cells;
  for (std::size_t c = 0; c < values.size(); ++c) {
    const Point corner = v.at(x_m_[c] - 0.5 * edge_m_, y_m_[c] + 0.5 * edge_m_);
    cells.push_back({corner.x_px, corner.y_px, size, size});
  }
  paint_cells(svg, cells, values, scale);
  for (const Places::Table& b : places_.benches()) {
    const Point corner = v.at(b.x_m, b.y_m + b.width_m);
    svg.rect({corner.x_px, corner.y_px, v.scale * b.length_m, v.scale * b.width_m}, "frame");
  }
}

void Plan::draw_heads(Svg& svg, const View& v) const {
  for (const Places::Spot& head : places_.heads()) {
    const Point at = v.at(head.x_m, head.y_m);
    svg.circle(at, 4.0, "head");
    const std::string name = head.name.starts_with("head ") ? head.name.substr(5) : head.name;
    if (name.size() <= 3) svg.text({at.x_px + 6.0, at.y_px - 4.0}, name, Anchor::Start, "on-map");
  }
}

void Plan::draw_air(Svg& svg, const View& v) const {
  if (house_ == nullptr) return;
  const auto place = [&](const std::string& kind, std::size_t i) {
    return v.at(house_->variable(kind + "_x").values[i], house_->variable(kind + "_y").values[i]);
  };
  for (std::size_t i = 0; i < house_->variable("opening").values.size(); ++i) {
    const std::string wall = flag_word(house_->variable("opening_wall"), i);
    if (wall == "roof") continue;
    const Point at = place("opening", i);
    const Point half =
        along_wall(wall, 0.5 * v.scale * house_->variable("opening_width").values[i], 0.0);
    svg.line({at.x_px - half.x_px, at.y_px - half.y_px}, {at.x_px + half.x_px, at.y_px + half.y_px},
             "vent");
    label_outside(svg, at, wall, shortened(flag_word(house_->variable("opening"), i), 22));
  }
  for (std::size_t i = 0; i < house_->variable("fan").values.size(); ++i) {
    const std::string wall = flag_word(house_->variable("fan_wall"), i);
    const Point at = place("fan", i);
    const Point half = along_wall(
        wall, std::max(5.0, 0.5 * v.scale * house_->variable("fan_diameter").values[i]), 4.0);
    svg.rect({at.x_px - half.x_px, at.y_px - half.y_px, 2.0 * half.x_px, 2.0 * half.y_px}, "fan");
    label_outside(svg, at, wall, shortened(flag_word(house_->variable("fan"), i), 22));
  }
}

void Plan::draw_change(Svg& svg, const View& v, const PlannedChange& change,
                       const std::string& number) const {
  if (!change.has_place) return;
  const Point from = v.at(change.from_x_m, change.from_y_m),
              to = v.at(change.to_x_m, change.to_y_m);
  const bool moves = std::hypot(to.x_px - from.x_px, to.y_px - from.y_px) >= 1.0;
  if (moves) {
    svg.arrow(from, to, 8.0, "change-halo");
    svg.arrow(from, to, 8.0, "change");
  } else {
    svg.circle(to, 6.0, "change-halo");
    svg.circle(to, 6.0, "change");
  }
  svg.text({to.x_px + (moves ? -4.0 : 8.0), to.y_px + (moves ? 17.0 : -7.0)}, number, Anchor::Start,
           "on-map strong");
}

void Plan::draw_north_and_metre(Svg& svg, const View& v) const {
  // North: bearing 0 lies at the angle of the house's own bearing, counted from x against the
  // clock.
  const Point centre{picture_width_px - 34.0, 22.0};
  const Point tip{centre.x_px + 13.0 * std::cos(bearing_rad_),
                  centre.y_px - 13.0 * std::sin(bearing_rad_)};
  svg.arrow({2.0 * centre.x_px - tip.x_px, 2.0 * centre.y_px - tip.y_px}, tip, 9.0, "compass");
  svg.text({centre.x_px - 20.0, centre.y_px + 5.0}, "north", Anchor::End, "tick");
  for (const auto& [from, to] :
       {std::pair{Point{22.0, 18.0}, Point{22.0 + v.scale, 18.0}},
        std::pair{Point{22.0, 14.0}, Point{22.0, 22.0}},
        std::pair{Point{22.0 + v.scale, 14.0}, Point{22.0 + v.scale, 22.0}}})
    svg.line(from, to, "compass");
  svg.text({28.0 + v.scale, 22.0}, "1 m", Anchor::Start, "tick");
}

std::string Plan::full(const std::string& name, const std::vector<double>& values,
                       const MapScale& scale, bool marks, const std::string& unit) const {
  const View v = view(44.0, 30.0);
  const double below = v.bottom + 26.0;
  Svg svg(picture_width_px, below + 84.0);
  draw_house(svg, v);
  draw_cells(svg, v, values, scale);
  for (const Places::Table& b : places_.benches())
    svg.text({v.at(b.x_m, 0.0).x_px, v.at(0.0, b.y_m + b.width_m).y_px - 5.0},
             shortened(b.name, 30), Anchor::Start);
  draw_air(svg, v);
  draw_heads(svg, v);
  if (marks && !values.empty()) {
    const auto ring = [&](std::vector<double>::const_iterator at, const char* word) {
      const auto c = static_cast<std::size_t>(at - values.begin());
      const Point centre = v.at(x_m_[c], y_m_[c]);
      svg.circle(centre, 8.0, "halo");
      svg.circle(centre, 8.0, "ring");
      const bool left = centre.x_px > picture_width_px - 120.0;
      svg.text({centre.x_px + (left ? -12.0 : 12.0), centre.y_px + 4.0},
               unit.empty() ? word : fmt::format("{} {:.0f} {}", word, *at, unit),
               left ? Anchor::End : Anchor::Start, "on-map strong");
    };
    ring(std::max_element(values.begin(), values.end()), "worst");
    ring(std::min_element(values.begin(), values.end()), "best");
  }
  draw_north_and_metre(svg, v);
  draw_bar(svg, scale, below + 24.0);
  return svg.finish(name, "map");
}

std::string Plan::small(const std::string& name, const std::vector<double>& values,
                        const MapScale& scale, const std::string& title,
                        const std::vector<MapLabel>& labels) const {
  const View v = close_view(title.empty() ? 20.0 : 36.0);
  Svg svg(picture_width_px, v.end + 4.0);
  if (!title.empty()) svg.text({4.0, 27.0}, title, Anchor::Start, "axis");
  if (values.empty()) {
    svg.open_group("class=\"cells\"");
    svg.close_group();
  }
  draw_cells(svg, v, values, scale);
  for (const Places::Spot& head : places_.heads()) {
    const Point at = v.at(head.x_m, head.y_m);
    if (at.y_px > v.start && at.y_px < v.end) svg.circle(at, 4.0, "head");
  }
  for (const Places::Table& b : places_.benches()) {
    const Point corner = v.at(b.x_m, b.y_m + b.width_m);
    if (title.empty() && corner.y_px > v.start - 1.0 && corner.y_px < v.end)
      svg.text({corner.x_px, corner.y_px - 5.0}, shortened(b.name, 30), Anchor::Start, "tick");
  }
  for (const MapLabel& label : labels)
    if (v.scale * label.room_m > 60.0)
      svg.text(v.at(label.x_m, label.y_m), label.words, Anchor::Middle, "on-map third");
  return svg.finish(name, "map");
}

/// A grid over the whole house, its walls, and the benches' outlines.
void Plan::draw_grid(Svg& svg, const View& v, const Grid& grid, const MapScale& scale) const {
  const double dx = length_m_ / static_cast<double>(grid.x_m.size()),
               dy = width_m_ / static_cast<double>(grid.y_m.size());
  std::vector<Box> cells;
  for (std::size_t j = 0; j < grid.y_m.size(); ++j)
    for (std::size_t i = 0; i < grid.x_m.size(); ++i) {
      const Point corner = v.at(dx * static_cast<double>(i), dy * static_cast<double>(j + 1));
      cells.push_back({corner.x_px, corner.y_px, v.scale * dx, v.scale * dy});
    }
  paint_cells(svg, cells, grid.values, scale);
  draw_house(svg, v);
  for (const Places::Table& b : places_.benches()) {
    const Point corner = v.at(b.x_m, b.y_m + b.width_m);
    svg.rect({corner.x_px, corner.y_px, v.scale * b.length_m, v.scale * b.width_m}, "outline");
  }
}

std::string Plan::gridded(const std::string& name, const Grid& grid, const MapScale& scale) const {
  const View v = view(44.0, 30.0);
  Svg svg(picture_width_px, v.bottom + 26.0);
  draw_grid(svg, v, grid, scale);
  const double dx = length_m_ / static_cast<double>(grid.x_m.size()),
               dy = width_m_ / static_cast<double>(grid.y_m.size());
  const auto each = [&](const auto& act) {
    for (std::size_t j = 0; j < grid.y_m.size(); ++j)
      for (std::size_t i = 0; i < grid.x_m.size(); ++i)
        act(i, j, grid.values[j * grid.x_m.size() + i]);
  };
  if (v.scale * dx > 38.0 && v.scale * dy > 22.0)
    each([&](std::size_t i, std::size_t j, double value) {
      const Point centre =
          v.at(dx * (static_cast<double>(i) + 0.5), dy * (static_cast<double>(j) + 0.5));
      svg.text({centre.x_px, centre.y_px + 5.0}, fmt::format("{:.{}f}", value, grid.decimals),
               Anchor::Middle, "on-map");
    });
  draw_air(svg, v);
  draw_north_and_metre(svg, v);
  return svg.finish(name, "map") + colour_bar(scale);
}

std::string Plan::with_changes(const std::string& name, const Grid& grid, const MapScale& scale,
                               const Chosen& chosen) const {
  const View v = view(44.0, 30.0);
  const double below = v.bottom + 26.0;
  std::vector<std::string> lines;
  for (std::size_t n = 0; n < chosen.changes.size(); ++n)
    for (const std::string& line :
         lines_of(fmt::format("{}  {}", n + 1, chosen.changes[n].words), legend_columns))
      lines.push_back(line);
  constexpr double line_px = 16.0;
  Svg svg(picture_width_px, below + 92.0 + line_px * static_cast<double>(lines.size()));
  draw_grid(svg, v, grid, scale);
  const double size = v.scale * edge_m_;
  for (const std::size_t c : chosen.cells) {
    const Point corner = v.at(x_m_[c] - 0.5 * edge_m_, y_m_[c] + 0.5 * edge_m_);
    svg.rect({corner.x_px + 1.0, corner.y_px + 1.0, size - 2.0, size - 2.0}, "driest");
  }
  draw_air(svg, v);
  draw_heads(svg, v);
  const Point worst = v.at(x_m_[chosen.worst], y_m_[chosen.worst]);
  svg.circle(worst, 8.0, "halo");
  svg.circle(worst, 8.0, "ring");
  // Words stand on the side of the nearer end of the house, out of the way of what is in its
  // middle.
  const bool left = worst.x_px < 0.5 * picture_width_px && worst.x_px > 100.0;
  svg.text({worst.x_px + (left ? -12.0 : 12.0), worst.y_px + 4.0}, chosen.worst_words,
           left ? Anchor::End : Anchor::Start, "on-map strong");
  for (const Places::Table& b : places_.benches())
    svg.text({v.at(b.x_m + b.length_m, 0.0).x_px, v.at(0.0, b.y_m + b.width_m).y_px - 5.0},
             shortened(b.name, 30), Anchor::End, "on-map");
  for (std::size_t n = 0; n < chosen.changes.size(); ++n)
    draw_change(svg, v, chosen.changes[n], fmt::format("{}", n + 1));
  draw_north_and_metre(svg, v);
  draw_bar(svg, scale, below + 24.0);
  for (std::size_t n = 0; n < lines.size(); ++n)
    svg.text({20.0, below + 86.0 + line_px * static_cast<double>(n)}, lines[n], Anchor::Start);
  return svg.finish(name, "map");
}

std::string Plan::colour_bar(const MapScale& scale) const {
  Svg svg(picture_width_px, 72.0);
  draw_bar(svg, scale, 24.0);
  return svg.finish("Colours: " + scale.words, "bar");
}

std::string Plan::cell_places() const {
  const View v = close_view(20.0);  // as small() without a title
  std::string xs, ys;
  for (std::size_t c = 0; c < x_m_.size(); ++c) {
    const Point corner = v.at(x_m_[c] - 0.5 * edge_m_, y_m_[c] + 0.5 * edge_m_);
    xs += (c == 0 ? "" : ",") + short_number(corner.x_px);
    ys += (c == 0 ? "" : ",") + short_number(corner.y_px);
  }
  return fmt::format("\"x\":[{}],\"y\":[{}],\"edge\":{:.2f}", xs, ys, v.scale * edge_m_ + seam_px);
}

}  // namespace mistwright::report
