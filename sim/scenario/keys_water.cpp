#include <array>

#include "sim/scenario/schema_rows.h"

namespace mistwright::scenario {
namespace {

using namespace rows;
using K = Kind;

// clang-format off
constexpr std::array water_table{
    maybe("head_type", "file", K::Text, {}, "a file of head data beside the scenario; keys given here go before it"),
    maybe("head_type", "schema", K::Whole, {"1", "1"}, "in a file of head data: 1"),
    maybe("head_type", "name", K::Text, {}, "in a file of head data: what the head is called"),
    maybe("head_type", "note", K::Text, {}, "anything a reader should know"),
    needed("head_type", "flow", K::Flow, {"0.01 L/h", "100 L/min"}, "at `pressure`"),
    needed("head_type", "pressure", K::GaugePressure, {"1 kPa", "200 bar"}, "at which `flow` was measured"),
    assumed("head_type", "flow_exponent", K::Number, {"0", "1.5"}, {"0.5", "0.36", "0.55", "derived"}, "x in flow = k pressure^x"),
    maybe("head_type", "dv10", K::DropSize, {"0.5 um", "5 mm"}, "a tenth of the water is in drops smaller than this; left out: 0.47 dv50"),
    maybe("head_type", "dv50", K::DropSize, {"1 um", "5 mm"}, "half of the water is in drops smaller than this; left out: 150 um at 2.8 bar, finer with more pressure, and needed where `drive` is not line pressure"),
    maybe("head_type", "dv90", K::DropSize, {"1 um", "10 mm"}, "nine tenths of the water are in drops smaller than this; left out: 1.62 dv50"),
    maybe("head_type", "spectrum_pressure", K::GaugePressure, {"1 kPa", "200 bar"}, "at which drop sizes were measured; left out: `pressure`"),
    assumed("head_type", "spectrum_exponent", K::Number, {"0", "1"}, {"0.3", "0.2", "0.5", "memory"}, "n in dv50 ~ pressure^-n"),
    assumed("head_type", "launch", K::Choice, {"disc|full cone|hollow cone|upward|downward"}, {"disc", "", "", "common practice"}, "how water leaves: a flat disc from a deflector, a cone, or a jet"),
    assumed("head_type", "launch_angle", K::Angle, {"-90 degree", "90 degree"}, {"10 degree", "0 degree", "25 degree", "memory"}, "of a disc above level; of a cone, its half angle"),
    needed("head_type", "wetted_diameter", K::Length, {"0.1 m", "30 m"}, "of the circle wetted in still air"),
    assumed("head_type", "wetted_height", K::Length, {"0.05 m", "5 m"}, {"0.6 m", "0.3 m", "0.6 m", "common practice"}, "of the head above the plane where the wetted diameter was measured"),
    maybe("head_type", "working_pressure_low", K::GaugePressure, {"0 kPa", "200 bar"}, "below it the pattern fails; left out: 0.7 `pressure`"),
    maybe("head_type", "working_pressure_high", K::GaugePressure, {"0 kPa", "200 bar"}, "above it the head is not rated; left out: 1.5 `pressure`"),
    assumed("head_type", "check_valve", K::Flag, {}, {"false", "", "", "our choice"}, "whether the head shuts itself at low pressure, so that its line stays full"),
    assumed("head_type", "check_opens", K::GaugePressure, {"0 kPa", "100 bar"}, {"190 kPa", "140 kPa", "240 kPa", "memory"}, "pressure at which the check valve opens"),
    assumed("head_type", "check_closes", K::GaugePressure, {"0 kPa", "100 bar"}, {"100 kPa", "70 kPa", "130 kPa", "memory"}, "pressure at which it shuts again"),
    assumed("head_type", "drive", K::Choice, {"line pressure|compressed air|electricity|hand"}, {"line pressure", "", "", "our choice"}, "what makes the drops; unless it is line pressure, flow and drop sizes follow no pressure and `launch_speed` is needed"),
    maybe("head_type", "launch_speed", K::Speed, {"0.05 m/s", "400 m/s"}, "highest speed at which drops leave; left out: that of the pressure, sqrt(2 p / density)"),
    maybe("head_type", "blown_air", K::Flow, {"0 L/min", "20 m3/s"}, "air that leaves with the drops and at their speed, as from a fan or an air nozzle"),
    maybe("head_type", "power", K::Power, {"0 W", "100 kW"}, "electric, of one head while it sprays; its share of a pump's where a pump makes its pressure"),
    maybe("head_type", "compressed_air", K::Flow, {"0.1 L/min", "100000 L/min"}, "free air that one head takes"),
    maybe("head_type", "compressed_air_pressure", K::GaugePressure, {"10 kPa", "20 bar"}, "of that air"),
    maybe("head_type", "filter", K::DropSize, {"0.1 um", "5 mm"}, "widest opening of the mesh before the head"),
    maybe("head_type", "hardness", K::Concentration, {"0 mg/L", "5000 mg/L"}, "of the hardest water it should get, as calcium carbonate"),
    maybe("head_type", "water_quality", K::Text, {}, "what water it should get, in words"),
    maybe("head_type", "boom_heads", K::Whole, {"1", "1000"}, "heads of a boom that travels over the bench; `flow` is that of one of them"),
    maybe("head_type", "boom_speed", K::Speed, {"0.005 m/s", "3 m/s"}, "of the boom's travel"),
    maybe("head_type", "boom_width", K::Length, {"0.1 m", "50 m"}, "of the strip that the boom wets in one pass"),
    maybe("head_type", "evidence_of", K::Table, {}, "for a key of this table, where its value comes from: tag, colon, words, as in flow = \"memory: 30 to 60 L/h\""),
    assumed("head_type", "evidence", K::Choice, {"source|memory|common practice|derived|invented"}, {"invented", "", "", "our choice"}, "where those of this head's numbers come from that `evidence_of` does not name"),

    needed("head", "name", K::Text, {}, "such as \"n3\""),
    needed("head", "type", K::Text, {}, "the name of a [head_type.NAME]"),
    needed("head", "x", K::Length, {"-10 m", "310 m"}, "from the front wall"),
    needed("head", "y", K::Length, {"-10 m", "110 m"}, "from the right wall"),
    maybe("head", "riser", K::Length, {"0 m", "10 m"}, "height above the bench below it, or above the floor where there is none"),
    maybe("head", "height", K::Length, {"0 m", "30 m"}, "height above the floor"),
    maybe("head", "hung", K::Length, {"0 m", "30 m"}, "distance below the roof"),
    needed("head", "at", K::Text, {}, "the node of the pipes on which it stands"),
    assumed("head", "riser_bore", K::SmallLength, {"2 mm", "100 mm"}, {"10 mm", "6 mm", "13 mm", "common practice"}, "bore of the tube from the line up or down to the head"),
    assumed("head", "riser_minor_loss", K::Number, {"0", "100"}, {"1.2", "0.6", "2", "memory"}, "K where that tube leaves the line"),
    maybe("head", "zone", K::Text, {}, "the valve that opens it; left out: the valve that the pipes lead through"),

    needed("row", "name", K::Text, {}, "heads and nodes are called NAME 1, NAME 2, ..."),
    needed("row", "type", K::Text, {}, "the name of a [head_type.NAME]"),
    needed("row", "heads", K::Whole, {"1", "10000"}, "how many, evenly from `from` to `to`"),
    needed("row", "from", K::List, {}, "x and y of the first head, such as [\"1 m\", \"0.6 m\"]"),
    maybe("row", "to", K::List, {}, "x and y of the last head"),
    maybe("row", "riser", K::Length, {"0 m", "10 m"}, "height above the bench below, or above the floor where there is none"),
    maybe("row", "height", K::Length, {"0 m", "30 m"}, "height above the floor"),
    maybe("row", "hung", K::Length, {"0 m", "30 m"}, "distance below the roof"),
    needed("row", "at", K::Text, {}, "the node that feeds the first head; the row lays pipe from there to each head in turn"),
    needed("row", "diameter", K::SmallLength, {"1 mm", "500 mm"}, "bore of that pipe"),
    assumed("row", "material", K::Choice, {"polyethylene|pvc|copper|galvanised steel|garden hose"}, {"polyethylene", "", "", "our choice"}, "of that pipe"),
    assumed("row", "minor_loss", K::Number, {"0", "1000"}, {"0.5", "0.2", "1.5", "memory"}, "sum of K of the fittings in each stretch between heads (a tee, run straight through)"),
    assumed("row", "riser_bore", K::SmallLength, {"2 mm", "100 mm"}, {"10 mm", "6 mm", "13 mm", "common practice"}, "bore of the tube from the line up or down to the head"),
    assumed("row", "riser_minor_loss", K::Number, {"0", "100"}, {"1.2", "0.6", "2", "memory"}, "K where that tube leaves the line"),
    maybe("row", "zone", K::Text, {}, "the valve that opens it; left out: the valve that the pipes lead through"),

    maybe("supply", "static_pressure", K::GaugePressure, {"0 kPa", "100 bar"}, "with everything shut"),
    maybe("supply", "bucket_volume", K::Volume, {"0.1 L", "10 m3"}, "water caught in the bucket test"),
    maybe("supply", "bucket_time", K::Time, {"1 s", "1 h"}, "in which it was caught, fully open"),
    maybe("supply", "bucket_at", K::Text, {}, "the node at whose open end the bucket stood; left out: the supply itself"),
    assumed("supply", "bucket_pressure", K::GaugePressure, {"0 kPa", "10 bar"}, {"0 kPa", "0 kPa", "0 kPa", "derived"}, "left at that open end"),
    maybe("supply", "pump_curve", K::List, {}, "pairs of flow and pressure, falling, such as [[\"0 L/min\", \"4 bar\"], [\"30 L/min\", \"2 bar\"]]"),
    assumed("supply", "node", K::Text, {}, {"supply", "", "", "our choice"}, "the node where water enters the pipes"),
    assumed("supply", "elevation", K::Length, {"-100 m", "100 m"}, {"0.5 m", "0 m", "1 m", "common practice"}, "of that node above the floor"),
    assumed("supply", "temperature", K::Temperature, {"0.5 degC", "60 degC"}, {"15 degC", "8 degC", "22 degC", "memory"}, "of the water"),

    needed("node", "name", K::Text, {}, "where pipes meet"),
    assumed("node", "elevation", K::Length, {"-100 m", "100 m"}, {"0 m", "0 m", "1 m", "our choice"}, "above the floor"),
    maybe("node", "x", K::Length, {"-1000 m", "1000 m"}, "from the front wall"),
    maybe("node", "y", K::Length, {"-1000 m", "1000 m"}, "from the right wall"),

    maybe("pipe", "name", K::Text, {}, "left out: \"FROM to TO\""),
    needed("pipe", "from", K::Text, {}, "node"),
    needed("pipe", "to", K::Text, {}, "node"),
    needed("pipe", "length", K::Length, {"1 mm", "10 km"}, "along the pipe"),
    needed("pipe", "diameter", K::SmallLength, {"1 mm", "1 m"}, "bore"),
    assumed("pipe", "material", K::Choice, {"polyethylene|pvc|copper|galvanised steel|garden hose"}, {"polyethylene", "", "", "our choice"}, "of the pipe"),
    preset("pipe", "roughness", K::DropSize, {"0 um", "5 mm"}, "material", "of the wall inside"),
    assumed("pipe", "minor_loss", K::Number, {"0", "1000"}, {"1", "0", "5", "memory"}, "sum of K of its fittings, on the pipe's own velocity head"),

    needed("valve", "name", K::Text, {}, "the heads behind it are one zone"),
    needed("valve", "pipe", K::Text, {}, "the name of the pipe that it closes"),
    maybe("valve", "flow_at_1_bar", K::Flow, {"0.01 L/min", "10000 L/min"}, "water it passes with 1 bar lost in it (Kv); left out: by the pipe's bore"),
    maybe("valve", "flow_at_1_psi", K::Flow, {"0.01 L/min", "10000 L/min"}, "water it passes with 1 psi lost in it (Cv)"),
    assumed("valve", "opening_delay", K::Time, {"0 s", "60 s"}, {"0.5 s", "0.3 s", "1 s", "memory"}, "from the clock's start to water passing"),
    assumed("valve", "closing_delay", K::Time, {"0 s", "60 s"}, {"1.5 s", "1 s", "3 s", "memory"}, "from the clock's stop to shut"),
};
// clang-format on

}  // namespace

std::span<const Key> water_keys() {
  return water_table;
}

}  // namespace mistwright::scenario
