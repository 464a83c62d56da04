#include "sim/record/regime_air.h"

#include "models/contracts.h"
#include "sim/record/conform.h"
#include "sim/record/hdf5_file.h"
#include "tests/support/catch.h"

using namespace mistwright;

namespace {

flow::Grid two_cells_and_a_body() {
  flow::Grid grid{3, 1, 1, 0.2, 0.2, 0.2, {1, 0, 1}};
  return grid;
}

record::Group empty_flow() {
  return {.name = "flow_0",
          .dimensions = {{"z", 1}, {"y", 1}, {"x", 3}},
          .variables = {},
          .attributes = {{"regime", "fan on"}}};
}

}  // namespace

TEST_CASE("record: what a regime does not know of its air is not written", "[record][input]") {
  record::Group group = empty_flow();
  record::add_regime_air(group, two_cells_and_a_body(), {});
  CHECK(group.variables.empty());
  CHECK(group.attributes.size() == 1);
}

TEST_CASE("record: temperature and vapour and trust of a regime are read back from the file",
          "[record][same]") {
  record::Group group = empty_flow();
  record::add_regime_air(group, two_cells_and_a_body(),
                         {{300.0, 290.0, 301.5}, {0.010, 0.011, 0.012}, 0.07, false});
  const record::Record back = record::from_hdf5_image(
      record::hdf5_image({.attributes = {{"title", "t"}}, .groups = {group}}), "a.h5");
  const record::Group& flow = back.group("flow_0");
  const record::Variable& warmth = flow.variable("air_temperature");
  CHECK(warmth.units == "K");
  CHECK(warmth.dimensions == std::vector<std::string>{"z", "y", "x"});
  CHECK(warmth.values[0] == 300.0);
  CHECK(std::isnan(warmth.values[1]));
  CHECK(warmth.values[2] == 301.5);
  CHECK(flow.variable("humidity_ratio").values[2] == 0.012);
  CHECK(flow.attributes.at("grid_convergence_index") == "0.07");
  CHECK(flow.attributes.at("steady") == "0");
}

TEST_CASE("record: an array of another grid is refused", "[record][input]") {
  record::Group group = empty_flow();
  CHECK_THROWS_AS(record::add_regime_air(group, two_cells_and_a_body(), {{300.0}, {}}),
                  ContractError);
}
