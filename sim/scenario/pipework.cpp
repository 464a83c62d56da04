#include "sim/scenario/pipework.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace mistwright::scenario {
namespace {

constexpr std::uint32_t no_node = std::numeric_limits<std::uint32_t>::max();
constexpr std::uint32_t open = no_node - 1;  ///< water stands here with every valve shut
constexpr std::uint32_t several = no_node - 2;

}  // namespace

std::uint32_t Pipework::add_node(const std::string& name, const Span& at, const NodeData& data) {
  if (const auto known = nodes.quiet_find(name); known && data_[*known].implied) {
    data_[*known] = data;
    reading_.house.network.nodes[*known] = {name, data.elevation_m, data.x_m, data.y_m};
    return *known;
  }
  const auto index = static_cast<std::uint32_t>(data_.size());
  nodes.add(reading_, name, at);
  data_.push_back(data);
  reading_.house.network.nodes.push_back({name, data.elevation_m, data.x_m, data.y_m});
  return index;
}

std::uint32_t Pipework::node(const std::string& name, const Span& at) {
  if (const auto index = nodes.quiet_find(name)) return *index;
  const Key* key = find_key("node", "elevation");
  reading_.assume({"node.elevation", key->fallback, key->fallback_low, key->fallback_high,
                   key->evidence, key->help});
  return add_node(name, at, {.implied = true});
}

std::uint32_t Pipework::add_pipe(const water::Pipe& pipe, const Span& at) {
  const auto index = static_cast<std::uint32_t>(reading_.house.network.pipes.size());
  pipes.add(reading_, pipe.name, at);
  reading_.house.network.pipes.push_back(pipe);
  return index;
}

void Pipework::add_head(const PlacedHead& head, const Standing& standing) {
  heads.add(reading_, head.name, standing.at);
  reading_.house.heads.push_back(head);
  standing_.push_back(standing);
}

std::vector<std::vector<std::pair<std::uint32_t, std::uint32_t>>> Pipework::neighbours() const {
  std::vector<std::vector<std::pair<std::uint32_t, std::uint32_t>>> out(data_.size());
  const auto& list = reading_.house.network.pipes;
  for (std::uint32_t i = 0; i < list.size(); ++i) {
    out[list[i].from].emplace_back(list[i].to, i);
    out[list[i].to].emplace_back(list[i].from, i);
  }
  return out;
}

std::optional<std::vector<std::uint32_t>> Pipework::path_to(std::uint32_t target) const {
  const auto next = neighbours();
  std::vector<std::pair<std::uint32_t, std::uint32_t>> from(data_.size(), {no_node, no_node});
  std::vector<std::uint32_t> queue{0};
  from[0] = {0, no_node};
  for (std::size_t i = 0; i < queue.size(); ++i) {
    for (const auto& [node, pipe] : next[queue[i]]) {
      if (from[node].first != no_node) continue;
      from[node] = {queue[i], pipe};
      queue.push_back(node);
    }
  }
  if (from[target].first == no_node) return std::nullopt;
  std::vector<std::uint32_t> path;
  for (std::uint32_t node = target; node != 0; node = from[node].first)
    path.push_back(from[node].second);
  return path;
}

void Pipework::report_island(const std::vector<std::uint8_t>& reached) {
  const auto& placed = reading_.house.heads;
  std::vector<std::size_t> dry;
  for (std::size_t i = 0; i < placed.size(); ++i) {
    if (!reached[placed[i].node]) dry.push_back(i);
  }
  if (dry.empty()) return;
  const std::string& first = placed[dry.front()].name;
  const std::string message =
      dry.size() == 1 ? fmt::format("head `{}` is not joined to any supply", first)
                      : fmt::format("heads `{}`{}`{}` are not joined to any supply", first,
                                    dry.size() == 2 ? " and " : "...", placed[dry.back()].name);
  std::string help = "a chain of [[pipe]] must lead from the supply to each head";
  double best_m = std::numeric_limits<double>::infinity();
  const std::size_t most = std::min<std::size_t>(data_.size(), 3000);
  for (std::size_t i = 0; i < most; ++i) {
    for (std::size_t j = 0; j < most; ++j) {
      if (!reached[i] || reached[j] || !data_[i].placed || !data_[j].placed) continue;
      const double apart_m = std::hypot(data_[i].x_m - data_[j].x_m, data_[i].y_m - data_[j].y_m);
      if (apart_m >= best_m) continue;
      best_m = apart_m;
      help = fmt::format("the gap is between node `{}` and `{}` ({} apart)", nodes.name(i),
                         nodes.name(j), rounded(apart_m, "m"));
    }
  }
  reading_.error("E0540", standing_[dry.front()].at, message, help);
}

void Pipework::place_nodes(const std::vector<std::uint32_t>& order) {
  // Only pictures need places; a node without one is drawn at the neighbour from which water comes.
  const auto next = neighbours();
  for (auto i = order.rbegin(); i != order.rend(); ++i) {
    for (const auto& [other, pipe] : next[*i]) {
      if (data_[*i].placed || !data_[other].placed) continue;
      data_[*i].x_m = data_[other].x_m;
      data_[*i].y_m = data_[other].y_m;
      data_[*i].placed = true;
    }
    reading_.house.network.nodes[*i].x_m = data_[*i].x_m;
    reading_.house.network.nodes[*i].y_m = data_[*i].y_m;
  }
}

std::vector<std::uint32_t> Pipework::groups() const {
  const auto& list = reading_.house.network.pipes;
  const auto next = neighbours();
  std::vector<std::uint32_t> group(data_.size(), no_node);
  std::uint32_t count = 0;
  for (std::uint32_t start = 0; start < group.size(); ++start) {
    if (group[start] != no_node) continue;
    std::vector<std::uint32_t> queue{start};
    group[start] = count;
    while (!queue.empty()) {
      const std::uint32_t at = queue.back();
      queue.pop_back();
      for (const auto& [node, pipe] : next[at]) {
        if (list[pipe].valve || group[node] != no_node) continue;
        group[node] = count;
        queue.push_back(node);
      }
    }
    ++count;
  }
  return group;
}

std::vector<std::uint32_t> Pipework::steps(const std::vector<std::uint32_t>& group) const {
  const auto& list = reading_.house.network.pipes;
  std::vector<std::uint32_t> steps(group.size(), no_node);
  steps[group[0]] = 0;
  const auto nearer = [&](std::uint32_t from, std::uint32_t to) {
    if (steps[from] == no_node || steps[to] <= steps[from] + 1) return false;
    steps[to] = steps[from] + 1;
    return true;
  };
  for (bool more = true; more;) {
    more = false;
    for (const water::Pipe& pipe : list) {
      if (!pipe.valve) continue;
      if (nearer(group[pipe.from], group[pipe.to])) more = true;
      if (nearer(group[pipe.to], group[pipe.from])) more = true;
    }
  }
  return steps;
}

std::vector<std::uint32_t> Pipework::zones() const {
  const std::vector<std::uint32_t> group = groups();
  const std::vector<std::uint32_t> step = steps(group);
  std::vector<std::uint32_t> ruler(group.size(), no_node);
  ruler[group[0]] = open;
  const auto rule = [&](std::uint32_t at, std::uint32_t valve) {
    if (ruler[at] != open) ruler[at] = ruler[at] == no_node || ruler[at] == valve ? valve : several;
  };
  for (const water::Pipe& pipe : reading_.house.network.pipes) {
    const std::uint32_t from = group[pipe.from];
    const std::uint32_t to = group[pipe.to];
    if (!pipe.valve || step[from] == no_node) continue;
    if (step[from] <= step[to]) rule(to, *pipe.valve);
    if (step[to] <= step[from]) rule(from, *pipe.valve);
  }
  std::vector<std::uint32_t> out(data_.size());
  for (std::size_t i = 0; i < out.size(); ++i) out[i] = ruler[group[i]];
  return out;
}

void Pipework::rule_head(PlacedHead& head, const Standing& standing, std::uint32_t ruled,
                         const Names& valves) {
  if (ruled == open) {
    reading_.error("E0542", standing.at,
                   fmt::format("head `{}` gets water with every valve shut", head.name),
                   "put a [[valve]] on a pipe between it and the supply");
  } else if (standing.zone && ruled != several && *standing.zone != ruled) {
    reading_.error("E0543", standing.zone_at,
                   fmt::format("head `{}` is fed through valve `{}`, not `{}`", head.name,
                               valves.name(ruled), valves.name(*standing.zone)));
  } else if (!standing.zone && ruled == several) {
    reading_.error("E0544", standing.at,
                   fmt::format("head `{}` can be fed through several valves", head.name),
                   "say which by `zone`");
  }
  if (standing.zone) {
    head.valve = *standing.zone;
  } else if (ruled < valves.size()) {
    head.valve = ruled;
  }
}

void Pipework::finish(const Names& valves, bool described) {
  House& house = reading_.house;
  if (house.heads.empty() && described) return;
  if (house.heads.empty()) {
    reading_.error("E0201", Span{reading_.source, 0, 0, 1}, "the house has no head",
                   "add [[head]] or [[row]]");
    return;
  }
  if (house.heads.size() > 100'000) {
    reading_.error("E0541", standing_[100'000].at,
                   "more than 100000 heads; at most 100000 are simulated");
  }
  const auto next = neighbours();
  std::vector<std::uint8_t> reached(data_.size(), 0);
  std::vector<std::uint32_t> queue{0};
  reached[0] = 1;
  for (std::size_t i = 0; i < queue.size(); ++i) {
    for (const auto& [node, pipe] : next[queue[i]]) {
      if (reached[node]) continue;
      reached[node] = 1;
      queue.push_back(node);
    }
  }
  report_island(reached);
  const std::vector<std::uint32_t> zone = zones();
  for (std::size_t i = 0; i < house.heads.size(); ++i) {
    const std::uint32_t node = house.heads[i].node;
    if (reached[node]) rule_head(house.heads[i], standing_[i], zone[node], valves);
  }
  place_nodes(queue);
}

}  // namespace mistwright::scenario
