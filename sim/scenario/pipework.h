#pragma once
// The pipes while they are read: nodes and pipes by name, where heads stand on them, and whether
// water gets there and through which valve.
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "sim/scenario/reading.h"

namespace mistwright::scenario {

/// What is known of a node.
struct NodeData {
  double elevation_m = 0.0;
  double x_m = 0.0, y_m = 0.0;
  bool placed = false;   ///< whether x and y are known
  bool implied = false;  ///< only pipes have named it so far
};

class Pipework {
 public:
  explicit Pipework(Reading& reading) : reading_(reading) {}

  std::uint32_t add_node(const std::string& name, const Span& at, const NodeData& data);
  /// A node by name; one that only pipes name stands at the default elevation.
  std::uint32_t node(const std::string& name, const Span& at);
  std::uint32_t add_pipe(const water::Pipe& pipe, const Span& at);
  /// Pipes from the supply to a node, over the fewest pipes; none if there is no way.
  [[nodiscard]] std::optional<std::vector<std::uint32_t>> path_to(std::uint32_t node) const;

  /// A head that stands on the pipes.
  struct Standing {
    Span at;
    std::optional<std::uint32_t> zone;  ///< as written
    Span zone_at;
  };
  void add_head(const PlacedHead& head, const Standing& standing);

  /// Whether a node's place in the plan is known.
  [[nodiscard]] bool placed(std::uint32_t node) const { return data_[node].placed; }

  /// Checks that water reaches every head, and through which valve; fills in zones left out.
  /// @param described  whether the file has heads or rows at all, right or wrong
  void finish(const Names& valves, bool described);

  Names nodes{"node"};
  Names pipes{"pipe"};
  Names heads{"head"};
  Names rows{"row"};
  Got<std::string> bucket_at;

 private:
  std::vector<std::vector<std::pair<std::uint32_t, std::uint32_t>>> neighbours() const;
  /// A number for each node: the same for those joined by pipes without valves.
  std::vector<std::uint32_t> groups() const;
  /// For each group how many valves stand between the supply and it, at the fewest.
  std::vector<std::uint32_t> steps(const std::vector<std::uint32_t>& group) const;
  /// For each node the valve nearest before it, or that none or several are.
  std::vector<std::uint32_t> zones() const;
  void rule_head(PlacedHead& head, const Standing& standing, std::uint32_t ruled,
                 const Names& valves);
  void report_island(const std::vector<std::uint8_t>& reached);
  void place_nodes(const std::vector<std::uint32_t>& order);

  Reading& reading_;
  std::vector<NodeData> data_;
  std::vector<Standing> standing_;
};

void read_rows(Reading& reading, const Value& root, Pipework& pipework, const Names& types,
               const Names& valves);
void read_heads(Reading& reading, const Value& root, Pipework& pipework, const Names& types,
                const Names& valves);

}  // namespace mistwright::scenario
