#pragma once
// The report: one HTML file that needs nothing else and sends nothing anywhere.
#include <string>

#include "sim/record/record.h"

namespace mistwright::report {

/// @param record as written or as read back; the layout's groups series, bench, leaves, heads,
/// water are
///        needed, the others are shown when present
/// @param verdict_text as made by verdict()
/// @throws std::out_of_range when a group or variable of the layout is missing
[[nodiscard]] std::string page(const record::Record& record, const std::string& verdict_text);

}  // namespace mistwright::report
