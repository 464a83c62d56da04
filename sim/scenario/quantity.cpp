#include "sim/scenario/quantity.h"

#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <limits>
#include <optional>
#include <vector>

#include "sim/scenario/unit_expression.h"

namespace mistwright::scenario {
namespace {

/// Whether text holds an exponent at `at`: e or E, a sign if wanted, a digit.
bool exponent_at(std::string_view text, std::size_t at) {
  const auto digit = [&](std::size_t i) { return i < text.size() && is_digit(text[i]); };
  const auto sign = [&](std::size_t i) {
    return i < text.size() && (text[i] == '-' || text[i] == '+');
  };
  return (text[at] == 'e' || text[at] == 'E') && (digit(at + 1) || (sign(at + 1) && digit(at + 2)));
}

/// The digits of a number at `at`, ready for the library: without `+` and without `_` between
/// digits.
std::string digits_at(std::string_view text, std::size_t& at) {
  std::string digits;
  const auto digit = [&](std::size_t i) { return i < text.size() && is_digit(text[i]); };
  if (at < text.size() && (text[at] == '+' || text[at] == '-')) {
    if (text[at] == '-') digits += '-';
    ++at;
  }
  if (!digit(at) && !(at < text.size() && text[at] == '.')) return {};
  for (; at < text.size(); ++at) {
    const char c = text[at];
    if (exponent_at(text, at)) {
      digits += 'e';
      if (text[at + 1] == '-') digits += '-';
      if (!digit(at + 1)) ++at;
    } else if (digit(at) || c == '.') {
      digits += c;
    } else if (c != '_' || !digit(at - 1) || !digit(at + 1)) {
      break;
    }
  }
  return digits;
}

/// A number at `at`, which moves past it; nothing moves if there is none.
std::optional<double> read_number(std::string_view text, std::size_t& at) {
  std::size_t end = at;
  const std::string digits = digits_at(text, end);
  double value = 0.0;
  const auto [stop, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
  if (error != std::errc() || stop != digits.data() + digits.size()) return std::nullopt;
  at = end;
  return value;
}

std::string dimension_name(const Dimension& dimension) {
  for (int k = static_cast<int>(Kind::Number); k <= static_cast<int>(Kind::Rate); ++k) {
    const auto& info = kind_info(static_cast<Kind>(k));
    if (info.dimension == dimension) return info.name;
  }
  if (dimension == Dimension{.mass = 1}) return "a mass";
  if (dimension == Dimension{.length = 2, .mass = 1, .time = -2}) return "an energy";
  if (dimension == Dimension{.length = -2, .time = -1, .amount = 1}) return "a count of photons";
  if (dimension == Dimension{.length = -2, .light = 1}) return "an illuminance";
  return "something else";
}

QuantityFault mismatch(const KindInfo& info, const UnitResult& unit, std::string_view name,
                       std::string_view shown, std::size_t offset) {
  const std::string other = dimension_name(unit.dimension);
  if (info.kind == Kind::Irradiance && (unit.dimension.amount == 1 || unit.dimension.light == 1)) {
    return quantity_fault(
        "E0306", fmt::format("`{}` is {}, which gives no energy without a spectrum", shown, other),
        fmt::format("units that fit: {}", info.fits), offset, shown.size());
  }
  return quantity_fault(
      "E0305", fmt::format("`{}` must be {}, but `{}` is {}", name, info.name, shown, other),
      fmt::format("units that fit: {}", info.fits), offset, shown.size());
}

QuantityFault needs_unit(const KindInfo& info, std::string_view name, std::string_view number) {
  return quantity_fault(
      "E0301", fmt::format("`{}` needs a unit", name),
      fmt::format("write \"{0} {1}\", \"{0} {2}\" or \"{0} {3}\"; bare numbers are never guessed",
                  number, info.readings[0], info.readings[1], info.readings[2]),
      0, number.size(), "a number without a unit");
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}

/// Faults of the number's neighbourhood that deserve a message of their own.
std::optional<QuantityFault> number_fault(std::string_view text, std::string_view name,
                                          std::size_t at) {
  if (at < text.size() && text[at] == ',') {
    std::string mended(text);
    mended[at] = '.';
    return quantity_fault("E0302", "a decimal comma is not read",
                          fmt::format("write \"{}\"", mended), at, 1);
  }
  if (at == 0) {
    return quantity_fault("E0302", fmt::format("`{}` does not begin with a number", name),
                          "write a number, a space and a unit, such as \"3 s\"", 0, text.size());
  }
  return std::nullopt;
}

bool sane(double value) {
  return std::isfinite(value) &&
         (value == 0.0 || std::abs(value) >= std::numeric_limits<double>::min());
}

/// What is asked for: a kind, and the key's name for messages.
struct Wanted {
  Kind kind = Kind::Number;
  std::string_view name;
};

/// One number with its unit: "12 ft" of "12 ft 6 in".
struct Part {
  double number = 0.0;
  UnitResult unit = {};
  std::string_view digits = {}, shown = {};
  std::size_t unit_at = 0, end = 0;
};

/// Whether a part's unit is one for what is asked.
std::optional<QuantityFault> unit_fault(const Part& part, const Wanted& wanted) {
  const KindInfo& info = kind_info(wanted.kind);
  if (!part.unit.good) {
    QuantityFault fault = part.unit.fault;
    if (fault.code == "E0304") {
      fault.help = fmt::format("write \"{} deg{}\"", part.digits, part.shown.substr(0, 1));
    }
    return fault;
  }
  if (part.shown.empty() && !(info.dimension == Dimension{})) {
    return needs_unit(info, wanted.name, part.digits);
  }
  if (!(part.unit.dimension == info.dimension)) {
    return mismatch(info, part.unit, wanted.name, part.shown, part.unit_at);
  }
  if (wanted.kind == Kind::GaugePressure && part.unit.reference == Reference::Absolute) {
    return quantity_fault(
        "E0307", fmt::format("`{}` counts from the air outside, but psia from vacuum", wanted.name),
        "write psi or psig", part.unit_at, part.shown.size());
  }
  if (wanted.kind == Kind::AbsolutePressure && part.unit.reference == Reference::Gauge) {
    return quantity_fault(
        "E0307", fmt::format("`{}` counts from vacuum, but psig from the air outside", wanted.name),
        "write psia, kPa or hPa", part.unit_at, part.shown.size());
  }
  return std::nullopt;
}

/// The number and the unit that begin at `at`; none where no number stands.
std::optional<Part> read_part(std::string_view text, std::size_t at) {
  Part part;
  const std::size_t start = at;
  const auto number = read_number(text, at);
  if (!number) return std::nullopt;
  part.number = *number;
  part.digits = text.substr(start, at - start);
  part.end = at;
  if (at < text.size() && text[at] == ',') return part;
  part.unit = read_unit_at(text, part.end);
  part.unit_at = std::min(text.find_first_not_of(' ', at), text.size());
  part.shown = trimmed(text.substr(part.unit_at, part.end - part.unit_at));
  return part;
}

QuantityResult failed(QuantityFault fault) {
  return {.good = false, .value = 0.0, .fault = std::move(fault)};
}

}  // namespace

QuantityResult read_quantity(std::string_view typed, Kind kind, std::string_view name) {
  const std::string_view text = trimmed(typed);
  std::size_t at = std::min(text.find_first_not_of(' '), text.size());
  double total = 0.0;
  double smallest_factor = std::numeric_limits<double>::infinity();
  for (int count = 0; at < text.size() || count == 0; ++count) {
    const std::size_t start = at;
    const auto part = read_part(text, at);
    if (!part) return failed(number_fault(text, name, 0).value_or(QuantityFault{}));
    at = part->end;
    if (at < text.size() && text[at] == ',') {
      return failed(number_fault(text, name, at).value_or(QuantityFault{}));
    }
    if (auto fault = unit_fault(*part, {kind, name})) return failed(std::move(*fault));
    const bool compound = count > 0 || at < text.size();
    if (compound &&
        (part->unit.offset != 0.0 || part->unit.factor >= smallest_factor || total < 0.0)) {
      return failed(quantity_fault("E0302", "the parts of a quantity must be of ever smaller units",
                                   "write them as in 12 ft 6 in", start, at - start));
    }
    smallest_factor = part->unit.factor;
    total +=
        part->number * part->unit.factor + (kind == Kind::Temperature ? part->unit.offset : 0.0);
  }
  if (!sane(total)) {
    return failed(quantity_fault("E0302",
                                 fmt::format("`{}` is beyond what can be computed with", name), {},
                                 0, text.size()));
  }
  return {.good = true, .value = total, .fault = {}};
}

std::string to_text(double value, std::string_view unit) {
  const UnitResult in = read_unit(unit);
  const double scaled = (value - in.offset) / in.factor;
  const std::string suffix = unit == "1" ? std::string() : fmt::format(" {}", unit);
  std::string text;
  for (int digits = 6; digits <= 17; ++digits) {
    text = fmt::format("{:.{}g}", scaled, digits);
    double back = 0.0;
    std::from_chars(text.data(), text.data() + text.size(), back);
    if (back * in.factor + in.offset == value) break;
  }
  return text + suffix;
}

std::string rounded(double value, std::string_view unit, int digits) {
  const UnitResult in = read_unit(unit);
  const double scaled = (value - in.offset) / in.factor;
  std::string number = fmt::format("{:.{}g}", scaled, digits);
  if (number.find('e') != std::string::npos && std::abs(scaled) < 1e9 && std::abs(scaled) >= 1.0) {
    number = fmt::format("{:.0f}", scaled);
  }
  if (number == "-0") number = "0";
  return unit == "1" ? number : fmt::format("{} {}", number, unit);
}

std::string lower(std::string_view text) {
  std::string small(text);
  for (char& c : small)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return small;
}

std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t above = row[j];
      row[j] = std::min({row[j] + 1, row[j - 1] + 1, diagonal + (a[i - 1] == b[j - 1] ? 0u : 1u)});
      diagonal = above;
    }
  }
  return row[b.size()];
}

}  // namespace mistwright::scenario
