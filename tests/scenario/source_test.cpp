#include "sim/scenario/source.h"

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include "sim/scenario/read.h"
#include "tests/support/catch.h"
#include "tests/support/text.h"

using namespace mistwright;
using scenario::SourceText;

namespace {

std::string refusal(const std::string& text) {
  const auto problems = scenario::screen(std::make_shared<const SourceText>("a.toml", text));
  return problems.empty() ? "" : problems[0].message;
}

}  // namespace

TEST_CASE("source: limits on size and line and nesting and names and keys hold before the parser",
          "[scenario][input]") {
  CHECK(refusal(std::string(64, '[')) == "");
  CHECK(refusal(std::string(65, '[')) == "brackets are nested deeper than 64");
  CHECK(refusal("x = \"" + std::string(65, '[') + "\"") == "");
  CHECK(refusal("# " + std::string(65, '[')) == "");
  std::string dotted = "a";
  for (int i = 0; i < 15; ++i) dotted += ".a";
  CHECK(refusal(dotted + " = 1") == "");
  CHECK(refusal(dotted + " . \"a\" = 1") == "a dotted name has more than 16 parts");
  CHECK(refusal(std::string(65'536, 'x')) == "");
  CHECK(refusal(std::string(65'537, 'x')) == "line 1 is longer than 64 KiB");
  CHECK(refusal(std::string((4u << 20) + 1, '\n')) ==
        "`a.toml` has 4194305 bytes; at most 4194304 are read");
  std::string keys;
  for (int i = 0; i <= 100'000; ++i) keys += "a=1\n";
  CHECK(refusal(keys) == "more than 100000 keys");
  CHECK(refusal("\u00e9 = 1") == "letters outside ASCII may stand only in quotes and comments");
  CHECK(refusal("'\u00e9' = 1 # \u00e9") == "");
}

TEST_CASE("source: quotes at the end of a long string cannot hide what follows",
          "[scenario][input]") {
  CHECK(refusal("x = \"\"\"a\"\"\"\"\ny = " + std::string(65, '[')) ==
        "brackets are nested deeper than 64");
  CHECK(refusal("x = \"\"\"a\"\"\"\"\"" + std::string(65, '[')) ==
        "brackets are nested deeper than 64");
  CHECK(refusal("x = '''a''''" + std::string(65, '[')) == "brackets are nested deeper than 64");
}

TEST_CASE("source: broken UTF-8 is named by byte and place", "[scenario][published]") {
  // Sequences that RFC 3629 forbids: overlong, a surrogate, beyond U+10FFFF, cut short, a stray
  // tail.
  for (const char* bad : {"\xC0\xAF", "\xE0\x80\xAF", "\xED\xA0\x80", "\xF4\x90\x80\x80",
                          "\xE2\x82", "\x80", "\xFF"}) {
    CHECK(refusal(std::string("x = \"a") + bad + "\"").find("is not UTF-8 (byte 0x") !=
          std::string::npos);
  }
  CHECK(refusal("x = \"\xF0\x9F\x8C\xB1\"") == "");
}

TEST_CASE("source: every text of the corpus is answered without a fault of ours",
          "[scenario][input]") {
  int texts = 0;
  for (const auto& entry : std::filesystem::directory_iterator(std::string(MISTWRIGHT_SOURCE_DIR) +
                                                               "/tests/input/corpus")) {
    const std::string text = test::text_of(entry.path());
    INFO(entry.path().filename().string());
    CHECK_NOTHROW(scenario::render(scenario::read_text(text, "corpus.toml").problems));
    ++texts;
  }
  CHECK(texts >= 20);
}
