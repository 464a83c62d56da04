#include "sim/scenario/unit_expression.h"

#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <cmath>

namespace mistwright::scenario {
namespace {

constexpr int largest_power = 9;

bool is_word(char c) {
  return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || c == '%' || c == '_' ||
         static_cast<unsigned char>(c) >= 0x80;
}

const Unit* find_unit(std::string_view name) {
  for (const auto& unit : units()) {
    if (name == unit.name) return &unit;
  }
  // Plurals of the four spelled-out times only: "hours", not "ms" for a plural of metre.
  if (name.size() > 4 && name.back() == 's') {
    const auto single = name.substr(0, name.size() - 1);
    if (single == "second" || single == "minute" || single == "hour") return find_unit(single);
  }
  return name == "days" ? find_unit("day") : nullptr;
}

/// Spellings in common use that are further from ours than a slip of the hand.
struct Spelling {
  const char* name;
  const char* unit;
};
constexpr Spelling spellings[] = {
    {"hr", "h"},        {"hrs", "h"},          {"sec", "s"},         {"secs", "s"},
    {"mins", "min"},    {"lpm", "L/min"},      {"lph", "L/h"},       {"liter", "L"},
    {"liters", "L"},    {"litre", "L"},        {"litres", "L"},      {"gallon", "gal"},
    {"gallons", "gal"}, {"gals", "gal"},       {"inches", "in"},     {"feet", "ft"},
    {"metre", "m"},     {"metres", "m"},       {"meter", "m"},       {"meters", "m"},
    {"microns", "um"},  {"micrometre", "um"},  {"micrometer", "um"}, {"cc", "mL"},
    {"bars", "bar"},    {"degrees", "degree"},
};

/// The unit that a name in another spelling or in other letters surely means; empty if none.
std::string meant_by(std::string_view name) {
  const std::string small = lower(name);
  std::string found;
  for (const auto& unit : units()) {
    if (small != lower(unit.name)) continue;
    if (!found.empty()) return {};  // mPa and MPa differ
    found = unit.name;
  }
  for (const auto& [other, unit] : spellings) {
    if (found.empty() && small == other) found = unit;
  }
  return found;
}

std::string nearest_unit(std::string_view name) {
  std::string best;
  std::size_t distance = name.size() < 4 ? 2 : 3;
  for (const auto& unit : units()) {
    const std::size_t d = edit_distance(name, unit.name);
    if (d < distance && d < std::min(name.size(), std::string_view(unit.name).size())) {
      distance = d;
      best = unit.name;
    }
  }
  return best;
}

/// @param expression  all of the unit that holds the name
/// @param at  where in it the name begins
QuantityFault unknown_unit(std::string_view name, std::size_t offset, std::string_view expression,
                           std::size_t at) {
  if (name == "C" || name == "F") {
    return quantity_fault(
        "E0304",
        fmt::format("`{}` means {}", name,
                    name == "C" ? "coulomb, not Celsius" : "farad, not Fahrenheit"),
        fmt::format("write deg{}", name), offset, 1);
  }
  if (name == "M") {
    return quantity_fault("E0303", "`M` is not a unit", "metre is `m`, minute is `min`", offset, 1);
  }
  if (const std::string meant = meant_by(name); !meant.empty()) {
    std::string mended(expression);
    mended.replace(at, name.size(), meant);
    return quantity_fault("E0303", fmt::format("unknown unit `{}`", name),
                          fmt::format("did you mean `{}`?", mended), offset, name.size(),
                          "not in the table of units");
  }
  const std::string near = nearest_unit(name);
  return quantity_fault(
      "E0303", fmt::format("unknown unit `{}`", name),
      near.empty() ? std::string() : fmt::format("the nearest unit is `{}`", near), offset,
      name.size(), "not in the table of units");
}

void raise(Dimension& dimension, const Dimension& by, int power) {
  dimension.length += by.length * power;
  dimension.mass += by.mass * power;
  dimension.time += by.time * power;
  dimension.temperature += by.temperature * power;
  dimension.amount += by.amount * power;
  dimension.light += by.light * power;
  dimension.angle += by.angle * power;
}

/// Reads one unit expression from `at`, and stops at its end or at a digit that begins a new
/// number.
class UnitReader {
 public:
  UnitReader(std::string_view text, std::size_t at) : text_(text), from_(at), at_(at) {}

  UnitResult read() {
    while (skip_blanks()) {
      const char c = text_[at_];
      if (c == '/' || c == '.' || (c == '*' && peek(1) != '*')) {
        if (!take_operator(c)) return stray(c);
      } else if (is_plain_one(c)) {
        ++parts_;
        ++at_;
      } else if (is_digit(c) && !pending_) {
        break;
      } else if (!is_word(c)) {
        return stray(c);
      } else if (!factor(sign_)) {
        return result_;
      } else {
        sign_ = 1;
        pending_ = false;
        ++parts_;
      }
    }
    if (pending_) return stray(text_.back());
    result_.good = true;
    if (parts_ != 1 || !single_) result_.offset = 0.0;
    return result_;
  }
  [[nodiscard]] std::size_t at() const { return at_; }

 private:
  bool skip_blanks() {
    while (at_ < text_.size() && text_[at_] == ' ') ++at_;
    return at_ < text_.size();
  }

  /// A product or a quotient; it needs something on its left, but for a leading `/`.
  bool take_operator(char c) {
    if (pending_ || (parts_ == 0 && c != '/')) return false;
    sign_ = c == '/' ? -1 : 1;
    pending_ = true;
    ++at_;
    return true;
  }

  /// The 1 of "1/h".
  [[nodiscard]] bool is_plain_one(char c) const {
    return c == '1' && parts_ == 0 && !pending_ && !is_digit(peek(1)) && peek(1) != '.';
  }

  [[nodiscard]] char peek(std::size_t by) const {
    return at_ + by < text_.size() ? text_[at_ + by] : '\0';
  }

  UnitResult stray(char c) {
    if (c == '\'' || c == '"') {
      result_.fault = quantity_fault("E0303", "marks for feet and inches are not read",
                                     "write 12 ft 6 in", at_, 1);
    } else if (c == '(' || c == ')') {
      result_.fault = quantity_fault("E0303", "brackets are not read in units",
                                     "divide twice instead, as in W/m2/K", at_, 1);
    } else if (c == ',') {
      result_.fault =
          quantity_fault("E0302", "a comma is not read here", "write a decimal point", at_, 1);
    } else {
      const std::size_t at = std::min(at_, text_.size() - 1);
      result_.fault =
          quantity_fault("E0303", fmt::format("`{}` does not belong in a unit", text_[at]),
                         "write a number, a space and a unit", at, 1);
    }
    return result_;
  }

  bool factor(int sign) {
    const std::size_t start = at_;
    while (at_ < text_.size() && (is_word(text_[at_]) || is_digit(text_[at_]))) ++at_;
    const std::string_view whole = text_.substr(start, at_ - start);
    std::string_view name = whole;
    const Unit* unit = find_unit(name);
    int power = 1;
    if (!unit) {
      std::size_t digits = 0;
      while (digits < name.size() && is_digit(name[name.size() - 1 - digits])) ++digits;
      const std::string_view number = name.substr(name.size() - digits);
      name.remove_suffix(digits);
      unit = find_unit(name);
      if (unit && digits > 0 && !to_power(number, power)) return power_fault(start);
    } else if (!read_power(power)) {
      return power_fault(start);
    }
    if (!unit) {
      const std::size_t first = std::max(text_.rfind(' ', start) + 1, from_);  // npos + 1 is 0
      result_.fault = unknown_unit(whole, start, text_.substr(first, at_ - first), start - first);
      return false;
    }
    single_ = power == 1 && sign == 1;
    result_.factor *= std::pow(unit->factor, sign * power);
    result_.offset = unit->offset;
    if (unit->reference != Reference::Any) result_.reference = unit->reference;
    raise(result_.dimension, unit->dimension, sign * power);
    return true;
  }

  static bool to_power(std::string_view number, int& power) {
    const auto [end, error] = std::from_chars(number.data(), number.data() + number.size(), power);
    return error == std::errc() && end == number.data() + number.size() &&
           std::abs(power) <= largest_power;
  }

  bool read_power(int& power) {
    std::size_t from = at_;
    if (peek(0) == '^') {
      from = at_ + 1;
    } else if (peek(0) == '*' && peek(1) == '*') {
      from = at_ + 2;
    } else if (!(peek(0) == '-' && is_digit(peek(1)))) {
      return true;
    }
    std::size_t end = from < text_.size() && text_[from] == '-' ? from + 1 : from;
    while (end < text_.size() && is_digit(text_[end])) ++end;
    at_ = end;
    return to_power(text_.substr(from, end - from), power);
  }

  bool power_fault(std::size_t start) {
    result_.fault = quantity_fault("E0303", "a power must be a whole number up to 9",
                                   "write m2, m^2 or m**2", start, at_ - start);
    return false;
  }

  std::string_view text_;
  std::size_t from_;  // where the expression begins
  std::size_t at_;
  int sign_ = 1;
  int parts_ = 0;
  bool pending_ = false;  // an operator waits for its right-hand side
  bool single_ = true;
  UnitResult result_;
};

}  // namespace

QuantityFault quantity_fault(std::string code, std::string message, std::string help,
                             std::size_t offset, std::size_t length, std::string label) {
  return {std::move(code),  std::move(message),
          std::move(label), std::move(help),
          offset,           std::max<std::size_t>(length, 1)};
}

UnitResult read_unit_at(std::string_view text, std::size_t& at) {
  UnitReader reader(text, at);
  UnitResult result = reader.read();
  at = reader.at();
  return result;
}

UnitResult read_unit(std::string_view text) {
  std::size_t at = 0;
  UnitResult result = read_unit_at(text, at);
  if (result.good && at < text.size()) {
    result.good = false;
    result.fault = quantity_fault("E0303", "a unit holds no numbers but powers", {}, at, 1);
  }
  return result;
}

}  // namespace mistwright::scenario
