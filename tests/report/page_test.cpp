#include "sim/report/page.h"

#include <algorithm>
#include <regex>
#include <set>
#include <utility>

#include "sim/record/hdf5_file.h"
#include "sim/report/bench_map.h"
#include "sim/report/verdict.h"
#include "tests/report/sample_record.h"
#include "tests/support/catch.h"

using namespace mistwright;

namespace {

std::string page_of(const record::Record& r) {
  return report::page(r, report::verdict({.main = report::summarise(r)}));
}

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t found = 0;
  for (std::size_t at = text.find(part); at != std::string::npos;
       at = text.find(part, at + part.size()))
    ++found;
  return found;
}

}  // namespace

namespace {

/// Whether a tag holds an attribute such as onclick=, found behind `before`. A regular expression
/// would recurse once a character, too deep for a page under the sanitizers.
bool has_handler(const std::string& html, const std::string& before) {
  for (std::size_t open = html.find('<'); open != std::string::npos;
       open = html.find('<', open + 1)) {
    if (open + 1 >= html.size() || html[open + 1] < 'a' || html[open + 1] > 'z') continue;
    const std::string tag = html.substr(open, html.find('>', open) - open);
    for (std::size_t at = tag.find(before); at != std::string::npos;
         at = tag.find(before, at + 1)) {
      std::size_t end = at + before.size();
      while (end < tag.size() && tag[end] >= 'a' && tag[end] <= 'z') ++end;
      if (end > at + before.size() && end < tag.size() && tag[end] == '=') return true;
    }
  }
  return false;
}

}  // namespace

TEST_CASE("report: an attribute that runs script would be seen", "[report][law]") {
  CHECK(has_handler("<p>a</p><img src=\"x\" onerror=\"y()\">", " on"));
  CHECK(has_handler("<img src=\"x\" onerror=\"y()\">", "\" on"));
  CHECK_FALSE(has_handler("<p>set on=off</p> onerror= <b>on</b>", " on"));
}

TEST_CASE("report: a page of results read back is the page of the results", "[report][same]") {
  record::Record r = test::sample_record();
  record::Record back = record::from_hdf5_image(record::hdf5_image(r), "a.h5");
  back.attributes.erase("content_sha256");
  CHECK(page_of(back) == page_of(r));
}

TEST_CASE("report: the page names no address and stays under 700 kB", "[report][law]") {
  const std::string html = page_of(test::sample_record());
  CHECK(html.size() < 700'000);
  CHECK(html.find("http:") == std::string::npos);
  CHECK(html.find("https:") == std::string::npos);
  CHECK(html.find("src=") == std::string::npos);
  CHECK(html.find(" style=") == std::string::npos);
  CHECK_FALSE(has_handler(html, " on"));
}

TEST_CASE("report: every part that the page promises is there", "[report][law]") {
  const std::string html = page_of(test::sample_record());
  for (const char* id : {"answer", "dry", "film", "mist", "even", "day", "water", "tap", "warmth",
                         "air", "changes", "assumed", "audit", "method", "cautions"}) {
    CAPTURE(id);
    CHECK(count(html, std::string("id=\"") + id + "\"") == 1);
    if (std::string(id) != "answer") CHECK(count(html, std::string("href=\"#") + id + "\"") == 1);
  }
  CHECK(count(html, "<svg") > 15);
  CHECK(count(html, "<svg") == count(html, "</svg>"));
  CHECK(count(html, "<section") == count(html, "</section>"));
  CHECK(count(html, "<figure") == count(html, "</figure>"));
  CHECK(count(html, "<table") == count(html, "</table>"));
}

TEST_CASE("report: how even it is is told by size and by fan as worked by hand for sixteen cans",
          "[report][worked]") {
  // CU 83.75 and CV 21.60 and the driest tenth 63.75 per cent: tests/reference/cu_du_example.csv.
  record::Record r = test::sample_record();
  std::string even = page_of(r);
  even = even.substr(even.find("id=\"even\""));
  even = even.substr(0, even.find("</section>"));
  std::string cells;
  bool inside = false;
  for (const char c : even) {
    if (c == '<') cells += '|';
    inside = c == '<' || (inside && c != '>');
    if (!inside && c != '>') cells += c;
  }
  cells.erase(
      std::unique(cells.begin(), cells.end(), [](char a, char b) { return a == '|' && b == '|'; }),
      cells.end());
  CAPTURE(cells);
  CHECK(cells.find("|below 50 \u00b5m|100|100|100|0|100|") != std::string::npos);
  CHECK(cells.find("|100 to 200 \u00b5m|100|84|72|22|64|") != std::string::npos);
  CHECK(cells.find("above 200") == std::string::npos);
  CHECK(cells.find("While a fan runs the poorest quarter of the places gets 72") !=
        std::string::npos);
  // A record of before the group was there has no such section.
  r.groups.erase(std::find_if(r.groups.begin(), r.groups.end(),
                              [](const record::Group& g) { return g.name == "deposit"; }));
  CHECK(page_of(r).find("id=\"even\"") == std::string::npos);
}

// What the page's own script and data need: one script and two blocks of data.
constexpr std::size_t own_scripts = 3;

TEST_CASE("report: hostile names and notes stay text wherever they stand", "[report][input]") {
  record::Record r = test::sample_record();
  const std::size_t pictures = count(page_of(r), "<svg");
  for (const char* evil :
       {"</script><img src=x onerror=alert(1)>\xe2\x80\xae", "]]><!--<script>alert(1)</script>",
        "\" onload=\"alert(1)\" x=\"", "'><svg/onload=alert(1)>", "\\u003cimg src=x>\n\t\x07",
        "</style></title></textarea><img>", "\xe2\x80\xa8\xe2\x80\xa9\xe2\x81\xa6", "{}{0}%s%n"}) {
    CAPTURE(evil);
    for (record::Group& group : r.groups) {
      if (group.attributes.contains("regime")) group.attributes["regime"] = evil;
      for (record::Variable& variable : group.variables)
        for (const char* named : {"bench", "head", "fan", "opening"})
          if (variable.name == named)
            for (std::string& word : variable.flag_meanings) word = evil;
      if (group.name == "provenance")
        for (auto& [key, value] : group.attributes)
          if (key != "local_offset_s") value = evil;
    }
    const std::string html = page_of(r);
    for (const char* never : {"<img", "<!--", "<svg/", "<textarea", "</title><", "\xe2\x80\xae",
                              "\xe2\x80\xa8", "\xe2\x81\xa6", "\x07"})
      CHECK(html.find(never) == std::string::npos);
    CHECK_FALSE(has_handler(html, "\" on"));
    CHECK(count(html, "<script") == own_scripts);
    CHECK(count(html, "</script") == own_scripts);
    CHECK(count(html, "<svg") == pictures);
  }
}

TEST_CASE("report: a hostile name is shown letter by letter", "[report][input]") {
  const std::string evil = "</script><img src=x onerror=alert(1)>\xe2\x80\xae";
  const std::string html = page_of(test::sample_record({.north_name = evil}));
  CHECK(html.find("&lt;/script&gt;&lt;img src=x onerror=alert(1)&gt;\\u{202e}") !=
        std::string::npos);
  CHECK(html.find("\\u003c/script\\u003e\\u003cimg src=x onerror=alert(1)\\u003e\\\\u{202e}") !=
        std::string::npos);
}

TEST_CASE("report: every figure has its sentence with a number and a map its numbers in short",
          "[report][law]") {
  const std::string html = page_of(test::sample_record());
  int maps = 0;
  for (std::size_t at = html.find("<figure"); at != std::string::npos;
       at = html.find("<figure", at + 1)) {
    const std::string inside = html.substr(at, html.find("</figure>", at) - at);
    if (inside.find("data-map") != std::string::npos) continue;  // filled by the script
    CAPTURE(inside.substr(0, 200));
    const std::size_t words = inside.find("<figcaption>");
    REQUIRE(words != std::string::npos);
    const std::string sentence = inside.substr(words, inside.find("</figcaption>") - words);
    CHECK(sentence.find_first_of("0123456789") != std::string::npos);
    // The four hours share one table below them.
    if (inside.find("class=\"four\"") == std::string::npos)
      CHECK(inside.find("<details>") != std::string::npos);
    if (inside.find("class=\"map\"") == std::string::npos) continue;
    ++maps;
    CHECK(inside.find("<p class=\"short\">") != std::string::npos);
  }
  CHECK(maps >= 11);
}

TEST_CASE("report: sentences follow the data and are not canned", "[report][law]") {
  record::Record r = test::sample_record();
  CHECK(page_of(r).find("the west end, 6.6 m along and 2.7 m across") == std::string::npos);
  CHECK(page_of(r).find("fan end, 6.6\u00a0m along and 2.7\u00a0m across") != std::string::npos);
  // The sample's air is warmest at 14:00.
  CHECK(page_of(r).find("At 14:00, when the house is hottest") != std::string::npos);
  for (record::Group& group : r.groups)
    if (group.name == "air")
      for (record::Variable& variable : group.variables)
        if (variable.name == "air_temperature")
          for (std::size_t i = 0; i < variable.values.size(); ++i)
            if (i % 12 == 0) variable.values[i] += 20.0;
  CHECK(page_of(r).find("door end, 0.6\u00a0m along and 0.9\u00a0m across") != std::string::npos);
}

/// The clocks "13:05" in a text without "day 2, " or "day 2 at " before them.
std::vector<std::string> clocks_without_day(const std::string& text) {
  static const std::regex clock("(day [0-9]+(,| at).)?[0-9][0-9]:[0-9][0-9]");
  std::vector<std::string> found;
  for (std::sregex_iterator it(text.begin(), text.end(), clock), end; it != end; ++it)
    if (!(*it)[1].matched && text.substr(static_cast<std::size_t>(it->position()) - 1, 1) != "-")
      found.push_back(it->str());
  return found;
}

/// What stands between marks, each piece by itself.
std::vector<std::string> between(const std::string& html, const std::string& open,
                                 const std::string& close) {
  std::vector<std::string> pieces;
  for (std::size_t at = html.find(open); at != std::string::npos; at = html.find(open, at)) {
    at += open.size();
    pieces.push_back(html.substr(at, html.find(close, at) - at));
  }
  return pieces;
}

TEST_CASE("report: amounts of a part of a day are told for the run", "[report][law]") {
  record::Record r = test::sample_record();
  for (record::Group& group : r.groups)
    for (record::Variable& variable : group.variables)
      if (variable.name == "time" || variable.name == "map_time" || variable.name == "event_time")
        for (double& us : variable.values) us /= 8.0;
  const std::string part = page_of(r), whole = page_of(test::sample_record());
  for (const char* amount : {"minutes ", "Dry, min ", "Worst leaf, min ", "Mist on leaves, mm ",
                             "Leaves could lose, mm "}) {
    CAPTURE(amount);
    CHECK(count(part, std::string(amount) + "a day") == 0);
    CHECK(count(part, std::string(amount) + "in this run") ==
          count(whole, std::string(amount) + "a day"));
    CHECK(count(whole, std::string(amount) + "a day") > 0);
  }
}

TEST_CASE("report: in a run of days every hour in a sentence or a table has its day",
          "[report][law]") {
  record::Record r = test::sample_record();
  for (record::Group& group : r.groups)
    for (record::Variable& variable : group.variables)
      if (variable.name == "time" || variable.name == "map_time" || variable.name == "event_time")
        for (double& us : variable.values) us *= 3.0;
  const std::string html = page_of(r);
  std::size_t told = 0;
  for (const auto& [open, close] :
       {std::pair{"<figcaption>", "</figcaption>"}, std::pair{"<dd>", "</dd>"},
        std::pair{"<th scope=\"row\">", "</th>"}, std::pair{"\"clock\":[", "]"}})
    for (const std::string& piece : between(html, open, close)) {
      CAPTURE(piece.substr(0, 300));
      CHECK(clocks_without_day(piece).empty());
      told += count(piece, "day 2");
    }
  CHECK(told > 20);
  CHECK(clocks_without_day("At 13:00 and day 2, 14:00").size() == 1);
}

TEST_CASE("report: air fuller than it can be is drawn as full and said to be fog",
          "[report][exact]") {
  record::Record r = test::sample_record();
  CHECK(page_of(r).find("100 % (fog)") == std::string::npos);
  for (record::Group& group : r.groups)
    if (group.name == "series")
      for (record::Variable& variable : group.variables)
        if (variable.name == "relative_humidity") variable.values[60] = 1.0123;
  const std::string html = page_of(r);
  CHECK(html.find("100\u00a0% (fog). It then holds 1.2\u00a0% more vapour") != std::string::npos);
  CHECK(html.find("\"full\":100,\"fullWords\":\" (fog)\"") != std::string::npos);
  // Paths of pictures may hold any digits.
  for (std::size_t at = html.find("101.2"); at != std::string::npos;
       at = html.find("101.2", at + 1))
    CHECK(html.rfind("<path d=\"", at) > html.rfind('>', at));
  CHECK(r.group("series").variable("relative_humidity").values[60] == 1.0123);
}

TEST_CASE("report: the map's colours follow the values and are not one", "[report][law]") {
  const record::Record r = test::sample_record();
  const report::Plan plan(r);
  const auto& dry = r.group("bench").variable("dry_time").values;
  const report::MapScale scale{
      report::Ramp::Drying, 0.0, *std::max_element(dry.begin(), dry.end()), "dry", "", ""};
  const auto fills = [&](const std::vector<double>& values) {
    const std::string svg = plan.full("map", values, scale, true);
    std::set<std::string> found;
    const std::regex cell("class=\"cell\" fill=\"(#[0-9a-f]{6})\"");
    for (std::sregex_iterator it(svg.begin(), svg.end(), cell), end; it != end; ++it)
      found.insert((*it)[1]);
    return found.size();
  };
  CHECK(fills(dry) > 12);
  CHECK(fills(std::vector<double>(dry.size(), 1.0)) == 1);
  CHECK(report::Plan::level(0.0, scale) == 0);
  CHECK(report::Plan::level(scale.high, scale) == report::map_levels - 1);
  CHECK(report::Plan::level(-1.0, scale) == 0);
}

TEST_CASE("report: temperature and vapour of a flow are drawn where the record holds them",
          "[report][input]") {
  record::Record r = test::sample_record();
  const std::string with = page_of(r);
  for (const char* words :
       {"Air temperature from above: fan on", "Air temperature from the side: fan off",
        "Water vapour from above: fan on", "Water vapour from the side: fan off",
        "uncertain by about 6.0\u00a0% (grid convergence index)", "does not come to rest",
        "When the air over the benches is driest, 13:00", "data-map=\"air-deficit\"",
        "data-map=\"air-warmth\"", "data-map=\"air-speed\""}) {
    CAPTURE(words);
    CHECK(with.find(words) != std::string::npos);
  }
  for (record::Group& group : r.groups) {
    if (group.name != "bench" && !group.name.starts_with("flow_")) continue;
    std::erase_if(group.variables, [](const record::Variable& v) {
      return v.name.starts_with("air_") || v.name == "humidity_ratio";
    });
    group.attributes.erase("grid_convergence_index");
    group.attributes.erase("steady");
  }
  const std::string without = page_of(r);
  for (const char* words : {"Air temperature from above: ", "Water vapour from", "grid convergence",
                            "come to rest", "over the benches is driest", "data-map=\"air-"}) {
    CAPTURE(words);
    CHECK(without.find(words) == std::string::npos);
  }
  CHECK(without.find("Air flow from above: fan on") != std::string::npos);
}

TEST_CASE("report: the page says by which openings air comes in and goes out", "[report][exact]") {
  record::Record r = test::sample_record();
  CHECK(page_of(r).find("Air comes in by the door and goes out by the exhaust fan.") !=
        std::string::npos);
  for (record::Group& group : r.groups)
    if (group.name.starts_with("flow_"))
      for (record::Variable& variable : group.variables)
        if (variable.name == "u")
          for (double& value : variable.values) value = -value;
  CHECK(page_of(r).find("Air comes in by the exhaust fan and goes out by the door.") !=
        std::string::npos);
}

TEST_CASE("report: a house without heads or flow or audit still has a page", "[report][input]") {
  record::Record r = test::sample_record();
  std::erase_if(r.groups, [](const record::Group& g) {
    return g.name == "heads" || g.name.starts_with("flow_") || g.name == "audit" ||
           g.name == "air" || g.name == "events";
  });
  const std::string html = page_of(r);
  CHECK(html.find("id=\"tap\"") == std::string::npos);
  CHECK(html.find("id=\"air\"") == std::string::npos);
  CHECK(html.find("id=\"warmth\"") == std::string::npos);
  CHECK(html.find("id=\"dry\"") != std::string::npos);
}

TEST_CASE("report: ways of drops are drawn and told by what the record says of them",
          "[report][law]") {
  record::Record record = test::sample_record();
  const auto variable = [](const char* name, std::vector<std::string> dimensions,
                           std::vector<double> values) {
    return record::Variable{.name = name,
                            .long_name = name,
                            .units = "1",
                            .dimensions = std::move(dimensions),
                            .values = std::move(values)};
  };
  const std::size_t cells = record.group("bench").variable("x").values.size();
  record::Group drops{.name = "drops",
                      .dimensions = {{"fans", 1},
                                     {"size", 2},
                                     {"fate", 6},
                                     {"track", 2},
                                     {"point", 5},
                                     {"z", 2},
                                     {"x", 3},
                                     {"cell", cells}},
                      .variables = {}};
  drops.variables = {
      variable("fans", {"fans"}, {1.0}),
      variable("diameter", {"size"}, {3e-5, 2e-4}),
      variable("fate_share", {"fans", "size", "fate"},
               {0.02, 0.1, 0.0, 0.0, 0.65, 0.23, 0.96, 0.04, 0.0, 0.0, 0.0, 0.0}),
      variable("landing_distance", {"fans", "size"}, {std::nan(""), 0.6}),
      variable("track_fans", {"track"}, {1.0, 1.0}),
      variable("track_size", {"track"}, {0.0, 1.0}),
      variable("point_count", {"track"}, {3.0, 2.0}),
      variable("point_x", {"point"}, {1.0, 2.0, 3.0, 1.0, 1.4}),
      variable("point_z", {"point"}, {1.4, 1.9, 1.2, 1.4, 0.8}),
      variable("z", {"z"}, {0.5, 1.5}),
      variable("x", {"x"}, {0.5, 1.5, 2.5}),
      variable("airborne_water", {"fans", "z", "x"}, {0.0, 1e-3, 0.0, 0.0, 4e-3, 0.0}),
      variable("head_share", {"fans", "cell"},
               std::vector<double>(cells, 0.5 / static_cast<double>(cells)))};
  record.groups.push_back(drops);
  // A blank that does not break is a blank here.
  std::string html = page_of(record);
  for (std::size_t at = 0; (at = html.find("\u00a0", at)) != std::string::npos;)
    html.replace(at, 2, " ");
  CHECK(html.find("<h2 id=\"flight\">How the drops fly</h2>") != std::string::npos);
  CHECK(html.find(
            "With a fan on, of drops of 30 \u00b5m 65 % dry in the air, 23 % leave with the air "
            "and 10 % fall on the floor; of drops of 200 \u00b5m 96 % land on the benches, half "
            "of those on the benches within 0.6 m.") != std::string::npos);
  CHECK(html.find("the air holds most water 1.5 m along and 1.5 m up") != std::string::npos);
  CHECK(html.find("50 % of the water of the head") != std::string::npos);
  CHECK(html.find("track c2") != std::string::npos);
  CHECK(html.find("track c3") == std::string::npos);
}
