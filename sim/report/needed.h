#pragma once
// What the report needs of a record: checked before any of it is read, so that a file of someone
// else's making, sound as HDF5, ends in a sentence.
#include "sim/record/record.h"

namespace mistwright::report {

/// @throws std::out_of_range naming the group or variable that is missing, empty, or along other
/// axes than
///         the layout says
void expect_needed(const record::Record& record);

}  // namespace mistwright::report
