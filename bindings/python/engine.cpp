// Engine for Python: a run beside Python's other threads, which can be watched and interrupted; and
// the module itself.
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>
//
#include <chrono>
#include <exception>

#include "bindings/python/core.h"
#include "models/contracts.h"
#include "sim/engine/engine.h"
#include "sim/study/answer.h"

namespace py = pybind11;

namespace mistwright::python {
namespace {

/// Stands between the engine, which runs without Python's lock, and Python: tells the progress and
/// looks for an interrupt, five times a second.
class Watch {
 public:
  explicit Watch(py::object progress) : progress_(std::move(progress)) {}

  bool operator()(double share, const std::string& doing) {
    const auto now = std::chrono::steady_clock::now();
    if (told_ && now - last_ < std::chrono::milliseconds(200)) return true;
    told_ = true;
    last_ = now;
    const py::gil_scoped_acquire lock;
    try {
      if (PyErr_CheckSignals() != 0) throw py::error_already_set();
      if (!progress_.is_none()) progress_(share, doing);
    } catch (py::error_already_set&) {
      error_ = std::current_exception();
      return false;
    }
    return true;
  }

  /// Throws again what stopped the run. Needs Python's lock.
  void rethrow() const {
    if (error_) std::rethrow_exception(error_);
  }

 private:
  py::object progress_;
  std::exception_ptr error_;
  std::chrono::steady_clock::time_point last_;
  bool told_ = false;
};

struct Machine {
  Described described;
  int threads = 1;

  [[nodiscard]] std::shared_ptr<Results> run(bool neighbours, const py::object& progress) const {
    const std::shared_ptr<const House> house = described.house;
    study::Options options;
    options.threads = threads;
    options.neighbours = neighbours;
    options.version = MISTWRIGHT_VERSION;
    Watch watch(progress);
    std::shared_ptr<Results> results;
    try {
      const py::gil_scoped_release free;
      results = std::make_shared<Results>(
          study::answer(*house, options, [&watch](double share, const std::string& doing) {
            return watch(share, doing);
          }).record);
    } catch (const study::Stopped&) {
      watch.rethrow();
      throw;
    } catch (const study::AuditError& error) {
      raise("AuditError", error.what());
    } catch (const engine::EngineError& error) {
      raise("EngineError", error.what());
    } catch (const ContractError& error) {
      raise("EngineError", error.what());
    } catch (const RangeError& error) {
      raise("EngineError", error.what());
    }
    if (PyErr_CheckSignals() != 0) throw py::error_already_set();
    if (!progress.is_none()) progress(1.0, "done");
    return results;
  }
};

}  // namespace

void add_engine(py::module_& module) {
  py::class_<Machine>(module, "Engine", plain_type(), py::is_final(),
                      R"(Carries a house through its span of time.

>>> quick = {"span.length": "1 h", "numerics.parcels_per_class": 50, "numerics.flow_cell": "0.4 m"}
>>> record = Engine(Scenario.load(demo).change(quick).house()).run()
>>> record.attributes["title"]
'Community garden hoop house'
)")
      .def(py::init([](const Described& house, int threads) {
             if (threads < 1 || threads > 1024) throw py::value_error("threads is from 1 to 1024");
             return Machine{house, threads};
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
           py::arg("progress") = py::none(),
           R"(run(self, *, neighbours=False, progress=None)
--

Runs the house to its end. Other Python threads go on meanwhile; Ctrl-C stops it.

neighbours: run the house with single things changed too, for a verdict that says what would
help most; takes some seven times as long. progress: called with the share done, 0 to 1, and
what is being done, about five times a second; an exception in it stops the run.
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
}
