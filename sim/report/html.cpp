#include "sim/report/html.h"

#include <fmt/core.h>

#include "sim/report/svg.h"
#include "sim/report/words.h"

namespace mistwright::report {

std::string html_table(const DataTable& table) {
  std::string html = fmt::format(
      "<div class=\"scroll\" tabindex=\"0\" role=\"region\" "
      "aria-label=\"{0}\"><table><caption>{0}</caption><thead><tr>",
      escaped(table.caption));
  for (const std::string& heading : table.headings)
    html += "<th scope=\"col\">" + escaped(heading) + "</th>";
  html += "</tr></thead><tbody>";
  for (const auto& row : table.rows) {
    html += "<tr>";
    for (std::size_t i = 0; i < row.size(); ++i)
      html += i == 0 ? "<th scope=\"row\">" + escaped(row[i]) + "</th>"
                     : "<td>" + escaped(row[i]) + "</td>";
    html += "</tr>\n";
  }
  return html + "</tbody></table></div>\n";
}

std::string unfolding(const DataTable& table) {
  if (table.rows.empty()) return {};
  return fmt::format("<details><summary>Numbers: {}</summary>{}</details>\n",
                     escaped(table.caption), html_table(table));
}

std::string figure(std::string_view picture, std::string_view caption, const DataTable& numbers,
                   std::string_view css_class) {
  std::string html =
      css_class.empty() ? std::string("<figure>") : fmt::format("<figure class=\"{}\">", css_class);
  html +=
      fmt::format("{}<figcaption>{}</figcaption>", picture, escaped(typeset(std::string(caption))));
  if (!numbers.in_short.empty())
    html += "<p class=\"short\">" + escaped(typeset(numbers.in_short)) + "</p>";
  return html + unfolding(numbers) + "</figure>\n";
}

std::string section(std::string_view id, std::string_view heading, std::string_view content) {
  return fmt::format("<section aria-labelledby=\"{0}\"><h2 id=\"{0}\">{1}</h2>\n{2}</section>\n",
                     id, escaped(heading), content);
}

std::string paragraph(std::string_view words) {
  return "<p>" + escaped(typeset(std::string(words))) + "</p>\n";
}

std::string typeset(const std::string& words) {
  std::string text;
  for (std::string word : unbroken_words(words)) {
    const auto replace = [&](std::string_view from, std::string_view to) {
      for (std::size_t at = 0; (at = word.find(from, at)) != std::string::npos; at += to.size())
        word.replace(at, from.size(), to);
    };
    replace(" ", "\u00a0");
    replace("degC", "\u00b0C");
    replace("degF", "\u00b0F");
    replace("/m2", "/m\u00b2");
    if (!text.empty()) text += ' ';
    text += word;
  }
  return text;
}

}  // namespace mistwright::report
