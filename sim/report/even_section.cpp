// How even: what the mist leaves on leaves from place to place and leaf to leaf, by droplet size.
#include <fmt/core.h>

#include <algorithm>
#include <optional>

#include "models/droplet/uniformity.h"
#include "sim/report/html.h"
#include "sim/report/sections.h"
#include "sim/report/words.h"

namespace mistwright::report {
namespace {

using record::Group;
using Values = std::vector<double>;

/// Sizes that carry less of the deposit are not spoken of; the table has them.
constexpr double worth_telling_fraction = 0.05;

/// One line of the table.
struct Line {
  std::string drops;            ///< "50 to 100 um"
  double share_fraction = 0.0;  ///< of all that these fans' bursts left on leaves
  droplet::Evenness even;
};

std::string size_words(const Group& deposit, std::size_t group) {
  const Values &low = deposit.variable("size_group_lower").values,
               &high = deposit.variable("size_group_upper").values;
  if (group == 0) return fmt::format("below {:.0f} \u00b5m", high[group] * 1e6);
  if (group + 1 == low.size()) return fmt::format("above {:.0f} \u00b5m", low[group] * 1e6);
  return fmt::format("{:.0f} to {:.0f} \u00b5m", low[group] * 1e6, high[group] * 1e6);
}

/// All sizes together, then each that left anything; nothing without a burst in that air.
std::vector<Line> lines_of(const Group& deposit, std::size_t fans) {
  const Values &area = deposit.variable("leaf_area").values,
               &depth = deposit.variable("leaf_deposit").values;
  const std::size_t cells = area.size();
  const std::size_t groups = deposit.variable("size_group").values.size();
  // A house without leaves has nothing to be even on.
  if (std::all_of(area.begin(), area.end(), [](double m2) { return m2 <= 0.0; })) return {};
  Values all(cells, 0.0);
  std::vector<Line> lines;
  for (std::size_t g = 0; g < groups; ++g) {
    const auto first = depth.begin() + static_cast<std::ptrdiff_t>((fans * groups + g) * cells);
    const Values own(first, first + static_cast<std::ptrdiff_t>(cells));
    for (std::size_t c = 0; c < cells; ++c) all[c] += own[c];
    const droplet::Evenness even = droplet::evenness({own, area});
    if (even.mean_number > 0.0) lines.push_back({size_words(deposit, g), 0.0, even});
  }
  const droplet::Evenness even = droplet::evenness({all, area});
  if (even.mean_number <= 0.0) return {};
  for (Line& line : lines) line.share_fraction = line.even.mean_number / even.mean_number;
  lines.insert(lines.begin(), {"all", 1.0, even});
  return lines;
}

/// Leaf by leaf over the whole run; none where the record does not say what each leaf got.
std::optional<droplet::Evenness> leaf_by_leaf(const record::Record& record) {
  const Group& leaves = record.group("leaves");
  const auto find = [&](const char* name) {
    const auto it = std::find_if(leaves.variables.begin(), leaves.variables.end(),
                                 [&](const record::Variable& v) { return v.name == name; });
    return it == leaves.variables.end() ? nullptr : &it->values;
  };
  const Values *deposit = find("deposit"), *area = find("area");
  if (deposit == nullptr || area == nullptr || deposit->empty()) return std::nullopt;
  return droplet::evenness({*deposit, *area});
}

std::string percent(double share_fraction) {
  return fmt::format("{:.0f}", 100.0 * share_fraction);
}

std::string air_words(const std::vector<Line>& lines, const std::string& air) {
  const droplet::Evenness& even = lines.front().even;
  std::string words = fmt::format(
      "{} the poorest quarter of the places gets {} % of the mean, the driest tenth {} %",
      capital(air), percent(even.low_quarter_ratio), percent(even.driest_tenth_ratio));
  const Line *best = nullptr, *worst = nullptr;
  for (std::size_t i = 1; i < lines.size(); ++i) {
    const Line& line = lines[i];
    if (line.share_fraction < worth_telling_fraction) continue;
    if (best == nullptr || line.even.low_quarter_ratio > best->even.low_quarter_ratio) best = &line;
    if (worst == nullptr || line.even.low_quarter_ratio < worst->even.low_quarter_ratio)
      worst = &line;
  }
  if (best != worst)
    words +=
        fmt::format("; most even are drops {}, least even drops {}", best->drops, worst->drops);
  return words + ".";
}

DataTable table_of(const std::vector<Line>& lines, const std::string& air) {
  DataTable table{fmt::format("how even, {}, in %", air),
                  {"Droplets", "Share", "CU", "DU", "Variation", "Driest tenth"},
                  {}};
  for (const Line& line : lines)
    table.rows.push_back({line.drops, percent(line.share_fraction),
                          percent(line.even.christiansen_ratio),
                          percent(line.even.low_quarter_ratio), percent(line.even.variation_ratio),
                          percent(line.even.driest_tenth_ratio)});
  return table;
}

}  // namespace

std::string even_section(const Subject& s) {
  const Group* deposit = s.record.find("deposit");
  if (deposit == nullptr) return {};
  std::string words, tables;
  for (const std::size_t fans : {std::size_t{0}, std::size_t{1}}) {
    const std::vector<Line> lines = lines_of(*deposit, fans);
    if (lines.empty()) continue;
    const std::string air = fans == 0 ? "while no fan runs" : "while a fan runs";
    words += (words.empty() ? "" : " ") + air_words(lines, air);
    tables += html_table(table_of(lines, air));
  }
  if (words.empty()) return {};
  if (const auto leaves = leaf_by_leaf(s.record)) {
    words += fmt::format(
        " Leaf by leaf over the whole run CU is {} % and DU {} %; the driest tenth of the leaf "
        "area gets {} % of the mean.",
        percent(leaves->christiansen_ratio), percent(leaves->low_quarter_ratio),
        percent(leaves->driest_tenth_ratio));
  }
  // Unfolded on the screen; paper has the words.
  return section(
      "even", "How even",
      paragraph(words) +
          "<details open><summary>Numbers: how even, by droplet size</summary><div "
          "class=\"pair\">" +
          tables + "</div>\n" +
          paragraph(
              "Of what landed on leaves, before they ran over. CU is Christiansen's uniformity; DU "
              "and driest tenth what the poorest quarter and tenth of the leaf area get, over the "
              "mean; variation the standard deviation over the mean. Sizes of small share look "
              "less even than they are: few drops were computed. Check with catch cups.") +
          "</details>\n");
}

}  // namespace mistwright::report
