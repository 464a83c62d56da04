// The first half of the data path for Python: Scenario and House.
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>
//
#include <map>

#include "bindings/python/core.h"
#include "sim/house/plan.h"
#include "sim/scenario/source.h"

namespace py = pybind11;

namespace mistwright::python {
namespace {

py::object problem_of(const scenario::Problem& problem) {
  const std::string key = problem.at.source
                              ? ours("mistwright._errors", "key_at")(
                                    problem.at.source->text, problem.at.line, problem.at.column)
                                    .cast<std::string>()
                              : std::string();
  return ours("mistwright._errors", "Problem")(
      py::arg("severity") = problem.severity == scenario::Severity::Error ? "error" : "warning",
      py::arg("code") = problem.code, py::arg("file") = problem.at.file(),
      py::arg("line") = problem.at.line,
      py::arg("column") = problem.at.line > 0 ? problem.at.column : 0, py::arg("key") = key,
      py::arg("problem") = problem.message, py::arg("suggestion") = problem.help,
      py::arg("text") = scenario::render(problem));
}

[[noreturn]] void raise_problems(const std::vector<scenario::Problem>& problems) {
  py::list list;
  for (const scenario::Problem& problem : problems) list.append(problem_of(problem));
  std::string text = scenario::render(problems);
  while (text.ends_with('\n')) text.pop_back();
  const py::object kind = ours("mistwright._errors", "ScenarioError");
  PyErr_SetObject(kind.ptr(), kind(text, py::tuple(list)).ptr());
  throw py::error_already_set();
}

Described house_of(const Scenario& given) {
  scenario::ReadResult result;
  {
    const py::gil_scoped_release free;
    result = given.read();
  }
  if (!result.house) raise_problems(result.problems);
  return {given, std::make_shared<const House>(*std::move(result.house))};
}

Scenario load(const py::object& given) {
  const auto path = ours("os", "fspath")(given).cast<std::string>();
  const scenario::Loaded loaded = scenario::load(path);
  if (!loaded.source) raise_problems(loaded.problems);
  std::string folder = path.substr(0, path.find_last_of('/') + 1);
  if (folder.empty()) folder = ".";
  return {loaded.source->text, path, folder, {}};
}

Scenario change(const Scenario& before, const py::object& changes, const py::kwargs& more) {
  Scenario after = before;
  const py::object setting = ours("mistwright._settings", "setting");
  const auto lay_over = [&](const py::dict& dict) {
    for (const auto& [key, value] : dict)
      after.settings.push_back(setting(key, value).cast<std::string>());
  };
  if (!changes.is_none()) lay_over(py::dict(changes));
  lay_over(more);
  return after;
}

py::tuple assumed_of(const House& house) {
  py::list list;
  for (const Assumed& a : house.assumed)
    list.append(ours("mistwright._errors", "Assumed")(a.key, a.value, a.low, a.high, a.evidence,
                                                      a.meaning));
  return py::tuple(list);
}

py::tuple problems_of(const Scenario& scenario) {
  const scenario::ReadResult result = scenario.read();
  py::list list;
  for (const scenario::Problem& problem : result.problems) list.append(problem_of(problem));
  if (result.house)
    for (const py::handle assumed : assumed_of(*result.house))
      list.append(assumed.attr("problem")(scenario.name));
  return py::tuple(list);
}

template <class Item>
py::tuple names_of(const std::vector<Item>& items) {
  py::list list;
  for (const Item& item : items) list.append(item.name);
  return py::tuple(list);
}

}  // namespace

scenario::ReadResult Scenario::read() const {
  scenario::ReadResult result = scenario::read_text(text, name, folder, settings);
  // The command line calls a laid-over setting by its option; here it is a change.
  std::map<const scenario::SourceText*, std::shared_ptr<const scenario::SourceText>> renamed;
  const auto rename = [&](scenario::Span& at) {
    if (!at.source || at.source->name != "--set") return;
    auto& source = renamed[at.source.get()];
    if (!source) source = std::make_shared<scenario::SourceText>("change", at.source->text);
    at.source = source;
  };
  for (scenario::Problem& problem : result.problems) {
    rename(problem.at);
    if (problem.second) rename(problem.second->at);
    if (problem.fix) rename(problem.fix->at);
  }
  return result;
}

void add_scenario(py::module_& module) {
  py::class_<Scenario>(module, "Scenario", plain_type(), py::is_final(),
                       R"(A house described in text, as in a scenario file.

Nothing is checked before house() or problems() is called. A scenario never changes: change()
gives a new one.

>>> scenario = Scenario.load(demo).change({"house.shade_cloth": "30 %"})
>>> scenario.house().name
'Community garden hoop house'
)")
      .def_static("load", &load, py::arg("path"), R"(load(path)
--

Reads a scenario file.

path: the file; its folder is where the files that it names are looked for.
Raises ScenarioError when the file cannot be read.
)")
      .def_static(
          "from_text",
          [](const std::string& text, const std::string& name, const std::string& folder) {
            return Scenario{text, name, folder, {}};
          },
          py::arg("text"), py::kw_only(), py::arg("name") = "scenario.toml",
          py::arg("folder") = ".", R"(from_text(text, *, name='scenario.toml', folder='.')
--

A scenario from text in memory.

name: what messages call it. folder: where files that it names are looked for.
)")
      .def("change", &change, py::arg("changes") = py::none(),
           R"(change(self, changes=None, **more)
--

A new scenario with settings laid over this one.

changes, more: dotted keys, as the program's --set takes them, and values. Quantities are text
with units ("30 %", "6 s"); numbers, True and False, dates, times and lists may be Python's
own. Items of lists of tables go by their names ("fan.exhaust.on_above").

>>> Scenario.load(demo).change({"fan.exhaust.on_above": "30 degC"}, **{"span.length": "2 h"}).changes
('fan.exhaust.on_above=30 degC', 'span.length=2 h')
)")
      .def("house", &house_of, R"(house(self)
--

The checked house.

Raises ScenarioError with every problem of the text.
)")
      .def("problems", &problems_of, R"(problems(self)
--

Errors and warnings, and every value that was assumed because the text does not give it.

>>> {problem.severity for problem in Scenario.load(demo).problems()}
{'assumed'}
)")
      .def_readonly("text", &Scenario::text, "The text as read, without changes.")
      .def_readonly("name", &Scenario::name, "What messages call it.")
      .def_readonly("folder", &Scenario::folder, "Where files that it names are looked for.")
      .def_property_readonly(
          "changes", [](const Scenario& s) { return py::tuple(py::cast(s.settings)); },
          "The settings laid over the text, as KEY=VALUE.")
      .def("__eq__",
           [](const Scenario& a, const py::object& other) -> py::object {
             if (!py::isinstance<Scenario>(other))
               return py::reinterpret_borrow<py::object>(Py_NotImplemented);
             const auto& b = other.cast<const Scenario&>();
             return py::bool_(a.text == b.text && a.name == b.name && a.folder == b.folder &&
                              a.settings == b.settings);
           })
      .def("__hash__",
           [](const Scenario& s) {
             return py::hash(
                 py::make_tuple(s.text, s.name, s.folder, py::tuple(py::cast(s.settings))));
           })
      .def("__repr__",
           [](const Scenario& s) {
             const std::string changes =
                 s.settings.empty() ? ""
                                    : " with " + std::to_string(s.settings.size()) + " changes";
             return "<Scenario " + s.name + changes + ">";
           })
      .def(py::pickle(
          [](const Scenario& s) { return py::make_tuple(s.text, s.name, s.folder, s.settings); },
          [](const py::tuple& t) {
            return Scenario{t[0].cast<std::string>(), t[1].cast<std::string>(),
                            t[2].cast<std::string>(), t[3].cast<std::vector<std::string>>()};
          }));
}

void add_house(py::module_& module) {
  const auto number = [](double Structure::*member) {
    return [member](const Described& d) { return d.house->structure.*member; };
  };
  py::class_<Described>(module, "House", plain_type(), py::is_final(),
                        R"(A house that is described whole and checked; lengths in metres.

>>> house = Scenario.load(demo).house()
>>> house.length_m, house.width_m, house.benches
(7.2, 3.6, ('east', 'west'))
)")
      .def_property_readonly(
          "name", [](const Described& d) { return d.house->name; }, "What the house is called.")
      .def_property_readonly(
          "note", [](const Described& d) { return d.house->note; },
          "What a reader should know of the data.")
      .def_property_readonly("length_m", number(&Structure::length_m),
                             "Inside length [m], from the front wall to the back wall.")
      .def_property_readonly("width_m", number(&Structure::width_m), "Inside width [m].")
      .def_property_readonly("eave_height_m", number(&Structure::eave_height_m),
                             "Height of the upright sides [m].")
      .def_property_readonly("ridge_height_m", number(&Structure::ridge_height_m),
                             "Greatest height [m].")
      .def_property_readonly(
          "span_s", [](const Described& d) { return seconds(d.house->span); },
          "Length of the run [s].")
      .def_property_readonly(
          "benches", [](const Described& d) { return names_of(d.house->benches); },
          "Names of the benches.")
      .def_property_readonly(
          "bench_area_m2", [](const Described& d) { return d.house->bench_area_m2(); },
          "Area of all benches [m2].")
      .def_property_readonly(
          "heads", [](const Described& d) { return names_of(d.house->heads); },
          "Names of the heads.")
      .def_property_readonly(
          "head_types", [](const Described& d) { return names_of(d.house->head_types); },
          "Names of the head types.")
      .def_property_readonly(
          "valves", [](const Described& d) { return names_of(d.house->network.valves); },
          "Names of the valves, each with its zone.")
      .def_property_readonly(
          "fans", [](const Described& d) { return names_of(d.house->fans); }, "Names of the fans.")
      .def_property_readonly(
          "vents", [](const Described& d) { return names_of(d.house->openings); },
          "Names of vents, louvres and doors.")
      .def_property_readonly(
          "leaves", [](const Described& d) { return make_plan(*d.house).leaves.count(); },
          "Number of leaves, counted by laying the house out.")
      .def_property_readonly(
          "assumed", [](const Described& d) { return assumed_of(*d.house); },
          "Every value used that the scenario does not give.")
      .def_property_readonly(
          "scenario", [](const Described& d) { return d.scenario; },
          "The scenario that describes it.")
      .def("__repr__",
           [](const Described& d) {
             return "<House " + d.house->name + ": " + std::to_string(d.house->benches.size()) +
                    " benches, " + std::to_string(d.house->heads.size()) + " heads>";
           })
      .def(py::pickle([](const Described& d) { return py::make_tuple(d.scenario); },
                      [](const py::tuple& t) { return house_of(t[0].cast<Scenario>()); }));
}

}  // namespace mistwright::python
