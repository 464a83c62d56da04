#pragma once
// Published tables kept as CSV in tests/reference: comment lines begin with '#', then one header
// line.
#include <fstream>
#include <map>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

namespace mistwright::test {

/// One row of a published table, cells by column name.
class Row {
 public:
  explicit Row(std::map<std::string, std::string> cells) : cells_(std::move(cells)) {}
  [[nodiscard]] const std::string& text(const std::string& column) const {
    const auto it = cells_.find(column);
    if (it == cells_.end()) throw std::runtime_error("no column " + column);
    return it->second;
  }
  [[nodiscard]] bool empty(const std::string& column) const { return text(column).empty(); }
  [[nodiscard]] double number(const std::string& column) const { return std::stod(text(column)); }

 private:
  std::map<std::string, std::string> cells_;
};

inline std::vector<std::string> split(const std::string& line) {
  std::vector<std::string> cells;
  std::stringstream stream(line);
  for (std::string cell; std::getline(stream, cell, ',');) cells.push_back(cell);
  if (!line.empty() && line.back() == ',') cells.emplace_back();
  return cells;
}

/// Reads tests/reference/NAME.
inline std::vector<Row> table(const std::string& name) {
  const std::string path = std::string(MISTWRIGHT_REFERENCE_DIR) + "/" + name;
  std::ifstream file(path);
  if (!file) throw std::runtime_error("cannot open " + path);
  std::vector<std::string> header;
  std::vector<Row> rows;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line[0] == '#') continue;
    const auto cells = split(line);
    if (header.empty()) {
      header = cells;
      continue;
    }
    std::map<std::string, std::string> row;
    for (std::size_t i = 0; i < header.size(); ++i)
      row[header[i]] = i < cells.size() ? cells[i] : "";
    rows.emplace_back(std::move(row));
  }
  return rows;
}

}  // namespace mistwright::test
