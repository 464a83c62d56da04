#include "sim/report/page.h"

#include <fmt/core.h>

#include "sim/record/conform.h"
#include "sim/record/sha256.h"
#include "sim/report/html.h"
#include "sim/report/page_style.h"
#include "sim/report/places.h"
#include "sim/report/sections.h"
#include "sim/report/svg.h"

namespace mistwright::report {
namespace {

/// The digest as policies write it: base64 (RFC 4648) of the bytes.
std::string policy_digest(std::string_view bytes) {
  const std::string hex = record::sha256(bytes);
  static const char letters[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text = "'sha256-";
  std::uint32_t bits = 0;
  int count = 0;
  for (std::size_t i = 0; i < hex.size(); i += 2) {
    bits = (bits << 8) | static_cast<std::uint32_t>(std::stoi(hex.substr(i, 2), nullptr, 16));
    count += 8;
    while (count >= 6) {
      count -= 6;
      text += letters[(bits >> count) & 63U];
    }
  }
  if (count > 0) text += letters[(bits << (6 - count)) & 63U];
  return text + "='";
}

std::string provenance_or(const record::Record& record, const std::string& name,
                          const std::string& otherwise) {
  const std::string* text = attribute_text(record, "provenance", name);
  return text == nullptr || text->empty() ? otherwise : *text;
}

std::string head(const std::string& title) {
  return fmt::format(
      "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; script-src {}; "
      "style-src {}; img-src data:; "
      "base-uri 'none'; form-action 'none'; require-trusted-types-for 'script'; trusted-types "
      "'none'\">\n"
      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta "
      "name=\"referrer\" content=\"no-referrer\">\n"
      "<link rel=\"icon\" href=\"data:,\">\n<title>{}</title>\n<style>{}</style>\n</head>\n",
      policy_digest(page_script), policy_digest(page_css), escaped(title), page_css);
}

std::string foot(const record::Record& record) {
  const auto digest = record.attributes.find("content_sha256");
  std::string words =
      fmt::format("mistwright {} \u00b7 scenario {} \u00b7 seed {} \u00b7 {} events",
                  provenance_or(record, "version", "of unknown version"),
                  provenance_or(record, "scenario_path", "unnamed"),
                  provenance_or(record, "seed", "unknown"), provenance_or(record, "events", "?"));
  if (const std::string started = provenance_or(record, "started", ""); !started.empty())
    words += " \u00b7 run started " + started;
  if (digest != record.attributes.end()) words += " \u00b7 results " + digest->second.substr(0, 16);
  return "<footer><p>" + escaped(words) +
         "</p><p>This page holds everything that it shows and cannot use the "
         "network.</p></footer>\n";
}

/// Links to the sections that there are, by their headings.
std::string contents(const std::string& sections) {
  std::string links;
  static const std::string mark = "<h2 id=\"";
  for (std::size_t at = sections.find(mark); at != std::string::npos;
       at = sections.find(mark, at)) {
    at += mark.size();
    const std::size_t id_end = sections.find("\">", at), end = sections.find("</h2>", at);
    links += fmt::format("<li><a href=\"#{}\">{}</a></li>", sections.substr(at, id_end - at),
                         sections.substr(id_end + 2, end - id_end - 2));
  }
  return "<nav aria-label=\"On this page\"><ul>" + links + "</ul></nav>\n";
}

}  // namespace

std::string page(const record::Record& record, const std::string& verdict_text) {
  const Summary summary = summarise(record);
  const Plan plan(record);
  const Subject subject{record, summary, plan};
  const std::string name = provenance_or(record, "house_name", "Mist house"),
                    note = provenance_or(record, "note", "");
  std::string html = head(name + ": what the mist does");
  html += "<body>\n<header><h1>" + escaped(name) + "</h1>";
  if (!note.empty()) html += "<p>" + escaped(note) + "</p>";
  html += "</header>\n<main>\n";
  const std::string sections =
      dry_section(subject) + film_section(subject) + mist_section(subject) + even_section(subject) +
      day_section(subject) + water_section(subject) + flight_section(subject) +
      tap_section(subject) + warmth_section(subject) + air_section(subject) +
      changes_section(subject) + assumed_section(subject) + audit_section(subject) +
      method_section() + cautions_section();
  html += verdict_section(verdict_text) + contents(sections) + sections;
  html += "</main>\n" + foot(record);
  return html + "<script>" + std::string(page_script) + "</script>\n</body>\n</html>\n";
}

}  // namespace mistwright::report
