#include <fmt/core.h>

#include <cstdlib>
#include <map>
#include <sstream>

#include "sim/record/house_group.h"
#include "sim/report/html.h"
#include "sim/report/places.h"
#include "sim/report/sections.h"
#include "sim/report/svg.h"
#include "sim/report/words.h"

namespace mistwright::report {
namespace {

using record::Group;

std::string words_table(const DataTable& table) {
  return "<div class=\"words\">" + html_table(table) + "</div>\n";
}

std::string no_changes() {
  return section("changes", "Changes tried",
                 paragraph("Not computed: no changed houses were run."));
}

}  // namespace

std::string changes_section(const Subject& s) {
  const std::string* text = attribute_text(s.record, "provenance", "neighbours");
  if (text == nullptr) return no_changes();
  DataTable table{"the same house with one thing changed",
                  {"Change", "Worst corner dry", "Mean dry", "Leaves dry, %",
                   fmt::format("Water, L {}", each_day(s.summary.part_of_day_s)), "Soggy",
                   "Hottest leaf, \u00b0C"},
                  {}};
  std::istringstream lines(*text);
  for (std::string line; std::getline(lines, line);) {
    std::vector<std::string> cells;
    std::istringstream parts(line);
    for (std::string cell; std::getline(parts, cell, '\t');) cells.push_back(cell);
    if (cells.size() != 7) continue;
    const auto number = [&](std::size_t i) { return std::strtod(cells[i].c_str(), nullptr); };
    table.rows.push_back({typeset(cells[0]), duration_words(number(1)), duration_words(number(2)),
                          fmt::format("{:.0f}", 100.0 * number(3)), number_words(number(4)),
                          duration_words(number(5)), fmt::format("{:.1f}", number(6) - 273.15)});
  }
  if (table.rows.size() < 2) return no_changes();
  return section(
      "changes", "Changes tried",
      paragraph(fmt::format(
          "Each line is a whole run of its own; {} changed house{} beside the one as it is.",
          table.rows.size() - 1, table.rows.size() == 2 ? "" : "s")) +
          html_table(table));
}

std::string assumed_section(const Subject& s) {
  const std::string* text = attribute_text(s.record, "provenance", "assumed");
  const std::vector<Assumed> rows =
      text != nullptr ? record::assumed_rows(*text) : std::vector<Assumed>{};
  if (rows.empty())
    return section("assumed", "What was assumed",
                   paragraph("Nothing: every value was set in the scenario."));
  DataTable table{"values that the scenario did not set",
                  {"Value of", "Taken", "Honest range", "Evidence", "Meaning"},
                  {}};
  for (const Assumed& a : rows)
    table.rows.push_back(
        {a.key, typeset(a.value),
         a.low.empty() && a.high.empty() ? "not known" : typeset(a.low + " to " + a.high),
         a.evidence, a.meaning});
  std::map<std::string, int> tags;
  for (const Assumed& a : rows) ++tags[a.evidence];
  std::vector<std::string> counts;
  counts.reserve(tags.size());
  for (const auto& [tag, count] : tags) counts.push_back(fmt::format("{}: {}", tag, count));
  return section(
      "assumed", "What was assumed",
      paragraph(fmt::format(
          "{} value{} came from defaults. Set those in the scenario that you know better. By "
          "evidence, {}.",
          rows.size(), rows.size() == 1 ? "" : "s", list_words(counts))) +
          words_table(table));
}

std::string audit_section(const Subject& s) {
  const Group* audit = s.record.find("audit");
  if (audit == nullptr) return {};
  DataTable table{"what came in, went out and stayed",
                  {"Line", "Unit", "In", "Out", "Stayed", "Does not close", "Relative"},
                  {}};
  const auto& line = audit->variable("line");
  const auto& quantity = audit->variable("quantity");
  const auto number = [&](const char* name, std::size_t i) {
    return fmt::format("{:.4g}", audit->variable(name).values[i]);
  };
  for (std::size_t i = 0; i < line.values.size(); ++i)
    table.rows.push_back({flag_word(line, i), flag_word(quantity, i) == "energy" ? "J" : "kg",
                          number("inflow", i), number("outflow", i), number("stored_change", i),
                          fmt::format("{:.1e}", audit->variable("residual").values[i]),
                          fmt::format("{:.1e}", audit->variable("relative").values[i])});
  std::string words = fmt::format(
      "Water, vapour and heat are counted in and out of every part. The worst line misses by "
      "{:.1e} of what it counts.",
      s.summary.worst_audit_relative_ratio);
  if (const std::string* error = attribute_text(s.record, "provenance", "representative_error"))
    words += fmt::format(
        " A few leaves stand for all while the air is computed; that is off by {:.2g} % of the "
        "day's evaporation.",
        100.0 * std::strtod(error->c_str(), nullptr));
  return section("audit", "Do the books close?", paragraph(words) + html_table(table));
}

std::string method_section() {
  const DataTable table{
      "relations and where they come from",
      {"Part", "Relation", "Source"},
      {{"air", "saturation pressure over water; moist air; wet bulb",
        "IAPWS R7-97(2012); ASHRAE Handbook, Fundamentals"},
       {"sun", "position; diffuse part; sky temperature",
        "Reda and Andreas 2004; Erbs and others 1982; Swinbank 1963; Brunt 1932"},
       {"air flow", "steady field that keeps mass in every cell, from fans, vents and leaks",
        "ASHRAE Handbook, Fundamentals, for openings"},
       {"drops", "drag; evaporation in flight; size spread",
        "Clift and others 1978; Ranz and Marshall 1952; Lefebvre"},
       {"leaves", "film that breaks up below a depth; evaporation of wet and dry parts; landing",
        "Deardorff 1978; Monteith 1965; May and Clifford 1967"},
       {"pipes", "friction; junctions in balance", "Darcy and Weisbach; Colebrook 1939"},
       {"uniformity", "poorest quarter against the mean", "common practice"}}};
  return section(
      "method", "How it was computed",
      paragraph(
          "One run from event to event: each burst, each switch of a fan, each hour of weather. "
          "Between events films, air and medium follow closed forms. Limits: one crop a run; the "
          "fate of the cuttings is not computed; the house stands free, without neighbours or "
          "trees.") +
          words_table(table) +
          paragraph("Colours: our own ramps from paper to deep water and from paper to bark, their "
                    "lightness (L* of CIE 1976) falling evenly from end to end."));
}

std::string cautions_section() {
  return section(
      "cautions", "Cautions",
      "<ul>"
      "<li>Any spray can carry germs such as Legionella into the lungs. Use clean, cool water; "
      "drain or flush lines that stood still, with people away; never spray drained water "
      "again.</li>"
      "<li>Keep tap water safe from backflow. Ask your water supplier which device is right. A "
      "vacuum breaker at the hose end with a valve after it stays under pressure and may fail.</li>"
      "<li>Water and electricity: valves on extra-low voltage, mains behind a residual-current "
      "device, boxes dry and closed, isolate before opening. Fixed wiring is for a licensed "
      "person.</li>"
      "<li>A shut, wet house is dangerous in heat, for plants within minutes and for people soon "
      "after. Watch the wet-bulb temperature; do not work alone.</li>"
      "<li>High-pressure fog lines can pierce skin. Release the pressure first.</li>"
      "<li>Wet floors are slippery. Mist washes off crop chemicals: the label decides.</li>"
      "<li>Local codes, standards and licensed practice go before anything said here.</li>"
      "</ul>\n");
}

}  // namespace mistwright::report
