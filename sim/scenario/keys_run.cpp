#include <array>

#include "sim/scenario/schema_rows.h"

namespace mistwright::scenario {
namespace {

using namespace rows;
using K = Kind;

// clang-format off
constexpr std::array run_table{
    needed("clock", "name", K::Text, {}, "such as \"bench clock\""),
    needed("clock", "resolution", K::Time, {"0.1 s", "1 h"}, "bursts and intervals are whole multiples of it"),
    maybe("clock", "shortest_burst", K::Time, {"0.1 s", "1 d"}, "left out: `resolution`"),
    assumed("clock", "longest_burst", K::Time, {"1 s", "1 d"}, {"1 h", "", "", "our choice"}, "longest opening it can time"),
    assumed("clock", "starts_a_day", K::Whole, {"0", "1000000"}, {"0", "", "", "our choice"}, "most starts a day; 0: no limit"),
    assumed("clock", "outputs", K::Whole, {"1", "4096"}, {"1", "", "", "our choice"}, "valves it can open"),

    needed("programme", "valve", K::Text, {}, "which valve"),
    maybe("programme", "clock", K::Text, {}, "which clock; left out: the only clock"),
    needed("programme", "bands", K::List, {}, "hour bands, such as [{ from = 07:00:00, to = 19:00:00, burst = \"6 s\", every = \"10 min\" }]"),
    needed("programme.bands", "from", K::TimeOfDay, {}, "civil time"),
    needed("programme.bands", "to", K::TimeOfDay, {}, "civil time; at or before `from`: on the next day"),
    maybe("programme.bands", "burst", K::Time, {"0.1 s", "1 d"}, "one opening of the valve"),
    maybe("programme.bands", "every", K::Time, {"0.1 s", "1 d"}, "from the start of one burst to the start of the next"),
    maybe("programme.bands", "off", K::Flag, {}, "true: no mist in this band"),
    maybe("programme.bands", "continuous", K::Flag, {}, "true: the valve stays open all through the band"),

    needed("fan", "name", K::Text, {}, "such as \"exhaust\""),
    assumed("fan", "kind", K::Choice, {"exhaust|circulation"}, {"exhaust", "", "", "our choice"}, "blows out of the house, or stirs inside it"),
    maybe("fan", "wall", K::Choice, {"front|back|right|left"}, "of an exhaust fan: where it hangs"),
    maybe("fan", "along", K::Length, {"0 m", "300 m"}, "centre along that wall: y on front and back, x on the sides"),
    maybe("fan", "height", K::Length, {"0.1 m", "30 m"}, "centre above the floor"),
    maybe("fan", "x", K::Length, {"0 m", "300 m"}, "of a circulation fan"),
    maybe("fan", "y", K::Length, {"0 m", "100 m"}, "of a circulation fan"),
    maybe("fan", "blows", K::Angle, {"0 degree", "360 degree"}, "of a circulation fan: where its jet points, from +x towards +y"),
    needed("fan", "diameter", K::Length, {"0.05 m", "3 m"}, "of its blades"),
    maybe("fan", "flow", K::Flow, {"0.001 m3/s", "100 m3/s"}, "of free air"),
    maybe("fan", "shut_off_pressure", K::GaugePressure, {"1 Pa", "2 kPa"}, "at which it passes no air; left out: 100 Pa"),
    maybe("fan", "curve", K::List, {}, "pairs of flow and static pressure, falling, in place of `flow`"),
    maybe("fan", "on_above", K::Temperature, {"-20 degC", "70 degC"}, "air temperature that starts it; left out: it always runs"),
    maybe("fan", "off_below", K::Temperature, {"-20 degC", "70 degC"}, "air temperature that stops it"),
    assumed("fan", "off_while_misting", K::Flag, {}, {"false", "", "", "our choice"}, "true: stopped during bursts"),
    assumed("fan", "off_after_burst", K::Time, {"0 s", "1 h"}, {"0 s", "0 s", "0 s", "our choice"}, "how long it stays stopped after a burst"),

    needed("vent", "name", K::Text, {}, "such as \"inlet louvre\""),
    needed("vent", "wall", K::Choice, {"front|back|right|left|roof"}, "where it is"),
    needed("vent", "along", K::Length, {"0 m", "300 m"}, "centre along that wall: y on front and back, x on the sides and the roof"),
    maybe("vent", "height", K::Length, {"0 m", "30 m"}, "centre above the floor; not for the roof"),
    needed("vent", "width", K::Length, {"0.02 m", "300 m"}, "along the wall"),
    needed("vent", "tall", K::Length, {"0.02 m", "30 m"}, "up the wall; on the roof, across it"),
    maybe("vent", "kind", K::Choice, {"plain|door|louvre|flap|insect screen"}, "what stands in it, which gives its discharge coefficient where that is left out; left out: plain"),
    maybe("vent", "angle", K::Angle, {"5 degree", "90 degree"}, "from shut, of a flap (hinged along its width) or of a louvre's blades"),
    assumed("vent", "discharge_coefficient", K::Number, {"0.05", "1"}, {"0.6", "0.4", "0.8", "source"}, "of width times tall: about 0.6 plain, 0.4 for a louvre; left out beside a `kind`: as that gives"),
    assumed("vent", "open_share", K::Fraction, {"1 %", "100 %"}, {"100 %", "100 %", "100 %", "our choice"}, "of its area, when open"),
    maybe("vent", "on_above", K::Temperature, {"-20 degC", "70 degC"}, "air temperature that opens it; left out: it stands open"),
    maybe("vent", "off_below", K::Temperature, {"-20 degC", "70 degC"}, "air temperature that shuts it"),
    maybe("vent", "with_fan", K::Text, {}, "the fan with which it opens and shuts"),

    maybe("weather", "kind", K::Choice, {"clear day|cloudy day"}, "a built-in design day"),
    maybe("weather", "lowest", K::Temperature, {"-50 degC", "50 degC"}, "of the day"),
    maybe("weather", "highest", K::Temperature, {"-50 degC", "60 degC"}, "of the day"),
    maybe("weather", "dew_point", K::Temperature, {"-50 degC", "40 degC"}, "through the day"),
    assumed("weather", "wind_speed", K::Speed, {"0 m/s", "40 m/s"}, {"2 m/s", "1 m/s", "4 m/s", "memory"}, "by day; nights are calmer"),
    assumed("weather", "wind_from", K::Angle, {"0 degree", "360 degree"}, {"270 degree", "0 degree", "360 degree", "our choice"}, "bearing from which the wind blows"),
    maybe("weather", "file", K::Text, {}, "hours beside the scenario: a plain CSV table, or a typical year as TMY3 or EPW; told by content"),
    maybe("weather", "columns", K::Table, {}, "which column of the file is what, where its heading does not say"),
    assumed("weather", "time_zone", K::Zone, {}, {"the site's", "", "", "our choice"}, "of the file's times: minus UTC, such as \"-05:00\"; TMY3 and EPW have their own"),
    assumed("weather", "gaps", K::Choice, {"refuse|interpolate"}, {"refuse", "", "", "our choice"}, "what to do with gaps longer than max_gap"),
    assumed("weather", "max_gap", K::Time, {"1 min", "30 d"}, {"2 h", "", "", "our choice"}, "gaps up to this are filled by straight lines; in TMY3 and EPW none, if left out"),
    maybe("weather", "missing", K::List, {}, "numbers that mean a missing value, such as [-999]"),
    maybe("weather.columns", "time", K::Text, {}, "heading of the time at which each row ends"),
    maybe("weather.columns", "temperature", K::Text, {}, "heading, then its unit in brackets: \"T_out [degC]\""),
    maybe("weather.columns", "relative_humidity", K::Text, {}, "heading [unit]"),
    maybe("weather.columns", "dew_point", K::Text, {}, "heading [unit]"),
    maybe("weather.columns", "pressure", K::Text, {}, "heading [unit]"),
    maybe("weather.columns", "wind_speed", K::Text, {}, "heading [unit]"),
    maybe("weather.columns", "wind_from", K::Text, {}, "heading [unit]"),
    maybe("weather.columns", "global_horizontal", K::Text, {}, "heading [unit]"),
    maybe("weather.columns", "direct_normal", K::Text, {}, "heading [unit]"),
    maybe("weather.columns", "diffuse_horizontal", K::Text, {}, "heading [unit]"),

    needed("span", "start", K::Date, {}, "a date, or a date and time, by the wall clock"),
    needed("span", "length", K::Time, {"1 s", "3660 d"}, "how long to run"),

    assumed("recording", "series_interval", K::Time, {"1 s", "1 d"}, {"5 min", "1 min", "1 h", "our choice"}, "between rows of the time series"),
    assumed("recording", "map_interval", K::Time, {"1 s", "30 d"}, {"30 min", "5 min", "6 h", "our choice"}, "between bench maps"),

    assumed("numerics", "seed", K::Whole, {"0", "9223372036854775807"}, {"1", "", "", "our choice"}, "of the random draws"),
    assumed("numerics", "threads", K::Whole, {"1", "1024"}, {"1", "", "", "our choice"}, "that share the work; results do not depend on it"),
    assumed("numerics", "size_classes", K::Whole, {"12", "100"}, {"16", "12", "32", "our choice"}, "bins of droplet diameter"),
    assumed("numerics", "parcels_per_class", K::Whole, {"10", "1000000"}, {"20000", "2000", "200000", "our choice"}, "most droplets followed for each head, class and regime"),
    assumed("numerics", "deposit_noise", K::Fraction, {"0.1 %", "100 %"}, {"2 %", "1 %", "5 %", "our choice"}, "noise of a head's map of landed water at which enough droplets were followed"),
    assumed("numerics", "air_step", K::Time, {"0.1 s", "1 h"}, {"30 s", "10 s", "60 s", "our choice"}, "longest step of the air"),
    assumed("numerics", "air_cells_x", K::Whole, {"1", "100"}, {"8", "6", "16", "our choice"}, "cells of air along the house"),
    assumed("numerics", "air_cells_y", K::Whole, {"1", "50"}, {"2", "2", "8", "our choice"}, "cells of air across the house"),
    assumed("numerics", "flow_cell", K::Length, {"0.02 m", "2 m"}, {"0.15 m", "0.1 m", "0.3 m", "our choice"}, "edge of a cell of the airflow grid, about: along and across they halve evenly"),
    assumed("numerics", "airflow", K::Choice, {"jets|momentum"}, {"momentum", "", "", "our choice"}, "how the air of a regime is computed: by the equations of motion with eddies and warm air that rises, or (jets, a quick look) by free jets made to balance"),
    assumed("numerics", "bench_cell", K::Length, {"0.02 m", "2 m"}, {"0.15 m", "0.05 m", "0.3 m", "our choice"}, "edge of a cell of the bench map"),
    assumed("numerics", "uniform_flow", K::Flag, {}, {"false", "", "", "our choice"}, "true: a uniform airflow in place of the computed one, for comparison only"),
};
// clang-format on

}  // namespace

std::span<const Key> run_keys() {
  return run_table;
}

}  // namespace mistwright::scenario
