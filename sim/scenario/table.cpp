#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "models/contracts.h"
#include "sim/scenario/reading.h"

namespace mistwright::scenario {
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
  // A misspelt key is said once, as unknown, with this one as the nearest.
  for (const Entry& entry : value_ ? value_->entries : std::vector<Entry>{}) {
    if (!find_key(schema_, entry.key) && nearest_key(schema_, entry.key) == key) return;
  }
  const std::string where = table_heading(schema_);
  reading_.error("E0201", at_, fmt::format("{} needs `{}`", where, key),
                 is_quantity(row.kind)
                     ? fmt::format("`{}` is {}: {}", key, kind_info(row.kind).name, row.help)
                     : fmt::format("`{}`: {}", key, row.help));
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
    const std::string elsewhere = belongs_in(entry.key);
    if (!near.empty()) {
      p.help = fmt::format("the nearest key here is `{}`", near);
      p.fix = Fix{entry.key_at, near};
    } else if (!elsewhere.empty()) {
      p.help = fmt::format("`{}` belongs in {}", entry.key, elsewhere);
    }
    if (!schema_.empty()) p.note = fmt::format("keys of {}: {}", heading, keys_of(schema_));
  }
}

}  // namespace mistwright::scenario
