#pragma once
// A parsed scenario as plain values that remember where they stand. The only way from TOML text to
// the readers; the parser itself stays in document.cpp.
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "sim/scenario/problem.h"

namespace mistwright::scenario {

/// A date and time of day as written, without a zone unless `zoned`.
struct WrittenTime {
  int year = 0, month = 0, day = 0;
  int hour = 0, minute = 0, second = 0;
  std::int64_t microsecond = 0;
  bool zoned = false;
  int zone_minutes = 0;
};

struct Entry;

struct Value {
  enum class Type { Text, Whole, Real, Flag, Date, Time, DateTime, List, Table };
  Type type = Type::Text;
  Span at = {};
  std::string text = {};  ///< of strings
  std::int64_t whole = 0;
  double real = 0.0;
  bool flag = false;
  WrittenTime time = {};
  std::vector<Value> items;    ///< of lists
  std::vector<Entry> entries;  ///< of tables, in the file's order

  [[nodiscard]] const Entry* find(std::string_view key) const;
  [[nodiscard]] Entry* find(std::string_view key);
};

struct Entry {
  std::string key = {};
  Span key_at = {};
  Value value = {};
};

/// In words, for messages: "a number", "a list".
[[nodiscard]] const char* type_name(Value::Type type);

struct Parsed {
  Value root;  ///< a table
  std::vector<Problem> problems = {};
};

/// Parses a text that screen() has passed.
[[nodiscard]] Parsed parse(const std::shared_ptr<const SourceText>& source);

/// Lays `key=value` over a document, as --set does: a dotted key, where a part after a list of
/// tables is the name of one of them, or is left out to mean all. The value is read as TOML, else
/// as text.
void apply_override(Value& root, const std::string& setting, std::vector<Problem>& problems);

}  // namespace mistwright::scenario
