#include <array>

#include "sim/scenario/schema_rows.h"

namespace mistwright::scenario {
namespace {

using namespace rows;
using K = Kind;

// clang-format off
constexpr std::array house_table{
    needed("", "schema", K::Whole, {"1", "1"}, "which form of scenario, or of head data, this is: 1"),
    needed("", "name", K::Text, {}, "what the house is called in reports"),
    maybe("", "note", K::Text, {}, "anything a reader should know, such as that the data are invented"),

    needed("site", "latitude", K::Angle, {"-90 degree", "90 degree"}, "north positive"),
    needed("site", "longitude", K::Angle, {"-180 degree", "180 degree"}, "east positive"),
    needed("site", "altitude", K::Length, {"-430 m", "6000 m"}, "above the sea"),
    needed("site", "time_zone", K::Zone, {}, "standard time minus UTC, such as \"-05:00\""),
    maybe("site", "daylight_saving", K::Table, {}, "from and to: when clocks are put forward and back"),
    needed("site.daylight_saving", "from", K::Date, {}, "the moment, in standard time, at which clocks go forward an hour"),
    needed("site.daylight_saving", "to", K::Date, {}, "the moment, in summer time, at which clocks go back an hour"),

    needed("house", "length", K::Length, {"1 m", "300 m"}, "inside, from the front wall to the back wall (along x)"),
    needed("house", "width", K::Length, {"1 m", "100 m"}, "inside, from the right wall to the left wall (along y)"),
    needed("house", "eave_height", K::Length, {"0 m", "20 m"}, "height of the upright part of the side walls; 0 for a hoop that springs from the ground"),
    needed("house", "ridge_height", K::Length, {"0.5 m", "30 m"}, "greatest height; between eaves and ridge the roof is half an ellipse"),
    assumed("house", "faces", K::Angle, {"0 degree", "360 degree"}, {"0 degree", "0 degree", "360 degree", "our choice"}, "compass bearing from the front wall towards the back wall, clockwise from north"),
    needed("house", "cover", K::Choice, {"single polyethylene|infrared polyethylene|double polyethylene|glass|twin-wall polycarbonate"}, "what the house is covered with"),
    preset("house", "solar_transmittance", K::Fraction, {"5 %", "100 %"}, "cover", "global radiation let through by the clean dry cover"),
    preset("house", "conductance", K::Conductance, {"0.5 W/m2/K", "100000 W/m2/K"}, "cover", "through the cover itself, without the air films on its two sides"),
    preset("house", "longwave_transmittance", K::Fraction, {"0 %", "95 %"}, "cover", "thermal radiation let through by the cover"),
    preset("house", "cover_heat_capacity", K::HeatPerArea, {"50 J/m2/K", "100000 J/m2/K"}, "cover", "of the cover itself"),
    preset("house", "condensate_capacity", K::MassPerArea, {"0 kg/m2", "1 kg/m2"}, "cover", "water the cover holds before it drips"),
    assumed("house", "shade_cloth", K::Fraction, {"0 %", "98 %"}, {"0 %", "0 %", "0 %", "our choice"}, "nominal shade of the cloth: the share of light it takes away"),
    maybe("house", "shade_on_above", K::Temperature, {"-20 degC", "70 degC"}, "air temperature above which the cloth is drawn; left out: always drawn"),
    maybe("house", "shade_off_below", K::Temperature, {"-20 degC", "70 degC"}, "air temperature below which the cloth is opened again"),
    assumed("house", "leakage", K::Rate, {"0 1/h", "60 1/h"}, {"1 1/h", "0.5 1/h", "2 1/h", "memory"}, "air changes of the shut house in a light wind"),
    assumed("house", "floor", K::Choice, {"gravel|bare soil|concrete|woven ground cover"}, {"gravel", "", "", "our choice"}, "what the floor is made of"),
    preset("house", "floor_absorptance", K::Fraction, {"5 %", "99 %"}, "floor", "solar radiation taken up by the floor"),
    preset("house", "floor_heat_capacity", K::HeatPerArea, {"1 kJ/m2/K", "2000 kJ/m2/K"}, "floor", "of the layer that takes part in a day"),
    preset("house", "floor_conductance", K::Conductance, {"0.05 W/m2/K", "50 W/m2/K"}, "floor", "from that layer to the ground below"),
    preset("house", "floor_wet_share", K::Fraction, {"0 %", "100 %"}, "floor", "share of the floor that evaporates as if wet while water lies on it"),
    assumed("house", "ground_temperature", K::Temperature, {"-20 degC", "45 degC"}, {"14 degC", "8 degC", "20 degC", "memory"}, "of the ground a metre down"),

    needed("bench", "name", K::Text, {}, "such as \"north\""),
    needed("bench", "x", K::Length, {"0 m", "300 m"}, "of the corner nearest the front wall"),
    needed("bench", "y", K::Length, {"0 m", "100 m"}, "of the corner nearest the right wall"),
    needed("bench", "length", K::Length, {"0.1 m", "300 m"}, "along x"),
    needed("bench", "width", K::Length, {"0.1 m", "100 m"}, "along y"),
    assumed("bench", "height", K::Length, {"0 m", "3 m"}, {"0.8 m", "0.6 m", "0.9 m", "common practice"}, "of the surface on which leaves stand"),
    assumed("bench", "skirt", K::Length, {"0 m", "1.5 m"}, {"0 m", "0 m", "0 m", "our choice"}, "height above that surface of a film that stands round all edges of the bench and stops air and drops; its light, heat and weight are left out; 0 for none"),

    needed("medium", "texture", K::Choice, {"peat and perlite|peat|perlite|bark and peat|sand"}, "what the cuttings stand in"),
    assumed("medium", "depth", K::SmallLength, {"10 mm", "500 mm"}, {"60 mm", "40 mm", "120 mm", "common practice"}, "of the medium in its tray or cell"),
    preset("medium", "porosity", K::Fraction, {"10 %", "98 %"}, "texture", "all pore space, by volume"),
    preset("medium", "container_capacity", K::Fraction, {"2 %", "95 %"}, "texture", "water held after free drainage in this depth, by volume"),
    maybe("medium", "start_water", K::Fraction, {"0 %", "98 %"}, "water at the run's start, by volume; left out: container capacity"),
    assumed("medium", "drainage_time", K::Time, {"10 s", "7 d"}, {"30 min", "5 min", "4 h", "memory"}, "in which water above container capacity falls to 37 %"),
    preset("medium", "solid_heat_capacity", K::HeatPerVolume, {"0.01 MJ/m3/K", "3 MJ/m3/K"}, "texture", "of the dry medium"),
    preset("medium", "needed_air", K::Fraction, {"0 %", "60 %"}, "crop.species_group", "air by volume below which an hour counts as soggy"),

    needed("crop", "species_group", K::Choice, {"soft herbaceous|softwood|semi-hardwood broadleaf|leathery evergreen|conifer|succulent"}, "what kind of cuttings"),
    preset("crop", "cuttings_per_area", K::PerArea, {"1 1/m2", "5000 1/m2"}, "species_group", "cuttings stuck on a square metre of bench"),
    preset("crop", "leaves", K::List, {}, "species_group", "fewest and most leaves of a cutting, such as [2, 4]"),
    preset("crop", "leaf_area", K::Area, {"0.05 cm2", "1000 cm2"}, "species_group", "of one side of one leaf"),
    preset("crop", "leaf_length", K::SmallLength, {"1 mm", "500 mm"}, "species_group", "of a leaf, in the direction of the wind"),
    preset("crop", "layers", K::Whole, {"1", "6"}, "species_group", "leaf layers above one another"),
    preset("crop", "leaf_angle", K::Angle, {"0 degree", "90 degree"}, "species_group", "mean tilt of the leaves from level"),
    preset("crop", "leaf_angle_spread", K::Angle, {"0 degree", "45 degree"}, "species_group", "standard deviation of the tilt"),
    preset("crop", "wettability", K::Choice, {"waxy|ordinary|wettable"}, "species_group", "whether drops bounce and roll, or spread"),
    preset("crop", "film_capacity", K::SmallLength, {"0.002 mm", "1 mm"}, "species_group", "most water a leaf holds, as a depth over the area of one side"),
    assumed("crop", "break_depth", K::SmallLength, {"0.0005 mm", "0.1 mm"}, {"0.01 mm", "0.002 mm", "0.02 mm", "memory"}, "film depth below which dry patches appear"),
    assumed("crop", "solar_absorptance", K::Fraction, {"10 %", "95 %"}, {"50 %", "40 %", "60 %", "memory"}, "solar radiation taken up by a leaf"),
    preset("crop", "dry_conductance", K::Speed, {"0 m/s", "0.02 m/s"}, "species_group", "to vapour, of stomata and cuticle of a cutting without roots"),
    assumed("crop", "dry_share", K::Fraction, {"5 %", "95 %"}, {"50 %", "30 %", "70 %", "our choice"}, "a leaf counts as dry when more than this share of it is bare"),
};
// clang-format on

}  // namespace

std::span<const Key> house_keys() {
  return house_table;
}

}  // namespace mistwright::scenario
