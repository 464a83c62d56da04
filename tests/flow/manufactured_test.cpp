// A flow chosen beforehand and driven by the force that it needs: how fast does the error fall with
// the cell? (Roache 2002, method of manufactured solutions.)
#include <array>
#include <cmath>
#include <vector>

#include "tests/flow/flow_rooms.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::flow;

namespace {

constexpr double viscosity_m2_per_s = 0.05, strength = 3000.0;

/// s^2 (1 - s)^2 and its derivatives: zero with its slope at both walls.
double bump(double s, int derivative) {
  switch (derivative) {
    case 0:
      return s * s * (1 - s) * (1 - s);
    case 1:
      return 2 * s - 6 * s * s + 4 * s * s * s;
    case 2:
      return 2 - 12 * s + 12 * s * s;
    default:
      return -12 + 24 * s;
  }
}

using Point = std::array<double, 3>;

/// Derivative of X Y Z with the given orders along x, y, z.
double product(const Point& at, int a, int b, int c) {
  return strength * bump(at[0], a) * bump(at[1], b) * bump(at[2], c);
}

/// The flow is the curl of (0, XYZ, XYZ); derivative orders as above.
double wished(std::size_t axis, const Point& at, int a, int b, int c) {
  if (axis == 0) return product(at, a, b + 1, c) - product(at, a, b, c + 1);
  return (axis == 1 ? -1.0 : 1.0) * product(at, a + 1, b, c);
}

/// What drives it: u . grad u - nu div grad u, less the gradient of p = sin x cos y sin z. Third
/// derivatives are the highest that occur.
double force(std::size_t axis, const Point& at) {
  const auto second = [&](int a, int b, int c) { return wished(axis, at, a, b, c); };
  double sum = -viscosity_m2_per_s * (second(2, 0, 0) + second(0, 2, 0) + second(0, 0, 2));
  sum += wished(0, at, 0, 0, 0) * wished(axis, at, 1, 0, 0) +
         wished(1, at, 0, 0, 0) * wished(axis, at, 0, 1, 0) +
         wished(2, at, 0, 0, 0) * wished(axis, at, 0, 0, 1);
  const double x = at[0], y = at[1], z = at[2];
  const Point slope{std::cos(x) * std::cos(y) * std::sin(z),
                    -std::sin(x) * std::sin(y) * std::sin(z),
                    std::sin(x) * std::cos(y) * std::cos(z)};
  return sum + slope[axis];
}

/// Visits every open face with its axis, index and centre.
template <class Visit>
void each_open_face(const Lattice& g, const Visit& visit) {
  const std::size_t n = g.cells[0];
  for (std::size_t at = 0; at < 3 * n * n * n; ++at) {
    const std::size_t axis = at / (n * n * n);
    const std::array<std::size_t, 3> place{at % n, at / n % n, at / (n * n) % n};
    const std::size_t c = g.at(place[0], place[1], place[2]);
    if (g.open[axis][c] == 0.0) continue;
    Point centre_m{};
    for (std::size_t d = 0; d < 3; ++d)
      centre_m[d] = (static_cast<double>(place[d]) + (d == axis ? 0.0 : 0.5)) * g.step_m[d];
    visit(axis, c, centre_m);
  }
}

/// Root of the mean square error of all inner faces.
double error_m_per_s(std::size_t n) {
  FlowCase problem = test::laminar_slice(test::unit_grid(n, n), viscosity_m2_per_s);
  problem.slick = {false, false};
  const Lattice& g = problem.lattice;
  each_open_face(g, [&](std::size_t axis, std::size_t c, const Point& at) {
    problem.force_m4_per_s2[axis][c] = g.cell_m3 * force(axis, at);
  });
  const auto settled = test::settled(problem, {.iteration_cap = 2000, .rest_fraction = 1e-8});
  REQUIRE(settled.report.steady);
  CHECK(settled.report.imbalance_fraction < 1e-9);
  double sum = 0.0;
  std::size_t count = 0;
  each_open_face(g, [&](std::size_t axis, std::size_t c, const Point& at) {
    const double off = settled.state.speed_m_per_s[axis][c] - wished(axis, at, 0, 0, 0);
    sum += off * off;
    ++count;
  });
  return std::sqrt(sum / static_cast<double>(count));
}

}  // namespace

TEST_CASE("flow: a manufactured flow is met at second order on four grids", "[flow][published]") {
  // Slope of log error over log cell, least squares over the four grids.
  const std::vector<std::size_t> grids{12, 16, 22, 30};
  double sx = 0.0, sy = 0.0, sxx = 0.0, sxy = 0.0;
  for (const std::size_t n : grids) {
    const double x = -std::log(static_cast<double>(n)), y = std::log(error_m_per_s(n));
    UNSCOPED_INFO("cells " << n << ": error " << std::exp(y));
    sx += x;
    sy += y;
    sxx += x * x;
    sxy += x * y;
  }
  const double count = static_cast<double>(grids.size());
  const double order = (count * sxy - sx * sy) / (count * sxx - sx * sx);
  CAPTURE(order);
  CHECK(std::fabs(order - 2.0) < 0.1);
}
