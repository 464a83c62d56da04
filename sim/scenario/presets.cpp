#include "sim/scenario/presets.h"

#include <array>

// Covers: transmittances and overall U-values as printed for greenhouse glazing in ASABE EP406 and
// extension publications, most from memory; the conductance of the cover itself is derived from U
// by taking away surface resistances of 0.16 m2 K/W, or from thickness and conductivity
// (polyethylene 0.15 mm at 0.33 W/m/K, glass 4 mm at 1.0 W/m/K). Floors: heat capacity of the layer
// that a day reaches, 0.1 m, from density times specific heat. Film capacities: Ann. Bot. 117:1045
// (2016) for what they depend on, sizes from memory. Leaf conductance of unrooted cuttings: 0.02 to
// 0.1 mol/m2/s from memory, turned to m/s at 25 degC and sea level (0.0245 m3/mol). Roughness:
// drawn tubing and galvanised iron of the Moody chart (Moody 1944), from memory.
namespace mistwright::scenario {
namespace {

// clang-format off
constexpr std::array preset_table{
    Preset{"house", "single polyethylene", "solar_transmittance", "87 %", "80 %", "90 %", "memory"},
    Preset{"house", "single polyethylene", "conductance", "2200 W/m2/K", "1500 W/m2/K", "3300 W/m2/K", "derived"},
    Preset{"house", "single polyethylene", "longwave_transmittance", "70 %", "50 %", "80 %", "memory"},
    Preset{"house", "single polyethylene", "cover_heat_capacity", "320 J/m2/K", "200 J/m2/K", "450 J/m2/K", "derived"},
    Preset{"house", "single polyethylene", "condensate_capacity", "0.08 kg/m2", "0.03 kg/m2", "0.15 kg/m2", "memory"},
    Preset{"house", "infrared polyethylene", "solar_transmittance", "85 %", "80 %", "90 %", "memory"},
    Preset{"house", "infrared polyethylene", "conductance", "2200 W/m2/K", "1500 W/m2/K", "3300 W/m2/K", "derived"},
    Preset{"house", "infrared polyethylene", "longwave_transmittance", "30 %", "15 %", "45 %", "memory"},
    Preset{"house", "infrared polyethylene", "cover_heat_capacity", "320 J/m2/K", "200 J/m2/K", "450 J/m2/K", "derived"},
    Preset{"house", "infrared polyethylene", "condensate_capacity", "0.08 kg/m2", "0.03 kg/m2", "0.15 kg/m2", "memory"},
    Preset{"house", "double polyethylene", "solar_transmittance", "77 %", "72 %", "80 %", "memory"},
    Preset{"house", "double polyethylene", "conductance", "9 W/m2/K", "7 W/m2/K", "12 W/m2/K", "derived"},
    Preset{"house", "double polyethylene", "longwave_transmittance", "50 %", "30 %", "65 %", "memory"},
    Preset{"house", "double polyethylene", "cover_heat_capacity", "640 J/m2/K", "400 J/m2/K", "900 J/m2/K", "derived"},
    Preset{"house", "double polyethylene", "condensate_capacity", "0.08 kg/m2", "0.03 kg/m2", "0.15 kg/m2", "memory"},
    Preset{"house", "glass", "solar_transmittance", "89 %", "82 %", "91 %", "memory"},
    Preset{"house", "glass", "conductance", "250 W/m2/K", "200 W/m2/K", "330 W/m2/K", "derived"},
    Preset{"house", "glass", "longwave_transmittance", "1 %", "0 %", "3 %", "memory"},
    Preset{"house", "glass", "cover_heat_capacity", "8400 J/m2/K", "6300 J/m2/K", "10500 J/m2/K", "derived"},
    Preset{"house", "glass", "condensate_capacity", "0.05 kg/m2", "0.02 kg/m2", "0.1 kg/m2", "memory"},
    Preset{"house", "twin-wall polycarbonate", "solar_transmittance", "80 %", "78 %", "82 %", "source"},
    Preset{"house", "twin-wall polycarbonate", "conductance", "7 W/m2/K", "5.5 W/m2/K", "9 W/m2/K", "derived"},
    Preset{"house", "twin-wall polycarbonate", "longwave_transmittance", "3 %", "0 %", "5 %", "memory"},
    Preset{"house", "twin-wall polycarbonate", "cover_heat_capacity", "1800 J/m2/K", "1500 J/m2/K", "2500 J/m2/K", "derived"},
    Preset{"house", "twin-wall polycarbonate", "condensate_capacity", "0.08 kg/m2", "0.03 kg/m2", "0.15 kg/m2", "memory"},

    Preset{"house", "gravel", "floor_absorptance", "65 %", "50 %", "75 %", "memory"},
    Preset{"house", "gravel", "floor_heat_capacity", "140 kJ/m2/K", "100 kJ/m2/K", "200 kJ/m2/K", "derived"},
    Preset{"house", "gravel", "floor_conductance", "1.5 W/m2/K", "0.7 W/m2/K", "3 W/m2/K", "derived"},
    Preset{"house", "gravel", "floor_wet_share", "60 %", "30 %", "100 %", "memory"},
    Preset{"house", "bare soil", "floor_absorptance", "80 %", "70 %", "90 %", "memory"},
    Preset{"house", "bare soil", "floor_heat_capacity", "220 kJ/m2/K", "150 kJ/m2/K", "300 kJ/m2/K", "derived"},
    Preset{"house", "bare soil", "floor_conductance", "2 W/m2/K", "1 W/m2/K", "4 W/m2/K", "derived"},
    Preset{"house", "bare soil", "floor_wet_share", "90 %", "50 %", "100 %", "memory"},
    Preset{"house", "concrete", "floor_absorptance", "65 %", "55 %", "75 %", "memory"},
    Preset{"house", "concrete", "floor_heat_capacity", "210 kJ/m2/K", "180 kJ/m2/K", "250 kJ/m2/K", "derived"},
    Preset{"house", "concrete", "floor_conductance", "2.5 W/m2/K", "1.5 W/m2/K", "5 W/m2/K", "derived"},
    Preset{"house", "concrete", "floor_wet_share", "90 %", "60 %", "100 %", "memory"},
    Preset{"house", "woven ground cover", "floor_absorptance", "90 %", "85 %", "95 %", "memory"},
    Preset{"house", "woven ground cover", "floor_heat_capacity", "200 kJ/m2/K", "140 kJ/m2/K", "280 kJ/m2/K", "derived"},
    Preset{"house", "woven ground cover", "floor_conductance", "1.5 W/m2/K", "0.7 W/m2/K", "3 W/m2/K", "derived"},
    Preset{"house", "woven ground cover", "floor_wet_share", "70 %", "40 %", "100 %", "memory"},

    Preset{"medium", "peat and perlite", "porosity", "85 %", "78 %", "90 %", "memory"},
    Preset{"medium", "peat and perlite", "container_capacity", "58 %", "45 %", "68 %", "memory"},
    Preset{"medium", "peat and perlite", "solid_heat_capacity", "0.25 MJ/m3/K", "0.15 MJ/m3/K", "0.4 MJ/m3/K", "derived"},
    Preset{"medium", "peat", "porosity", "92 %", "85 %", "95 %", "memory"},
    Preset{"medium", "peat", "container_capacity", "72 %", "60 %", "82 %", "memory"},
    Preset{"medium", "peat", "solid_heat_capacity", "0.15 MJ/m3/K", "0.1 MJ/m3/K", "0.25 MJ/m3/K", "derived"},
    Preset{"medium", "perlite", "porosity", "75 %", "65 %", "85 %", "memory"},
    Preset{"medium", "perlite", "container_capacity", "40 %", "28 %", "50 %", "memory"},
    Preset{"medium", "perlite", "solid_heat_capacity", "0.1 MJ/m3/K", "0.07 MJ/m3/K", "0.15 MJ/m3/K", "derived"},
    Preset{"medium", "bark and peat", "porosity", "80 %", "70 %", "88 %", "memory"},
    Preset{"medium", "bark and peat", "container_capacity", "55 %", "42 %", "65 %", "memory"},
    Preset{"medium", "bark and peat", "solid_heat_capacity", "0.35 MJ/m3/K", "0.2 MJ/m3/K", "0.5 MJ/m3/K", "derived"},
    Preset{"medium", "sand", "porosity", "40 %", "35 %", "45 %", "memory"},
    Preset{"medium", "sand", "container_capacity", "30 %", "20 %", "36 %", "memory"},
    Preset{"medium", "sand", "solid_heat_capacity", "1.3 MJ/m3/K", "1.2 MJ/m3/K", "1.4 MJ/m3/K", "derived"},

    Preset{"crop", "soft herbaceous", "cuttings_per_area", "600 1/m2", "300 1/m2", "1200 1/m2", "common practice"},
    Preset{"crop", "soft herbaceous", "leaves", "[3, 5]", "2", "6", "common practice"},
    Preset{"crop", "soft herbaceous", "leaf_area", "8 cm2", "3 cm2", "20 cm2", "memory"},
    Preset{"crop", "soft herbaceous", "leaf_length", "40 mm", "20 mm", "80 mm", "memory"},
    Preset{"crop", "soft herbaceous", "layers", "2", "1", "3", "memory"},
    Preset{"crop", "soft herbaceous", "leaf_angle", "35 degree", "15 degree", "55 degree", "memory"},
    Preset{"crop", "soft herbaceous", "leaf_angle_spread", "18 degree", "10 degree", "25 degree", "memory"},
    Preset{"crop", "soft herbaceous", "wettability", "ordinary", "", "", "memory"},
    Preset{"crop", "soft herbaceous", "film_capacity", "0.08 mm", "0.05 mm", "0.15 mm", "memory"},
    Preset{"crop", "soft herbaceous", "dry_conductance", "0.0015 m/s", "0.0005 m/s", "0.0025 m/s", "memory"},
    Preset{"crop", "softwood", "cuttings_per_area", "500 1/m2", "250 1/m2", "900 1/m2", "common practice"},
    Preset{"crop", "softwood", "leaves", "[2, 5]", "2", "6", "common practice"},
    Preset{"crop", "softwood", "leaf_area", "10 cm2", "4 cm2", "30 cm2", "memory"},
    Preset{"crop", "softwood", "leaf_length", "50 mm", "25 mm", "100 mm", "memory"},
    Preset{"crop", "softwood", "layers", "2", "1", "3", "memory"},
    Preset{"crop", "softwood", "leaf_angle", "35 degree", "15 degree", "55 degree", "memory"},
    Preset{"crop", "softwood", "leaf_angle_spread", "18 degree", "10 degree", "25 degree", "memory"},
    Preset{"crop", "softwood", "wettability", "ordinary", "", "", "memory"},
    Preset{"crop", "softwood", "film_capacity", "0.07 mm", "0.05 mm", "0.1 mm", "memory"},
    Preset{"crop", "softwood", "dry_conductance", "0.0012 m/s", "0.0004 m/s", "0.002 m/s", "memory"},
    Preset{"crop", "semi-hardwood broadleaf", "cuttings_per_area", "400 1/m2", "200 1/m2", "700 1/m2", "common practice"},
    Preset{"crop", "semi-hardwood broadleaf", "leaves", "[2, 4]", "2", "5", "common practice"},
    Preset{"crop", "semi-hardwood broadleaf", "leaf_area", "10 cm2", "4 cm2", "25 cm2", "memory"},
    Preset{"crop", "semi-hardwood broadleaf", "leaf_length", "50 mm", "25 mm", "90 mm", "memory"},
    Preset{"crop", "semi-hardwood broadleaf", "layers", "2", "1", "2", "memory"},
    Preset{"crop", "semi-hardwood broadleaf", "leaf_angle", "35 degree", "15 degree", "55 degree", "memory"},
    Preset{"crop", "semi-hardwood broadleaf", "leaf_angle_spread", "18 degree", "10 degree", "25 degree", "memory"},
    Preset{"crop", "semi-hardwood broadleaf", "wettability", "ordinary", "", "", "memory"},
    Preset{"crop", "semi-hardwood broadleaf", "film_capacity", "0.06 mm", "0.03 mm", "0.1 mm", "memory"},
    Preset{"crop", "semi-hardwood broadleaf", "dry_conductance", "0.0008 m/s", "0.0003 m/s", "0.0015 m/s", "memory"},
    Preset{"crop", "leathery evergreen", "cuttings_per_area", "350 1/m2", "200 1/m2", "600 1/m2", "common practice"},
    Preset{"crop", "leathery evergreen", "leaves", "[2, 4]", "2", "5", "common practice"},
    Preset{"crop", "leathery evergreen", "leaf_area", "15 cm2", "5 cm2", "40 cm2", "memory"},
    Preset{"crop", "leathery evergreen", "leaf_length", "60 mm", "30 mm", "120 mm", "memory"},
    Preset{"crop", "leathery evergreen", "layers", "2", "1", "2", "memory"},
    Preset{"crop", "leathery evergreen", "leaf_angle", "40 degree", "20 degree", "60 degree", "memory"},
    Preset{"crop", "leathery evergreen", "leaf_angle_spread", "18 degree", "10 degree", "25 degree", "memory"},
    Preset{"crop", "leathery evergreen", "wettability", "waxy", "", "", "memory"},
    Preset{"crop", "leathery evergreen", "film_capacity", "0.04 mm", "0.03 mm", "0.06 mm", "memory"},
    Preset{"crop", "leathery evergreen", "dry_conductance", "0.0004 m/s", "0.0001 m/s", "0.001 m/s", "memory"},
    Preset{"crop", "conifer", "cuttings_per_area", "600 1/m2", "300 1/m2", "1200 1/m2", "common practice"},
    Preset{"crop", "conifer", "leaves", "[3, 6]", "2", "10", "memory"},
    Preset{"crop", "conifer", "leaf_area", "4 cm2", "1 cm2", "10 cm2", "memory"},
    Preset{"crop", "conifer", "leaf_length", "8 mm", "2 mm", "20 mm", "memory"},
    Preset{"crop", "conifer", "layers", "2", "1", "3", "memory"},
    Preset{"crop", "conifer", "leaf_angle", "50 degree", "30 degree", "70 degree", "memory"},
    Preset{"crop", "conifer", "leaf_angle_spread", "20 degree", "10 degree", "30 degree", "memory"},
    Preset{"crop", "conifer", "wettability", "waxy", "", "", "memory"},
    Preset{"crop", "conifer", "film_capacity", "0.06 mm", "0.03 mm", "0.12 mm", "memory"},
    Preset{"crop", "conifer", "dry_conductance", "0.0004 m/s", "0.0001 m/s", "0.001 m/s", "memory"},
    Preset{"crop", "succulent", "cuttings_per_area", "500 1/m2", "250 1/m2", "900 1/m2", "common practice"},
    Preset{"crop", "succulent", "leaves", "[3, 6]", "2", "8", "memory"},
    Preset{"crop", "succulent", "leaf_area", "5 cm2", "1 cm2", "15 cm2", "memory"},
    Preset{"crop", "succulent", "leaf_length", "30 mm", "10 mm", "60 mm", "memory"},
    Preset{"crop", "succulent", "layers", "1", "1", "2", "memory"},
    Preset{"crop", "succulent", "leaf_angle", "40 degree", "20 degree", "60 degree", "memory"},
    Preset{"crop", "succulent", "leaf_angle_spread", "18 degree", "10 degree", "25 degree", "memory"},
    Preset{"crop", "succulent", "wettability", "waxy", "", "", "memory"},
    Preset{"crop", "succulent", "film_capacity", "0.03 mm", "0.02 mm", "0.05 mm", "memory"},
    Preset{"crop", "succulent", "dry_conductance", "0.0002 m/s", "0.00005 m/s", "0.0005 m/s", "memory"},

    Preset{"medium", "soft herbaceous", "needed_air", "15 %", "10 %", "20 %", "memory"},
    Preset{"medium", "softwood", "needed_air", "15 %", "10 %", "20 %", "memory"},
    Preset{"medium", "semi-hardwood broadleaf", "needed_air", "15 %", "10 %", "20 %", "memory"},
    Preset{"medium", "leathery evergreen", "needed_air", "18 %", "12 %", "25 %", "memory"},
    Preset{"medium", "conifer", "needed_air", "20 %", "15 %", "30 %", "memory"},
    Preset{"medium", "succulent", "needed_air", "22 %", "15 %", "30 %", "memory"},

    Preset{"pipe", "polyethylene", "roughness", "1.5 um", "0 um", "7 um", "memory"},
    Preset{"pipe", "pvc", "roughness", "1.5 um", "0 um", "7 um", "memory"},
    Preset{"pipe", "copper", "roughness", "1.5 um", "0 um", "5 um", "memory"},
    Preset{"pipe", "galvanised steel", "roughness", "150 um", "60 um", "300 um", "memory"},
    Preset{"pipe", "garden hose", "roughness", "7 um", "1.5 um", "30 um", "memory"},
};
// clang-format on

}  // namespace

const Preset* find_preset(std::string_view group, std::string_view word, std::string_view key) {
  for (const Preset& row : preset_table) {
    if (group == row.table && word == row.word && key == row.key) return &row;
  }
  return nullptr;
}

}  // namespace mistwright::scenario
