#include "models/water/network_graph.h"

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/breadth_first_search.hpp>
#include <boost/graph/connected_components.hpp>
#include <limits>

#include "models/contracts.h"

namespace mistwright::water {
namespace {

/// Parallel edges stay apart; each edge remembers its pipe.
using Graph = boost::adjacency_list<boost::vecS, boost::vecS, boost::undirectedS,
                                    boost::no_property, std::uint32_t>;

template <class Passes>
void join(Graph& graph, const Network& network, const Passes& passes) {
  for (std::uint32_t p = 0; p < network.pipes.size(); ++p) {
    const Pipe& pipe = network.pipes[p];
    EXPECT(pipe.from < network.nodes.size() && pipe.to < network.nodes.size());
    if (passes(pipe)) boost::add_edge(pipe.from, pipe.to, p, graph);
  }
}

/// Writes down the order of discovery and the pipe by which each node was found.
class Recorder : public boost::default_bfs_visitor {
 public:
  explicit Recorder(Reach& found) : found_(&found) {}
  void discover_vertex(Graph::vertex_descriptor node, const Graph& /*graph*/) const {
    found_->node[node] = true;
    found_->order.push_back(static_cast<std::uint32_t>(node));
  }
  void tree_edge(Graph::edge_descriptor edge, const Graph& graph) const {
    found_->pipe_towards[boost::target(edge, graph)] = graph[edge];
  }

 private:
  Reach* found_;
};

}  // namespace

Reach reach(const Network& network, const std::vector<bool>& valve_open) {
  EXPECT(valve_open.size() == network.valves.size());
  EXPECT(network.supply.node < network.nodes.size());
  Graph graph(network.nodes.size());
  join(graph, network, [&](const Pipe& pipe) {
    EXPECT(!pipe.valve || *pipe.valve < valve_open.size());
    return !pipe.valve || valve_open[*pipe.valve];
  });
  Reach found;
  found.node.assign(network.nodes.size(), false);
  found.pipe_towards.assign(network.nodes.size(), std::nullopt);
  std::vector<boost::default_color_type> colour(network.nodes.size());
  boost::breadth_first_search(graph, network.supply.node,
                              boost::visitor(Recorder(found))
                                  .color_map(boost::make_iterator_property_map(
                                      colour.begin(), boost::get(boost::vertex_index, graph))));
  return found;
}

std::vector<std::vector<std::string>> islands(const Network& network) {
  Graph graph(network.nodes.size());
  join(graph, network, [](const Pipe& /*pipe*/) { return true; });
  std::vector<std::size_t> component(network.nodes.size());
  std::vector<boost::default_color_type> colour(network.nodes.size());
  const auto index = boost::get(boost::vertex_index, graph);
  const std::size_t count = boost::connected_components(
      graph, boost::make_iterator_property_map(component.begin(), index),
      boost::color_map(boost::make_iterator_property_map(colour.begin(), index)));
  constexpr std::size_t unseen = std::numeric_limits<std::size_t>::max();
  std::vector<std::size_t> place(count, unseen);
  std::vector<std::vector<std::string>> groups;
  for (std::size_t n = 0; n < network.nodes.size(); ++n) {
    if (component[n] == component[network.supply.node]) continue;
    if (place[component[n]] == unseen) {
      place[component[n]] = groups.size();
      groups.emplace_back();
    }
    groups[place[component[n]]].push_back(network.nodes[n].name);
  }
  return groups;
}

}  // namespace mistwright::water
