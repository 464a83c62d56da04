#pragma once
// The page's one style sheet and one script. The policy in the page's head admits them by their
// digests.
#include <string_view>

namespace mistwright::report {

extern const std::string_view page_css;
extern const std::string_view page_script;

}  // namespace mistwright::report
