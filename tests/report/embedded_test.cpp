// What the page carries of others: every byte as published, with its licence.
#include <fstream>
#include <sstream>

#include "sim/record/sha256.h"
#include "sim/report/page_style.h"
#include "tests/support/catch.h"

using namespace mistwright;

namespace {

const std::string room = std::string(MISTWRIGHT_SOURCE_DIR) + "/sim/report/";

std::string file(const std::string& name) {
  std::ifstream stream(room + name, std::ios::binary);
  std::ostringstream text;
  text << stream.rdbuf();
  return text.str();
}

}  // namespace

// The sums are those of the files in the package uplot 1.6.32 of the npm registry.
TEST_CASE("report: the vendored plotting library is the published one by its SHA-256",
          "[report][published]") {
  std::istringstream sums(file("vendor/SHA256SUMS"));
  int files = 0;
  for (std::string sum, name; sums >> sum >> name; ++files) {
    CAPTURE(name);
    CHECK(record::sha256(file("vendor/" + name)) == sum);
  }
  CHECK(files == 3);
}

TEST_CASE("report: the page carries the plotting library whole and its licence before it",
          "[report][same]") {
  const std::string library = file("vendor/uPlot.iife.min.js"), licence = file("vendor/LICENSE");
  const std::string code = library.substr(library.find('\n') + 1);
  const std::size_t at = report::page_script.find(code);
  CHECK(at != std::string_view::npos);
  CHECK(report::page_script.find(licence) < at);
  CHECK(report::page_css.starts_with(file("vendor/uPlot.min.css")));
}

TEST_CASE("report: each part of the page's own script and style is embedded as it stands",
          "[report][same]") {
  for (const char* name : {"hour.js", "time_row.js", "maps.js", "readout.js", "curves.js",
                           "switches.js", "start.js"}) {
    CAPTURE(name);
    const std::string text = file(std::string("browser/") + name);
    CHECK(text.size() > 200);
    CHECK(report::page_script.find(text) != std::string_view::npos);
    for (const char* never : {"innerHTML", "eval(", "fetch(", "XMLHttp", "location", "http:"})
      CHECK(text.find(never) == std::string::npos);
  }
  for (const char* name : {"page.css", "pictures.css", "live.css", "print.css"}) {
    CAPTURE(name);
    CHECK(report::page_css.find(file(std::string("browser/") + name)) != std::string_view::npos);
  }
}
