#pragma once
// The page's style and script, joined by embed.cmake from browser/ and vendor/ at build time.
#include <string_view>

namespace mistwright::report {

extern const std::string_view page_css;
extern const std::string_view page_script;

}  // namespace mistwright::report
