#pragma once
// Quantities as people write them: "40 psi", "0.6 gal/min", "12 ft 6 in", "85 degF". One closed
// table of units (name, factor, offset, dimension), each judged against UDUNITS-2 in the tests.
// Grammar: number, optional space, unit expression; products by `*`, `.` or a space, quotients by
// `/`, powers by `^`, `**` or trailing digits, read from left to right. `gal` is the US gallon.
// Leaves out free arithmetic, brackets and prefixes outside the table.
#include <cstddef>
#include <span>
#include <string>
#include <string_view>

namespace mistwright::scenario {

/// One of 0 to 9, whatever the locale.
[[nodiscard]] constexpr bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

/// The letters A to Z small, whatever the locale; all else as it is.
[[nodiscard]] std::string lower(std::string_view text);

/// Powers of the base dimensions. Angle and light stand apart so that they are never mixed up with
/// pure numbers or with energy.
struct Dimension {
  int length = 0, mass = 0, time = 0, temperature = 0, amount = 0, light = 0, angle = 0;
  friend bool operator==(const Dimension&, const Dimension&) = default;
};

enum class Reference { Any, Gauge, Absolute };  ///< what a pressure counts from

struct Unit {
  const char* name = "";
  double factor = 1.0;  ///< SI value = factor * value + offset
  double offset = 0.0;
  Dimension dimension = {};
  Reference reference = Reference::Any;
  const char* udunits = "";  ///< the same unit as UDUNITS-2 spells it
};

[[nodiscard]] std::span<const Unit> units();

/// What a key holds. The physical kinds come first.
enum class Kind {
  Number,
  Fraction,
  Length,
  SmallLength,
  DropSize,
  Area,
  Volume,
  Time,
  GaugePressure,
  AbsolutePressure,
  Temperature,
  TemperatureDifference,
  Flow,
  Speed,
  Angle,
  Irradiance,
  Conductance,
  HeatPerArea,
  HeatPerVolume,
  PerArea,
  MassPerArea,
  Power,
  Concentration,
  Rate,
  Text,
  Choice,
  Flag,
  Whole,
  Date,
  TimeOfDay,
  Zone,
  List,
  Table
};

/// A physical kind in words and units.
struct KindInfo {
  Kind kind = Kind::Number;
  const char* name = "";  ///< with its article: "a pressure"
  Dimension dimension = {};
  const char* unit = "";         ///< in which values are shown; our own choice
  const char* readings[3] = {};  ///< three likely units for a bare number
  const char* fits = "";         ///< units that fit, for help
};

[[nodiscard]] const KindInfo& kind_info(Kind kind);
[[nodiscard]] bool is_quantity(Kind kind);

/// Why a text is not the quantity wanted, and which bytes of it are at fault.
struct QuantityFault {
  std::string code, message, label, help;
  std::size_t offset = 0, length = 0;
};

struct QuantityResult {
  bool good = false;
  double value = 0.0;  ///< SI
  QuantityFault fault = {};
};

/// Reads a quantity of one kind.
/// @param text  as typed, without quotes
/// @param name  the key, for messages
[[nodiscard]] QuantityResult read_quantity(std::string_view text, Kind kind, std::string_view name);

/// A unit expression alone, as in a table's heading.
struct UnitResult {
  bool good = false;
  double factor = 1.0, offset = 0.0;
  Dimension dimension = {};
  Reference reference = Reference::Any;
  QuantityFault fault = {};
};
[[nodiscard]] UnitResult read_unit(std::string_view text);

/// An SI value in a unit, with as many digits as give the value back when read.
[[nodiscard]] std::string to_text(double value_SI_number, std::string_view unit);

/// An SI value rounded to `digits` significant digits in a unit, for messages.
[[nodiscard]] std::string rounded(double value_SI_number, std::string_view unit, int digits = 3);

/// The fewest single-character edits that turn one word into the other.
[[nodiscard]] std::size_t edit_distance(std::string_view a, std::string_view b);

}  // namespace mistwright::scenario
