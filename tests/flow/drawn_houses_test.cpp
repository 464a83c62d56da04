// Houses drawn by lot: whatever is built, its air must balance and stay within what drives it.
#include <algorithm>
#include <cmath>

#include "models/flow/regime_field.h"
#include "models/random.h"
#include "models/units.h"
#include "tests/support/catch.h"

using namespace mistwright;
using namespace mistwright::flow;

namespace {

/// Draws evenly between two bounds.
struct Lot {
  Random random;
  double operator()(double low, double high) { return low + (high - low) * random.uniform(); }
};

struct Drawn {
  Enclosure house;
  std::vector<PortFlow> flows;
  FieldOptions options;
};

void add_bench(Lot& lot, double low_m, double high_m, Enclosure& house) {
  const double top_m = lot(0.4, 1.0), end_m = lot(0.6, 0.95) * house.length_m;
  const Box box{0.1 * house.length_m, end_m, low_m, high_m, top_m - 0.15, top_m};
  house.boxes.push_back(box);
  Foliage leaves{box, lot(10.0, 80.0)};
  leaves.box.z0_m = top_m;
  leaves.box.z1_m = top_m + 0.05;
  house.foliage.push_back(leaves);
  if (lot(0.0, 1.0) > 0.4) return;
  house.sheets.push_back({1, low_m, box.x0_m, box.x1_m, top_m, top_m + 0.5, 1.0});
  house.sheets.push_back({1, high_m, box.x0_m, box.x1_m, top_m, top_m + 0.5, -1.0});
}

void add_ports(Lot& lot, Drawn& drawn) {
  Enclosure& house = drawn.house;
  const int count = static_cast<int>(lot(0.0, 4.0));
  double net = 0.0;
  for (int p = 0; p < count; ++p) {
    const auto side = static_cast<Side>(static_cast<int>(lot(0.0, 5.0)));
    const bool end = side == Side::Front || side == Side::Back;
    house.ports.push_back({"port", side, lot(0.3, 0.7) * (end ? house.width_m : house.length_m),
                           lot(0.2, 0.9) * house.eave_height_m, lot(0.2, 1.5), lot(0.15, 0.8)});
    const double drawn_in = lot(-1.0, 1.0) * std::pow(10.0, lot(-2.0, 0.3));
    const double in = p > 0 && p + 1 == count ? -net : drawn_in;
    net += in;
    drawn.flows.push_back({static_cast<std::size_t>(p), in});
  }
}

Drawn draw(std::uint64_t number) {
  Lot lot{Random(number, stream_of("drawn house"))};
  Drawn drawn;
  Enclosure& house = drawn.house;
  house.length_m = lot(2.0, 12.0);
  house.width_m = lot(1.5, 6.0);
  house.ridge_height_m = lot(1.8, 3.5);
  house.eave_height_m = lot(0.5, 1.0) * house.ridge_height_m;
  const int benches = static_cast<int>(lot(0.0, 3.0));
  for (int b = 0; b < benches; ++b)
    add_bench(lot, house.width_m * (b + 0.15) / benches, house.width_m * (b + 0.8) / benches,
              house);
  add_ports(lot, drawn);
  if (lot(0.0, 1.0) < 0.3)
    house.stirrers.push_back({0.5 * house.length_m, 0.4 * house.width_m, 0.7 * house.ridge_height_m,
                              lot(-3.0, 3.0), lot(0.3, 0.8), lot(0.2, 1.5)});
  drawn.options.model = AirflowModel::Momentum;
  drawn.options.cell_m = lot(0.3, 0.6);
  drawn.options.floor_heat_W_per_m2 = std::max(0.0, lot(-100.0, 120.0));
  drawn.options.bench_heat_W_per_m2 = 0.4 * drawn.options.floor_heat_W_per_m2;
  drawn.options.cover_W_per_m2_K = lot(2.0, 8.0);
  return drawn;
}

/// What drives the air: its fastest jet, and the speed of warm air that rises, (g beta Q H)^(1/3)
/// (Deardorff 1970).
double driving_speed_m_per_s(const Drawn& drawn) {
  double fastest = 0.05;
  for (const PortFlow& flow : drawn.flows) {
    const Port& port = drawn.house.ports[flow.port];
    fastest = std::max(fastest, std::fabs(flow.inflow_m3_per_s) / (port.width_m * port.tall_m));
  }
  for (const Stirrer& fan : drawn.house.stirrers)
    fastest = std::max(fastest, fan.flow_m3_per_s / (pi / 4.0 * fan.diameter_m * fan.diameter_m));
  const double heat_K_m_per_s = drawn.options.floor_heat_W_per_m2 / 1207.0;
  return fastest +
         std::cbrt(gravity_m_per_s2 / 293.0 * heat_K_m_per_s * drawn.house.ridge_height_m);
}

}  // namespace

TEST_CASE("flow: the air of houses drawn by lot balances and outruns nothing that drives it",
          "[flow][law]") {
  for (std::uint64_t number = 1; number <= 24; ++number) {
    const Drawn drawn = draw(number);
    const RegimeField field = solve_field(drawn.house, drawn.flows, 0.01, drawn.options);
    double fastest = 0.0;
    for (const auto* speeds : {&field.u_m_per_s, &field.v_m_per_s, &field.w_m_per_s})
      for (const double speed : *speeds) {
        REQUIRE(std::isfinite(speed));
        fastest = std::max(fastest, std::fabs(speed));
      }
    const double driving = driving_speed_m_per_s(drawn);
    CAPTURE(number, field.grid.cells(), field.steady, fastest, driving);
    CHECK(field.converged);
    CHECK(fastest < 2.0 * driving);
    CHECK_FALSE(field.floor_response_K_m2_per_W.empty());
    for (const double response : field.floor_response_K_m2_per_W) CHECK(response >= -1e-6);
  }
}
