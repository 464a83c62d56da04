// The second half of the data path for Python: Record and its variables.
#include <pybind11/numpy.h>
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>
//
#include <fmt/core.h>

#include "bindings/python/core.h"
#include "sim/record/conform.h"
#include "sim/record/hdf5_file.h"
#include "sim/report/summary.h"
#include "sim/report/verdict.h"
#include "sim/scenario/reading.h"

namespace py = pybind11;

namespace mistwright::python {

Results::Results(record::Record record) : record_(record::conforming(std::move(record))) {
  digest_ = record::content_sha256(record_);
  // As the file names them.
  record_.attributes["content_sha256"] = digest_;
  record_.attributes["mistwright_schema"] = std::to_string(record::schema_version);
}

std::pair<const record::Group*, const record::Variable*> Results::find(
    const std::string& path) const {
  const std::size_t slash = path.find('/');
  if (slash == std::string::npos) return {};
  const record::Group* group = record_.find(path.substr(0, slash));
  return {group, group == nullptr ? nullptr : group->find(path.substr(slash + 1))};
}

std::vector<std::string> Results::paths() const {
  std::vector<std::string> paths;
  for (const record::Group& group : record_.groups)
    for (const record::Variable& variable : group.variables)
      paths.push_back(group.name + "/" + variable.name);
  return paths;
}

namespace {

/// A variable and the Python object of the record that holds it.
struct Seen {
  py::object owner;
  const record::Group* group = nullptr;
  const record::Variable* variable = nullptr;

  /// Looks into the record; never copies, and cannot be written to.
  [[nodiscard]] py::array values() const {
    std::vector<py::ssize_t> shape;
    for (const std::string& name : variable->dimensions)
      for (const record::Dimension& dimension : group->dimensions)
        if (dimension.name == name) shape.push_back(static_cast<py::ssize_t>(dimension.size));
    static const double nothing = 0.0;
    const double* first = variable->values.empty() ? &nothing : variable->values.data();
    py::array array = py::array_t<double>(shape, first, owner);
    array.attr("setflags")(py::arg("write") = false);
    return array;
  }
};

Seen look(const py::object& self, const std::string& path) {
  const auto& results = self.cast<const Results&>();
  const auto [group, variable] = results.find(path);
  if (variable != nullptr) return {self, group, variable};
  std::vector<std::string> words = results.paths();
  const std::string near = scenario::nearest_word(words, path);
  throw py::key_error(fmt::format(
      "no variable `{}`{}", path,
      near.empty() ? "; a path is GROUP/VARIABLE, see keys()" : "; the nearest is `" + near + "`"));
}

const record::Group& group_of(const Results& results, const std::string& name) {
  const record::Group* found = results.record().find(name);
  if (found != nullptr) return *found;
  std::vector<std::string> words;
  for (const record::Group& group : results.record().groups) words.push_back(group.name);
  const std::string near = scenario::nearest_word(words, name);
  throw py::key_error(
      fmt::format("no group `{}`{}", name, near.empty() ? "" : "; the nearest is `" + near + "`"));
}

void add_variable(py::module_& module) {
  py::class_<Seen>(module, "Variable", plain_type(), py::is_final(),
                   R"(One variable of a record, with what makes it readable.

>>> dry = record.variable("bench/dry_time")
>>> dry.units, dry.dimensions
('s', ('cell',))
)")
      .def_property_readonly(
          "name", [](const Seen& s) { return s.variable->name; }, "Its name within its group.")
      .def_property_readonly(
          "group", [](const Seen& s) { return s.group->name; }, "The name of its group.")
      .def_property_readonly(
          "long_name", [](const Seen& s) { return s.variable->long_name; }, "What it is, in words.")
      .def_property_readonly(
          "units", [](const Seen& s) { return s.variable->units; },
          "Its unit as UDUNITS writes it; \"1\" for pure numbers.")
      .def_property_readonly(
          "standard_name", [](const Seen& s) { return s.variable->standard_name; },
          "Its name in the CF table, or nothing.")
      .def_property_readonly(
          "cell_methods", [](const Seen& s) { return s.variable->cell_methods; },
          "How values were taken, as CF writes it, or nothing.")
      .def_property_readonly(
          "dimensions", [](const Seen& s) { return py::tuple(py::cast(s.variable->dimensions)); },
          "Names of its dimensions.")
      .def_property_readonly(
          "whole", [](const Seen& s) { return s.variable->whole; },
          "Whether it holds whole numbers (times in microseconds, indices, categories).")
      .def_property_readonly(
          "meanings", [](const Seen& s) { return py::tuple(py::cast(s.variable->flag_meanings)); },
          "Words for the values 0, 1, 2, ... of a category.")
      .def_property_readonly(
          "attributes", [](const Seen& s) { return s.variable->attributes; }, "Further attributes.")
      .def_property_readonly(
          "values", [](const Seen& s) { return s.values(); },
          "The values: an array that looks into the record and is read-only.")
      .def("__repr__", [](const Seen& s) {
        std::string axes;
        for (const std::string& name : s.variable->dimensions)
          axes += (axes.empty() ? "" : ", ") + name;
        return fmt::format("<Variable {}/{} ({}) [{}]: {}>", s.group->name, s.variable->name, axes,
                           s.variable->units, s.variable->long_name);
      });
}

}  // namespace

void add_record(py::module_& module) {
  add_variable(module);
  py::class_<Results, std::shared_ptr<Results>>(
      module, "Record", plain_type(), py::is_final(),
      R"(The results of a run: groups of variables, complete and never changed.

A mapping from "GROUP/VARIABLE" to arrays, which look straight into the record: reading one
copies nothing, and none can be written to. SI units throughout.

>>> record["series/air_temperature"].flags.writeable
False
>>> record.variable("series/air_temperature").units
'K'
)")
      .def_static(
          "read",
          [](const py::object& path) {
            const std::string name = path_text(path);
            return with_files([&] { return std::make_shared<Results>(record::read_hdf5(name)); });
          },
          py::arg("path"), R"(read(path)
--

Reads results that write() or the program wrote.

Raises RecordError: missing, damaged, not ours, too new.
)")
      .def(
          "write",
          [](const Results& results, const py::object& path, bool overwrite) {
            const std::string name = path_text(path);
            refuse_to_replace(name, overwrite);
            with_files([&] {
              record::write_hdf5(results.record(), name, overwrite);
              return 0;
            });
          },
          py::arg("path"), py::kw_only(), py::arg("overwrite") = false,
          R"(write(self, path, *, overwrite=False)
--

Writes an HDF5 file with CF attributes; it is whole under its name or does not exist.

Raises RecordExistsError (a FileExistsError) when it exists and overwrite is not set, RecordError
when it cannot be written.
)")
      .def_property_readonly(
          "verdict",
          [](const Results& r) { return of_run([&] { return report::kept_verdict(r.record()); }); },
          "The answer in plain words.")
      .def_property_readonly(
          "attributes", [](const Results& r) { return r.record().attributes; },
          "Attributes of the whole: title, source, history, content_sha256, ...")
      .def_property_readonly(
          "groups",
          [](const Results& r) {
            py::list names;
            for (const record::Group& group : r.record().groups) names.append(group.name);
            return py::tuple(names);
          },
          "Names of the groups.")
      .def(
          "group_attributes",
          [](const Results& r, const std::string& group) { return group_of(r, group).attributes; },
          py::arg("group"),
          R"(group_attributes(self, group)
--

Attributes of one group, such as "provenance" or "house".

>>> record.group_attributes("provenance")["threads"]
'1'
)")
      .def(
          "variables",
          [](const py::object& self, const std::string& name) {
            const record::Group& group = group_of(self.cast<const Results&>(), name);
            py::list list;
            for (const record::Variable& variable : group.variables)
              list.append(Seen{self, &group, &variable});
            return py::tuple(list);
          },
          py::arg("group"), R"(variables(self, group)
--

The variables of one group, coordinates first.

>>> [variable.name for variable in record.variables("air")][:3]
['time', 'air_y', 'air_x']
)")
      .def(
          "variable",
          [](const py::object& self, const std::string& path) { return look(self, path); },
          py::arg("path"), R"(variable(self, path)
--

A variable with its units, long name and dimensions.

path: "GROUP/VARIABLE". Raises KeyError with the nearest path.
)")
      .def("keys", &Results::paths, R"(keys(self)
--

Paths of all variables.
)")
      .def(
          "clock_hours",
          [](const Results& r, const std::string& path) {
            const auto [group, variable] = r.find(path);
            if (variable == nullptr || !variable->units.starts_with("microseconds since "))
              throw py::key_error("no time `" + path + "`");
            const std::vector<double> hours = report::local_hours(r.record(), *variable);
            return py::array_t<double>(static_cast<py::ssize_t>(hours.size()), hours.data());
          },
          py::arg("path") = "series/time", R"(clock_hours(self, path='series/time')
--

A time variable as hours of the day by the wall clock [h].

>>> hours = record.clock_hours()
>>> float(hours[0]), float(hours[-1])
(11.0, 13.0)
)")
      .def(
          "to_xarray",
          [](const py::object& self, const std::string& group) {
            return py::module_::import("mistwright._xarray").attr("dataset")(self, group);
          },
          py::arg("group") = "bench", R"(to_xarray(self, group='bench')
--

A group as an xarray.Dataset with coordinates and attributes, as xarray itself opens the file.

Raises ImportError when xarray is not installed.
)")
      .def(
          "__getitem__",
          [](const py::object& self, const std::string& path) { return look(self, path).values(); },
          py::arg("path"))
      .def(
          "__contains__",
          [](const Results& r, const py::object& path) {
            return py::isinstance<py::str>(path) &&
                   r.find(path.cast<std::string>()).second != nullptr;
          },
          py::arg("path"))
      .def("__iter__", [](const Results& r) { return py::iter(py::cast(r.paths())); })
      .def("__len__", [](const Results& r) { return r.paths().size(); })
      .def("__eq__",
           [](const Results& r, const py::object& other) -> py::object {
             if (!py::isinstance<Results>(other))
               return py::reinterpret_borrow<py::object>(Py_NotImplemented);
             return py::bool_(r.digest() == other.cast<const Results&>().digest());
           })
      .def("__hash__", [](const Results& r) { return py::hash(py::str(r.digest())); })
      .def("__repr__",
           [](const Results& r) {
             const auto title = r.record().attributes.find("title");
             return fmt::format("<Record {}: {} groups, {} variables>",
                                title == r.record().attributes.end() ? "" : title->second,
                                r.record().groups.size(), r.paths().size());
           })
      .def("_repr_html_",
           [](const Results& r) { return of_run([&] { return picture_of(r.record()); }); })
      .def("_ipython_key_completions_", &Results::paths)
      .def(py::pickle(
          [](const Results& r) {
            std::string image;
            {
              const py::gil_scoped_release free;
              image = record::hdf5_image(r.record());
            }
            return py::make_tuple(py::bytes(image));
          },
          [](const py::tuple& t) {
            const auto image = t[0].cast<std::string>();
            return with_files([&] {
              return std::make_shared<Results>(record::from_hdf5_image(image, "pickle"));
            });
          }));
}

}  // namespace mistwright::python
