#include "sim/report/html.h"
#include "sim/report/live_curves.h"
#include "sim/report/sections.h"

namespace mistwright::report {

std::string day_section(const Subject& s) {
  const Day day(s.record);
  const record::Group& bench = s.record.group("bench");
  const Switches switches = switches_of(s.record, day);
  const std::vector<Panel> shown = panels(day);
  std::string pictures = balance_figure(day, bench, s.summary);
  for (const Panel& panel : shown) pictures += panel_figure(day, panel);
  pictures += switches_figure(switches, day);
  return section("day", day.by_days() ? "Day by day" : "The day",
                 live_curves(day, shown, switches, bench) +
                     "<p class=\"still\">Lines are means of half an hour or more, bands the swing "
                     "from burst to burst.</p>\n<div class=\"pair\">" +
                     pictures + "</div>\n");
}

}  // namespace mistwright::report
