// Prints the random looped networks 0 to N - 1 with the program's own solutions as JSON:
// sample_networks N. For tests/library/test_looped_networks_judge.py. Numbers are printed so that
// they are read back to the same bits.
#include <fmt/core.h>
#include <fmt/format.h>

#include <cstdlib>
#include <string>
#include <vector>

#include "models/water/hydraulics.h"
#include "models/water/supply.h"
#include "tests/water/looped_networks.h"

using namespace mistwright;
using namespace mistwright::water;

namespace {

std::string list_of(const std::vector<std::string>& items) {
  return fmt::format("[{}]", fmt::join(items, ", "));
}

std::string supply_json(const Supply& supply) {
  std::vector<std::string> curve;
  for (const auto& [flow, pressure] : supply.curve) {
    curve.push_back(fmt::format("[{}, {}]", flow, pressure));
  }
  return fmt::format(
      R"({{"node": {}, "static_Pa": {}, "bucket_m3_per_s": {}, "bucket_Pa": {}, "curve": {}}})",
      supply.node, supply.static_pressure_Pa, supply.bucket_flow_m3_per_s,
      supply.bucket_pressure_Pa, list_of(curve));
}

std::string nodes_json(const test::LoopedCase& c, const Hydraulics& state) {
  std::vector<std::string> rows;
  for (std::size_t n = 0; n < c.network.nodes.size(); ++n) {
    rows.push_back(fmt::format(R"({{"elevation_m": {}, "pressure_Pa": {}, "reached": {}}})",
                               c.network.nodes[n].elevation_m, state.node_pressure_Pa[n],
                               bool{state.node_reached[n]}));
  }
  return list_of(rows);
}

std::string pipes_json(const test::LoopedCase& c, const Hydraulics& state) {
  std::vector<std::string> rows;
  for (std::size_t p = 0; p < c.network.pipes.size(); ++p) {
    const Pipe& pipe = c.network.pipes[p];
    const bool open = !pipe.valve || c.valve_open[*pipe.valve];
    const double k =
        pipe.valve ? c.network.valves[*pipe.valve].flow_coefficient_m3_per_s_per_sqrtPa : 0.0;
    rows.push_back(fmt::format(R"({{"from": {}, "to": {}, "length_m": {}, "diameter_m": {}, )"
                               R"("roughness_m": {}, "minor_loss": {}, "open": {}, )"
                               R"("valve_m3_per_s_per_sqrtPa": {}, "flow_m3_per_s": {}}})",
                               pipe.from, pipe.to, pipe.length_m, pipe.diameter_m, pipe.roughness_m,
                               pipe.minor_loss_coefficient, open, k, state.pipe_flow_m3_per_s[p]));
  }
  return list_of(rows);
}

std::string heads_json(const test::LoopedCase& c, const Hydraulics& state) {
  std::vector<std::string> rows;
  for (std::size_t h = 0; h < c.heads.size(); ++h) {
    const NetworkHead& head = c.heads[h];
    const HeadType& type = *head.type;
    rows.push_back(
        fmt::format(R"({{"node": {}, "elevation_m": {}, "rated_m3_per_s": {}, "rated_Pa": {}, )"
                    R"("exponent": {}, "check_valve": {}, "opens_Pa": {}, "closes_Pa": {}, )"
                    R"("chatters": {}, "flow_m3_per_s": {}}})",
                    head.node, head.elevation_m, type.rated_flow_m3_per_s, type.rated_pressure_Pa,
                    type.flow_exponent, type.check_valve, type.check_opens_Pa, type.check_closes_Pa,
                    bool{state.head_chatters[h]}, state.head_flow_m3_per_s[h]));
  }
  return list_of(rows);
}

}  // namespace

int main(int count, char** words) {
  const int networks = count == 2 ? std::atoi(words[1]) : 0;
  if (networks < 1) return 2;
  const std::vector<HeadType> types = test::looped_types();
  for (int i = 0; i < networks; ++i) {
    const test::LoopedCase c = test::looped_case(static_cast<std::uint64_t>(i), types);
    const Hydraulics state = solve(c.network, c.heads, c.valve_open, c.water_temperature_K);
    fmt::print(
        "{}{{\"temperature_K\": {}, \"supply\": {},\n \"nodes\": {},\n \"pipes\": {},\n"
        " \"heads\": {},\n \"supply_flow_m3_per_s\": {}}}",
        i == 0 ? "[" : ",\n", c.water_temperature_K, supply_json(c.network.supply),
        nodes_json(c, state), pipes_json(c, state), heads_json(c, state),
        state.supply_flow_m3_per_s);
  }
  fmt::print("]\n");
}
