#include "sim/report/streamlines.h"

#include <algorithm>
#include <cmath>
#include <functional>

#include "models/contracts.h"
#include "tests/support/catch.h"

using namespace mistwright;
using report::Place;
using report::PlaneFlow;
using report::Streamline;

namespace {

/// A field of 40 by 30 cells of 0.1 m.
PlaneFlow field(const std::function<Place(double, double)>& speed) {
  PlaneFlow flow{40, 30, 0.1, 0.1, {}, {}};
  for (std::size_t i = 0; i < 1200; ++i) {
    const Place s =
        speed(0.1 * static_cast<double>(i % 40) + 0.05, 0.1 * static_cast<double>(i / 40) + 0.05);
    flow.u_m_per_s.push_back(s.x_m);
    flow.v_m_per_s.push_back(s.y_m);
  }
  return flow;
}

double nearest_m(const Streamline& a, const Streamline& b) {
  double least = 1e9;
  for (const Place& p : a.points)
    for (const Place& q : b.points)
      least = std::min(least, std::hypot(p.x_m - q.x_m, p.y_m - q.y_m));
  return least;
}

/// A body of 0.8 by 0.6 m in a stream that knows nothing of it, swirling.
Place swirl_about_body(double x, double y) {
  if (x > 1.6 && x < 2.4 && y > 1.0 && y < 1.6) return {std::nan(""), std::nan("")};
  return {0.3 + std::sin(3.0 * y), std::cos(2.0 * x + y)};
}

}  // namespace

TEST_CASE("report: streamlines of an even flow are straight and one spacing apart",
          "[report][law]") {
  const auto lines = report::streamlines(field([](double, double) {
                                           return Place{0.5, 0.0};
                                         }),
                                         {.spacing_m = 0.25});
  REQUIRE(lines.size() >= 11);
  std::vector<double> heights;
  for (const Streamline& line : lines) {
    heights.push_back(line.points.front().y_m);
    CHECK_FALSE(line.closed);
    CHECK(line.points.front().x_m < 0.03);  // from wall to wall, downstream
    CHECK(line.points.back().x_m > 3.97);
    for (const Place& p : line.points) CHECK_THAT(p.y_m, test::abs(heights.back(), 1e-12));
  }
  std::sort(heights.begin(), heights.end());
  for (std::size_t i = 1; i < heights.size(); ++i)
    CHECK_THAT(heights[i] - heights[i - 1], test::abs(0.25, 0.001));
}

TEST_CASE("report: streamlines of a turning body are circles that close", "[report][law]") {
  const auto lines = report::streamlines(field([](double x, double y) {
                                           return Place{1.5 - y, x - 2.0};
                                         }),
                                         {.spacing_m = 0.2});
  int closed = 0;
  for (const Streamline& line : lines) {
    const auto radius = [](const Place& p) { return std::hypot(p.x_m - 2.0, p.y_m - 1.5); };
    const double first = radius(line.points.front());
    for (const Place& p : line.points)
      // Within the outer ring of half cells the speed is held, not extrapolated.
      if (first < 1.44) CHECK_THAT(radius(p), test::abs(first, 1e-3));
    if (first < 1.44 && first > 0.1) CHECK(line.closed);
    if (line.closed) {
      ++closed;
      CHECK(line.gap_m < 1e-3);
    }
  }
  CHECK(closed >= 5);
}

TEST_CASE("report: no streamline enters a body", "[report][law]") {
  const PlaneFlow flow = field(swirl_about_body);
  const auto lines = report::streamlines(flow, {.spacing_m = 0.15});
  CHECK(lines.size() > 8);
  for (const Streamline& line : lines)
    for (const Place& p : line.points) CHECK(flow.has_air(p.x_m, p.y_m));
  CHECK_FALSE(flow.has_air(2.0, 1.3));
}

TEST_CASE("report: streamlines never come nearer to each other than the test distance",
          "[report][law]") {
  for (const double test_fraction : {0.4, 0.5, 0.8}) {
    const auto lines = report::streamlines(field(swirl_about_body),
                                           {.spacing_m = 0.2, .test_fraction = test_fraction});
    REQUIRE(lines.size() > 6);
    for (std::size_t i = 0; i < lines.size(); ++i)
      for (std::size_t j = 0; j < i; ++j)
        CHECK(nearest_m(lines[i], lines[j]) >= 0.2 * test_fraction);
  }
}

TEST_CASE("report: every place with moving air is near a streamline", "[report][law]") {
  const auto lines = report::streamlines(field([](double, double y) {
                                           return Place{1.0 + y, 0.2};
                                         }),
                                         {.spacing_m = 0.3, .least_length_ratio = 0.5});
  for (double x = 0.25; x < 4.0; x += 0.25)
    for (double y = 0.25; y < 3.0; y += 0.25) {
      double least = 1e9;
      for (const Streamline& line : lines) least = std::min(least, nearest_m(line, {{{x, y}}}));
      CHECK(least < 0.45);
    }
}

TEST_CASE("report: streamlines end in still air", "[report][input]") {
  const auto half = field([](double x, double) { return Place{x < 2.0 ? 1.0 : 0.0, 0.0}; });
  for (const Streamline& line : report::streamlines(half, {.still_m_per_s = 0.01}))
    for (const Place& p : line.points) CHECK(p.x_m < 2.06);
  CHECK(report::streamlines(field([](double, double) { return Place{}; }), {}).empty());
  CHECK(report::streamlines(PlaneFlow{0, 0, 1.0, 1.0, {}, {}}, {}).empty());
  CHECK_THROWS_AS(report::streamlines(half, {.spacing_m = 0.0}), ContractError);
  CHECK_THROWS_AS(report::streamlines(PlaneFlow{2, 2, 1.0, 1.0, {1.0}, {1.0}}, {}), ContractError);
}
