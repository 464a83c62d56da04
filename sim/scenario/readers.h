#pragma once
// The readers, one for each part of a scenario. Each fills its part of the house and collects
// problems.
#include <cstdint>

#include "sim/scenario/reading.h"

namespace mistwright::scenario {

void read_site(Reading& reading, const Value& root);
void read_structure(Reading& reading, const Value& root);
void read_benches(Reading& reading, const Value& root);
void read_medium_and_crop(Reading& reading, const Value& root);
/// Head types; returns their names in the house's order.
Names read_head_types(Reading& reading, const Value& root);
/// What a head type asks for besides water, its boom, and where its values come from.
/// @param own  the head type as this scenario writes it, without the file that it names
void read_head_needs(Table& table, Reading& reading, water::HeadType& type, const Value& own);
/// Warns when no launch at the head's pressure wets the stated diameter.
void warn_of_throw(Reading& reading, const water::HeadType& type, const Span& diameter_at);
/// Reports a head type that cannot stand on a pipe: one that travels or is held in a hand.
/// @return whether it can stand
bool can_stand(Reading& reading, const Got<std::string>& named, const water::HeadType& type);
/// Supply, nodes, pipes, valves, rows and heads. Returns the valves' names.
Names read_water(Reading& reading, const Value& root);
void read_clocks(Reading& reading, const Value& root, const Names& valves);
void read_air(Reading& reading, const Value& root);
void read_span(Reading& reading, const Value& root);
void read_weather(Reading& reading, const Value& root);
void read_recording_and_numerics(Reading& reading, const Value& root);

/// A pair of falling curves' points: first coordinate rising, second falling. Reports what is not.
std::vector<std::pair<double, double>> read_curve(Table& table, Reading& reading, const char* key,
                                                  Kind pressure, const char* name);

/// The switch of a fan, a vent or the shade cloth; none when neither key is there.
std::optional<control::Thermostat> read_thermostat(Table& table, Reading& reading, const char* on,
                                                   const char* off);

/// What a vent's discharge coefficient may depend on besides its keys.
struct VentShape {
  std::string name;
  double width_to_tall_ratio = 1.0;
};

/// `discharge_coefficient` as written; left out, what `kind` and `angle` give (noted as assumed),
/// or the default where no kind is named.
double read_discharge_coefficient(Table& table, Reading& reading, const VentShape& vent);

/// Seconds since 1970-01-01T00:00Z of a wall-clock moment taken at an offset from UTC.
std::int64_t utc_of(const WrittenTime& moment, std::int64_t utc_offset_s);

/// "2025-06-03 14:00" of an instant at an offset from UTC.
std::string stamp(std::int64_t utc_s, std::int64_t utc_offset_s);

/// Opens a file named in a scenario: inside the scenario's folder only. Reports why not.
std::shared_ptr<const SourceText> open_beside(Reading& reading, const Got<std::string>& name,
                                              std::size_t most_bytes);

}  // namespace mistwright::scenario
