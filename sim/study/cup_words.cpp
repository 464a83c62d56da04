#include "sim/study/cup_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "models/units.h"
#include "sim/report/words.h"

namespace mistwright::study {

namespace {

constexpr std::size_t indent = 10;

/// "37.5 cm (14.8 in)"
std::string length_words(double length_m) {
  return fmt::format("{:.1f} cm ({:.1f} in)", 100.0 * length_m, length_m / 0.0254);
}

std::string counted(std::size_t count, const char* what) {
  return fmt::format("{} {}{}", count, what, count == 1 ? "" : "s");
}

/// Places of rows or columns as one line: "12.5, 37.5, 62.5 cm".
template <class Place>
std::string places_words(std::size_t count, const Place& place_m) {
  std::string metric, inches;
  for (std::size_t i = 0; i < count; ++i) {
    metric += fmt::format("{}{:.1f}", i > 0 ? ", " : "", 100.0 * place_m(i));
    inches += fmt::format("{}{:.1f}", i > 0 ? ", " : "", place_m(i) / 0.0254);
  }
  return fmt::format("{} cm ({} in)", metric, inches);
}

std::string sketch(const CupPlan& plan, const CupGrid& grid) {
  std::size_t wide = 0;
  for (std::size_t c = 0; c < grid.rows * grid.columns; ++c)
    wide = std::max(wide, plan.cups[grid.first + c].name.size());
  const std::size_t inner = grid.columns * (wide + 2) + 2;
  const std::string edge = fmt::format("          +{:-<{}}+\n", "", inner);
  std::string out = edge;
  for (std::size_t row = grid.rows; row-- > 0;) {
    out += row + 1 == grid.rows ? "   front  |  " : "          |  ";
    for (std::size_t column = 0; column < grid.columns; ++column)
      out +=
          fmt::format("{:<{}}", plan.cups[grid.first + row * grid.columns + column].name, wide + 2);
    out += row + 1 == grid.rows ? "|  back\n" : "|\n";
  }
  return out + edge;
}

std::string placing(const House& house, const CupPlan& plan, const CupGrid& grid) {
  const auto cup = [&](std::size_t row, std::size_t column) -> const Cup& {
    return plan.cups[grid.first + row * grid.columns + column];
  };
  const std::string first = cup(0, 0).name, last = cup(grid.rows - 1, 0).name;
  std::string out = fmt::format("Bench `{}`, from above, as one walks in at the front:\n",
                                house.benches[grid.bench].name);
  out += sketch(plan, grid);
  out += report::wrapped(
      "",
      fmt::format("Columns 1 to {} stand {} from the front end; rows {} to {} stand {} from the "
                  "right-hand edge.",
                  grid.columns,
                  places_words(grid.columns, [&](std::size_t c) { return cup(0, c).along_m; }),
                  first.substr(0, first.find('1')), last.substr(0, last.find('1')),
                  places_words(grid.rows, [&](std::size_t r) { return cup(r, 0).across_m; })),
      indent);
  return out;
}

std::string zones_words(const CupPlan& plan) {
  std::vector<std::string> told, silent;
  for (const CupZone& zone : plan.zones) {
    if (zone.burst_s > 0.0) {
      told.push_back(fmt::format("`{}` {}", zone.name, report::burst_words(zone.burst_s)));
    } else {
      silent.push_back(fmt::format("`{}`", zone.name));
    }
  }
  std::string words = told.empty() ? "no zone has a programme" : report::list_words(told);
  if (!silent.empty()) words += fmt::format("; no programme opens {}", report::list_words(silent));
  return words;
}

std::string to_do(const CupPlan& plan) {
  std::string words = fmt::format(
      "{} bursts of each zone with its own clock ({}), not one long run: what the line takes to "
      "fill and to drain is part of it. Read the cups at once, before they dry. Calm outside, "
      "doors "
      "shut",
      plan.bursts, zones_words(plan));
  words += plan.tables.size() > 1 ? "; once with the fans off, and again with them on." : ".";
  if (!plan.worth_reading)
    words += fmt::format(
        " With that the low quarter of cups holds less than {:.0f} mL: use wider vessels, or weigh "
        "them to 0.1 g.",
        lines_worth_reading_number * cup_reading_m3 * 1e6);
  return words;
}

std::string even_words(const droplet::Evenness& even) {
  return fmt::format("CU {:.0f} %, DU {:.0f} %, variation {:.0f} %, driest tenth {:.0f} %",
                     100.0 * even.christiansen_ratio, 100.0 * even.low_quarter_ratio,
                     100.0 * even.variation_ratio, 100.0 * even.driest_tenth_ratio);
}

std::string range_words(const CupPlan& plan, const CupCatch& cup) {
  const double to_mL = 1e6 * plan.mouth_m2();
  return fmt::format("{:.1f} ({:.0f} to {:.0f})", to_mL * cup.depth_m, to_mL * cup.low_m,
                     to_mL * cup.high_m);
}

/// Cups side by side, so that a bench fits a screen.
std::string expected_table(const CupPlan& plan, const CupGrid& grid, const CupTable& table) {
  constexpr std::size_t side_by_side = 3;
  const std::size_t count = grid.rows * grid.columns;
  const std::size_t lines = (count + side_by_side - 1) / side_by_side;
  std::string out;
  for (std::size_t s = 0; s < std::min(side_by_side, count); ++s)
    out += fmt::format("{:<5}{:<16}{:<6}", "cup", "mL", "mm");
  out.erase(out.find_last_not_of(' ') + 1);
  out += '\n';
  for (std::size_t line = 0; line < lines; ++line) {
    std::string text;
    for (std::size_t s = 0; s < side_by_side; ++s) {
      const std::size_t c = s * lines + line;
      if (c >= count) continue;
      const CupCatch& cup = table.cups[grid.first + c];
      text += fmt::format("{:<5}{:<16}{:<6.2f}", plan.cups[grid.first + c].name,
                          range_words(plan, cup), 1000.0 * cup.depth_m);
    }
    text.erase(text.find_last_not_of(' ') + 1);
    out += text + '\n';
  }
  return out;
}

std::string expected(const House& house, const CupPlan& plan, const CupTable& table) {
  std::string out = fmt::format("\nAfter {} bursts, {}:\n", plan.bursts, table.words);
  for (std::size_t g = 0; g < plan.grids.size(); ++g) {
    const CupGrid& grid = plan.grids[g];
    out += fmt::format("\nbench `{}`\n", house.benches[grid.bench].name);
    out += expected_table(plan, grid, table);
    out += fmt::format("these cups  {}\nwhole bench {}\n", even_words(table.of_grids[g]),
                       even_words(table.of_benches[g]));
  }
  return out;
}

std::string notes(const CupPlan& plan) {
  return report::wrapped(
             "Figures",
             "CU is Christiansen's uniformity; DU the mean of the lowest quarter over the mean of "
             "all (whole cups, rounded up; for the whole bench a quarter of its area); variation "
             "the sample standard deviation over the mean. No standard for propagation benches "
             "was found: DU of 75 % and more is our proposal for cuttings without roots, below "
             "60 % something is wrong.",
             indent) +
         report::wrapped(
             "Ranges",
             fmt::format(
                 "computed in air of {:.0f} degC and {:.0f} % relative humidity. Ranges hold air "
                 "of "
                 "{:.0f} to {:.0f} %, twice the spread of sound heads ({:.0f} % in flow, common "
                 "practice), twice the noise of the computed drops (about {:.0f} % of a middling "
                 "cup), and half a line of a measuring cylinder of {:.0f} mL a line (common "
                 "practice). They leave out errors of the scenario itself: pressure, drop sizes, "
                 "where heads stand. Cups miss fog that does not settle.",
                 celsius(cups_air_K), 100.0 * cups_humidity_fraction,
                 100.0 * cups_humidity_low_fraction, 100.0 * cups_humidity_high_fraction,
                 100.0 * head_spread_fraction, 100.0 * plan.noise_ratio, 1e6 * cup_reading_m3),
             indent);
}

std::string cautions() {
  return report::wrapped(
      "Cautions",
      "stand clear of the spray while it runs, and do not breathe it: fine drops of warm, stale "
      "or reused water can carry bacteria to the lungs. Flush lines that stood still first. Wet "
      "floors are slippery. Keep electrics out of the spray. Local codes go first.",
      indent);
}

}  // namespace

std::string cup_plan_words(const House& house, const CupPlan& plan) {
  std::string out = report::wrapped(
      "Cups",
      fmt::format("{} alike with straight sides, mouth {}, upright among the leaves with the mouth "
                  "at their height, nothing above.",
                  plan.cups.size(), length_words(plan.diameter_m)),
      indent);
  out += report::wrapped("Run", to_do(plan), indent) + '\n';
  for (const CupGrid& grid : plan.grids) out += placing(house, plan, grid) + '\n';
  out.pop_back();
  for (const CupTable& table : plan.tables) out += expected(house, plan, table);
  return out + '\n' + notes(plan) + cautions();
}

std::string judgement_words(const House& house, const CupPlan& plan, const CupTable& table,
                            const Judgement& judgement) {
  static_cast<void>(house);
  const std::size_t off = judgement.low_count + judgement.high_count;
  std::string says =
      fmt::format("{} read, {} of them outside of what was expected; all together {:.0f} % of it.",
                  counted(judgement.rows.size(), "cup"), off == 0 ? "none" : fmt::format("{}", off),
                  100.0 * judgement.total_ratio);
  if (!judgement.missing.empty())
    says += fmt::format(" Without a reading: {}.", counted(judgement.missing.size(), "cup"));
  std::string out = report::wrapped("Cups", says, indent);
  if (judgement.hints.empty()) {
    out += report::wrapped("Hints", "nothing stands out.", indent);
  }
  for (const std::string& hint : judgement.hints) out += report::wrapped("Hint", hint, indent);
  out += fmt::format("\nAfter {} bursts, {}:\n", plan.bursts, table.words);
  out += judgement.tells_evenness()
             ? fmt::format("measured    {}\nexpected    {}\n", even_words(judgement.measured),
                           even_words(judgement.expected))
             : std::string("one cup tells nothing of how even the mist is: read more of them\n");
  if (off > 0) out += fmt::format("\n{:<6}{:>9}  {:<18}\n", "cup", "read, mL", "expected, mL");
  const double to_mL = 1e6 * plan.mouth_m2();
  for (const Judgement::Row& row : judgement.rows) {
    if (row.side_number == 0) continue;
    out += fmt::format("{:<6}{:>9.1f}  {:<18}{}\n", plan.cups[row.cup].name, to_mL * row.depth_m,
                       range_words(plan, row.expected),
                       row.side_number < 0 ? "too little" : "too much");
  }
  return out + '\n' + notes(plan) + cautions();
}

}  // namespace mistwright::study
