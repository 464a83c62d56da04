#include "sim/scenario/document.h"

#include <string>

#include "tests/support/catch.h"

using namespace mistwright;

namespace {

scenario::Problem fault_of(const std::string& text) {
  const auto parsed =
      scenario::parse(std::make_shared<const scenario::SourceText>("house.toml", text));
  REQUIRE(parsed.problems.size() == 1);
  return parsed.problems.front();
}

struct Bare {
  const char* text;
  const char* message;
  const char* help;
};

struct Twice {
  const char* text;
  const char* message;
  int column, length;
  int first_line, first_column;  ///< 0: not known
};

}  // namespace

TEST_CASE("toml: a key written twice is named as it is written and with its first place",
          "[scenario][input]") {
  for (const Twice& one : {
           Twice{"[t]\na = 1\na = 2\n", "line 3 defines `a` again; first at line 2", 1, 1, 2, 1},
           Twice{"\"a b\" = 1\n\"a b\" = 2\n", "line 2 defines `\"a b\"` again; first at line 1", 1,
                 5, 1, 1},
           Twice{"\"it's\" = 1\n  \"it's\" = 2\n",
                 "line 2 defines `\"it's\"` again; first at line 1", 3, 6, 1, 1},
           Twice{"\"q\\\"r\" = 1\n\"q\\\"r\" = 2\n",
                 "line 2 defines `\"q\\\"r\"` again; first at line 1", 1, 6, 1, 1},
           Twice{"x = 1\n'x' = 2 # \"x\" = 3\n", "line 2 defines `'x'` again; first at line 1", 1,
                 3, 1, 1},
           Twice{"[h.\"a b\"]\nx = 1\n[s]\nx = 1\n[ h . \"a b\" ]\n",
                 "line 5 defines `h . \"a b\"` again; first at line 1", 3, 9, 1, 2},
           Twice{"[s]\nx = 1\n[t]\nx = 1\nx = 2\n", "line 5 defines `x` again; first at line 4", 1,
                 1, 4, 1},
           Twice{"t = {\"x é\" = 1, \"x é\" = 2}\n", "line 1 defines `\"x é\"` again", 17, 5, 1, 6},
           Twice{"t = {x = {y = 1}, y = 2, y = 3}\n", "line 1 defines `y` again", 26, 1, 1, 19},
           Twice{"a = 1\na.b = 2\n", "line 2 defines `a` again; first at line 1", 1, 1, 1, 1},
           Twice{"[a.b]\nc = 1\n[a]\nb.c = 2\n", "line 4 defines `b` again", 1, 1, 0, 0},
       }) {
    INFO(one.text);
    const auto problem = fault_of(one.text);
    CHECK(problem.code == "E0106");
    CHECK(problem.message == one.message);
    CHECK(problem.at.column == one.column);
    CHECK(problem.at.length == one.length);
    CHECK((problem.second ? problem.second->at.line : 0) == one.first_line);
    CHECK((problem.second ? problem.second->at.column : 0) == one.first_column);
  }
}

TEST_CASE("toml: a quantity without quotes is told with what to write", "[scenario][input]") {
  for (const Bare& one : {
           Bare{"a = 12 m\n", "a quantity needs double quotes", "write \"12 m\""},
           Bare{"a = 12,5 m # wide\n", "a decimal comma is not read", "write \"12.5 m\""},
           Bare{"a = 12,5\n", "a decimal comma is not read", "write \"12.5\""},
       }) {
    INFO(one.text);
    const auto problem = fault_of(one.text);
    CHECK(problem.code == "E0109");
    CHECK(problem.message == one.message);
    CHECK(problem.help == one.help);
    CHECK(problem.at.column == 5);
  }
}
