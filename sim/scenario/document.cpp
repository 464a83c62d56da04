#include "sim/scenario/document.h"

#include <fmt/core.h>

#include <toml++/toml.h>
#include <algorithm>
#include <optional>
#include <utility>

#include "sim/scenario/quantity.h"
#include "sim/scenario/source.h"
#include "sim/scenario/written_key.h"

namespace mistwright::scenario {
namespace {

using Source = std::shared_ptr<const SourceText>;

Span span_of(const toml::source_region& region, const Source& source) {
  Span span{source, static_cast<int>(region.begin.line), static_cast<int>(region.begin.column), 1};
  if (region.end.line == region.begin.line && region.end.column > region.begin.column) {
    span.length = static_cast<int>(region.end.column - region.begin.column);
  }
  return span;
}

WrittenTime time_of(const toml::date* date, const toml::time* time,
                    const toml::time_offset* offset) {
  WrittenTime out;
  if (date) {
    out.year = date->year;
    out.month = date->month;
    out.day = date->day;
  }
  if (time) {
    out.hour = time->hour;
    out.minute = time->minute;
    out.second = time->second;
    out.microsecond = time->nanosecond / 1000;
  }
  if (offset) {
    out.zoned = true;
    out.zone_minutes = offset->minutes;
  }
  return out;
}

Value convert(const toml::node& node, const Source& source);

Value convert_table(const toml::table& table, const Source& source) {
  Value value;
  value.type = Value::Type::Table;
  for (const auto& [key, child] : table) {
    value.entries.push_back(
        {std::string(key.str()), span_of(key.source(), source), convert(child, source)});
  }
  // The parser sorts by key; people read from top to bottom.
  std::stable_sort(value.entries.begin(), value.entries.end(), [](const Entry& a, const Entry& b) {
    return std::pair(a.key_at.line, a.key_at.column) < std::pair(b.key_at.line, b.key_at.column);
  });
  return value;
}

Value convert(const toml::node& node, const Source& source) {
  Value value;
  using Type = Value::Type;
  if (const auto* table = node.as_table()) {
    value = convert_table(*table, source);
  } else if (const auto* array = node.as_array()) {
    value.type = Type::List;
    for (const auto& item : *array) value.items.push_back(convert(item, source));
  } else if (const auto* text = node.as_string()) {
    value.text = text->get();
  } else if (const auto* whole = node.as_integer()) {
    value.type = Type::Whole;
    value.whole = whole->get();
  } else if (const auto* real = node.as_floating_point()) {
    value.type = Type::Real;
    value.real = real->get();
  } else if (const auto* flag = node.as_boolean()) {
    value.type = Type::Flag;
    value.flag = flag->get();
  } else if (const auto* date = node.as_date()) {
    value.type = Type::Date;
    value.time = time_of(&date->get(), nullptr, nullptr);
  } else if (const auto* time = node.as_time()) {
    value.type = Type::Time;
    value.time = time_of(nullptr, &time->get(), nullptr);
  } else if (const auto* moment = node.as_date_time()) {
    value.type = Type::DateTime;
    const auto& m = moment->get();
    value.time = time_of(&m.date, &m.time, m.offset ? &*m.offset : nullptr);
  }
  value.at = span_of(node.source(), source);
  return value;
}

Span span_of_key(const Source& source, int line, const WrittenKey& key) {
  return span_at(source, source->line_starts[static_cast<std::size_t>(line - 1)] + key.start,
                 key.length);
}

/// Where a key of the same table was written before.
Span first_writing(const Source& source, int line, const WrittenKey& again) {
  if (!again.leads) {  // in an inline table
    for (const WrittenKey& key : keys_on(source->line(line))) {
      if (key.start < again.start && key.table == again.table && key.parts == again.parts)
        return span_of_key(source, line, key);
    }
    return {};
  }
  Span found;
  bool under_heading = false;
  for (int number = 1; number < line; ++number) {
    const auto keys = keys_on(source->line(number));
    if (keys.empty() || !keys.front().leads) continue;
    const WrittenKey& key = keys.front();
    under_heading = under_heading || key.heading;
    if (key.heading && !again.heading) found = {};
    const bool reaches = key.heading == again.heading || !under_heading;
    if (reaches && key.parts == again.parts && found.line == 0)
      found = span_of_key(source, number, key);
  }
  return found;
}

/// The key that the parser stumbled over, at or before a span.
std::optional<WrittenKey> key_by(const Span& at) {
  const std::string_view line = at.source->line(at.line);
  std::size_t byte = 0;
  for (int column = 1; byte < line.size(); ++byte) {
    const bool begins = (static_cast<unsigned char>(line[byte]) & 0xC0U) != 0x80U;
    if (begins && column++ == at.column) break;
  }
  std::optional<WrittenKey> found;
  for (WrittenKey& key : keys_on(line)) {
    if (!found || key.start < byte) found = std::move(key);
  }
  return found;
}

/// One key for two things. What the parser calls a key in quotes is not what is written.
void explain_key_twice(Problem& problem, std::string_view why) {
  problem.code = "E0106";
  problem.label = "written again here";
  problem.help = "TOML allows a key once in a table";
  problem.message = fmt::format("line {} defines a key again", problem.at.line);
  const Source& source = problem.at.source;
  auto key = key_by(problem.at);
  if (!key) return;
  if (why.find("dotted") != std::string_view::npos) {
    key->parts.resize(1);
    key->length = key->first_length;
  }
  const int number = problem.at.line;
  const Span first = first_writing(source, number, *key);
  problem.at = span_of_key(source, number, *key);
  problem.message = fmt::format("line {} defines `{}` again", number,
                                source->line(number).substr(key->start, key->length));
  if (first.line == 0) return;
  if (first.line != number) problem.message += fmt::format("; first at line {}", first.line);
  problem.second = Second{first, "first written here"};
}

/// Two mistakes that a parser cannot name: a quantity without quotes, and a day that does not
/// exist.
bool explain_bare_value(Problem& problem) {
  const std::string_view line = problem.at.source->line(problem.at.line);
  const std::size_t equals = line.find('=');
  if (equals == std::string_view::npos) return false;
  const std::size_t start = line.find_first_not_of(" \t", equals + 1);
  if (start == std::string_view::npos ||
      !(is_digit(line[start]) || line[start] == '-' || line[start] == '+'))
    return false;
  std::string_view value = line.substr(start, line.find('#', start) - start);
  while (!value.empty() && (value.back() == ' ' || value.back() == '\t')) value.remove_suffix(1);
  std::string mended(value);
  const std::size_t comma = value.find(',');
  const bool decimal = comma != std::string_view::npos && comma > 0 && comma + 1 < value.size() &&
                       is_digit(value[comma - 1]) && is_digit(value[comma + 1]);
  if (decimal) mended[comma] = '.';
  if (value.size() > 60 || mended.find_first_of("\"'[]{},=") != std::string::npos) return false;
  problem.at.column = static_cast<int>(start) + 1;
  problem.at.length = static_cast<int>(value.size());
  if (value.size() >= 10 && value[4] == '-' && value[7] == '-') {
    problem.code = "E0108";
    problem.message = fmt::format("{} is not a date of the calendar, or not written as one", value);
    problem.help = "write a date as 2025-06-03, with a time as 2025-06-03T06:00:00";
  } else if (value.size() >= 3 && value.find(':') != std::string_view::npos) {
    problem.code = "E0108";
    problem.message = fmt::format("{} is not a time of day, or not written as one", value);
    problem.help = "write a time of day as 07:00:00";
  } else {
    problem.code = "E0109";
    problem.message = decimal ? "a decimal comma is not read" : "a quantity needs double quotes";
    problem.help = fmt::format("write \"{}\"", mended);
  }
  return true;
}

Problem syntax_problem(const toml::parse_error& error, const Source& source) {
  Problem problem;
  problem.code = "E0105";
  problem.message = "this is not TOML";
  problem.at = span_of(error.source(), source);
  const std::string why(error.description());
  const auto lines = static_cast<int>(source->line_starts.size());
  problem.at.line = std::clamp(problem.at.line, 1, lines);
  if (why.find("redefine") != std::string::npos || why.find("duplicate") != std::string::npos) {
    explain_key_twice(problem, why);
    return problem;
  }
  if (explain_bare_value(problem)) return problem;
  const auto has = [&](const char* words) { return why.find(words) != std::string::npos; };
  if (has("determine value type") || has("expected value") || has("boolean") || has("bare")) {
    problem.label = "no value begins here";
    problem.help = "texts and quantities stand in double quotes, as in length = \"7.2 m\"";
  } else if (has("string")) {
    problem.label = "a text goes wrong here";
    problem.help = "a text begins and ends with a double quote on one line";
  } else if (has("array")) {
    problem.label = "a list goes wrong here";
    problem.help = "a list is [first, second], with a comma between and a bracket at its end";
  } else if (has("table")) {
    problem.label = "a table goes wrong here";
    problem.help = "a table begins with [name] or [[name]] on a line of its own";
  } else if (has("date") || has("time")) {
    problem.label = "a date or time goes wrong here";
    problem.help = "write a date as 2025-06-03 and a time of day as 07:00:00";
  } else if (has("number") || has("digit") || has("integer") || has("floating") || has("decimal")) {
    problem.label = "a number goes wrong here";
    problem.help = "a quantity stands in double quotes with its unit, as in \"7.2 m\"";
  } else {
    problem.label = "not understood from here";
    problem.help = "a line is key = value, [table] or # comment";
  }
  return problem;
}

void lay_over(Value& under, Value& over);

/// Lays a table over a list of tables: over those that it names, else over all of them.
void lay_over_list(Value& list, Value& over) {
  bool by_name = false;
  for (Value& item : list.items) {
    const Entry* name = item.find("name");
    Entry* mine = name ? over.find(name->value.text) : nullptr;
    if (!mine || mine->value.type != Value::Type::Table) continue;
    Value copy = mine->value;
    lay_over(item, copy);
    by_name = true;
  }
  for (Value& item : list.items) {
    if (by_name || item.type != Value::Type::Table) continue;
    Value copy = over;
    lay_over(item, copy);
  }
}

/// Lays one table over another, going into tables and into named items of lists.
void lay_over(Value& under, Value& over) {
  for (Entry& entry : over.entries) {
    Entry* there = under.find(entry.key);
    if (!there) {
      under.entries.push_back(std::move(entry));
    } else if (entry.value.type == Value::Type::Table && there->value.type == Value::Type::Table) {
      lay_over(there->value, entry.value);
    } else if (entry.value.type == Value::Type::Table && there->value.type == Value::Type::List) {
      lay_over_list(there->value, entry.value);
    } else {
      *there = std::move(entry);
    }
  }
}

}  // namespace

const Entry* Value::find(std::string_view key) const {
  for (const Entry& entry : entries) {
    if (entry.key == key) return &entry;
  }
  return nullptr;
}

Entry* Value::find(std::string_view key) {
  return const_cast<Entry*>(static_cast<const Value*>(this)->find(key));
}

const char* type_name(Value::Type type) {
  switch (type) {
    case Value::Type::Text:
      return "a text";
    case Value::Type::Whole:
    case Value::Type::Real:
      return "a number";
    case Value::Type::Flag:
      return "true or false";
    case Value::Type::Date:
      return "a date";
    case Value::Type::Time:
      return "a time of day";
    case Value::Type::DateTime:
      return "a date and time";
    case Value::Type::List:
      return "a list";
    case Value::Type::Table:
      return "a table";
  }
  return "";
}

Parsed parse(const std::shared_ptr<const SourceText>& source) {
  Parsed out;
  try {
    const toml::table table =
        toml::parse(std::string_view(source->text), std::string_view("scenario"));
    out.root = convert_table(table, source);
    out.root.at = Span{source, 0, 0, 1};
  } catch (const toml::parse_error& error) {
    out.problems.push_back(syntax_problem(error, source));
  }
  return out;
}

void apply_override(Value& root, const std::string& setting, std::vector<Problem>& problems) {
  const std::size_t equals = setting.find('=');
  const auto as_source = [](const std::string& text) {
    return std::make_shared<const SourceText>("--set", text);
  };
  if (equals == std::string::npos || equals == 0) {
    Problem problem;
    problem.code = "E0107";
    problem.message = "--set needs a key and a value";
    problem.at = Span{as_source(setting), 1, 1, static_cast<int>(setting.size())};
    problem.help = "write --set \"crop.leaf_area=5 cm2\"";
    problems.push_back(std::move(problem));
    return;
  }
  auto source = as_source(setting);
  if (auto bad = screen(source); bad.empty()) {
    Parsed parsed = parse(source);
    if (parsed.problems.empty()) {
      lay_over(root, parsed.root);
      return;
    }
  }
  std::string value;
  for (const char c : setting.substr(equals + 1)) {
    if (value.empty() && c == ' ') continue;
    if (c == '\\' || c == '"') value += '\\';
    value += c;
  }
  source = as_source(fmt::format("{}=\"{}\"", setting.substr(0, equals), value));
  if (auto bad = screen(source); !bad.empty()) {
    problems.insert(problems.end(), bad.begin(), bad.end());
    return;
  }
  Parsed parsed = parse(source);
  problems.insert(problems.end(), parsed.problems.begin(), parsed.problems.end());
  if (parsed.problems.empty()) lay_over(root, parsed.root);
}

}  // namespace mistwright::scenario
