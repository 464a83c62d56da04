#include "sim/app/situations.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <map>
#include <set>

#include "models/water/hydraulics.h"
#include "sim/report/words.h"
#include "sim/scenario/quantity.h"

namespace mistwright::app {
namespace {

using Valves = std::vector<std::uint32_t>;

constexpr std::int64_t day_us = 86'400'000'000;

struct Opening {
  std::int64_t from_us, to_us;
  std::uint32_t valve;
};

/// All bursts that start within a day.
std::vector<Opening> bursts_of(const control::Programme& programme) {
  std::vector<Opening> out;
  for (std::int64_t at_us = 0; at_us < day_us;) {
    const auto next = control::next_burst(programme, at_us);
    if (!next || at_us + next->wait_us >= day_us) break;
    at_us += next->wait_us;
    out.push_back({at_us, at_us + next->burst_us, programme.valve});
    at_us += std::max<std::int64_t>(next->burst_us, 1);
  }
  return out;
}

/// Sets of valves open together, each with the first moment it happens.
std::map<Valves, std::int64_t> open_sets(const House& house) {
  std::vector<Opening> bursts;
  for (const Clock& clock : house.clocks) {
    for (const control::Programme& programme : clock.programmes) {
      const auto more = bursts_of(programme);
      bursts.insert(bursts.end(), more.begin(), more.end());
    }
  }
  std::sort(bursts.begin(), bursts.end(), [](const Opening& a, const Opening& b) {
    return std::pair(a.from_us, a.valve) < std::pair(b.from_us, b.valve);
  });
  std::map<Valves, std::int64_t> sets;
  std::vector<Opening> open;
  for (const Opening& burst : bursts) {
    open.erase(std::remove_if(open.begin(), open.end(),
                              [&](const Opening& o) { return o.to_us <= burst.from_us; }),
               open.end());
    open.push_back(burst);
    std::set<std::uint32_t> valves;
    for (const Opening& o : open) valves.insert(o.valve);
    sets.try_emplace(Valves(valves.begin(), valves.end()), burst.from_us);
    sets.try_emplace({burst.valve}, burst.from_us);
  }
  return sets;
}

Situation solved(const House& house, const Valves& valves, std::int64_t first_us) {
  Situation situation{.valves = valves, .first_us = first_us};
  std::vector<water::NetworkHead> heads;
  for (const PlacedHead& head : house.heads) {
    heads.push_back({head.node, &house.head_types[head.type], head.z_m});
  }
  std::vector<bool> open(house.network.valves.size(), false);
  for (const std::uint32_t valve : valves) open[valve] = true;
  const water::Hydraulics state =
      water::solve(house.network, heads, open, house.network.supply.temperature_K);
  situation.flow_m3_per_s = state.supply_flow_m3_per_s;
  situation.supply_pressure_Pa = state.supply_pressure_Pa;
  situation.lowest_head_Pa = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < house.heads.size(); ++i) {
    const PlacedHead& head = house.heads[i];
    if (!open[head.valve]) continue;
    const water::HeadType& type = house.head_types[head.type];
    situation.wanted_m3_per_s += type.rated_flow_m3_per_s;
    situation.starved |= state.head_pressure_Pa[i] < type.working_pressure_low_Pa;
    if (state.head_pressure_Pa[i] < situation.lowest_head_Pa) {
      situation.lowest_head_Pa = state.head_pressure_Pa[i];
      situation.lowest_head = static_cast<std::uint32_t>(i);
    }
  }
  return situation;
}

}  // namespace

std::vector<Situation> situations(const House& house) {
  std::vector<Situation> out;
  for (const auto& [valves, first_us] : open_sets(house)) {
    out.push_back(solved(house, valves, first_us));
  }
  std::stable_sort(out.begin(), out.end(), [](const Situation& a, const Situation& b) {
    return a.valves.size() < b.valves.size();
  });
  return out;
}

std::vector<scenario::Problem> overlaps(const House& house,
                                        const std::vector<Situation>& situations) {
  std::set<std::uint32_t> starved_alone;
  for (const Situation& s : situations) {
    if (s.valves.size() == 1 && s.starved) starved_alone.insert(s.valves.front());
  }
  std::vector<scenario::Problem> problems;
  for (const Situation& s : situations) {
    const bool alone_is_enough = std::none_of(s.valves.begin(), s.valves.end(), [&](auto valve) {
      return starved_alone.count(valve) > 0;
    });
    if (s.valves.size() < 2 || !s.starved || !alone_is_enough) continue;
    std::vector<std::string> names;
    for (const auto valve : s.valves) {
      names.push_back(fmt::format("`{}`", house.network.valves[valve].name));
    }
    const double hour = static_cast<double>(s.first_us) / 1e6 / 3600.0;
    scenario::Problem problem;
    problem.code = "E0910";
    problem.message =
        fmt::format("at {} zones {} need {}; the supply gives {} at {}", report::clock_words(hour),
                    report::list_words(names), scenario::rounded(s.wanted_m3_per_s, "L/min"),
                    scenario::rounded(s.flow_m3_per_s, "L/min"),
                    scenario::rounded(s.supply_pressure_Pa, "kPa"));
    problem.help = "start them at different moments; --allow-starved takes them as they are";
    problem.at.source =
        std::make_shared<const scenario::SourceText>(house.source.path, house.source.text);
    problems.push_back(std::move(problem));
  }
  return problems;
}

}  // namespace mistwright::app
