#pragma once
// A record made fit for others to read: what the CF conventions (1.10, sections 2 to 4) ask of
// names, dimensions, coordinates, units and times, completed where it can be and checked where it
// cannot.
#include <string>

#include "sim/record/record.h"

namespace mistwright::record {

/// The layout's number. A reader refuses a higher one.
inline constexpr int schema_version = 1;

/// Adds what a record may leave out: `Conventions`, a counting coordinate for each dimension
/// without one, `calendar` and `axis` of times, `axis` of x, y and z.
/// @throws ContractError  a name CF forbids or two alike but for case; values that do not fill
/// their
///         dimensions; a variable without units or long name; a fraction among whole numbers; a
///         flag without its meaning
[[nodiscard]] Record conforming(Record record);

/// Number of values that the dimensions of a variable hold.
[[nodiscard]] std::size_t value_count(const Group& group, const Variable& variable);

/// SHA-256 over the content that a computation decides: of each variable, in the order of their
/// paths, the path, the kind of number, the sizes and the values. Attributes (times of writing,
/// versions) are left out, so that the same run on another day has the same digest.
[[nodiscard]] std::string content_sha256(const Record& record);

}  // namespace mistwright::record
