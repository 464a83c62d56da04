#include <fmt/core.h>

#include <cmath>
#include <filesystem>

#include "models/droplet/drag.h"
#include "models/units.h"
#include "sim/scenario/readers.h"
#include "sim/scenario/source.h"

namespace mistwright::scenario {
namespace {

// Rosin-Rammler with q = 2.5 (tests/reference/rosin_rammler.csv): Dv0.1 and Dv0.9 over Dv0.5.
constexpr double dv10_ratio = 0.4707;
constexpr double dv90_ratio = 1.6164;

/// The middle of what deflector heads are said to give, 100 to 200 um at 250 to 300 kPa (common
/// practice), moved with pressure as drop sizes do; the range takes in fine and coarse heads.
void assume_median(Table& table, Reading& reading, const water::HeadType& type, Got<double>& dv50) {
  if (type.drive != water::Drive::LinePressure) {
    table.missing("dv50");
    return;
  }
  if (!table.has("pressure") || type.rated_pressure_Pa <= 0.0) return;
  constexpr double usual_Pa = 2.8e5, usual_m = 150e-6, low_m = 60e-6, high_m = 300e-6;
  constexpr double exponent = 0.3;  // memory: 0.3 to 0.5
  const double factor = std::pow(type.rated_pressure_Pa / usual_Pa, -exponent);
  dv50.value = factor * usual_m;
  dv50.good = true;
  reading.assume({fmt::format("head_type.dv50 ({})", type.name), rounded(dv50.value, "um"),
                  rounded(factor * low_m, "um"), rounded(factor * high_m, "um"), "common practice",
                  find_key("head_type", "dv50")->help});
}

/// Reads the spectrum and makes sure that the sizes rise.
void read_spectrum(Table& table, Reading& reading, water::HeadType& type) {
  const auto dv10 = table.quantity("dv10");
  auto dv50 = table.quantity("dv50");
  const auto dv90 = table.quantity("dv90");
  if (!dv50.given) assume_median(table, reading, type, dv50);
  type.dv50_m = dv50.value;
  type.dv10_m = dv10.given ? dv10.value : dv10_ratio * dv50.value;
  type.dv90_m = dv90.given ? dv90.value : dv90_ratio * dv50.value;
  const auto note_default = [&](const Got<double>& got, const char* key, double value, double low,
                                double high) {
    if (got.given || !dv50.good) return;
    const auto um = [](double metres) { return rounded(metres, "um"); };
    reading.assume({fmt::format("head_type.{} ({})", key, type.name), um(value), um(low), um(high),
                    "derived", find_key("head_type", key)->help});
  };
  note_default(dv10, "dv10", type.dv10_m, 0.41 * dv50.value, 0.53 * dv50.value);
  note_default(dv90, "dv90", type.dv90_m, 1.4 * dv50.value, 1.9 * dv50.value);
  const auto rise = [&](const Got<double>& small, const char* small_name, const Got<double>& large,
                        const char* large_name, double small_m, double large_m) {
    if (!dv50.good || (small.given && !small.good) || (large.given && !large.good) ||
        small_m < large_m)
      return;
    Problem& p =
        reading.error("E0510", small.given ? small.at : large.at,
                      fmt::format("droplet sizes must rise: {} ({}) is {} {} ({})", small_name,
                                  rounded(small_m, "um"), small_m > large_m ? "above" : "equal to",
                                  large_name, rounded(large_m, "um")),
                      "swapped?");
    if (small.given && large.given) p.second = Second{large.at, large_name};
  };
  rise(dv10, "Dv0.1", dv50, "Dv0.5", type.dv10_m, type.dv50_m);
  rise(dv50, "Dv0.5", dv90, "Dv0.9", type.dv50_m, type.dv90_m);
}

/// x or n; without line pressure behind the drops nothing follows it.
double read_exponent(Table& table, Reading& reading, const water::HeadType& type, const char* key) {
  if (table.has(key) || type.drive == water::Drive::LinePressure) return table.quantity(key).value;
  reading.assume({fmt::format("head_type.{} ({})", key, type.name), "0", "0", "0.1", "our choice",
                  find_key("head_type", key)->help});
  return 0.0;
}

/// A head is rated where it works: flow and sizes at another pressure would not be its own.
void refuse_out_of_range(Reading& reading, const Got<double>& rated, const Got<double>& low,
                         const Got<double>& high) {
  constexpr double same = 1e-9;  // 2.8 bar is 280 kPa
  const bool below = low.given && low.good && rated.value < low.value * (1.0 - same);
  const bool above = high.given && high.good && rated.value > high.value * (1.0 + same);
  if (!rated.good || (!below && !above)) return;
  const std::string range = low.given && high.given ? fmt::format("{} to {}", low.typed, high.typed)
                            : below                 ? fmt::format("{} and more", low.typed)
                                                    : fmt::format("at most {}", high.typed);
  Problem& p = reading.error(
      "E0547", rated.at,
      fmt::format("the rated pressure ({}) lies outside the working range: {}", rated.typed, range),
      "flow and drop sizes are told at a pressure at which the head works");
  p.label = below ? "too small" : "too large";
  p.second = Second{below ? low.at : high.at, "the range ends here"};
}

void read_pressures(Table& table, Reading& reading, water::HeadType& type) {
  const auto rated = table.quantity("pressure");
  const auto spectrum = table.quantity("spectrum_pressure");
  const auto low = table.quantity("working_pressure_low");
  const auto high = table.quantity("working_pressure_high");
  type.rated_pressure_Pa = rated.value;
  type.spectrum_pressure_Pa = spectrum.given ? spectrum.value : rated.value;
  type.working_pressure_low_Pa = low.given ? low.value : 0.7 * rated.value;
  type.working_pressure_high_Pa = high.given ? high.value : 1.5 * rated.value;
  if (!low.given && rated.good) {
    reading.assume({fmt::format("head_type.working_pressure_low ({})", type.name),
                    rounded(type.working_pressure_low_Pa, "kPa"), rounded(0.6 * rated.value, "kPa"),
                    rounded(0.9 * rated.value, "kPa"), "memory", "below it the pattern fails"});
  }
  if (!high.given && rated.good) {
    reading.assume({fmt::format("head_type.working_pressure_high ({})", type.name),
                    rounded(type.working_pressure_high_Pa, "kPa"),
                    rounded(1.2 * rated.value, "kPa"), rounded(2.0 * rated.value, "kPa"), "memory",
                    "above it the head is not rated"});
  }
  if (low.given && high.given && low.good && high.good && low.value >= high.value) {
    reading.error("E0511", low.at, "the lowest working pressure is not below the highest",
                  "swapped?");
  } else {
    refuse_out_of_range(reading, rated, low, high);
  }
  const auto valve = table.flag("check_valve");
  type.check_valve = valve.value;
  if (!valve.value && !table.has("check_opens") && !table.has("check_closes")) return;
  const auto opens = table.quantity("check_opens");
  const auto closes = table.quantity("check_closes");
  type.check_opens_Pa = opens.value;
  type.check_closes_Pa = closes.value;
  if (opens.good && closes.good && closes.value >= opens.value) {
    reading.error("E0512", closes.at,
                  fmt::format("the check valve shuts ({}) at or above where it opens ({})",
                              closes.typed, opens.typed),
                  "swapped?");
  }
}

/// Drops that would break up as they fall, when the sizes are carried to the head's own pressure.
void refuse_giants(Table& table, Reading& reading, const water::HeadType& type) {
  const double dv50_m = water::head_dv50_m(type, type.rated_pressure_Pa);
  if (dv50_m <= droplet::largest_drop_m) return;
  const char* const key = table.has("spectrum_pressure") ? "spectrum_pressure" : "dv50";
  reading.error(
      "E0546", table.key_span(key),
      fmt::format("half of the water of `{}` would be in drops above {} at {}", type.name,
                  rounded(dv50_m, "mm"), rounded(type.rated_pressure_Pa, "bar")),
      fmt::format("drops above {} break up: give sizes at the head's own pressure, or the "
                  "pressure at which they were measured",
                  rounded(droplet::largest_drop_m, "mm")));
}

/// All keys of a head type whose data could be read.
void read_values(Table& table, Reading& reading, water::HeadType& type, const Value& own) {
  const std::size_t before = reading.problems.size();
  type.rated_flow_m3_per_s = table.quantity("flow").value;
  type.drive = static_cast<water::Drive>(table.choice("drive").value);
  read_pressures(table, reading, type);
  type.flow_exponent = read_exponent(table, reading, type, "flow_exponent");
  read_spectrum(table, reading, type);
  type.spectrum_exponent = read_exponent(table, reading, type, "spectrum_exponent");
  const auto launch = table.choice("launch");
  type.launch = static_cast<water::LaunchPattern>(launch.value);
  const auto angle = table.quantity("launch_angle");
  type.launch_angle_rad = angle.value;
  if (angle.good && type.launch != water::LaunchPattern::Disc &&
      !(angle.value > 0.0 && angle.value < 0.5 * pi)) {
    reading.error("E0545", angle.at,
                  fmt::format("a cone's half angle is above 0 and below 90 degree, not {}",
                              rounded(angle.value, "degree")),
                  "half of the angle between its edges");
  }
  const auto diameter = table.quantity("wetted_diameter");
  type.wetted_diameter_m = diameter.value;
  type.wetted_height_m = table.quantity("wetted_height").value;
  const auto evidence = table.choice("evidence");
  type.evidence = evidence.typed;
  read_head_needs(table, reading, type, own);
  table.finish();
  if (!reading.errors_since(before)) refuse_giants(table, reading, type);
  if (!reading.errors_since(before)) warn_of_throw(reading, type, diameter.at);
}

/// The keys of a file of head data; none if it could not be read.
std::optional<Value> read_head_file(Reading& reading, const Got<std::string>& path) {
  const auto opened = open_beside(reading, path, SourceLimits{}.bytes);
  if (!opened) return std::nullopt;
  const auto source = without_mark(opened);
  auto problems = screen(source);
  Parsed file;
  if (problems.empty()) file = parse(source);
  problems.insert(problems.end(), file.problems.begin(), file.problems.end());
  reading.problems.insert(reading.problems.end(), problems.begin(), problems.end());
  if (!problems.empty()) return std::nullopt;
  if (const Entry* again = file.root.find("file")) {
    reading.error("E0112", again->key_at, "a file of head data cannot name another file");
    return std::nullopt;
  }
  // Its form is told as a scenario's is.
  Table(reading, &file.root, "", Span{source, 0, 0, 1}).whole("schema");
  Table(reading, &file.root, "head_type", path.at).finish();
  return std::move(file.root);
}

}  // namespace

std::shared_ptr<const SourceText> open_beside(Reading& reading, const Got<std::string>& name,
                                              std::size_t most_bytes) {
  namespace fs = std::filesystem;
  if (!name.good) return nullptr;
  if (reading.directory.empty()) {
    reading.error("E0110", name.at,
                  fmt::format("`{}` cannot be read: this scenario has no folder", name.value),
                  "put the data in the scenario itself");
    return nullptr;
  }
  std::error_code failed;
  const fs::path folder = fs::weakly_canonical(reading.directory, failed);
  const fs::path wanted = fs::weakly_canonical(fs::path(reading.directory) / name.value, failed);
  const fs::path inside = wanted.lexically_relative(folder);
  if (failed || inside.empty() || *inside.begin() == "..") {
    reading.error("E0111", name.at,
                  fmt::format("`{}` lies outside the scenario's folder", name.value),
                  "copy the file beside the scenario");
    return nullptr;
  }
  reading.files.push_back(wanted.string());
  const fs::path shown = fs::path(reading.directory) / name.value;
  Loaded loaded = load(wanted.string(), most_bytes, shown.lexically_normal().string());
  for (Problem& p : loaded.problems) {
    p.at = name.at;
    p.unreadable = false;
    reading.problems.push_back(std::move(p));
  }
  return loaded.source;
}

Names read_head_types(Reading& reading, const Value& root) {
  Names names("head type");
  const Entry* entry = root.find("head_type");
  if (!entry) return names;
  if (entry->value.type != Value::Type::Table) {
    reading.error("E0203", entry->value.at, "`head_type` must hold tables: write [head_type.NAME]");
    return names;
  }
  for (const Entry& one : entry->value.entries) {
    if (one.value.type != Value::Type::Table) {
      reading.error("E0203", one.key_at,
                    fmt::format("`{}` is not a head type: write [head_type.NAME]", one.key));
      continue;
    }
    Table table(reading, &one.value, "head_type", one.key_at);
    table.whole("schema");
    std::optional<Value> file;
    const bool named = table.has("file");
    if (named) file = read_head_file(reading, table.text("file"));
    if (file) table.fall_back_to(&*file);
    const bool read = !named || file;
    water::HeadType type;
    type.name = one.key;
    names.add(reading, one.key, one.key_at);
    if (!read) {  // its keys are unknown, not missing
      reading.house.head_types.push_back(std::move(type));
      continue;
    }
    read_values(table, reading, type, one.value);
    reading.house.head_types.push_back(std::move(type));
  }
  return names;
}

}  // namespace mistwright::scenario
