#pragma once
// What the parts of the Python module share. Include pybind11 before this header.
#include <filesystem>
#include <memory>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "sim/house/field_store.h"
#include "sim/house/house.h"
#include "sim/record/file_error.h"
#include "sim/record/record.h"
#include "sim/scenario/read.h"

namespace mistwright::python {

/// Something of one of the package's own files.
[[nodiscard]] inline pybind11::object ours(const char* module, const char* name) {
  return pybind11::module_::import(module).attr(name);
}

/// Classes of the module are plain types: what the stubs say of them is then all there is to say.
[[nodiscard]] inline pybind11::metaclass plain_type() {
  return pybind11::metaclass(reinterpret_cast<PyObject*>(&PyType_Type));
}

/// Raises one of the exceptions of mistwright._errors.
[[noreturn]] inline void raise(const char* type, const std::string& text) {
  const pybind11::object kind = ours("mistwright._errors", type);
  PyErr_SetObject(kind.ptr(), kind(text).ptr());
  throw pybind11::error_already_set();
}

/// A scenario's text, what it is called, where its files are, and what was laid over it.
struct Scenario {
  std::string text, name, folder;
  std::vector<std::string> settings;

  /// Problems within a laid-over setting name it "change".
  [[nodiscard]] scenario::ReadResult read() const;
};

/// The house with the scenario that it came from.
struct Described {
  Scenario scenario;
  std::shared_ptr<const House> house;
};

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

/// A picture of the benches under the verdict's first sentence, for notebooks.
/// @throws std::out_of_range  when these are no run's results
[[nodiscard]] std::string picture_of(const record::Record& record);

/// Does something that needs a run's results; raises RecordError when these are none.
template <class Work>
std::string of_run(const Work& work) {
  try {
    return work();
  } catch (const std::out_of_range& missing) {
    raise("RecordError", std::string("these are no run's results: ") + missing.what());
  }
}

/// A path given as text or as a path object.
[[nodiscard]] inline std::string path_text(const pybind11::object& path) {
  return ours("os", "fspath")(path).cast<std::string>();
}

/// Does something with files, without Python's lock, and gives their errors to Python.
template <class Work>
auto with_files(const Work& work) {
  try {
    const pybind11::gil_scoped_release free;
    return work();
  } catch (const record::FileError& error) {
    raise("RecordError", error.what());
  }
}

/// Raises RecordExistsError rather than replace a file.
inline void refuse_to_replace(const std::string& path, bool overwrite) {
  if (!overwrite && std::filesystem::exists(std::filesystem::symlink_status(path)))
    raise("RecordExistsError",
          path + ": this file exists. Choose another name, or allow overwrite=True");
}

/// The store of airflow that Python's `store` asks for: a path, None for none, or left out
/// (Ellipsis) for the program's. Raises RecordError when a path cannot be used; the program's is
/// then left out with a RuntimeWarning.
[[nodiscard]] std::shared_ptr<FieldStore> store_of(const pybind11::object& store);

void add_scenario(pybind11::module_& module);
void add_house(pybind11::module_& module);
void add_engine(pybind11::module_& module);
void add_record(pybind11::module_& module);
void add_report(pybind11::module_& module);
void add_shade_table(pybind11::module_& module);
void add_move_table(pybind11::module_& module);
void add_catch_cups(pybind11::module_& module);

}  // namespace mistwright::python
