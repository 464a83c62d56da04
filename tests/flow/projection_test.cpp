#include "models/flow/projection.h"

#include <cmath>
#include <numeric>

#include "models/random.h"
#include "tests/flow/houses.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::flow;

namespace {

FaceField still(const Grid& grid) {
  return {std::vector<double>(grid.u_faces(), 0.0), std::vector<double>(grid.v_faces(), 0.0),
          std::vector<double>(grid.w_faces(), 0.0)};
}

/// Fills the faces between two fluid cells.
template <class U, class V, class W>
FaceField inner_faces(const Grid& grid, const U& u, const V& v, const W& w) {
  FaceField field = still(grid);
  const auto fluid = [&](std::size_t i, std::size_t j, std::size_t k) {
    return grid.fluid[grid.cell(i, j, k)] != 0;
  };
  for (std::size_t k = 0; k < grid.nz; ++k)
    for (std::size_t j = 0; j < grid.ny; ++j)
      for (std::size_t i = 0; i < grid.nx; ++i) {
        if (!fluid(i, j, k)) continue;
        if (i > 0 && fluid(i - 1, j, k)) field.u_m_per_s[grid.u_face(i, j, k)] = u(i, j, k);
        if (j > 0 && fluid(i, j - 1, k)) field.v_m_per_s[grid.v_face(i, j, k)] = v(i, j, k);
        if (k > 0 && fluid(i, j, k - 1)) field.w_m_per_s[grid.w_face(i, j, k)] = w(i, j, k);
      }
  return field;
}

double largest(const std::vector<double>& values) {
  double most = 0.0;
  for (const double value : values) most = std::fmax(most, std::fabs(value));
  return most;
}

}  // namespace

TEST_CASE("flow: the projection of a pure gradient is still air", "[flow][exact]") {
  const Grid grid = make_grid(test::hoop_house(), 0.2);
  std::vector<double> p(grid.cells());
  for (std::size_t c = 0; c < grid.cells(); ++c) p[c] = std::sin(0.37 * static_cast<double>(c));
  FaceField field = inner_faces(
      grid,
      [&](auto i, auto j, auto k) {
        return (p[grid.cell(i, j, k)] - p[grid.cell(i - 1, j, k)]) / grid.dx_m;
      },
      [&](auto i, auto j, auto k) {
        return (p[grid.cell(i, j, k)] - p[grid.cell(i, j - 1, k)]) / grid.dy_m;
      },
      [&](auto i, auto j, auto k) {
        return (p[grid.cell(i, j, k)] - p[grid.cell(i, j, k - 1)]) / grid.dz_m;
      });
  REQUIRE(largest(field.u_m_per_s) > 1.0);
  const auto solved =
      project(grid, even_weights(grid), std::vector<double>(grid.cells(), 0.0), 1e-13, field);
  CHECK(solved.converged);
  CHECK(largest(field.u_m_per_s) < 1e-9);
  CHECK(largest(field.v_m_per_s) < 1e-9);
  CHECK(largest(field.w_m_per_s) < 1e-9);
}

TEST_CASE("flow: the projection leaves a field that conserves air as it is", "[flow][exact]") {
  const Grid grid = make_grid(test::hall(4.0, 3.0, 2.0), 0.25);
  // Curl of a stream function given on the grid's edges, zero on the walls.
  const auto stream = [&](std::size_t i, std::size_t j) {
    const bool wall = i == 0 || j == 0 || i == grid.nx || j == grid.ny;
    return wall ? 0.0
                : std::sin(1.3 * static_cast<double>(i)) * std::cos(0.7 * static_cast<double>(j));
  };
  FaceField field = inner_faces(
      grid, [&](auto i, auto j, auto) { return (stream(i, j + 1) - stream(i, j)) / grid.dy_m; },
      [&](auto i, auto j, auto) { return (stream(i, j) - stream(i + 1, j)) / grid.dx_m; },
      [](auto, auto, auto) { return 0.0; });
  const FaceField before = field;
  const auto solved =
      project(grid, even_weights(grid), std::vector<double>(grid.cells(), 0.0), 1e-13, field);
  CHECK(solved.converged);
  double change = 0.0;
  for (std::size_t f = 0; f < grid.u_faces(); ++f)
    change = std::fmax(change, std::fabs(field.u_m_per_s[f] - before.u_m_per_s[f]));
  CHECK(change < 1e-12);
}

TEST_CASE("flow: random wishes and random stiffness still conserve air to 1e-12 of the flow",
          "[flow][law]") {
  for (const std::uint64_t seed : {1U, 2U, 3U}) {
    CAPTURE(seed);
    Random random(seed, stream_of("projection test"));
    const Grid grid = make_grid(test::hoop_house(), 0.3);
    const auto any = [&](auto, auto, auto) { return random.normal(); };
    FaceField field = inner_faces(grid, any, any, any);
    FaceWeights stiffness = even_weights(grid);
    for (auto* weights : {&stiffness.u, &stiffness.v, &stiffness.w})
      for (double& weight : *weights) weight = 1.0 + 9.0 * random.uniform();
    std::vector<double> source(grid.cells(), 0.0);
    const double fluid = std::accumulate(grid.fluid.begin(), grid.fluid.end(), 0.0);
    double sum = 0.0;
    for (std::size_t c = 0; c < grid.cells(); ++c)
      if (grid.fluid[c] != 0) sum += source[c] = 0.01 * random.normal();
    for (std::size_t c = 0; c < grid.cells(); ++c)
      if (grid.fluid[c] != 0) source[c] -= sum / fluid;
    const auto solved = project(grid, stiffness, source, 1e-13, field);
    CHECK(solved.converged);
    const std::vector<double> out = outflow_m3_per_s(grid, field);
    double worst = 0.0;
    for (std::size_t c = 0; c < grid.cells(); ++c)
      worst = std::fmax(worst, std::fabs(out[c] - source[c]));
    CHECK(worst <= 1e-13);
  }
}

TEST_CASE("flow: of two fields that conserve air the projection takes the nearer", "[flow][law]") {
  // Any closed loop added to the result must make it worse: its change is orthogonal to all loops.
  Random random(7, stream_of("projection test"));
  const Grid grid = make_grid(test::hoop_house(), 0.3);
  const auto any = [&](auto, auto, auto) { return random.normal(); };
  const FaceField wished = inner_faces(grid, any, any, any);
  FaceField field = wished;
  const auto solved =
      project(grid, even_weights(grid), std::vector<double>(grid.cells(), 0.0), 1e-13, field);
  REQUIRE(solved.converged);
  const auto fluid = [&](std::size_t i, std::size_t j, std::size_t k) {
    return grid.fluid[grid.cell(i, j, k)] != 0;
  };
  for (std::size_t k = 0; k < grid.nz; k += 2)
    for (std::size_t j = 1; j < grid.ny; j += 2)
      for (std::size_t i = 1; i < grid.nx; i += 3) {
        if (!fluid(i, j, k) || !fluid(i - 1, j, k) || !fluid(i, j - 1, k) ||
            !fluid(i - 1, j - 1, k))
          continue;
        const auto du = [&](std::size_t f) { return field.u_m_per_s[f] - wished.u_m_per_s[f]; };
        const auto dv = [&](std::size_t f) { return field.v_m_per_s[f] - wished.v_m_per_s[f]; };
        const double around =
            (du(grid.u_face(i, j - 1, k)) - du(grid.u_face(i, j, k))) * grid.dx_m +
            (dv(grid.v_face(i, j, k)) - dv(grid.v_face(i - 1, j, k))) * grid.dy_m;
        CHECK(std::fabs(around) < 1e-10);
      }
}
