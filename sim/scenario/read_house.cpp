#include <fmt/core.h>

#include <cmath>

#include "models/units.h"
#include "sim/scenario/readers.h"

namespace mistwright::scenario {
namespace {

constexpr std::size_t most_benches = 1000;

/// [2, 4]: fewest and most leaves.
void read_leaves(Table& table, Reading& reading, Crop& crop, const char* word) {
  if (!table.has("leaves")) {
    const Preset* preset = word ? find_preset("crop", word, "leaves") : nullptr;
    if (!preset) return;
    const std::string_view text = preset->value;
    crop.leaves_min = text[1] - '0';
    crop.leaves_max = text[text.size() - 2] - '0';
    reading.assume({fmt::format("crop.leaves ({})", word), preset->value, preset->low, preset->high,
                    preset->evidence, find_key("crop", "leaves")->help});
    return;
  }
  const Value* list = table.raw("leaves");
  if (!list) return;
  const bool pair = list->items.size() == 2 && list->items[0].type == Value::Type::Whole &&
                    list->items[1].type == Value::Type::Whole;
  const std::int64_t fewest = pair ? list->items[0].whole : 0;
  const std::int64_t most = pair ? list->items[1].whole : 0;
  if (!pair || fewest < 1 || most < fewest || most > 100) {
    reading.error("E0501", list->at,
                  "`leaves` must be two whole numbers, the fewest and the most, from 1 to 100",
                  "write leaves = [2, 4]");
    return;
  }
  crop.leaves_min = static_cast<int>(fewest);
  crop.leaves_max = static_cast<int>(most);
}

/// A bench, and where it was written.
struct PlacedBench {
  const Bench& bench;
  const Span& at;
};

void check_inside(Reading& reading, const PlacedBench& placed) {
  const Structure& s = reading.house.structure;
  const Bench& b = placed.bench;
  const double past_x_m = b.x_m + b.length_m - s.length_m;
  const double past_y_m = b.y_m + b.width_m - s.width_m;
  if (past_x_m <= 1e-9 && past_y_m <= 1e-9) return;
  const bool x = past_x_m > 1e-9;
  Problem& p =
      reading.error("E0403", placed.at,
                    fmt::format("bench `{}` reaches {} beyond the {} wall", b.name,
                                rounded(x ? past_x_m : past_y_m, "m"), x ? "back" : "left"),
                    fmt::format("the house runs from {0} = 0 to {1}", x ? "x" : "y",
                                rounded(x ? s.length_m : s.width_m, "m")));
  p.second = Second{reading.places[x ? "house.length" : "house.width"], "the house ends here"};
}

/// Leaves need some air over them. The roof is lowest over one of the bench's two long edges.
void check_headroom(Reading& reading, const Bench& b, const Got<double>& height) {
  constexpr double least_m = 0.1;
  const Structure& s = reading.house.structure;
  const bool inside = b.y_m >= 0.0 && b.y_m + b.width_m <= s.width_m;
  if (!height.good || !reading.house_good || !inside) return;
  const double roof_m = std::min(s.roof_height_m(b.y_m), s.roof_height_m(b.y_m + b.width_m));
  if (b.height_m + least_m <= roof_m) return;
  reading.error("E0421", height.at,
                b.height_m < roof_m
                    ? fmt::format("bench `{}` leaves {} below the roof, too little for cuttings",
                                  b.name, rounded(roof_m - b.height_m, "m"))
                    : fmt::format("bench `{}` is {} above the roof", b.name,
                                  rounded(b.height_m - roof_m, "m")),
                fmt::format("over its edge the roof is {} high; at least {} are to stay free",
                            rounded(roof_m, "m"), rounded(least_m, "m")));
}

/// As check_headroom().
void check_skirt(Reading& reading, const Bench& b, const Got<double>& skirt) {
  if (!skirt.good || b.skirt_m <= 0.0) return;
  reading.places.try_emplace("bench.skirt", skirt.at);
  const Structure& s = reading.house.structure;
  const bool inside = b.y_m >= 0.0 && b.y_m + b.width_m <= s.width_m;
  if (!reading.house_good || !inside) return;
  const double roof_m = std::min(s.roof_height_m(b.y_m), s.roof_height_m(b.y_m + b.width_m));
  const double past_m = b.height_m + b.skirt_m - roof_m;
  if (past_m <= 0.0) return;
  reading.error("E0420", skirt.at,
                fmt::format("the skirt of bench `{}` reaches {} above the roof", b.name,
                            rounded(past_m, "m")),
                fmt::format("over its edge the roof is {} high, and the bench {}",
                            rounded(roof_m, "m"), rounded(b.height_m, "m")));
}

void check_apart(Reading& reading, const PlacedBench& one, const PlacedBench& other) {
  const Bench& a = one.bench;
  const Bench& b = other.bench;
  const double x_m = std::min(a.x_m + a.length_m, b.x_m + b.length_m) - std::max(a.x_m, b.x_m);
  const double y_m = std::min(a.y_m + a.width_m, b.y_m + b.width_m) - std::max(a.y_m, b.y_m);
  if (x_m <= 1e-9 || y_m <= 1e-9) return;
  Problem& p =
      reading.error("E0404", one.at, fmt::format("benches `{}` and `{}` overlap", b.name, a.name),
                    fmt::format("they share {} by {}", rounded(x_m, "m"), rounded(y_m, "m")));
  p.second = Second{other.at, "the other bench"};
}

void check_benches(Reading& reading, const std::vector<Span>& places) {
  const auto& benches = reading.house.benches;
  if (benches.size() > most_benches) {
    reading.error(
        "E0410", places[most_benches],
        fmt::format("{} benches; at most {} are simulated", benches.size(), most_benches));
    return;
  }
  for (std::size_t i = 0; i < benches.size(); ++i) {
    if (reading.house_good) check_inside(reading, {benches[i], places[i]});
    for (std::size_t j = 0; j < i; ++j) {
      check_apart(reading, {benches[i], places[i]}, {benches[j], places[j]});
    }
  }
}

/// How much water a leaf holds, with its honest range. A capacity given by the user keeps the
/// group's relative range, which a measured one may narrow later.
void read_film(Table& table, Reading& reading, const char* word) {
  Crop& crop = reading.house.crop;
  const auto capacity = table.quantity("film_capacity", word);
  const auto break_depth = table.quantity("break_depth");
  crop.film_capacity_m = capacity.value;
  crop.break_depth_m = break_depth.value;
  if (const Preset* preset = word ? find_preset("crop", word, "film_capacity") : nullptr) {
    const auto metres = [](const char* text) {
      return read_quantity(text, Kind::SmallLength, "").value;
    };
    crop.film_capacity_low_m = metres(preset->low) / metres(preset->value) * capacity.value;
    crop.film_capacity_high_m = metres(preset->high) / metres(preset->value) * capacity.value;
  }
  if (capacity.good && break_depth.good && break_depth.value > capacity.value) {
    reading.error("E0502", break_depth.given ? break_depth.at : capacity.at,
                  fmt::format("the break depth ({}) exceeds what a leaf holds ({})",
                              break_depth.typed, capacity.typed),
                  "a film breaks below its break depth, so no leaf would ever be wholly wet");
  }
}

/// Reads the crop and returns its species group, empty if that was wrong.
std::string read_crop(Reading& reading, const Value& root) {
  Table table = table_of(reading, root, "crop");
  Crop& crop = reading.house.crop;
  const auto group = table.choice("species_group");
  const char* word = group.good ? group.typed.c_str() : nullptr;
  if (group.good) crop.species_group = group.typed;
  const auto density = table.quantity("cuttings_per_area", word);
  crop.cuttings_per_m2 = density.value;
  read_leaves(table, reading, crop, word);
  crop.leaf_area_m2 = table.quantity("leaf_area", word).value;
  crop.leaf_length_m = table.quantity("leaf_length", word).value;
  crop.layers = static_cast<int>(table.whole("layers", word).value);
  crop.leaf_angle_mean_rad = table.quantity("leaf_angle", word).value;
  crop.leaf_angle_spread_rad = table.quantity("leaf_angle_spread", word).value;
  crop.wettability = static_cast<Wettability>(table.choice("wettability", word).value);
  read_film(table, reading, word);
  crop.solar_absorptance_fraction = table.quantity("solar_absorptance").value;
  crop.dry_conductance_m_per_s = table.quantity("dry_conductance", word).value;
  crop.dry_share_fraction = table.quantity("dry_share").value;
  table.finish();
  const double leaves = reading.house.bench_area_m2() * crop.cuttings_per_m2 * crop.leaves_max;
  if (density.good && leaves > 1e7) {
    reading.error(
        "E0503", density.at,
        fmt::format("these benches would hold {:.0f} leaves; at most 10000000 are followed",
                    leaves),
        "take fewer cuttings an area, or run one house at a time");
  }
  return crop.species_group;
}

void read_medium(Reading& reading, const Value& root, const std::string& group) {
  Table table = table_of(reading, root, "medium");
  Medium& m = reading.house.medium;
  const auto texture = table.choice("texture");
  const char* word = texture.good ? texture.typed.c_str() : nullptr;
  m.depth_m = table.quantity("depth").value;
  const auto porosity = table.quantity("porosity", word);
  const auto held = table.quantity("container_capacity", word);
  const auto start = table.quantity("start_water");
  m.porosity_fraction = porosity.value;
  m.container_capacity_fraction = held.value;
  m.start_water_fraction = start.given ? start.value : held.value;
  m.drainage_time_s = table.quantity("drainage_time").value;
  m.solid_heat_capacity_J_per_m3_K = table.quantity("solid_heat_capacity", word).value;
  m.needed_air_fraction =
      table.quantity("needed_air", group.empty() ? nullptr : group.c_str()).value;
  const auto too_full = [&](const Got<double>& water, const char* what) {
    if (!water.good || !porosity.good || water.value <= porosity.value) return;
    Problem& p = reading.error(
        "E0504", water.at,
        fmt::format("{} ({}) exceeds the pore space ({})", what, water.typed, porosity.typed),
        "water fills pores; it cannot be more than they are");
    if (porosity.given) p.second = Second{porosity.at, "the pore space"};
  };
  too_full(held, "container capacity");
  if (start.given) too_full(start, "the water at the start");
  table.finish();
}

}  // namespace

void read_site(Reading& reading, const Value& root) {
  Table top(reading, &root, "", Span{root.at.source, 0, 0, 1});
  reading.house.name = top.text("name").value;
  if (top.has("note")) reading.house.note = top.text("note").value;
  top.whole("schema");

  Table table = table_of(reading, root, "site");
  const auto latitude = table.quantity("latitude");
  const auto longitude = table.quantity("longitude");
  const auto altitude = table.quantity("altitude");
  reading.house.site = {latitude.value, longitude.value, altitude.value};
  reading.site_good = latitude.good && longitude.good && altitude.good;
  const bool swapped = latitude.given && !latitude.good &&
                       std::abs(latitude.value) > radians(90.0) && longitude.good &&
                       std::abs(longitude.value) <= radians(90.0);
  if (swapped) reading.problems.back().help = "are latitude and longitude swapped?";
  CivilClock& civil = reading.house.civil;
  const auto zone = table.zone("time_zone");
  civil.utc_offset_s = zone.value;
  if (table.has("daylight_saving")) {
    if (const Value* rule = table.raw("daylight_saving")) {
      Table saving(reading, rule, "site.daylight_saving", table.key_span("daylight_saving"));
      const auto from = saving.moment("from");
      const auto to = saving.moment("to");
      if (from.good && to.good && zone.good) {
        civil.daylight_saving = true;
        civil.daylight_from_utc_s = utc_of(from.value, civil.utc_offset_s);
        civil.daylight_to_utc_s = utc_of(to.value, civil.utc_offset_s + 3600);
        if (civil.daylight_to_utc_s <= civil.daylight_from_utc_s) {
          reading.error("E0608", to.at, "daylight saving ends before it begins",
                        "`to` must be later than `from`");
        }
      }
      saving.finish();
    }
  }
  table.finish();
}

void read_structure(Reading& reading, const Value& root) {
  Table table = table_of(reading, root, "house");
  Structure& s = reading.house.structure;
  const auto length = table.quantity("length");
  const auto width = table.quantity("width");
  const auto eave = table.quantity("eave_height");
  const auto ridge = table.quantity("ridge_height");
  s.length_m = length.value;
  s.width_m = width.value;
  s.eave_height_m = eave.value;
  s.ridge_height_m = ridge.value;
  for (const char* key : {"length", "width", "eave_height", "ridge_height"}) {
    reading.places[fmt::format("house.{}", key)] = table.key_span(key);
  }
  reading.house_good = length.good && width.good && eave.good && ridge.good;
  if (eave.good && ridge.good && eave.value > ridge.value) {
    reading.house_good = false;
    Problem& p = reading.error(
        "E0401", eave.at,
        fmt::format("the eaves ({}) are above the ridge ({})", eave.typed, ridge.typed),
        "swapped?");
    p.second = Second{ridge.at, "the ridge"};
  }
  s.orientation_rad = table.quantity("faces").value;

  const auto cover = table.choice("cover");
  const char* word = cover.good ? cover.typed.c_str() : nullptr;
  s.cover = {
      .solar_transmittance_fraction = table.quantity("solar_transmittance", word).value,
      .conductance_W_per_m2_K = table.quantity("conductance", word).value,
      .longwave_transmittance_fraction = table.quantity("longwave_transmittance", word).value,
      .heat_capacity_J_per_m2_K = table.quantity("cover_heat_capacity", word).value,
      .condensate_capacity_kg_per_m2 = table.quantity("condensate_capacity", word).value};
  s.shade.transmittance_fraction = 1.0 - table.quantity("shade_cloth").value;
  s.shade.drawn_by = read_thermostat(table, reading, "shade_on_above", "shade_off_below");
  s.leakage_air_changes_per_h = table.quantity("leakage").value * 3600.0;

  const auto floor = table.choice("floor");
  word = floor.good ? floor.typed.c_str() : nullptr;
  s.floor_absorptance_fraction = table.quantity("floor_absorptance", word).value;
  s.floor_heat_capacity_J_per_m2_K = table.quantity("floor_heat_capacity", word).value;
  s.floor_ground_conductance_W_per_m2_K = table.quantity("floor_conductance", word).value;
  s.floor_wet_fraction = table.quantity("floor_wet_share", word).value;
  s.ground_temperature_K = table.quantity("ground_temperature").value;
  table.finish();
}

void read_benches(Reading& reading, const Value& root) {
  Names names("bench");
  std::vector<Span> places;
  bool good = true;
  for_each_table(reading, root, "bench", [&](Table& table) {
    const auto name = table.text("name");
    const auto x = table.quantity("x");
    const auto y = table.quantity("y");
    const auto length = table.quantity("length");
    const auto width = table.quantity("width");
    const auto height = table.quantity("height");
    const auto skirt = table.quantity("skirt");
    names.add(reading, name.value, name.at);
    places.push_back(table.has("name") ? name.at : table.at());
    good = good && x.good && y.good && length.good && width.good && height.good;
    reading.house.benches.push_back(
        {name.value, x.value, y.value, length.value, width.value, height.value, skirt.value});
    check_headroom(reading, reading.house.benches.back(), height);
    check_skirt(reading, reading.house.benches.back(), skirt);
  });
  if (good) check_benches(reading, places);
  if (!root.find("bench")) {
    reading.error("E0201", Span{root.at.source, 0, 0, 1}, "the house has no bench",
                  "add [[bench]] with name, x, y, length and width");
  }
}

void read_medium_and_crop(Reading& reading, const Value& root) {
  const std::string group = read_crop(reading, root);
  read_medium(reading, root, group);
}

}  // namespace mistwright::scenario
