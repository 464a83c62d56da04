#pragma once
// A run's results in memory, as the file holds them: groups of variables over named dimensions.
// Recorder fills it, the HDF5 writer and reader carry it to disk and back, report and study read
// it.
#include <cstdint>
#include <map>
#include <string>
#include <variant>
#include <vector>

namespace mistwright::record {

/// A named axis of a group. Its coordinate variable has the same name.
struct Dimension {
  std::string name;
  std::size_t size = 0;
};

/// Values over dimensions, row-major, SI, with the attributes that make them readable elsewhere
/// (CF).
struct Variable {
  std::string name, long_name, units;  ///< units: UDUNITS text, "1" for pure numbers
  std::vector<std::string> dimensions;
  std::vector<double> values;      ///< stored as 64-bit floats, or whole numbers if `whole`
  bool whole = false;              ///< stored as int64 (times in microseconds, indices, flags)
  std::string standard_name = {};  ///< only names of the CF table
  std::string cell_methods = {};
  std::vector<std::string> flag_meanings = {};  ///< words for the values 0, 1, 2, ... of a category
  std::map<std::string, std::string> attributes = {};
};

struct Group {
  std::string name;
  std::vector<Dimension> dimensions;
  std::vector<Variable> variables;  ///< coordinates first
  std::map<std::string, std::string> attributes = {};

  [[nodiscard]] const Variable& variable(
      const std::string& wanted) const;  ///< @throws std::out_of_range
  [[nodiscard]] const Variable* find(const std::string& wanted) const;
};

struct Record {
  std::map<std::string, std::string> attributes;  ///< of the root: Conventions, title, source, ...
  std::vector<Group> groups;

  [[nodiscard]] const Group& group(const std::string& wanted) const;  ///< @throws std::out_of_range
  [[nodiscard]] const Group* find(const std::string& wanted) const;
};

}  // namespace mistwright::record
