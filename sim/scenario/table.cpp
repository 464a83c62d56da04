#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "models/contracts.h"
#include "sim/scenario/reading.h"

namespace mistwright::scenario {
namespace {

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (const auto& word : words) text += fmt::format("{}\"{}\"", text.empty() ? "" : ", ", word);
  return text;
}

}  // namespace

Table::Table(Reading& reading, const Value* value, std::string schema, Span at)
    : reading_(reading), value_(value), schema_(std::move(schema)), at_(std::move(at)) {}

const Entry* Table::entry(const char* key) const {
  const Entry* found = value_ ? value_->find(key) : nullptr;
  return found || !other_ ? found : other_->find(key);
}

const Key& Table::key_row(const char* key) const {
  const Key* row = find_key(schema_, key);
  if (!row) throw ContractError(fmt::format("no row for {}.{} in the table of keys", schema_, key));
  return *row;
}

bool Table::has(const char* key) const {
  return entry(key) != nullptr;
}

Span Table::key_span(const char* key) const {
  const Entry* found = entry(key);
  return found ? found->key_at : at_;
}

void Table::missing(const char* key) {
  const Key& row = key_row(key);
  const std::string where = table_heading(schema_);
  reading_.error("E0201", at_, fmt::format("{} needs `{}`", where, key),
                 is_quantity(row.kind)
                     ? fmt::format("`{}` is {}: {}", key, kind_info(row.kind).name, row.help)
                     : fmt::format("`{}`: {}", key, row.help));
}

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

void Table::wrong_type(const Entry& entry, const char* wanted, std::string help) {
  reading_.error("E0203", entry.value.at,
                 fmt::format("`{}` must be {}, but this is {}", entry.key, wanted,
                             type_name(entry.value.type)),
                 std::move(help));
}

const char* Table::fallback_text(const Key& row, const char* word) {
  const char* value = row.fallback;
  const char* low = row.fallback_low;
  const char* high = row.fallback_high;
  const char* evidence = row.evidence;
  if (row.need == Need::Preset) {
    const Preset* preset = word ? find_preset(schema_, word, row.name) : nullptr;
    if (!preset) return nullptr;
    value = preset->value;
    low = preset->low;
    high = preset->high;
    evidence = preset->evidence;
  } else if (row.need != Need::Default) {
    return nullptr;
  }
  const std::string place = schema_.empty() ? row.name : fmt::format("{}.{}", schema_, row.name);
  const std::string key = row.need == Need::Preset ? fmt::format("{} ({})", place, word) : place;
  reading_.assume({key, value, low, high, evidence, row.help});
  return value;
}

void Table::check_limits(const Key& row, Got<double>& got) {
  const auto limit = [&](const char* text) {
    return read_quantity(text, row.kind, row.name).value;
  };
  const double low = limit(row.low);
  const double high = limit(row.high);
  if (got.value >= low && got.value <= high) return;
  const KindInfo& info = kind_info(row.kind);
  got.good = false;
  if (row.kind == Kind::GaugePressure && got.value < 0.0) {
    reading_
        .error("E0204", got.at,
               fmt::format("`{}` is below zero ({} gauge)", row.name, rounded(got.value, "kPa")))
        .label = "too small";
    return;
  }
  const bool same = got.typed.find(info.unit) != std::string::npos || row.kind == Kind::Number;
  const std::string understood = same ? "" : fmt::format(" ({})", rounded(got.value, info.unit));
  Problem& p = reading_.error("E0204", got.at,
                              fmt::format("`{}` is {}{}; it must lie from {} to {}", row.name,
                                          got.typed, understood, row.low, row.high));
  p.label = got.value < low ? "too small" : "too large";
  if (row.kind == Kind::Fraction && got.value > 1.0 && got.typed.find('%') == std::string::npos) {
    p.help = fmt::format("write \"{} %\" if these are hundredths", got.typed);
  }
}

Got<double> Table::parse_quantity(const Value& value, const Key& row, const Span& key_at) {
  Got<double> got{.given = true, .at = value.at, .key_at = key_at, .typed = value.text};
  using Type = Value::Type;
  const bool number = value.type == Type::Whole || value.type == Type::Real;
  if (number) {
    got.typed =
        value.type == Type::Whole ? fmt::format("{}", value.whole) : fmt::format("{}", value.real);
    if (value.type == Type::Real && !std::isfinite(value.real)) {
      reading_.error("E0302", value.at, fmt::format("`{}` must be a finite number", row.name));
      return got;
    }
  } else if (value.type != Type::Text) {
    reading_.error("E0203", value.at,
                   fmt::format("`{}` must be {}, but this is {}", row.name,
                               kind_info(row.kind).name, type_name(value.type)),
                   fmt::format("units that fit: {}", kind_info(row.kind).fits));
    return got;
  }
  const QuantityResult result = read_quantity(got.typed, row.kind, row.name);
  if (!result.good) {
    Problem& p = reading_.error(result.fault.code.c_str(), value.at, result.fault.message,
                                result.fault.help);
    p.label = result.fault.label;
    // Inside a plain string on one line the caret can stand under the very characters.
    const std::string_view line =
        value.at.source ? value.at.source->line(value.at.line) : std::string_view();
    const std::size_t quoted = line.find(value.text, 0);
    if (!number && quoted != std::string_view::npos && !value.text.empty() &&
        value.at.length == static_cast<int>(display_width(value.text)) + 2) {
      p.at.column = value.at.column + 1 + display_width(value.text.substr(0, result.fault.offset));
      p.at.length =
          std::max(1, display_width(value.text.substr(result.fault.offset, result.fault.length)));
    }
    return got;
  }
  got.value = result.value;
  got.good = true;
  check_limits(row, got);
  return got;
}

Got<double> Table::quantity(const char* key, const char* word) {
  const Entry* found = nullptr;
  Got<double> got = begin<double>(key, found);
  const Key& row = key_row(key);
  if (found) return parse_quantity(found->value, row, found->key_at);
  if (const char* text = fallback_text(row, word)) {
    got.value = read_quantity(text, row.kind, key).value;
    got.good = true;
    got.typed = text;
  }
  return got;
}

Got<double> Table::item(const Value& item, Kind kind, const char* key) {
  Key row = key_row(key);
  row.kind = kind;
  row.low = row.high = "";
  Got<double> got{.given = true, .at = item.at, .key_at = key_span(key), .typed = item.text};
  const bool number = item.type == Value::Type::Whole || item.type == Value::Type::Real;
  if (number)
    got.typed = item.type == Value::Type::Whole ? fmt::format("{}", item.whole)
                                                : fmt::format("{}", item.real);
  if (!number && item.type != Value::Type::Text) {
    reading_.error("E0203", item.at,
                   fmt::format("`{}` must hold {}, but this is {}", key, kind_info(kind).name,
                               type_name(item.type)));
    return got;
  }
  const QuantityResult result = read_quantity(got.typed, kind, key);
  if (!result.good) {
    reading_.error(result.fault.code.c_str(), item.at, result.fault.message, result.fault.help)
        .label = result.fault.label;
    return got;
  }
  got.value = result.value;
  got.good = true;
  return got;
}

Got<std::string> Table::text(const char* key) {
  const Entry* found = nullptr;
  Got<std::string> got = begin<std::string>(key, found);
  if (!found) {
    if (const char* text = fallback_text(key_row(key), nullptr)) {
      got.value = text;
      got.good = true;
    }
    return got;
  }
  if (found->value.type != Value::Type::Text) {
    wrong_type(*found, "a text", "put it in double quotes");
    return got;
  }
  const std::string& text = found->value.text;
  const bool control = std::any_of(text.begin(), text.end(), [](char c) {
    return static_cast<unsigned char>(c) < 0x20 && c != '\n' && c != '\t';
  });
  const std::string_view name = key;
  if (text.empty() || control || (name == "name" && visible(text) != text)) {
    reading_.error("E0205", found->value.at,
                   text.empty() ? fmt::format("`{}` is empty", key)
                                : fmt::format("`{}` holds control characters", key));
    return got;
  }
  got.value = text;
  got.good = true;
  return got;
}

Got<std::size_t> Table::choice(const char* key, const char* word) {
  const Entry* found = nullptr;
  Got<std::size_t> got = begin<std::size_t>(key, found);
  const Key& row = key_row(key);
  const std::vector<std::string> words = choices(row);
  if (found && found->value.type != Value::Type::Text) {
    wrong_type(*found, "one of the words below", joined(words));
    return got;
  }
  if (!found) {
    const char* text = fallback_text(row, word);
    if (!text) return got;
    got.typed = text;
  }
  const auto place = std::find(words.begin(), words.end(), got.typed);
  if (place == words.end()) {
    const std::string near = nearest_word(words, got.typed);
    Problem& p =
        reading_.error("E0206", got.at, fmt::format("`{}` cannot be \"{}\"", key, got.typed),
                       near.empty() ? "" : fmt::format("the nearest choice is \"{}\"", near));
    p.note = fmt::format("choices: {}", joined(words));
    return got;
  }
  got.value = static_cast<std::size_t>(place - words.begin());
  got.good = true;
  return got;
}

Got<bool> Table::flag(const char* key) {
  const Entry* found = nullptr;
  Got<bool> got = begin<bool>(key, found);
  if (!found) {
    const char* text = fallback_text(key_row(key), nullptr);
    got.value = text && std::string_view(text) == "true";
    got.good = true;
    return got;
  }
  if (found->value.type != Value::Type::Flag) {
    wrong_type(*found, "true or false", "write it without quotes");
    return got;
  }
  got.value = found->value.flag;
  got.good = true;
  return got;
}

Got<std::int64_t> Table::whole(const char* key, const char* word) {
  const Entry* found = nullptr;
  Got<std::int64_t> got = begin<std::int64_t>(key, found);
  const Key& row = key_row(key);
  const auto number = [](const char* text) {
    std::int64_t value = 0;
    std::from_chars(text, text + std::string_view(text).size(), value);
    return value;
  };
  if (!found) {
    if (const char* text = fallback_text(row, word)) {
      got.value = number(text);
      got.good = true;
    }
    return got;
  }
  if (found->value.type != Value::Type::Whole) {
    wrong_type(*found, "a whole number", "write it without quotes and without a point");
    return got;
  }
  got.value = found->value.whole;
  got.typed = fmt::format("{}", got.value);
  got.good = got.value >= number(row.low) && got.value <= number(row.high);
  if (!got.good) {
    reading_.error(
        "E0204", got.at,
        fmt::format("`{}` is {}; it must lie from {} to {}", key, got.value, row.low, row.high));
  }
  return got;
}

Got<WrittenTime> Table::moment(const char* key) {
  const Entry* found = nullptr;
  Got<WrittenTime> got = begin<WrittenTime>(key, found);
  if (!found) return got;
  using Type = Value::Type;
  if (found->value.type != Type::Date && found->value.type != Type::DateTime) {
    wrong_type(*found, "a date, or a date and time",
               "write 2025-06-03 or 2025-06-03T06:00:00, without quotes");
    return got;
  }
  if (found->value.time.zoned) {
    reading_.error("E0207", found->value.at,
                   fmt::format("`{}` must not name a zone of its own", key),
                   "the zone of all times is `time_zone` of [site]");
    return got;
  }
  got.value = found->value.time;
  got.good = true;
  return got;
}

Got<std::int64_t> Table::time_of_day(const char* key) {
  const Entry* found = nullptr;
  Got<std::int64_t> got = begin<std::int64_t>(key, found);
  if (!found) return got;
  if (found->value.type != Value::Type::Time) {
    wrong_type(*found, "a time of day", "write 07:00:00, without quotes");
    return got;
  }
  const WrittenTime& t = found->value.time;
  got.value = ((t.hour * 60LL + t.minute) * 60 + t.second) * 1'000'000 + t.microsecond;
  got.typed = fmt::format("{:02}:{:02}:{:02}", t.hour, t.minute, t.second);
  got.good = true;
  return got;
}

Got<std::int64_t> Table::zone(const char* key) {
  const Entry* found = nullptr;
  Got<std::int64_t> got = begin<std::int64_t>(key, found);
  if (!found) return got;
  const std::string& t = found->value.text;
  const auto digit = [&](std::size_t i) { return t[i] >= '0' && t[i] <= '9' ? t[i] - '0' : 99; };
  const bool shaped = found->value.type == Value::Type::Text && t.size() == 6 &&
                      (t[0] == '+' || t[0] == '-') && t[3] == ':';
  const int hours = shaped ? digit(1) * 10 + digit(2) : 99;
  const int minutes = shaped ? digit(4) * 10 + digit(5) : 99;
  if (hours > 14 || minutes > 59) {
    reading_.error("E0208", found->value.at, fmt::format("`{}` is not an offset from UTC", key),
                   "write \"-05:00\" for five hours behind UTC, \"+01:00\" for one ahead");
    return got;
  }
  got.value = (t[0] == '-' ? -1 : 1) * (hours * 3600 + minutes * 60);
  got.good = true;
  return got;
}

const Value* Table::raw(const char* key) {
  const Entry* found = entry(key);
  const Key& row = key_row(key);
  if (!found) {
    if (row.need == Need::Required) missing(key);
    return nullptr;
  }
  const auto wanted = row.kind == Kind::Table ? Value::Type::Table : Value::Type::List;
  if (found->value.type != wanted) {
    wrong_type(*found, type_name(wanted));
    return nullptr;
  }
  return &found->value;
}

void Table::finish() {
  if (!value_) return;
  for (const Entry& entry : value_->entries) {
    if (find_key(schema_, entry.key)) continue;
    const std::string heading = table_heading(schema_);
    const std::string where = fmt::format("{} {}", schema_.empty() ? "at" : "in", heading);
    Problem& p =
        reading_.error("E0214", entry.key_at, fmt::format("unknown key `{}` {}", entry.key, where));
    p.label = schema_.empty() ? "not a key or table of a scenario"
                              : fmt::format("not a key of {}", heading);
    const std::string near = nearest_key(schema_, entry.key);
    const std::vector<std::string> elsewhere = tables_with(entry.key);
    if (!near.empty()) {
      p.help = fmt::format("the nearest key here is `{}`", near);
      p.fix = Fix{entry.key_at, near};
    } else if (!elsewhere.empty()) {
      p.help = fmt::format("`{}` belongs in {}", entry.key, table_heading(elsewhere.front()));
    }
    if (!schema_.empty()) p.note = fmt::format("keys of {}: {}", heading, keys_of(schema_));
  }
}

}  // namespace mistwright::scenario
