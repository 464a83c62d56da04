#include <algorithm>

#include "models/water/hydraulics.h"
#include "tests/support/catch.h"
#include "tests/support/table.h"
#include "tests/water/networks.h"

using namespace mistwright;
using namespace mistwright::water;
using test::rel;

TEST_CASE("water: a looped network of pressure-dependent heads agrees with scipy to 1e-6",
          "[water][library]") {
  // tests/library/network_scipy.py solves the same case by another route, and pytest keeps the
  // frozen answers equal to it.
  const auto node_rows = test::table("network_scipy_nodes.csv");
  const auto pipe_rows = test::table("network_scipy_pipes.csv");
  Network network;
  network.supply = test::hose_bib(3.5, 18.0);
  std::vector<HeadType> types;
  std::vector<NetworkHead> heads;
  types.reserve(node_rows.size());
  for (const test::Row& row : node_rows) {
    network.nodes.push_back({.name = row.text("node"), .elevation_m = row.number("elevation_m")});
    if (row.empty("rated_flow_m3_per_s")) continue;
    HeadType type;
    type.rated_flow_m3_per_s = row.number("rated_flow_m3_per_s");
    type.rated_pressure_Pa = row.number("rated_pressure_pa");
    type.flow_exponent = row.number("exponent");
    types.push_back(type);
    heads.push_back({.node = static_cast<std::uint32_t>(network.nodes.size() - 1),
                     .type = &types.back(),
                     .elevation_m = row.number("head_elevation_m")});
  }
  const auto index = [&](const std::string& name) {
    const auto it = std::find_if(network.nodes.begin(), network.nodes.end(),
                                 [&](const Node& node) { return node.name == name; });
    return static_cast<std::uint32_t>(it - network.nodes.begin());
  };
  for (const test::Row& row : pipe_rows) {
    Pipe pipe = test::tube(index(row.text("from")), index(row.text("to")), row.number("length_m"),
                           row.number("diameter_m"));
    pipe.roughness_m = row.number("roughness_m");
    pipe.minor_loss_coefficient = row.number("minor_loss");
    network.pipes.push_back(pipe);
  }
  const Hydraulics state = solve(network, heads, {}, 291.15);
  REQUIRE(state.converged);
  REQUIRE(heads.size() == 7);
  for (std::size_t n = 0; n < node_rows.size(); ++n) {
    CAPTURE(node_rows[n].text("node"));
    CHECK_THAT(state.node_pressure_Pa[n], rel(node_rows[n].number("pressure_pa"), 1e-6));
  }
  for (std::size_t h = 0; h < heads.size(); ++h) {
    CAPTURE(network.nodes[heads[h].node].name);
    CHECK_THAT(state.head_flow_m3_per_s[h],
               rel(node_rows[heads[h].node].number("head_flow_m3_per_s"), 1e-6));
  }
  for (std::size_t p = 0; p < pipe_rows.size(); ++p) {
    CAPTURE(pipe_rows[p].text("pipe"));
    CHECK_THAT(state.pipe_flow_m3_per_s[p], rel(pipe_rows[p].number("flow_m3_per_s"), 1e-6));
  }
}
