#pragma once
// One reading of a scenario: the house being filled, the problems found so far, the defaults used;
// and a view of one table of the file that knows the table of keys. Every reader collects problems
// and goes on, so that all errors of a file are shown at once.
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "sim/house/house.h"
#include "sim/scenario/document.h"
#include "sim/scenario/presets.h"
#include "sim/scenario/schema.h"

namespace mistwright::scenario {

/// A value that was read, or stands in for one that was wrong (`good` false).
template <class T>
struct Got {
  T value{};
  bool good = false;       ///< given and right, or a default
  bool given = false;      ///< written in the file, right or wrong
  Span at = {};            ///< of the value
  Span key_at = {};        ///< of the key
  std::string typed = {};  ///< as written, without quotes
};

class Reading {
 public:
  House house;
  std::vector<Problem> problems;
  std::string directory;           ///< in which included files are looked for
  std::vector<std::string> files;  ///< of those, the ones that were opened
  std::shared_ptr<const SourceText> source;
  std::map<std::string, Span> places;  ///< of keys that later messages point back to
  bool house_good = false;             ///< whether the house's measures can be checked against
  bool span_good = false;              ///< whether start and length of the run are known
  bool site_good = false;              ///< whether the sun can be placed

  Problem& error(const char* code, const Span& at, std::string message, std::string help = {});
  Problem& warning(const char* code, const Span& at, std::string message, std::string help = {});
  /// Whether an error was found since there were `before` problems.
  [[nodiscard]] bool errors_since(std::size_t before) const;
  /// Notes a default that was used, once for each key.
  void assume(Assumed assumed);

 private:
  std::set<std::string> assumed_keys_;
};

/// A table of the file as the schema's table of that name describes it.
class Table {
 public:
  /// @param value   a table, or null when the file does not have it
  /// @param schema  the table's name in the schema
  /// @param at      its heading, or the whole file
  Table(Reading& reading, const Value* value, std::string schema, Span at);

  /// A physical quantity in SI, checked for unit and limits.
  Got<double> quantity(const char* key, const char* word = nullptr);
  Got<std::string> text(const char* key);
  /// The index of the choice made; `typed` is the word.
  Got<std::size_t> choice(const char* key, const char* word = nullptr);
  Got<bool> flag(const char* key);
  Got<std::int64_t> whole(const char* key, const char* word = nullptr);
  /// A date, or a date and time.
  Got<WrittenTime> moment(const char* key);
  /// Microseconds since midnight.
  Got<std::int64_t> time_of_day(const char* key);
  /// Seconds east of UTC.
  Got<std::int64_t> zone(const char* key);
  /// A list or a table as it stands; null if absent or of another type (which is a problem).
  const Value* raw(const char* key);
  /// One item of a list as a quantity of the kind.
  Got<double> item(const Value& item, Kind kind, const char* key);

  /// Reports keys that the schema does not have.
  void finish();

  [[nodiscard]] bool given() const { return value_ != nullptr; }
  [[nodiscard]] const Span& at() const { return at_; }
  [[nodiscard]] Span key_span(const char* key) const;
  [[nodiscard]] bool has(const char* key) const;
  [[nodiscard]] const std::string& schema() const { return schema_; }
  /// Where to point for a key that is absent: the heading.
  void missing(const char* key);
  /// The file whose keys stand in for those that this table leaves out.
  void fall_back_to(const Value* other) { other_ = other; }

 private:
  const Entry* entry(const char* key) const;
  const Key& key_row(const char* key) const;
  template <class T>
  Got<T> begin(const char* key, const Entry*& entry);
  void wrong_type(const Entry& entry, const char* wanted, std::string help = {});
  Got<double> parse_quantity(const Value& value, const Key& row, const Span& key_at);
  void check_limits(const Key& row, Got<double>& got);
  /// The default or preset text for an absent key, noted as assumed; null when there is none.
  const char* fallback_text(const Key& row, const char* word);

  Reading& reading_;
  const Value* value_;
  const Value* other_ = nullptr;
  std::string schema_;
  Span at_;
};

/// The word nearest to another by edits, within half its length; empty if none is.
[[nodiscard]] std::string nearest_word(const std::vector<std::string>& words,
                                       const std::string& word);

/// Things by name, in order, each name once.
class Names {
 public:
  explicit Names(const char* what) : what_(what) {}
  /// Adds a name, or reports that it is taken. An empty name is taken as given but never found.
  /// @return whether it was free
  bool add(Reading& reading, const std::string& name, const Span& at);
  /// Whether a name is taken, which is reported.
  bool taken(Reading& reading, const std::string& name, const Span& at) const;
  /// The index of a name; reports a name that is not there, with the nearest that is.
  std::optional<std::uint32_t> find(Reading& reading, const Got<std::string>& name) const;
  [[nodiscard]] std::optional<std::uint32_t> quiet_find(const std::string& name) const;
  [[nodiscard]] std::size_t size() const { return names_.size(); }
  [[nodiscard]] const std::string& name(std::size_t index) const { return names_[index]; }
  [[nodiscard]] const Span& at(std::size_t index) const { return spans_[index]; }

 private:
  const char* what_;
  std::vector<std::string> names_;
  std::vector<Span> spans_;
  std::map<std::string, std::uint32_t> index_;
};

/// Calls `each` for every table of a list of tables at the top of the file.
void for_each_table(Reading& reading, const Value& root, const char* name,
                    const std::function<void(Table&)>& each);

/// The table of that name at the top of the file, or an empty one.
[[nodiscard]] Table table_of(Reading& reading, const Value& root, const char* name);

template <class T>
Got<T> Table::begin(const char* key, const Entry*& found) {
  Got<T> got;
  found = entry(key);
  got.given = found != nullptr;
  if (found) {
    got.at = found->value.at;
    got.key_at = found->key_at;
    got.typed = found->value.text;
  } else {
    got.at = got.key_at = at_;
    if (key_row(key).need == Need::Required) missing(key);
  }
  return got;
}

}  // namespace mistwright::scenario
