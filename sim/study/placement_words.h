#pragma once
// What `mistwright move` prints: what helps, what does not, what harms, and how sure that is.
#include <string>

#include "sim/study/placement.h"

namespace mistwright::study {

/// As programs read it.
[[nodiscard]] const char* word(MoveKind kind);
[[nodiscard]] const char* word(Effect effect);

/// The best change in a sentence, or that none of them helps.
[[nodiscard]] std::string move_findings(const MoveTable& table);

[[nodiscard]] std::string move_words(const MoveTable& table);

/// The influence map over the plan of the house, with the driest tenth of the benches, the worst
/// place and the three best changes: the text of an SVG file.
[[nodiscard]] std::string move_picture(const MoveTable& table);

}  // namespace mistwright::study
