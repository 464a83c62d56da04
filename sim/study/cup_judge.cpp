#include "sim/study/cup_judge.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <numeric>

#include "sim/house/water_part.h"

namespace mistwright::study {

namespace {

using Row = Judgement::Row;

/// Caught over expected, of the cups that a question picks; nothing when they should hold nothing.
struct Part {
  double caught_m = 0.0, expected_m = 0.0;
  std::size_t cups = 0;

  void add(const Row& row) {
    caught_m += row.depth_m;
    expected_m += row.expected.depth_m;
    ++cups;
  }
  [[nodiscard]] double ratio() const { return expected_m > 0.0 ? caught_m / expected_m : 1.0; }
};

std::size_t nearest_head(const House& house, const Cup& cup) {
  const Bench& bench = house.benches[cup.bench];
  std::size_t best = 0;
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t h = 0; h < house.heads.size(); ++h) {
    const double off = std::hypot(house.heads[h].x_m - bench.x_m - cup.along_m,
                                  house.heads[h].y_m - bench.y_m - cup.across_m);
    if (off < least) {
      least = off;
      best = h;
    }
  }
  return best;
}

/// A head whose cups all hold much less than the others' do.
/// @return whether there is one
bool look_for_weak_heads(const House& house, const CupPlan& plan, Judgement& judgement) {
  std::vector<Part> by_head(house.heads.size());
  Part all;
  for (const Row& row : judgement.rows) {
    by_head[nearest_head(house, plan.cups[row.cup])].add(row);
    all.add(row);
  }
  const std::size_t before = judgement.hints.size();
  for (std::size_t h = 0; h < by_head.size(); ++h) {
    const Part& own = by_head[h];
    if (own.cups == 0 || own.cups == all.cups || own.expected_m <= 0.0) continue;
    Part rest;
    rest.caught_m = all.caught_m - own.caught_m;
    rest.expected_m = all.expected_m - own.expected_m;
    const double ratio = rest.ratio() > 0.0 ? own.ratio() / rest.ratio() : 1.0;
    if (ratio < low_head_ratio)
      judgement.hints.push_back(fmt::format(
          "The {} cup{} nearest head `{}` hold{} {:.0f} % of what the others' catch makes likely: "
          "is it blocked, worn or tilted? Clean it, or change it with another and run again.",
          own.cups, own.cups == 1 ? "" : "s", house.heads[h].name, own.cups == 1 ? "s" : "",
          100.0 * ratio));
  }
  return judgement.hints.size() > before;
}

/// The heads that get the least pressure, which are those at the line's end, land less still.
void look_along_the_line(const House& house, const CupPlan& plan, Judgement& judgement) {
  const Waterworks works(house);
  for (std::uint32_t valve = 0; valve < house.network.valves.size(); ++valve) {
    const double burst_s = longest_burst_s(house, valve);
    if (burst_s <= 0.0) continue;
    const std::vector<double> pressure_Pa = works.alone(valve, burst_s).hydraulics.head_pressure_Pa;
    std::vector<double> sorted_Pa;
    for (std::size_t h = 0; h < house.heads.size(); ++h)
      if (house.heads[h].valve == valve) sorted_Pa.push_back(pressure_Pa[h]);
    if (sorted_Pa.size() < 4) continue;
    std::sort(sorted_Pa.begin(), sorted_Pa.end());
    const double middle_Pa =
        0.5 * (sorted_Pa[(sorted_Pa.size() - 1) / 2] + sorted_Pa[sorted_Pa.size() / 2]);
    Part strong, weak;
    for (const Row& row : judgement.rows) {
      const std::size_t head = nearest_head(house, plan.cups[row.cup]);
      if (house.heads[head].valve != valve || pressure_Pa[head] == middle_Pa) continue;
      (pressure_Pa[head] < middle_Pa ? weak : strong).add(row);
    }
    if (strong.cups < 2 || weak.cups < 2 || strong.ratio() <= 0.0) continue;
    const double ratio = weak.ratio() / strong.ratio();
    if (ratio < low_end_ratio)
      judgement.hints.push_back(fmt::format(
          "Cups under the half of `{}` farthest along the line hold {:.0f} % of what those under "
          "the nearer half make likely: is the pressure low at the line's end, or does the line "
          "drain and fill slowly? Measure the pressure at the last head while it sprays.",
          house.network.valves[valve].name, 100.0 * ratio));
  }
}

/// The two halves of a bench, one way.
struct Halves {
  const char *low_words, *high_words;
  std::function<double(const Cup&)> place_fraction;  ///< of a cup between the two, 0 to 1
};

/// One half of a bench gets less than the other.
void look_at_halves(const House& house, const CupPlan& plan, std::size_t bench,
                    const Halves& halves, Judgement& judgement) {
  Part low, high;
  for (const Row& row : judgement.rows) {
    if (plan.cups[row.cup].bench != bench) continue;
    const double place = halves.place_fraction(plan.cups[row.cup]);
    if (place < 0.5 - 1e-9) low.add(row);
    if (place > 0.5 + 1e-9) high.add(row);
  }
  const bool low_is_less = low.ratio() < high.ratio();
  const double less = std::min(low.ratio(), high.ratio());
  const double more = std::max(low.ratio(), high.ratio());
  if (low.cups < 2 || high.cups < 2 || less >= low_side_ratio * more) return;
  judgement.hints.push_back(fmt::format(
      "On bench `{}` the {} half holds {:.0f} % of what the {} half makes likely: does a fan, a "
      "vent or wind push the mist over? Look at the mist from the side while it sprays.",
      house.benches[bench].name, low_is_less ? halves.low_words : halves.high_words,
      100.0 * less / more, low_is_less ? halves.high_words : halves.low_words));
}

void look_across(const House& house, const CupPlan& plan, Judgement& judgement) {
  for (const CupGrid& grid : plan.grids) {
    const Bench& bench = house.benches[grid.bench];
    look_at_halves(
        house, plan, grid.bench,
        {"right-hand", "left-hand", [&](const Cup& cup) { return cup.across_m / bench.width_m; }},
        judgement);
    look_at_halves(house, plan, grid.bench,
                   {"front", "back", [&](const Cup& cup) { return cup.along_m / bench.length_m; }},
                   judgement);
  }
}

void look_at_all(Judgement& judgement) {
  if (judgement.expected.mean_number <= 0.0) return;
  if (judgement.total_ratio < low_all_ratio)
    judgement.hints.push_back(
        "All cups together hold too little: is the pressure low while it sprays, were the bursts "
        "shorter or fewer than said, or did cups dry before they were read? Heads may also pass "
        "less than the scenario says: catch one head's flow in a jug.");
  if (judgement.total_ratio > high_all_ratio)
    judgement.hints.push_back(
        "All cups together hold too much: were there more or longer bursts than said, is the "
        "pressure high, or do the heads pass more than the scenario says? Catch one head's flow "
        "in a jug.");
}

}  // namespace

Judgement judge_cups(const House& house, const CupPlan& plan, const CupTable& table,
                     const std::vector<CupAmount>& amounts) {
  Judgement judgement;
  std::vector<const CupAmount*> by_cup(plan.cups.size(), nullptr);
  for (const CupAmount& amount : amounts) by_cup.at(amount.cup) = &amount;
  std::vector<double> measured, expected;
  for (std::size_t c = 0; c < by_cup.size(); ++c) {
    if (by_cup[c] == nullptr) {
      judgement.missing.push_back(c);
      continue;
    }
    Row row{c, by_cup[c]->depth_m, table.cups[c]};
    row.side_number = row.depth_m < row.expected.low_m    ? -1
                      : row.depth_m > row.expected.high_m ? 1
                                                          : 0;
    judgement.low_count += row.side_number < 0 ? 1 : 0;
    judgement.high_count += row.side_number > 0 ? 1 : 0;
    measured.push_back(row.depth_m);
    expected.push_back(row.expected.depth_m);
    judgement.rows.push_back(row);
  }
  judgement.measured = evenness_of_cups(measured);
  judgement.expected = evenness_of_cups(expected);
  const double wanted = judgement.expected.mean_number;
  judgement.total_ratio = wanted > 0.0 ? judgement.measured.mean_number / wanted : 0.0;
  look_at_all(judgement);
  // A blocked head is also low on its side and along its line: one cause is told.
  if (!look_for_weak_heads(house, plan, judgement)) {
    look_along_the_line(house, plan, judgement);
    look_across(house, plan, judgement);
  }
  return judgement;
}

}  // namespace mistwright::study
