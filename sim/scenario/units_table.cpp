#include <array>

#include "sim/scenario/quantity.h"

// Factors: SI brochure (BIPM 2019) for accepted units; international yard and pound agreement of
// 1959 for in, ft, lb; NIST SP 811 (2008) appendix B for gal, psi, atm, Btu, conventional water and
// mercury; Units of Measurement Regulations 1995 for the imperial gallon. All exact but Hg, which
// is conventional mercury at 0 degC.
namespace mistwright::scenario {
namespace {

constexpr Dimension one{};
constexpr Dimension length{.length = 1};
constexpr Dimension volume{.length = 3};
constexpr Dimension duration{.time = 1};
constexpr Dimension mass{.mass = 1};
constexpr Dimension temperature{.temperature = 1};
constexpr Dimension pressure{.length = -1, .mass = 1, .time = -2};
constexpr Dimension weight_of_column{.length = -2, .mass = 1, .time = -2};
constexpr Dimension energy{.length = 2, .mass = 1, .time = -2};
constexpr Dimension power{.length = 2, .mass = 1, .time = -3};
constexpr Dimension concentration{.length = -3, .mass = 1};
constexpr Dimension flow{.length = 3, .time = -1};
constexpr Dimension speed{.length = 1, .time = -1};
constexpr Dimension angle{.angle = 1};
constexpr Dimension amount{.amount = 1};
constexpr Dimension illuminance{.length = -2, .light = 1};

constexpr double inch_m = 0.0254;
constexpr double foot_m = 0.3048;
constexpr double gallon_m3 = 231.0 * inch_m * inch_m * inch_m;
constexpr double psi_Pa = 0.45359237 * 9.80665 / (inch_m * inch_m);
constexpr double degree_rad = 3.14159265358979323846 / 180.0;
constexpr auto any = Reference::Any;

constexpr std::array table{
    Unit{"1", 1.0, 0.0, one, any, "1"},
    Unit{"%", 0.01, 0.0, one, any, "%"},
    Unit{"percent", 0.01, 0.0, one, any, "percent"},
    Unit{"m", 1.0, 0.0, length, any, "m"},
    Unit{"km", 1e3, 0.0, length, any, "km"},
    Unit{"cm", 1e-2, 0.0, length, any, "cm"},
    Unit{"mm", 1e-3, 0.0, length, any, "mm"},
    Unit{"um", 1e-6, 0.0, length, any, "um"},
    Unit{"\u00b5m", 1e-6, 0.0, length, any, "um"},
    Unit{"\u03bcm", 1e-6, 0.0, length, any, "um"},
    Unit{"micron", 1e-6, 0.0, length, any, "micron"},
    Unit{"in", inch_m, 0.0, length, any, "inch"},
    Unit{"inch", inch_m, 0.0, length, any, "inch"},
    Unit{"ft", foot_m, 0.0, length, any, "foot"},
    Unit{"foot", foot_m, 0.0, length, any, "foot"},
    Unit{"s", 1.0, 0.0, duration, any, "s"},
    Unit{"ms", 1e-3, 0.0, duration, any, "ms"},
    Unit{"second", 1.0, 0.0, duration, any, "second"},
    Unit{"min", 60.0, 0.0, duration, any, "min"},
    Unit{"minute", 60.0, 0.0, duration, any, "minute"},
    Unit{"h", 3600.0, 0.0, duration, any, "h"},
    Unit{"hour", 3600.0, 0.0, duration, any, "hour"},
    Unit{"d", 86400.0, 0.0, duration, any, "d"},
    Unit{"day", 86400.0, 0.0, duration, any, "day"},
    Unit{"kg", 1.0, 0.0, mass, any, "kg"},
    Unit{"g", 1e-3, 0.0, mass, any, "g"},
    Unit{"mg", 1e-6, 0.0, mass, any, "mg"},
    Unit{"lb", 0.45359237, 0.0, mass, any, "lb"},
    Unit{"L", 1e-3, 0.0, volume, any, "L"},
    Unit{"l", 1e-3, 0.0, volume, any, "l"},
    Unit{"mL", 1e-6, 0.0, volume, any, "mL"},
    Unit{"gal", gallon_m3, 0.0, volume, any, "US_liquid_gallon"},
    Unit{"impgal", 4.54609e-3, 0.0, volume, any, "Canadian_liquid_gallon"},
    Unit{"K", 1.0, 0.0, temperature, any, "K"},
    Unit{"degC", 1.0, 273.15, temperature, any, "degC"},
    Unit{"\u00b0C", 1.0, 273.15, temperature, any, "degC"},
    Unit{"degF", 5.0 / 9.0, 459.67 * 5.0 / 9.0, temperature, any, "degF"},
    Unit{"\u00b0F", 5.0 / 9.0, 459.67 * 5.0 / 9.0, temperature, any, "degF"},
    Unit{"Pa", 1.0, 0.0, pressure, any, "Pa"},
    Unit{"hPa", 1e2, 0.0, pressure, any, "hPa"},
    Unit{"kPa", 1e3, 0.0, pressure, any, "kPa"},
    Unit{"MPa", 1e6, 0.0, pressure, any, "MPa"},
    Unit{"bar", 1e5, 0.0, pressure, any, "bar"},
    Unit{"mbar", 1e2, 0.0, pressure, any, "mbar"},
    Unit{"atm", 101325.0, 0.0, pressure, any, "atm"},
    Unit{"psi", psi_Pa, 0.0, pressure, any, "psi"},
    Unit{"psig", psi_Pa, 0.0, pressure, Reference::Gauge, "psi"},
    Unit{"psia", psi_Pa, 0.0, pressure, Reference::Absolute, "psi"},
    Unit{"inHg", 13595.1 * 9.80665 * inch_m, 0.0, pressure, any, "inHg"},
    Unit{"H2O", 9806.65, 0.0, weight_of_column, any, "H2O"},
    Unit{"Hg", 13595.1 * 9.80665, 0.0, weight_of_column, any, "Hg"},
    Unit{"J", 1.0, 0.0, energy, any, "J"},
    Unit{"kJ", 1e3, 0.0, energy, any, "kJ"},
    Unit{"MJ", 1e6, 0.0, energy, any, "MJ"},
    Unit{"Wh", 3600.0, 0.0, energy, any, "W.h"},
    Unit{"kWh", 3.6e6, 0.0, energy, any, "kW.h"},
    Unit{"Btu", 1055.05585262, 0.0, energy, any, "Btu"},
    Unit{"W", 1.0, 0.0, power, any, "W"},
    Unit{"kW", 1e3, 0.0, power, any, "kW"},
    Unit{"gpm", gallon_m3 / 60.0, 0.0, flow, any, "US_liquid_gallon/min"},
    Unit{"gph", gallon_m3 / 3600.0, 0.0, flow, any, "US_liquid_gallon/h"},
    Unit{"cfm", foot_m* foot_m* foot_m / 60.0, 0.0, flow, any, "foot3/min"},
    Unit{"mph", 1609.344 / 3600.0, 0.0, speed, any, "mile/h"},
    Unit{"knot", 1852.0 / 3600.0, 0.0, speed, any, "knot"},
    Unit{"fpm", foot_m / 60.0, 0.0, speed, any, "foot/min"},
    Unit{"rad", 1.0, 0.0, angle, any, "rad"},
    Unit{"degree", degree_rad, 0.0, angle, any, "degree"},
    Unit{"deg", degree_rad, 0.0, angle, any, "degree"},
    Unit{"\u00b0", degree_rad, 0.0, angle, any, "degree"},
    Unit{"mol", 1.0, 0.0, amount, any, "mol"},
    Unit{"umol", 1e-6, 0.0, amount, any, "umol"},
    Unit{"lx", 1.0, 0.0, illuminance, any, "lx"},
    Unit{"klx", 1e3, 0.0, illuminance, any, "klx"},
};

constexpr Dimension area{.length = 2};
constexpr Dimension flux{.mass = 1, .time = -3};
constexpr Dimension conductance{.mass = 1, .time = -3, .temperature = -1};
constexpr Dimension heat_per_area{.mass = 1, .time = -2, .temperature = -1};
constexpr Dimension heat_per_volume{.length = -1, .mass = 1, .time = -2, .temperature = -1};
constexpr Dimension per_area{.length = -2};
constexpr Dimension mass_per_area{.length = -2, .mass = 1};
constexpr Dimension rate{.time = -1};

constexpr std::array kinds{
    KindInfo{Kind::Number, "a pure number", one, "1", {"1", "%", "1"}, "none: a pure number"},
    KindInfo{Kind::Fraction, "a fraction", one, "%", {"%", "1", "%"}, "%, or a number from 0 to 1"},
    KindInfo{Kind::Length, "a length", length, "m", {"m", "ft", "in"}, "m, cm, mm, ft, in"},
    KindInfo{Kind::SmallLength, "a length", length, "mm", {"mm", "in", "cm"}, "mm, cm, um, in"},
    KindInfo{Kind::DropSize, "a length", length, "um", {"um", "micron", "mm"}, "um, micron, mm"},
    KindInfo{Kind::Area, "an area", area, "cm2", {"cm2", "m2", "in2"}, "m2, cm2, mm2, ft2, in2"},
    KindInfo{Kind::Volume, "a volume", volume, "L", {"L", "gal", "m3"}, "L, gal, impgal, m3"},
    KindInfo{Kind::Time, "a time", duration, "s", {"s", "min", "h"}, "s, min, h, d"},
    KindInfo{Kind::GaugePressure,
             "a pressure",
             pressure,
             "kPa",
             {"psi", "kPa", "m H2O"},
             "psi, kPa, bar, m H2O, ft H2O"},
    KindInfo{Kind::AbsolutePressure,
             "a pressure",
             pressure,
             "kPa",
             {"kPa", "hPa", "inHg"},
             "kPa, hPa, psia, inHg, mbar"},
    KindInfo{Kind::Temperature,
             "a temperature",
             temperature,
             "degC",
             {"degC", "degF", "K"},
             "degC, degF, K"},
    KindInfo{Kind::TemperatureDifference,
             "a temperature difference",
             temperature,
             "K",
             {"K", "degC", "degF"},
             "K, degC, degF"},
    KindInfo{Kind::Flow,
             "a flow",
             flow,
             "L/min",
             {"L/min", "gal/min", "L/h"},
             "L/min, L/h, m3/h, m3/s, gal/min, gal/h, ft3/min"},
    KindInfo{Kind::Speed,
             "a speed",
             speed,
             "m/s",
             {"m/s", "km/h", "mph"},
             "m/s, mm/s, km/h, mph, ft/min, knot"},
    KindInfo{
        Kind::Angle, "an angle", angle, "degree", {"degree", "deg", "rad"}, "degree, deg, rad"},
    KindInfo{Kind::Irradiance,
             "a flux of radiant energy",
             flux,
             "W/m2",
             {"W/m2", "kW/m2", "kJ/m2/h"},
             "W/m2, kW/m2, MJ/m2/d, Wh/m2/h"},
    KindInfo{Kind::Conductance,
             "a thermal conductance",
             conductance,
             "W/m2/K",
             {"W/m2/K", "W/m2/degC", "Btu/h/ft2/degF"},
             "W/m2/K, Btu/h/ft2/degF"},
    KindInfo{Kind::HeatPerArea,
             "a heat capacity an area",
             heat_per_area,
             "kJ/m2/K",
             {"J/m2/K", "kJ/m2/K", "Btu/ft2/degF"},
             "J/m2/K, kJ/m2/K"},
    KindInfo{Kind::HeatPerVolume,
             "a heat capacity a volume",
             heat_per_volume,
             "MJ/m3/K",
             {"MJ/m3/K", "kJ/m3/K", "Btu/ft3/degF"},
             "MJ/m3/K, kJ/m3/K"},
    KindInfo{Kind::PerArea,
             "a number an area",
             per_area,
             "1/m2",
             {"1/m2", "1/ft2", "1/cm2"},
             "1/m2, 1/ft2"},
    KindInfo{Kind::MassPerArea,
             "a mass an area",
             mass_per_area,
             "kg/m2",
             {"kg/m2", "g/m2", "lb/ft2"},
             "kg/m2, g/m2, lb/ft2"},
    KindInfo{Kind::Power, "a power", power, "W", {"W", "kW", "W"}, "W, kW"},
    KindInfo{Kind::Concentration,
             "a mass in a volume of water",
             concentration,
             "mg/L",
             {"mg/L", "g/m3", "g/L"},
             "mg/L, g/m3, g/L"},
    KindInfo{Kind::Rate, "a rate", rate, "1/h", {"1/h", "1/min", "1/s"}, "1/h, 1/min, 1/s"},
};

}  // namespace

std::span<const Unit> units() {
  return table;
}

bool is_quantity(Kind kind) {
  return kind <= Kind::Rate;
}

const KindInfo& kind_info(Kind kind) {
  for (const auto& info : kinds) {
    if (info.kind == kind) return info;
  }
  return kinds.front();
}

}  // namespace mistwright::scenario
