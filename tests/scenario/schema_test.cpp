#include "sim/scenario/schema.h"

#include <array>
#include <set>
#include <string>

#include "sim/scenario/presets.h"
#include "tests/support/catch.h"

using namespace mistwright::scenario;

namespace {

const std::set<std::string> tags{"source", "memory", "common practice", "derived", "our choice"};

double si(const char* text, const Key& key) {
  const QuantityResult r = read_quantity(text, key.kind, key.name);
  INFO(key.table << "." << key.name << ": " << text);
  REQUIRE(r.good);
  return r.value;
}

}  // namespace

TEST_CASE(
    "schema: every limit and default is a quantity of its own key and lies within its limits and "
    "its range",
    "[scenario][law]") {
  CHECK(keys().size() > 150);
  for (const Key& key : keys()) {
    INFO(key.table << "." << key.name);
    CHECK(std::string(key.help).size() > 0);
    if (is_quantity(key.kind)) CHECK(si(key.low, key) < si(key.high, key));
    if (key.need != Need::Default) continue;
    CHECK(tags.count(key.evidence) == 1);
    if (!is_quantity(key.kind)) continue;
    const double value = si(key.fallback, key);
    CHECK(value >= si(key.low, key));
    CHECK(value <= si(key.high, key));
    if (*key.fallback_low == '\0') continue;
    CHECK(value >= si(key.fallback_low, key));
    CHECK(value <= si(key.fallback_high, key));
  }
}

TEST_CASE("schema: every preset key has a value for every word within its limits",
          "[scenario][law]") {
  int rows = 0;
  for (const Key& key : keys()) {
    if (key.need != Need::Preset) continue;
    const std::string by = key.fallback;
    const std::size_t dot = by.find('.');
    const Key* chooser = dot == std::string::npos ? find_key(key.table, by)
                                                  : find_key(by.substr(0, dot), by.substr(dot + 1));
    REQUIRE(chooser);
    for (const auto& word : choices(*chooser)) {
      INFO(key.table << "." << key.name << " for " << word);
      const Preset* preset = find_preset(key.table, word, key.name);
      REQUIRE(preset);
      ++rows;
      CHECK(tags.count(preset->evidence) == 1);
      if (!is_quantity(key.kind)) continue;
      const double value = si(preset->value, key);
      CHECK(value >= si(preset->low, key));
      CHECK(value <= si(preset->high, key));
      CHECK(value >= si(key.low, key));
      CHECK(value <= si(key.high, key));
    }
  }
  CHECK(rows > 100);
}

TEST_CASE("schema: no key stands twice in a table", "[scenario][law]") {
  std::set<std::string> seen;
  for (const Key& key : keys()) CHECK(seen.insert(std::string(key.table) + "." + key.name).second);
}

TEST_CASE("schema: the reference of keys names every table and key and default",
          "[scenario][law]") {
  const std::string text = reference_text();
  for (const Key& key : keys()) {
    INFO(key.table << "." << key.name);
    CHECK(text.find(std::string("\n  ") + key.name + "\n") != std::string::npos);
    CHECK(text.find(table_heading(key.table)) != std::string::npos);
  }
  CHECK(text.find("left out: 30 min, 5 min to 4 h (memory)") != std::string::npos);
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = text.find('\n', at);
    CHECK(end - at <= 100);
    at = end + 1;
  }
}

TEST_CASE("schema: a misspelt key is led back and a misplaced one sent to its table",
          "[scenario][exact]") {
  CHECK(nearest_key("supply", "static_presure") == "static_pressure");
  CHECK(nearest_key("house", "lenght") == "length");
  CHECK(nearest_key("house", "volume_of_everything").empty());
  CHECK(belongs_in("static_pressure") == "[supply]");
  CHECK(belongs_in("roughness") == "[[pipe]]");
}
