#include <fmt/core.h>

#include <algorithm>

#include "sim/report/bars.h"
#include "sim/report/html.h"
#include "sim/report/map_words.h"
#include "sim/report/sections.h"
#include "sim/report/words.h"

namespace mistwright::report {

using record::Group;
using record::Variable;
using Values = std::vector<double>;

namespace {

/// The largest sizes of which there is nothing are not drawn; the table has them.
void drop_empty_ends(FateBars& bars) {
  const auto empty = [&](std::size_t k) {
    return std::all_of(bars.mass_kg.begin(), bars.mass_kg.end(),
                       [&](const Values& row) { return !(row[k] > 0.0); });
  };
  while (bars.diameters_um.size() > 1 && empty(bars.diameters_um.size() - 1)) {
    bars.diameters_um.pop_back();
    for (Values& row : bars.mass_kg) row.pop_back();
  }
}

/// How many heads work outside of their range.
std::string range_words(const std::vector<HeadMark>& marks) {
  const auto outside = std::count_if(marks.begin(), marks.end(), [](const HeadMark& m) {
    return m.pressure_Pa < m.low_Pa || m.pressure_Pa > m.high_Pa;
  });
  return outside == 0 ? fmt::format("All {} heads work within their range.", marks.size())
                      : fmt::format("{} of {} heads work outside of their range (marked !).",
                                    outside, marks.size());
}

}  // namespace

std::string water_section(const Subject& s) {
  const Group& water = s.record.group("water");
  const Variable& fate = water.variable("fate");
  const Values &diameter = water.variable("size_class").values,
               &mass = water.variable("mass").values;
  FateBars bars;
  DataTable table{"litres by fate and droplet diameter, whole run", {"Diameter, \u00b5m"}, {}};
  for (std::size_t k = 0; k < diameter.size(); ++k) {
    bars.diameters_um.push_back(diameter[k] * 1e6);
    table.rows.push_back({fmt::format("{:.0f}", diameter[k] * 1e6)});
  }
  for (std::size_t f = 0; f < fate.values.size(); ++f) {
    const std::string word = flag_word(fate, f);
    bars.fates.push_back(word == "air"   ? "evaporated in the air"
                         : word == "out" ? "out with the air"
                                         : word);
    table.headings.push_back(bars.fates.back());
    const auto first = mass.begin() + static_cast<std::ptrdiff_t>(f * diameter.size());
    bars.mass_kg.emplace_back(first, first + static_cast<std::ptrdiff_t>(diameter.size()));
    for (std::size_t k = 0; k < diameter.size(); ++k)
      table.rows[k].push_back(fmt::format("{:.4f}", bars.mass_kg.back()[k]));
  }
  drop_empty_ends(bars);
  const auto share = [&](Fate f) {
    return 100.0 * s.summary.fate_fraction[static_cast<std::size_t>(f)];
  };
  const std::string caption = fmt::format(
      "The heads spray {} {}. {:.0f} % stays on leaves, {:.0f} % reaches the medium (run-off "
      "with it), {:.0f} % evaporates in flight and {:.0f} % leaves with the air.",
      water_words(s.summary.water_kg), each_day(s.summary.part_of_day_s), share(Fate::Leaves),
      share(Fate::Medium), share(Fate::Air), share(Fate::Out));
  return section("water", "Where the water goes", figure(draw(bars), caption, table, "wide"));
}

std::string tap_section(const Subject& s) {
  const Group* heads = s.record.find("heads");
  if (heads == nullptr || !s.summary.last_head) return {};
  const auto at = [&](const char* name, std::size_t i) { return heads->variable(name).values[i]; };
  std::vector<HeadMark> marks;
  DataTable table{"the heads",
                  {"Head", "Pressure, bar", "Flow, L/h", "Dv0.5, \u00b5m", "Told, s", "Sprays, s"},
                  {}};
  for (std::size_t i = 0; i < s.plan.places().heads().size(); ++i) {
    const std::string& name = s.plan.places().heads()[i].name;
    marks.push_back(
        {name, at("pressure", i), at("working_pressure_low", i), at("working_pressure_high", i)});
    table.rows.push_back(
        {name, fmt::format("{:.2f}", at("pressure", i) / 1e5),
         fmt::format("{:.1f}", at("flow", i) * 3.6e6), fmt::format("{:.0f}", at("dv50", i) * 1e6),
         fmt::format("{:.1f}", at("told_time", i)), fmt::format("{:.1f}", at("spray_time", i))});
  }
  const LastHead& last = *s.summary.last_head;
  const std::string caption = fmt::format(
      "The weakest head gets {} while its zone sprays; its working range (the pale band) is {} to "
      "{}. "
      "Told {}, it "
      "sprays {}. {}",
      pressure_words(last.pressure_Pa), pressure_words(last.working_low_Pa),
      pressure_words(last.working_high_Pa), burst_words(last.told_s), burst_words(last.sprays_s),
      range_words(marks));
  std::vector<double> bar;
  bar.reserve(marks.size());
  for (const HeadMark& mark : marks) bar.push_back(mark.pressure_Pa / 1e5);
  table.in_short = spread_words(spread_of(bar), 2, "bar");
  if (marks.size() > 60) {
    std::stable_sort(marks.begin(), marks.end(), [](const HeadMark& a, const HeadMark& b) {
      return a.pressure_Pa < b.pressure_Pa;
    });
    marks.resize(60);
  }
  return section("tap", "What the tap gives each head",
                 figure(draw(marks), caption, table, "wide"));
}

}  // namespace mistwright::report
