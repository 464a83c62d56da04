#include "models/water/network_graph.h"

#include "tests/support/catch.h"
#include "tests/water/networks.h"

using namespace mistwright;
using namespace mistwright::water;

TEST_CASE("water: a shut valve keeps water from what hangs behind it", "[water][exact]") {
  Network network = test::line(test::hose_bib(3.0, 20.0), 4, 1.0, 0.02);
  network.valves.push_back({.name = "north"});
  network.pipes[2].valve = 0;
  CHECK(reach(network, {false}).node == std::vector<bool>{true, true, true, false, false});
  const Reach open = reach(network, {true});
  CHECK(open.node == std::vector<bool>(5, true));
  CHECK(open.order == std::vector<std::uint32_t>{0, 1, 2, 3, 4});
  CHECK(open.pipe_towards[4] == 3U);
  CHECK_FALSE(open.pipe_towards[0]);
}

TEST_CASE("water: an island is named by its user's node names", "[water][input]") {
  Network network = test::line(test::hose_bib(3.0, 20.0), 2, 1.0, 0.02);
  for (const char* name : {"j4", "j5", "bench end"}) network.nodes.push_back({.name = name});
  network.pipes.push_back(test::tube(3, 5, 2.0, 0.016));
  using Names = std::vector<std::vector<std::string>>;
  CHECK(islands(network) == Names{{"j4", "bench end"}, {"j5"}});
  network.pipes.push_back(test::tube(2, 3, 2.0, 0.016));
  network.pipes.push_back(test::tube(4, 5, 2.0, 0.016));
  CHECK(islands(network).empty());
}

TEST_CASE("water: a zone behind a shut valve is no island", "[water][exact]") {
  Network network = test::line(test::hose_bib(3.0, 20.0), 3, 1.0, 0.02);
  network.valves.push_back({.name = "north"});
  network.pipes[0].valve = 0;
  CHECK(islands(network).empty());
}
