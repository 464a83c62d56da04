#include "sim/study/placement_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "sim/report/bench_map.h"
#include "sim/report/standalone.h"
#include "sim/report/words.h"

namespace mistwright::study {

namespace {

constexpr std::size_t indent = 10;
constexpr auto label_form = "{:>11} {:>11} {:>7} {:>6} ";

/// "+1 h 20 min", "-12 min"
std::string gain_words(double gain_s) {
  const std::string words = report::duration_words(std::abs(gain_s));
  return gain_s < 0.0 ? "-" + words : "+" + words;
}

std::string percent(double share_fraction) {
  return fmt::format("{:.0f} %", 100.0 * share_fraction);
}

std::string result_words(const MoveTable& table) {
  const MoveResult& result = table.as_is;
  return fmt::format(
      "leaves are dry {} {} on average, the worst place {} ({}); {} of the leaves "
      "pass the {} with at most ten dry minutes; {} of water sprayed.",
      report::duration_words(result.mean_dry_s), report::each_day(table.part_of_day_s),
      report::duration_words(result.worst.dry_s), result.worst.words,
      percent(result.passing_fraction), table.part_of_day_s > 0.0 ? "run" : "day",
      report::water_words(result.water_kg));
}

/// What the order by the mean of the leaves does not tell.
std::string remark(const MoveTable& table, const MoveRow& row) {
  std::string words;
  const bool mean_tells = std::abs(row.mean_gain_s) > table.mean_noise_s;
  if (mean_tells && row.worst_gain_s * row.mean_gain_s < 0.0 &&
      std::abs(row.worst_gain_s) > table.worst_noise_s)
    words += row.worst_gain_s < 0.0 ? "; but the worst place loses" : "; but the worst place gains";
  if (row.result.starved)
    words += fmt::format("; a head then works at {}, too little for it",
                         report::pressure_words(row.result.lowest_pressure_Pa));
  return words;
}

std::string line(const MoveTable& table, const MoveRow& row) {
  const std::string label =
      fmt::format(label_form, gain_words(row.mean_gain_s), gain_words(row.worst_gain_s),
                  percent(row.result.passing_fraction), fmt::format("{:.0f}", row.result.water_kg));
  return report::wrapped(label, row.words + remark(table, row), label.size() + 1);
}

std::string lines(const MoveTable& table, Effect effect, const char* heading) {
  std::string out;
  for (const MoveRow& row : table.rows)
    if (table.effect(row) == effect) out += line(table, row);
  return out.empty() ? out : fmt::format("\n{}\n{}", heading, out);
}

std::string noise_words(const MoveTable& table) {
  return fmt::format(
      "the house as it is was run {} times with its drops drawn anew. From how those "
      "differ, less than {} on average or {} at the worst place is no difference that this can "
      "tell (19 times in 20). Drops are drawn more sparsely than by `run`, to take minutes. "
      "Whether the "
      "airflow itself is right is not in that.",
      noise_runs, report::duration_words(std::ceil(table.mean_noise_s / 60.0) * 60.0),
      report::duration_words(std::ceil(table.worst_noise_s / 60.0) * 60.0));
}

std::string map_words(const Influence& influence) {
  std::string words = fmt::format(
      "heads to move and places for one more were chosen by where water let go {:.2f} m above the "
      "floor comes down on the driest tenth of the benches ({}: {} of the {} of bursts), laid "
      "over with the rings on which such a head throws its water in still air. The wind's bend of "
      "the throw and the air that heads drag along are not in that map; they are in the runs. "
      "About {:.0f} % of what lands is misplaced "
      "by the way in which that map is computed, more the stronger the fan.",
      influence.height_m, influence.air, report::duration_words(influence.misted_s),
      report::duration_words(influence.misted_s + influence.other_misted_s),
      std::ceil(100.0 * influence.misplaced_fraction));
  return words;
}

std::string joined(const std::vector<std::string>& clauses) {
  std::string out;
  for (const std::string& clause : clauses) out += (out.empty() ? "" : "; ") + clause;
  return out + ".";
}

std::string cautions() {
  return report::wrapped(
      "Cautions",
      "shut the supply and let the pressure off before a riser is opened. Isolate the mains, lock "
      "the fan off and dry your hands before work near either; keep wires, boxes and lamps out of "
      "the new spray. A ladder stands level on a dry floor, with someone beside it. Common "
      "practice; local codes and licensed practice go first.",
      indent);
}

}  // namespace

const char* word(MoveKind kind) {
  constexpr std::array words{"head", "heights", "fan", "skirt", "one more"};
  return words.at(static_cast<std::size_t>(kind));
}

const char* word(Effect effect) {
  constexpr std::array words{"gain", "cannot tell", "harm"};
  return words.at(static_cast<std::size_t>(effect));
}

std::string move_findings(const MoveTable& table) {
  if (table.nothing_sprays())
    return "nothing sprays in this run, so no change is worth more than another. Does a programme "
           "open the valves in these hours, and does the supply open the heads?";
  if (table.rows.empty() || table.effect(table.rows.front()) != Effect::Gain)
    return "none of these changes brings a gain that can be told from noise.";
  const MoveRow& best = table.rows.front();
  return fmt::format("{}: {} {} on average, {} at the worst place.", best.words,
                     gain_words(best.mean_gain_s), report::each_day(table.part_of_day_s),
                     gain_words(best.worst_gain_s));
}

std::string move_picture(const MoveTable& table) {
  constexpr std::size_t most_drawn = 3;
  const Influence& influence = table.influence;
  report::Plan::Chosen chosen;
  for (std::size_t c = 0; c < influence.weight_number.size(); ++c)
    if (influence.weight_number[c] > 0.0) chosen.cells.push_back(c);
  const auto& dry = table.record.group("bench").variable("dry_time").values;
  chosen.worst = static_cast<std::size_t>(std::max_element(dry.begin(), dry.end()) - dry.begin());
  chosen.worst_words = "worst place";
  for (const MoveRow& row : table.rows) {
    if (table.effect(row) != Effect::Gain || chosen.changes.size() == most_drawn) break;
    const bool has_place = row.kind == MoveKind::Head || row.kind == MoveKind::OneMore;
    chosen.changes.push_back(
        {has_place, row.from.x_m, row.from.y_m, row.to.x_m, row.to.y_m,
         fmt::format("{}: {} {} on average, {} at the worst place", row.words,
                     gain_words(row.mean_gain_s), report::each_day(table.part_of_day_s),
                     gain_words(row.worst_gain_s))});
  }
  report::Plan::Grid grid{influence.x_m, influence.y_m, influence.thrown_fraction, 0};
  for (double& share : grid.values) share *= 100.0;
  const double most = *std::max_element(grid.values.begin(), grid.values.end());
  const report::MapScale scale{report::Ramp::Wet,
                               0.0,
                               std::max(1.0, std::ceil(most)),
                               "share of a head's water that lands on the driest tenth, %",
                               "outlined: the driest tenth",
                               ""};
  const std::string title = fmt::format("{}: where a head brings most", table.house_name);
  return report::standalone(report::Plan(table.record).with_changes(title, grid, scale, chosen),
                            title);
}

std::string move_words(const MoveTable& table) {
  std::string out = report::wrapped("As it is", result_words(table), indent);
  out += report::wrapped("Best", move_findings(table), indent) + '\n';
  if (table.nothing_sprays()) return out + cautions();
  out +=
      fmt::format("Dry time gained {} by one change, leaves that then pass, water then sprayed:\n",
                  report::each_day(table.part_of_day_s));
  out += fmt::format(label_form, "mean leaf", "worst place", "passing", "water") + " change\n";
  out += fmt::format("{:>31} {:>6}\n", "leaves", table.part_of_day_s > 0.0 ? "L" : "L/day");
  out += lines(table, Effect::Gain, "Gains");
  out += lines(table, Effect::CannotTell, "No difference that this can tell");
  out += lines(table, Effect::Harm, "Harm");
  out += '\n';
  if (!table.left_out.empty()) out += report::wrapped("Left out", joined(table.left_out), indent);
  out += report::wrapped("Noise", noise_words(table), indent);
  out += report::wrapped("Map", map_words(table.influence), indent);
  return out + cautions();
}

}  // namespace mistwright::study
