#pragma once
// What the two halves of the Python module share. Include pybind11 before this header.
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "sim/record/record.h"

namespace pybind11 {
class module_;
}

namespace mistwright::python {

/// A record as Python sees it: complete, with its digest, and never changed again, so that arrays
/// may look straight into it.
class Results {
 public:
  explicit Results(record::Record record);

  [[nodiscard]] const record::Record& record() const { return record_; }
  [[nodiscard]] const std::string& digest() const { return digest_; }

  /// A variable by its path, such as "bench/dry_time"; nulls if there is none.
  [[nodiscard]] std::pair<const record::Group*, const record::Variable*> find(
      const std::string& path) const;
  [[nodiscard]] std::vector<std::string> paths() const;

 private:
  record::Record record_;
  std::string digest_;
};

/// The verdict that the run left in its record, or one made from the record's numbers.
[[nodiscard]] std::string verdict_of(const record::Record& record);

/// Adds Variable, Record and Report.
void add_record(pybind11::module_& module);

}  // namespace mistwright::python
