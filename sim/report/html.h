#pragma once
// The few shapes of which the page is made. All words given here are escaped; pictures are not.
#include <string>
#include <string_view>
#include <vector>

namespace mistwright::report {

struct DataTable {
  std::string caption;
  std::vector<std::string> headings;
  std::vector<std::vector<std::string>> rows;  ///< the first cell of a row is its heading
  std::string in_short = {};  ///< the numbers in one line, shown under the picture; may be empty
};

[[nodiscard]] std::string html_table(const DataTable& table);

/// The table behind its caption, to unfold; nothing when it has no rows.
[[nodiscard]] std::string unfolding(const DataTable& table);

/// A picture, the sentence that says what it shows, its numbers in short, and all of them to
/// unfold.
[[nodiscard]] std::string figure(std::string_view picture, std::string_view caption,
                                 const DataTable& numbers, std::string_view css_class = "");

[[nodiscard]] std::string section(std::string_view id, std::string_view heading,
                                  std::string_view content);

[[nodiscard]] std::string paragraph(std::string_view words);

/// Words of the verdict in the page's letters: degC to the sign of degrees, m2 to m with its
/// square.
[[nodiscard]] std::string typeset(const std::string& words);

}  // namespace mistwright::report
