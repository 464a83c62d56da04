// Air in a square between a warm and a cold wall: de Vahl Davis 1983, Int. J. Numer. Methods
// Fluids 3, 249, as kept in tests/reference.
#include <cmath>

#include "models/units.h"
#include "tests/flow/flow_rooms.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"

using namespace mistwright;
using namespace mistwright::flow;

namespace {

/// Mean Nusselt number of the warm wall. Scales: length and temperature step 1, g beta = 1.
double nusselt_number(double rayleigh, std::size_t n) {
  constexpr double prandtl = 0.71;
  FlowCase problem = test::laminar_slice(test::unit_grid(n, 1), std::sqrt(prandtl / rayleigh));
  const double diffusivity = problem.viscosity_m2_per_s / prandtl;
  const Lattice& g = problem.lattice;
  const double wall_m3_per_s = diffusivity * g.face_m2[0] / (0.5 * g.step_m[0]);
  problem.heat.source_K_m3_per_s = g.zeros();
  problem.heat.loss_m3_per_s = g.zeros();
  problem.heat.expansion_1_per_K = 1.0 / gravity_m_per_s2;
  for (std::size_t k = 0; k < n; ++k) {
    const std::size_t warm = g.at(0, 0, k), cold = g.at(n - 1, 0, k);
    problem.heat.source_K_m3_per_s[warm] = 0.5 * wall_m3_per_s;
    problem.heat.source_K_m3_per_s[cold] = -0.5 * wall_m3_per_s;
    problem.heat.loss_m3_per_s[warm] = problem.heat.loss_m3_per_s[cold] = wall_m3_per_s;
  }
  const auto [state, report] =
      test::settled(problem, {.iteration_cap = 4000, .rest_fraction = 1e-5});
  REQUIRE(report.steady);
  double warm_K_m3_per_s = 0.0, cold_K_m3_per_s = 0.0;
  for (std::size_t k = 0; k < n; ++k) {
    warm_K_m3_per_s += wall_m3_per_s * (0.5 - state.warmth_K[g.at(0, 0, k)]);
    cold_K_m3_per_s += wall_m3_per_s * (0.5 + state.warmth_K[g.at(n - 1, 0, k)]);
  }
  // What the warm wall gives, the cold one takes.
  CHECK(std::fabs(warm_K_m3_per_s / cold_K_m3_per_s - 1.0) < 0.001);
  return warm_K_m3_per_s / (diffusivity * g.step_m[1]);
}

double published(double rayleigh) {
  for (const auto& row : test::table("de_vahl_davis_cavity.csv"))
    if (row.number("Ra") == rayleigh) return row.number("Nu de Vahl Davis");
  throw std::runtime_error("no such Rayleigh number");
}

}  // namespace

TEST_CASE("flow: the heated cavity gives de Vahl Davis's Nusselt numbers within 2 %",
          "[flow][published]") {
  const auto [rayleigh, n] = GENERATE(table<double, std::size_t>({{1e3, std::size_t{24}},
                                                                  {1e4, std::size_t{40}},
                                                                  {1e5, std::size_t{64}},
                                                                  {1e6, std::size_t{100}}}));
  CAPTURE(rayleigh, n);
  CHECK(std::fabs(nusselt_number(rayleigh, n) / published(rayleigh) - 1.0) < 0.02);
}
