#include "sim/scenario/problem.h"

#include <memory>
#include <string>

#include "tests/support/catch.h"

using namespace mistwright::scenario;

namespace {

Problem at(const std::string& text, int line, int column, int length) {
  Problem p;
  p.code = "E0999";
  p.message = "a fault";
  p.at = {std::make_shared<const SourceText>("north.toml", text), line, column, length};
  return p;
}

}  // namespace

TEST_CASE("problem: the caret stands under the fault after tabs and wide and combining characters",
          "[scenario][exact]") {
  // Widths by Unicode Standard Annex 11: the two Chinese characters take two columns each.
  Problem p = at("\t\u6e29\u5ba4e\u0301 = 5", 1, 7, 1);
  CHECK(render(p) ==
        "error[E0999]: a fault\n"
        " --> north.toml:1:11\n"
        "  |\n"
        "1 |     \u6e29\u5ba4e\u0301 = 5\n"
        "  |           ^\n"
        "  |\n");
}

TEST_CASE("problem: control characters and marks of writing direction are shown and never sent",
          "[scenario][exact]") {
  CHECK(visible("a\x1b[31mb\a") == "a\\x1B[31mb\\x07");
  CHECK(visible("n\u202e1") == "n\\u202E1");
  CHECK(visible("1\xE9") == "1\\xE9");
  CHECK(display_width("\x1b") == 4);
}

TEST_CASE("problem: an excerpt is cut to the terminal around the caret", "[scenario][exact]") {
  const std::string text =
      render(at(std::string(300, 'x') + "HERE" + std::string(300, 'y'), 1, 301, 4), {.width = 60});
  const std::size_t from = text.find("1 | ");
  const std::string line = text.substr(from, text.find('\n', from) - from);
  CHECK(display_width(line) <= 60);
  CHECK(line.find("HERE") != std::string::npos);
  const std::size_t caret = text.find('^');
  const std::string under = text.substr(text.rfind('\n', caret) + 1,
                                        text.find('\n', caret) - text.rfind('\n', caret) - 1);
  CHECK(under.find("^^^^") == line.find("HERE"));
}

TEST_CASE("problem: at most twenty are printed and the rest counted", "[scenario][exact]") {
  std::vector<Problem> many(25, at("x = 1", 1, 1, 1));
  const std::string text = render(many);
  CHECK(
      text.find("... and 5 more\n25 errors, 0 warnings; nothing was run, nothing was written\n") !=
      std::string::npos);
  fold_repeats(many);
  REQUIRE(many.size() == 1);
  CHECK(many[0].count == 25);
  CHECK(render(many[0]).substr(0, 35) == "error[E0999]: a fault (25 times)\n -");
}

TEST_CASE("problem: a file that cannot be read gives status 4 and other errors 3",
          "[scenario][exact]") {
  Problem p = at("x", 1, 1, 1);
  CHECK(exit_status({p}) == 3);
  p.unreadable = true;
  CHECK(exit_status({p}) == 4);
  p.severity = Severity::Warning;
  CHECK(exit_status({p}) == 0);
  CHECK(exit_status({}) == 0);
}
