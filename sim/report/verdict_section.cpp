#include <fmt/core.h>

#include <algorithm>
#include <utility>

#include "sim/report/html.h"
#include "sim/report/sections.h"
#include "sim/report/svg.h"
#include "sim/report/verdict.h"
#include "sim/report/words.h"

namespace mistwright::report {
std::string verdict_section(const std::string& verdict_text) {
  const VerdictLines v = verdict_lines(verdict_text);
  std::string stamp, lead = v.opening, css_class = "but";
  for (const auto& [word, css] :
       {std::pair{"NOT YET.", "bad"}, std::pair{"YES, BUT", "but"}, std::pair{"YES.", "good"}}) {
    if (!lead.starts_with(word)) continue;
    stamp = word;
    css_class = css;
    lead.erase(0, std::min(lead.size(), stamp.size() + 1));
    break;
  }
  std::string html = fmt::format(
      "<section class=\"answer\" aria-labelledby=\"answer\"><h2 id=\"answer\"><span class=\"stamp "
      "{}\">{}</span></h2>\n<p class=\"lead\">{}</p>\n<dl>\n",
      css_class, escaped(stamp.empty() ? "The answer" : stamp), escaped(typeset(lead)));
  for (const auto& [label, words] : v.lines)
    html += fmt::format("<dt>{}</dt><dd>{}</dd>\n",
                        escaped(label.ends_with(':') ? label.substr(0, label.size() - 1) : label),
                        escaped(typeset(capital(words))));
  return html + "</dl></section>\n";
}

}  // namespace mistwright::report
