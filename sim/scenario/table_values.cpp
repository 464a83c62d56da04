#include <fmt/core.h>

#include <algorithm>
#include <charconv>

#include "sim/scenario/reading.h"

namespace mistwright::scenario {
namespace {

std::string joined(const std::vector<std::string>& words) {
  std::string text;
  for (const auto& word : words) text += fmt::format("{}\"{}\"", text.empty() ? "" : ", ", word);
  return text;
}

}  // namespace

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
  got.value = ((std::int64_t{t.hour} * 60 + t.minute) * 60 + t.second) * 1'000'000 + t.microsecond;
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
  got.value = (t[0] == '-' ? -1 : 1) * (std::int64_t{hours} * 3600 + std::int64_t{minutes} * 60);
  got.good = true;
  return got;
}

}  // namespace mistwright::scenario
