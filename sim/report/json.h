#pragma once
// The data blocks that the page's script reads. Text in them cannot end the block: what markup is
// made of is written as an escape, and so is what escaped() shows as a code.
#include <string>
#include <string_view>
#include <vector>

namespace mistwright::report {

/// Text in quotes.
[[nodiscard]] std::string json_text(std::string_view text);
/// A number with so many decimals, as short as it can be; null when it is not finite.
[[nodiscard]] std::string json_number(double value, int decimals);
/// "[1,2.5,null]"
[[nodiscard]] std::string json_list(const std::vector<double>& values, int decimals);
[[nodiscard]] std::string json_list(const std::vector<std::string>& texts);
/// A block of data, not run as script: `<script type="application/json" id="...">`.
[[nodiscard]] std::string data_block(std::string_view id, std::string_view json);

}  // namespace mistwright::report
