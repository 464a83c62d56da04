#include "sim/report/page.h"

#include <algorithm>
#include <regex>
#include <set>

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

TEST_CASE("report: a page of results read back is the page of the results", "[report][same]") {
  record::Record r = test::sample_record();
  record::Record back = record::from_hdf5_image(record::hdf5_image(r), "a.h5");
  back.attributes.erase("content_sha256");
  CHECK(page_of(back) == page_of(r));
}

TEST_CASE("report: the page names no address and stays under 3 MB", "[report][law]") {
  const std::string html = page_of(test::sample_record());
  CHECK(html.size() < 3'000'000);
  CHECK(html.find("http:") == std::string::npos);
  CHECK(html.find("https:") == std::string::npos);
  CHECK(html.find("src=") == std::string::npos);
  CHECK(html.find(" style=") == std::string::npos);
  CHECK_FALSE(std::regex_search(html, std::regex("<[a-z]+[^>]* on[a-z]+=")));
}

TEST_CASE("report: every part that the page promises is there", "[report][law]") {
  const std::string html = page_of(test::sample_record());
  for (const char* id : {"answer", "dry", "mist", "film", "day", "water", "tap", "air", "changes",
                         "assumed", "audit", "method", "cautions"}) {
    CAPTURE(id);
    CHECK(count(html, std::string("id=\"") + id + "\"") == 1);
  }
  CHECK(count(html, "<svg") > 15);
  CHECK(count(html, "<svg") == count(html, "</svg>"));
  CHECK(count(html, "<section") == count(html, "</section>"));
  CHECK(count(html, "<figure") == count(html, "</figure>"));
  CHECK(count(html, "<table") == count(html, "</table>"));
}

TEST_CASE("report: a hostile name stays a name", "[report][input]") {
  const std::string evil = "</script><img src=x onerror=alert(1)>\xe2\x80\xae";
  const std::string html = page_of(test::sample_record({.north_name = evil}));
  CHECK(html.find("<img") == std::string::npos);
  CHECK(html.find("\xe2\x80\xae") == std::string::npos);
  CHECK(html.find("&lt;/script&gt;&lt;img src=x onerror=alert(1)&gt;\\u{202e}") !=
        std::string::npos);
  CHECK(count(html, "<script") == 2);
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

TEST_CASE("report: a house without heads or flow or audit still has a page", "[report][input]") {
  record::Record r = test::sample_record();
  std::erase_if(r.groups, [](const record::Group& g) {
    return g.name == "heads" || g.name.starts_with("flow_") || g.name == "audit";
  });
  const std::string html = page_of(r);
  CHECK(html.find("id=\"tap\"") == std::string::npos);
  CHECK(html.find("id=\"air\"") == std::string::npos);
  CHECK(html.find("id=\"dry\"") != std::string::npos);
}
