#pragma once
// Where the typical-year layouts keep what, in which unit, with which mark for a missing value and
// between which limits: two tables of facts from the formats' documents (see weather_typical.h).
#include <array>
#include <string_view>

#include "models/units.h"
#include "sim/scenario/weather_table.h"

namespace mistwright::scenario {

/// One quantity of a layout. Limits and numbers are in the file's own unit.
struct Field {
  Role role;
  const char* words;    ///< as messages call it: the format's own name
  const char* heading;  ///< of TMY3, with its unit; EPW has no heading line
  std::size_t cell;     ///< of EPW, from 0
  const char* unit;
  double low, high;
  double factor, offset;  ///< to SI
  double missing_number;  ///< marks a missing value, as does all beyond it
};

/// Whether a number of the file stands for a missing value: the marks lie outside the limits.
[[nodiscard]] constexpr bool marks_missing(const Field& field, double number) {
  return field.missing_number < field.low ? number <= field.missing_number
                                          : number >= field.missing_number;
}

inline constexpr std::size_t field_count = 9;
inline constexpr double degree_rad = pi / 180.0;

/// TMY3: the manual's tables 1-1 to 1-3 (names, units) and its mark -9900. The manual prints no
/// limits; these are EPW's, in TMY3's units.
inline constexpr std::array<Field, field_count> tmy3_fields{{
    {Role::Temperature, "Dry-bulb", "Dry-bulb (C)", 0, "degC", -70, 70, 1, 273.15, -9900},
    {Role::DewPoint, "Dew-point", "Dew-point (C)", 0, "degC", -70, 70, 1, 273.15, -9900},
    {Role::RelativeHumidity, "RHum", "RHum (%)", 0, "%", 0, 110, 0.01, 0, -9900},
    {Role::Pressure, "Pressure", "Pressure (mbar)", 0, "mbar", 310, 1200, 100, 0, -9900},
    {Role::WindFrom, "Wdir", "Wdir (degrees)", 0, "degrees", 0, 360, degree_rad, 0, -9900},
    {Role::WindSpeed, "Wspd", "Wspd (m/s)", 0, "m/s", 0, 40, 1, 0, -9900},
    {Role::GlobalHorizontal, "GHI", "GHI (W/m^2)", 0, "W/m^2", 0, 1700, 1, 0, -9900},
    {Role::DirectNormal, "DNI", "DNI (W/m^2)", 0, "W/m^2", 0, 1400, 1, 0, -9900},
    {Role::DiffuseHorizontal, "DHI", "DHI (W/m^2)", 0, "W/m^2", 0, 1200, 1, 0, -9900},
}};

/// EPW: the data dictionary's fields 7 to 10, 14 to 16, 21 and 22 with their limits and marks; it
/// sets no upper limit for radiation, which cannot exceed the sun outside the atmosphere by much.
inline constexpr std::array<Field, field_count> epw_fields{{
    {Role::Temperature, "dry bulb temperature", "", 6, "degC", -70, 70, 1, 273.15, 99.9},
    {Role::DewPoint, "dew point temperature", "", 7, "degC", -70, 70, 1, 273.15, 99.9},
    {Role::RelativeHumidity, "relative humidity", "", 8, "%", 0, 110, 0.01, 0, 999},
    {Role::Pressure, "atmospheric pressure", "", 9, "Pa", 31000, 120000, 1, 0, 999999},
    {Role::WindFrom, "wind direction", "", 20, "degrees", 0, 360, degree_rad, 0, 999},
    {Role::WindSpeed, "wind speed", "", 21, "m/s", 0, 40, 1, 0, 999},
    {Role::GlobalHorizontal, "global horizontal radiation", "", 13, "Wh/m2", 0, 1700, 1, 0, 9999},
    {Role::DirectNormal, "direct normal radiation", "", 14, "Wh/m2", 0, 1400, 1, 0, 9999},
    {Role::DiffuseHorizontal, "diffuse horizontal radiation", "", 15, "Wh/m2", 0, 1200, 1, 0, 9999},
}};

/// Cells of one EPW record, and the fewest that hold all that is read here and the sky cover.
inline constexpr std::size_t epw_cells = 35, fewest_epw_cells = 28;

[[nodiscard]] constexpr const char* name_of(Layout layout) {
  return layout == Layout::Tmy3 ? "TMY3" : "EPW";
}

[[nodiscard]] constexpr const std::array<Field, field_count>& fields_of(Layout layout) {
  return layout == Layout::Tmy3 ? tmy3_fields : epw_fields;
}

/// The field of a role as messages call it.
[[nodiscard]] constexpr const Field& field_of(Layout layout, Role role) {
  const auto& fields = fields_of(layout);
  for (const Field& field : fields) {
    if (field.role == role) return field;
  }
  return fields[0];
}

}  // namespace mistwright::scenario
