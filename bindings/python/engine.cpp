// Engine for Python, and the module itself.
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>
//
#include "bindings/python/core.h"
#include "bindings/python/watch.h"
#include "sim/record/field_files.h"

namespace py = pybind11;

namespace mistwright::python {
namespace {

struct Machine {
  Described described;
  int threads = 1;

  [[nodiscard]] std::shared_ptr<Results> run(bool neighbours, const py::object& progress,
                                             const py::object& store) const {
    const std::shared_ptr<const House> house = described.house;
    study::Options options;
    options.threads = threads;
    options.neighbours = neighbours;
    options.version = MISTWRIGHT_VERSION;
    options.store = store_of(store);
    return simulate(progress, [&](const study::Progress& tell) {
      return std::make_shared<Results>(study::answer(*house, options, tell).record);
    });
  }
};

}  // namespace

std::shared_ptr<FieldStore> store_of(const py::object& store) {
  if (store.is_none()) return {};
  const bool usual = store.is(py::ellipsis());
  const auto folder = usual ? record::usual_field_folder() : path_text(store);
  if (!folder) return {};
  try {
    return std::make_shared<record::FieldFiles>(*folder);
  } catch (const record::FileError& error) {
    if (!usual) raise("RecordError", error.what());
    const std::string words = error.problem + ": " + error.path + "; airflow is not kept";
    if (PyErr_WarnEx(PyExc_RuntimeWarning, words.c_str(), 1) != 0) throw py::error_already_set();
    return {};
  }
}

void add_engine(py::module_& module) {
  py::class_<Machine>(module, "Engine", plain_type(), py::is_final(),
                      R"(Carries a house through its span of time.

>>> quick = {"span.length": "1 h", "numerics.parcels_per_class": 50, "numerics.flow_cell": "0.4 m"}
>>> record = Engine(Scenario.load(demo).change(quick).house()).run()
>>> record.attributes["title"]
'Community garden hoop house'
)")
      .def(py::init([](const Described& house, int threads) {
             return Machine{house, checked_threads(threads)};
           }),
           py::arg("house"), py::kw_only(), py::arg("threads") = 1,
           R"(__init__(self, house, *, threads=1)
--

house: what to run. threads: how many share the work; results do not depend on it.
)")
      .def_property_readonly(
          "house", [](const Machine& m) { return m.described; }, "What is run.")
      .def_readonly("threads", &Machine::threads, "How many threads share the work.")
      .def("run", &Machine::run, py::kw_only(), py::arg("neighbours") = false,
           py::arg("progress") = py::none(), py::arg("store") = py::ellipsis(),
           R"(run(self, *, neighbours=False, progress=None, store=...)
--

Runs the house to its end. Other Python threads go on meanwhile; Ctrl-C stops it.

neighbours: run the house with single things changed too, for a verdict that says what would
help most; takes some seven times as long. progress: called with the share done, 0 to 1, and
what is being done, about five times a second; an exception in it stops the run. store: the folder
in which airflow is kept between runs, None for none; left out, as the program has it. Results do
not depend on it.
Raises EngineError when the run cannot go on, AuditError when its balances do not close:
both are faults of the program.
)")
      .def("__repr__",
           [](const Machine& m) {
             return "<Engine for " + m.described.house->name + ", threads " +
                    std::to_string(m.threads) + ">";
           })
      .def(py::pickle([](const Machine& m) { return py::make_tuple(m.described, m.threads); },
                      [](const py::tuple& t) {
                        return Machine{t[0].cast<Described>(), t[1].cast<int>()};
                      }));
}

}  // namespace mistwright::python

PYBIND11_MODULE(_core, module) {
  py::options options;
  options.disable_function_signatures();
  module.doc() = "The compiled half of mistwright; use the names of the package.";
  module.attr("__version__") = MISTWRIGHT_VERSION;
  mistwright::python::add_scenario(module);
  mistwright::python::add_house(module);
  mistwright::python::add_record(module);
  mistwright::python::add_report(module);
  mistwright::python::add_engine(module);
  mistwright::python::add_shade_table(module);
  mistwright::python::add_move_table(module);
  mistwright::python::add_catch_cups(module);
}
