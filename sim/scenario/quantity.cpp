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

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}
/// A number at `at`: digits with optional sign, point, exponent and `_` between digits.
std::optional<double> read_number(std::string_view text, std::size_t& at) {
  std::string digits;
  std::size_t i = at;
  if (i < text.size() && (text[i] == '+' || text[i] == '-')) {
    if (text[i] == '-') digits += '-';
    ++i;
  }
  if (i >= text.size() || (!is_digit(text[i]) && text[i] != '.')) return std::nullopt;
  for (; i < text.size(); ++i) {
    const char c = text[i];
    const bool group =
        c == '_' && is_digit(text[i - 1]) && i + 1 < text.size() && is_digit(text[i + 1]);
    const bool exponent = (c == 'e' || c == 'E') && i + 1 < text.size() &&
                          (is_digit(text[i + 1]) || ((text[i + 1] == '-' || text[i + 1] == '+') &&
                                                     i + 2 < text.size() && is_digit(text[i + 2])));
    if (group) continue;
    if (exponent) {
      digits += c;
      if (text[i + 1] == '-') digits += '-';
      if (!is_digit(text[i + 1])) ++i;
      continue;
    }
    if (!is_digit(c) && c != '.') break;
    digits += c;
  }
  double value = 0.0;
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
  if (error != std::errc() || end != digits.data() + digits.size()) return std::nullopt;
  at = i;
  return value;
}

std::string dimension_name(const Dimension& dimension) {
  for (int k = static_cast<int>(Kind::Number); k <= static_cast<int>(Kind::Rate); ++k) {
    const auto& info = kind_info(static_cast<Kind>(k));
    if (info.dimension == dimension) return info.name;
  }
  if (dimension == Dimension{.mass = 1}) return "a mass";
  if (dimension == Dimension{.length = 2, .mass = 1, .time = -2}) return "an energy";
  if (dimension == Dimension{.length = 2, .mass = 1, .time = -3}) return "a power";
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

}  // namespace

QuantityResult read_quantity(std::string_view typed, Kind kind, std::string_view name) {
  const KindInfo& info = kind_info(kind);
  QuantityResult result;
  const std::string_view text = trimmed(typed);
  std::size_t at = std::min(text.find_first_not_of(' '), text.size());
  double total = 0.0;
  double smallest_factor = std::numeric_limits<double>::infinity();
  for (int part = 0; at < text.size() || part == 0; ++part) {
    const std::size_t start = at;
    const auto number = read_number(text, at);
    if (!number || (part > 0 && *number < 0.0) || (at < text.size() && text[at] == ',')) {
      result.fault = number_fault(text, name, number ? at : 0).value_or(QuantityFault{});
      return result;
    }
    const std::string_view digits = text.substr(start, at - start);
    std::size_t unit_end = at;
    const UnitResult unit = read_unit_at(text, unit_end);
    const std::size_t unit_at = std::min(text.find_first_not_of(' ', at), text.size());
    const std::string_view shown = trimmed(text.substr(unit_at, unit_end - unit_at));
    at = unit_end;
    if (!unit.good) {
      result.fault = unit.fault;
      if (unit.fault.code == "E0304") {
        result.fault.help = fmt::format("write \"{} deg{}\"", digits, shown.substr(0, 1));
      }
      return result;
    }
    if (shown.empty() && !(info.dimension == Dimension{})) {
      result.fault = needs_unit(info, name, digits);
      return result;
    }
    if (!(unit.dimension == info.dimension)) {
      result.fault = mismatch(info, unit, name, shown, unit_at);
      return result;
    }
    const bool gauge_clash =
        (kind == Kind::GaugePressure && unit.reference == Reference::Absolute) ||
        (kind == Kind::AbsolutePressure && unit.reference == Reference::Gauge);
    if (gauge_clash) {
      result.fault = quantity_fault(
          "E0307",
          kind == Kind::GaugePressure
              ? fmt::format("`{}` counts from the air outside, but psia from vacuum", name)
              : fmt::format("`{}` counts from vacuum, but psig from the air outside", name),
          kind == Kind::GaugePressure ? "write psi or psig" : "write psia, kPa or hPa", unit_at,
          shown.size());
      return result;
    }
    const bool compound = part > 0 || at < text.size();
    if (compound && (unit.offset != 0.0 || unit.factor >= smallest_factor || total < 0.0)) {
      result.fault =
          quantity_fault("E0302", "the parts of a quantity must be of ever smaller units",
                         "write them as in 12 ft 6 in", start, at - start);
      return result;
    }
    smallest_factor = unit.factor;
    const double offset = kind == Kind::Temperature ? unit.offset : 0.0;
    total += *number * unit.factor + offset;
  }
  if (!sane(total)) {
    result.fault = quantity_fault(
        "E0302", fmt::format("`{}` is beyond what can be computed with", name), {}, 0, text.size());
    return result;
  }
  result.value = total;
  result.good = true;
  return result;
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
