// What moving things would bring, for Python: the same runs and numbers as `mistwright move`.
#include <pybind11/numpy.h>
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include "bindings/python/core.h"
#include "bindings/python/watch.h"
#include "sim/study/placement_words.h"

namespace py = pybind11;

namespace mistwright::python {
namespace {

py::object result_of(const study::MoveResult& result) {
  return ours("mistwright._move", "MoveResult")(
      py::arg("mean_dry_s") = result.mean_dry_s, py::arg("worst_dry_s") = result.worst.dry_s,
      py::arg("worst_place") = result.worst.words,
      py::arg("passing_fraction") = result.passing_fraction, py::arg("water_kg") = result.water_kg,
      py::arg("lowest_pressure_Pa") = result.lowest_pressure_Pa,
      py::arg("starved") = result.starved);
}

py::object row_of(const study::MoveTable& table, const study::MoveRow& row) {
  return ours("mistwright._move", "MoveRow")(
      py::arg("kind") = study::word(row.kind), py::arg("words") = row.words,
      py::arg("effect") = study::word(table.effect(row)), py::arg("result") = result_of(row.result),
      py::arg("mean_gain_s") = row.mean_gain_s, py::arg("worst_gain_s") = row.worst_gain_s);
}

/// Places of an even grid in the order [y][x].
py::object influence_of(const study::Influence& influence) {
  const auto line = [](const std::vector<double>& values) {
    return py::array_t<double>(static_cast<py::ssize_t>(values.size()), values.data());
  };
  const auto plan = [&](const std::vector<double>& values) {
    return line(values).reshape({static_cast<py::ssize_t>(influence.y_m.size()),
                                 static_cast<py::ssize_t>(influence.x_m.size())});
  };
  return ours("mistwright._move", "Influence")(
      py::arg("air") = influence.air, py::arg("height_m") = influence.height_m,
      py::arg("misplaced_fraction") = influence.misplaced_fraction,
      py::arg("x_m") = line(influence.x_m), py::arg("y_m") = line(influence.y_m),
      py::arg("let_go_fraction") = plan(influence.let_go_fraction),
      py::arg("thrown_fraction") = plan(influence.thrown_fraction));
}

py::object move_table(const Described& described, int threads, const py::object& progress,
                      const py::object& store) {
  const std::shared_ptr<const House> house = described.house;
  study::Options options;
  options.threads = checked_threads(threads);
  options.version = MISTWRIGHT_VERSION;
  options.store = store_of(store);
  study::MoveTable table = simulate(progress, [&](const study::Progress& tell) {
    return study::move_table(*house, options, tell);
  });
  py::list rows;
  for (const study::MoveRow& row : table.rows) rows.append(row_of(table, row));
  const std::string words = study::move_words(table), findings = study::move_findings(table),
                    picture = study::move_picture(table);
  return ours("mistwright._move", "MoveTable")(
      py::arg("house_name") = table.house_name, py::arg("as_is") = result_of(table.as_is),
      py::arg("rows") = py::tuple(rows), py::arg("left_out") = py::tuple(py::cast(table.left_out)),
      py::arg("mean_noise_s") = table.mean_noise_s, py::arg("worst_noise_s") = table.worst_noise_s,
      py::arg("findings") = findings, py::arg("words") = words, py::arg("picture") = picture,
      py::arg("influence") = influence_of(table.influence),
      py::arg("record") = std::make_shared<Results>(std::move(table.record)));
}

}  // namespace

void add_move_table(py::module_& module) {
  module.def("move_table", &move_table, py::arg("house"), py::kw_only(), py::arg("threads") = 1,
             py::arg("progress") = py::none(), py::arg("store") = py::ellipsis(),
             R"(move_table(house, *, threads=1, progress=None, store=...)
--

What it would bring to move a head, raise or lower them all, turn a fan, hang a skirt or add one
more head: what `mistwright move` prints, as a MoveTable. Every row is a run of its own, set beside
the house as it is.

house: what to run. threads: how many share the work; results do not depend on it. progress:
called with the share done, 0 to 1, and what is being done, about five times a second; an
exception in it stops the work, as Ctrl-C does. Other Python threads go on meanwhile. store: as
for Engine.run().
Raises EngineError and AuditError as Engine.run() does.

>>> quick = {"span.start": "2025-06-03T11:00:00", "span.length": "1 h",
...          "numerics.parcels_per_class": 50, "numerics.flow_cell": "0.4 m",
...          "numerics.bench_cell": "0.3 m", "numerics.size_classes": 12}
>>> table = move_table(Scenario.load(demo).change(quick).house(), threads=2)
>>> sorted({row.kind for row in table} - {"skirt"})
['fan', 'head', 'heights', 'one more']
>>> {row.effect for row in table} <= {"gain", "cannot tell", "harm"}
True
)");
}

}  // namespace mistwright::python
