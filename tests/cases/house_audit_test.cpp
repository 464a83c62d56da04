#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "tests/cases/small_house.h"
#include "tests/support/catch.h"

using namespace mistwright;
using engine::audit_tolerance_fraction;
using engine::Balance;

TEST_CASE("cases: every balance of a house's run closes to 1e-9 and a leak of 1e-7 is caught",
          "[cases][law]") {
  const auto run = test::run_whole(test::small_house());
  const auto& balances = run->frames().balances;
  CHECK(run->frames().worst_audit_fraction <= audit_tolerance_fraction);
  CHECK(balances.size() == 7);
  for (const Balance& balance : balances) {
    CAPTURE(balance.name);
    CHECK(balance.inflow > 0.0);
    CHECK(balance.relative_residual() <= audit_tolerance_fraction);
    Balance leaking = balance;
    leaking.inflow *= 1.0 - 1e-7;
    CHECK(leaking.relative_residual() > audit_tolerance_fraction);
    leaking = balance;
    leaking.outflow *= 1.0 - 1e-7;
    CHECK(leaking.relative_residual() > audit_tolerance_fraction);
  }
}

TEST_CASE("cases: a twentieth of the leaves stands for all with a line below half a percent",
          "[cases][law]") {
  const auto run = test::run_whole(test::small_house());
  const auto& stand_in = run->shared().representatives;
  REQUIRE(run->plan().leaves.count() >= 10'000);
  CHECK(stand_in.area_m2.size() * 20 <= run->plan().leaves.count());
  double all_m2 = 0.0, stood_for_m2 = 0.0;
  for (const double area : run->plan().leaves.area_m2) all_m2 += area;
  for (const double area : stand_in.area_m2) stood_for_m2 += area;
  CHECK_THAT(stood_for_m2, test::rel(all_m2, 1e-12));
  const CropLedger& crop = run->crop().ledger();
  REQUIRE(crop.film_evaporated_kg.value() > 5.0);
  CHECK(crop.correction_gross_kg.value() > 0.0);
  CHECK(crop.correction_gross_kg.value() < 0.005 * crop.film_evaporated_kg.value());
}

namespace {

using Pairs = std::map<std::pair<std::size_t, std::size_t>, double>;

/// Air through the faces between each two air cells, each direction apart.
Pairs through_faces_m3_per_s(const flow::RegimeField& field, const flow::AirCells& cells) {
  const flow::Grid& grid = field.grid;
  Pairs sums;
  const auto pass = [&](std::size_t from, std::size_t to, double flow) {
    const std::size_t a = cells.cell_of_grid[from], b = cells.cell_of_grid[to];
    if (a != b && flow > 0.0) sums[{a, b}] += flow;
    if (a != b && flow < 0.0) sums[{b, a}] -= flow;
  };
  for (std::size_t k = 0; k < grid.nz; ++k) {
    for (std::size_t j = 0; j < grid.ny; ++j) {
      for (std::size_t i = 0; i < grid.nx; ++i) {
        if (i > 0) {
          pass(grid.cell(i - 1, j, k), grid.cell(i, j, k),
               field.u_m_per_s[grid.u_face(i, j, k)] * grid.face_area_m2(0));
        }
        if (j > 0) {
          pass(grid.cell(i, j - 1, k), grid.cell(i, j, k),
               field.v_m_per_s[grid.v_face(i, j, k)] * grid.face_area_m2(1));
        }
      }
    }
  }
  return sums;
}

}  // namespace

TEST_CASE("cases: air cells exchange the summed face fluxes of every regime met to 1e-9",
          "[cases][law]") {
  const auto run = test::run_whole(test::small_house({"span.length=4 h"}));
  const House& house = run->house();
  const std::vector<std::uint64_t> keys = run->shared().slots;
  REQUIRE(keys.size() == 2);
  for (const std::uint64_t key : keys) {
    const Regime& regime =
        run->airflow().regime(DeviceState::from_key(key, house.fans.size(), house.openings.size()));
    CAPTURE(regime.words);
    const double scale = regime.nominal_inflow_m3_per_s;
    REQUIRE(scale > 0.0);
    Pairs left = through_faces_m3_per_s(regime.field, run->plan().air);
    CHECK(regime.exchanges.between.size() >= run->plan().air.count());
    std::vector<double> net = regime.exchanges.inflow_m3_per_s;
    for (std::size_t c = 0; c < net.size(); ++c) net[c] -= regime.exchanges.outflow_m3_per_s[c];
    for (const auto& exchange : regime.exchanges.between) {
      left[{exchange.from, exchange.to}] -= exchange.flow_m3_per_s;
      net[exchange.from] -= exchange.flow_m3_per_s;
      net[exchange.to] += exchange.flow_m3_per_s;
    }
    for (const auto& [pair, flow] : left) {
      CAPTURE(pair.first, pair.second);
      CHECK(std::abs(flow) < 1e-9 * scale);
    }
    for (const double gain : net) CHECK(std::abs(gain) < 1e-9 * scale);
  }
}
