#include "sim/report/streamlines.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "models/contracts.h"

namespace mistwright::report {
namespace {

double distance(const Place& a, const Place& b) {
  return std::hypot(a.x_m - b.x_m, a.y_m - b.y_m);
}

Place moved(const Place& from, const Place& along, double by_m) {
  return {from.x_m + by_m * along.x_m, from.y_m + by_m * along.y_m};
}

/// Points of the finished lines in square buckets as wide as the spacing.
class Drawn {
 public:
  Drawn(const PlaneFlow& flow, double edge_m)
      : edge_m_(edge_m),
        columns_(slots(static_cast<double>(flow.columns) * flow.dx_m)),
        rows_(slots(static_cast<double>(flow.rows) * flow.dy_m)),
        buckets_(columns_ * rows_) {}

  void add(const Place& p) {
    buckets_[slot(p.y_m, rows_) * columns_ + slot(p.x_m, columns_)].push_back(p);
  }
  /// Whether a point lies nearer than `near_m`, at most one edge.
  [[nodiscard]] bool any_within(const Place& p, double near_m) const {
    const std::size_t column = slot(p.x_m, columns_), row = slot(p.y_m, rows_);
    for (std::size_t r = row - std::min<std::size_t>(row, 1); r < std::min(rows_, row + 2); ++r)
      for (std::size_t c = column - std::min<std::size_t>(column, 1);
           c < std::min(columns_, column + 2); ++c)
        for (const Place& q : buckets_[r * columns_ + c])
          if (distance(p, q) < near_m) return true;
    return false;
  }

 private:
  [[nodiscard]] std::size_t slots(double long_m) const {
    return static_cast<std::size_t>(long_m / edge_m_) + 1;
  }
  [[nodiscard]] std::size_t slot(double at_m, std::size_t count) const {
    return std::min(count - 1, static_cast<std::size_t>(std::max(0.0, at_m / edge_m_)));
  }

  double edge_m_;
  std::size_t columns_, rows_;
  std::vector<std::vector<Place>> buckets_;
};

class Tracer {
 public:
  Tracer(const PlaneFlow& flow, const StreamlineOptions& options)
      : flow_(flow),
        options_(options),
        step_m_(std::min(0.1 * options.spacing_m, 0.25 * std::min(flow.dx_m, flow.dy_m))),
        drawn_(flow, options.spacing_m) {}

  std::vector<Streamline> all() {
    try_start(fastest());
    for (std::size_t r = 0; r < flow_.rows; ++r)
      for (std::size_t c = 0; c < flow_.columns; ++c) {
        grow();  // beside what is there, before parts that no line leads to
        try_start({(static_cast<double>(c) + 0.5) * flow_.dx_m,
                   (static_cast<double>(r) + 0.5) * flow_.dy_m});
      }
    grow();
    return std::move(lines_);
  }

 private:
  [[nodiscard]] Place fastest() const {
    std::size_t best = 0;
    double most = -1.0;
    for (std::size_t i = 0; i < flow_.u_m_per_s.size(); ++i)
      if (const double s = std::hypot(flow_.u_m_per_s[i], flow_.v_m_per_s[i]); s > most) {
        most = s;
        best = i;
      }
    const std::size_t column = best % flow_.columns, row = best / flow_.columns;
    return {(static_cast<double>(column) + 0.5) * flow_.dx_m,
            (static_cast<double>(row) + 0.5) * flow_.dy_m};
  }

  /// The unit vector along the flow: bilinear between the centres that hold air.
  [[nodiscard]] std::optional<Place> direction(const Place& p) const {
    if (!flow_.has_air(p.x_m, p.y_m)) return std::nullopt;
    const double x = p.x_m / flow_.dx_m - 0.5, y = p.y_m / flow_.dy_m - 0.5;
    const double column = std::floor(x), row = std::floor(y);
    double u = 0.0, v = 0.0, weights = 0.0;
    for (int k = 0; k < 4; ++k) {
      const double c = column + (k % 2 == 0 ? 0.0 : 1.0), r = row + (k < 2 ? 0.0 : 1.0);
      const double weight =
          std::max(0.0, 1.0 - std::abs(x - c)) * std::max(0.0, 1.0 - std::abs(y - r));
      if (c < 0.0 || r < 0.0 || c >= static_cast<double>(flow_.columns) ||
          r >= static_cast<double>(flow_.rows))
        continue;
      const std::size_t i =
          static_cast<std::size_t>(r) * flow_.columns + static_cast<std::size_t>(c);
      if (!std::isfinite(flow_.u_m_per_s[i]) || !std::isfinite(flow_.v_m_per_s[i])) continue;
      u += weight * flow_.u_m_per_s[i];
      v += weight * flow_.v_m_per_s[i];
      weights += weight;
    }
    const double speed = std::hypot(u, v);
    if (!(weights > 0.0) || !(speed > options_.still_m_per_s * weights)) return std::nullopt;
    return Place{u / speed, v / speed};
  }

  /// One step of the classical Runge-Kutta method along the line's length; `by_m` may be negative.
  [[nodiscard]] std::optional<Place> next(const Place& p, double by_m) const {
    const auto k1 = direction(p);
    if (!k1) return std::nullopt;
    const auto k2 = direction(moved(p, *k1, 0.5 * by_m));
    if (!k2) return std::nullopt;
    const auto k3 = direction(moved(p, *k2, 0.5 * by_m));
    if (!k3) return std::nullopt;
    const auto k4 = direction(moved(p, *k3, by_m));
    if (!k4) return std::nullopt;
    const Place to{p.x_m + by_m / 6.0 * (k1->x_m + 2.0 * (k2->x_m + k3->x_m) + k4->x_m),
                   p.y_m + by_m / 6.0 * (k1->y_m + 2.0 * (k2->y_m + k3->y_m) + k4->y_m)};
    return flow_.has_air(to.x_m, to.y_m) ? std::optional(to) : std::nullopt;
  }

  /// Whether a line may not go on to `p`, as it would run beside an older part of itself.
  [[nodiscard]] bool beside_itself(const std::vector<Place>& points, const Place& p) const {
    const double near_m = options_.test_fraction * options_.spacing_m;
    const std::size_t last = points.size() - 1;
    for (std::size_t i = 1; i + 4 < last; ++i) {
      const Place &a = points[i - 1], &q = points[i];
      const double length = distance(a, q), dx = p.x_m - q.x_m, dy = p.y_m - q.y_m;
      const double ahead = (dx * (q.x_m - a.x_m) + dy * (q.y_m - a.y_m)) / length;
      if (std::abs(ahead) <= length && std::hypot(dx, dy) < near_m) return true;
    }
    return false;
  }

  /// Follows the flow from the last point; true when it came back to the first.
  bool follow(Streamline& line, double by_m) const {
    const double near_m = options_.test_fraction * options_.spacing_m;
    const Place start = line.points.front();
    const auto most =
        static_cast<std::size_t>(4.0 * static_cast<double>(flow_.columns * flow_.rows) *
                                 std::max(flow_.dx_m, flow_.dy_m) / step_m_);
    while (line.points.size() < most) {
      const Place last = line.points.back();
      const auto to = next(last, by_m);
      if (!to || drawn_.any_within(*to, near_m)) return false;
      const double dx = to->x_m - last.x_m, dy = to->y_m - last.y_m, length = std::hypot(dx, dy);
      if (!(length > 0.1 * step_m_)) return false;  // turns back on itself: a point of rest
      const double ahead = ((start.x_m - last.x_m) * dx + (start.y_m - last.y_m) * dy) / length;
      const double aside =
          std::abs((start.x_m - last.x_m) * dy - (start.y_m - last.y_m) * dx) / length;
      if (line.points.size() > 8 && ahead > 0.0 && ahead <= length &&
          aside < 0.05 * options_.spacing_m) {
        line.points.push_back(start);
        line.closed = true;
        line.gap_m = aside;
        return true;
      }
      if (beside_itself(line.points, *to)) return false;
      line.points.push_back(*to);
    }
    return false;
  }

  void try_start(const Place& at) {
    if (!direction(at) || drawn_.any_within(at, 0.999 * options_.spacing_m)) return;
    Streamline line{{at}, false, 0.0};
    if (!follow(line, step_m_)) {
      std::reverse(line.points.begin(), line.points.end());
      follow(line, -step_m_);
      std::reverse(line.points.begin(), line.points.end());
    }
    const double length_m = step_m_ * static_cast<double>(line.points.size() - 1);
    if (length_m < options_.least_length_ratio * options_.spacing_m) return;
    for (const Place& p : line.points) drawn_.add(p);
    lines_.push_back(std::move(line));
  }

  /// Starts lines one spacing beside those that have none there.
  void grow() {
    for (; grown_ < lines_.size(); ++grown_)
      for (std::size_t i = 0; i < lines_[grown_].points.size(); ++i) {
        const Place p = lines_[grown_].points[i];
        const auto along = direction(p);
        if (!along) continue;
        for (const double side : {1.0, -1.0})
          try_start(moved(p, {-along->y_m, along->x_m}, side * options_.spacing_m));
      }
  }

  const PlaneFlow& flow_;
  const StreamlineOptions& options_;
  double step_m_;
  Drawn drawn_;
  std::vector<Streamline> lines_;
  std::size_t grown_ = 0;
};

}  // namespace

bool PlaneFlow::has_air(double x_m, double y_m) const {
  if (!(x_m >= 0.0) || !(y_m >= 0.0)) return false;
  const auto c = static_cast<std::size_t>(x_m / dx_m), r = static_cast<std::size_t>(y_m / dy_m);
  return c < columns && r < rows && std::isfinite(u_m_per_s[r * columns + c]) &&
         std::isfinite(v_m_per_s[r * columns + c]);
}

std::vector<Streamline> streamlines(const PlaneFlow& flow, const StreamlineOptions& options) {
  EXPECT(flow.u_m_per_s.size() == flow.columns * flow.rows &&
         flow.v_m_per_s.size() == flow.u_m_per_s.size());
  EXPECT(options.spacing_m > 0.0 && flow.dx_m > 0.0 && flow.dy_m > 0.0);
  return flow.u_m_per_s.empty() ? std::vector<Streamline>{} : Tracer(flow, options).all();
}

}  // namespace mistwright::report
