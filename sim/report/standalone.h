#pragma once
// One picture as a file of its own: a page's picture (svg.h) with the ink, the paper and the name
// space that the page would give it.
#include <string>

namespace mistwright::report {

/// @param svg    what Svg::finish() gave
/// @param title  for whoever opens the file
[[nodiscard]] std::string standalone(const std::string& svg, const std::string& title);

}  // namespace mistwright::report
