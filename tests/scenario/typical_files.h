#pragma once
// Typical-year files for tests: eight July days as published (TMY3) and converted (EPW), and a
// house beside them; lines are edited and read again from a folder of their own.
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "sim/scenario/read.h"
#include "tests/support/text.h"

namespace mistwright::test {

namespace fs = std::filesystem;

using Lines = std::vector<std::string>;

/// Lines without their ends.
inline Lines lines_of(const std::string& text) {
  Lines lines;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    const bool carriage = end > at && text[end - 1] == '\r';
    lines.push_back(text.substr(at, end - at - (carriage ? 1 : 0)));
    at = end + 1;
  }
  return lines;
}

inline std::string joined(const Lines& lines, const std::string& end = "\n") {
  std::string text;
  for (const auto& line : lines) text += line + end;
  return text;
}

inline Lines tmy3_july() {
  return lines_of(text_of(fs::path(MISTWRIGHT_REFERENCE_DIR) / "weather" / "tmy3_723170_july.csv"));
}
inline Lines epw_july() {
  return lines_of(text_of(fs::path(MISTWRIGHT_REFERENCE_DIR) / "weather" / "epw_723170_july.epw"));
}

/// Cell `index` of a line, from 0, replaced.
inline std::string with_cell(const std::string& line, std::size_t index, const std::string& cell) {
  std::size_t start = 0;
  for (std::size_t i = 0; i < index; ++i) start = line.find(',', start) + 1;
  const std::size_t end = std::min(line.find(',', start), line.size());
  return line.substr(0, start) + cell + line.substr(end);
}

/// The same change of one cell in the lines `from` to `to`, numbered from 1.
inline Lines with_cells(Lines lines, std::size_t from, std::size_t to, std::size_t index,
                        const std::string& cell) {
  for (std::size_t n = from; n <= to; ++n) lines[n - 1] = with_cell(lines[n - 1], index, cell);
  return lines;
}

inline std::string cell_of(const std::string& line, std::size_t index) {
  std::size_t start = 0;
  for (std::size_t i = 0; i < index; ++i) start = line.find(',', start) + 1;
  return line.substr(start, line.find(',', start) - start);
}

/// A scenario beside a weather file of this name and content, read.
inline scenario::ReadResult read_with(const std::string& name, const std::string& content,
                                      std::vector<std::string> settings) {
  const fs::path before = fs::current_path();
  const fs::path folder = fs::temp_directory_path() / ("mistwright_" + name);
  fs::create_directories(folder);
  fs::current_path(folder);
  std::ofstream(name, std::ios::binary) << content;
  settings.insert(settings.begin(), "weather.file=" + name);
  auto result = scenario::read_text(
      text_of(fs::path(MISTWRIGHT_SOURCE_DIR) / "tests" / "input" / "typical_year" / "house.toml"),
      "house.toml", ".", settings);
  fs::current_path(before);
  fs::remove_all(folder);
  return result;
}

}  // namespace mistwright::test
