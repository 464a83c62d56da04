// The table of shade and vents for Python: the same runs, numbers and choice as `mistwright shade`.
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>
//
#include <map>

#include "bindings/python/core.h"
#include "bindings/python/watch.h"
#include "sim/study/shade_table.h"

namespace py = pybind11;

namespace mistwright::python {
namespace {

py::object row_of(const study::ShadeRow& row) {
  return ours("mistwright._shade", "ShadeRow")(
      py::arg("shade_fraction") = row.shade_fraction, py::arg("air") = row.air,
      py::arg("shut") = row.shut, py::arg("hottest_air_K") = row.hottest_air_K,
      py::arg("hottest_hour_h") = row.hottest_hour_h,
      py::arg("hottest_leaf_K") = row.hottest_leaf_K, py::arg("wet_bulb_K") = row.wet_bulb_K,
      py::arg("driest_air_Pa") = row.driest_air_Pa,
      py::arg("light_mol_per_m2") = row.light_mol_per_m2, py::arg("mean_dry_s") = row.mean_dry_s,
      py::arg("worst_dry_s") = row.worst_dry_s, py::arg("water_kg") = row.water_kg,
      py::arg("air_changes_per_h") = row.air_changes_per_h);
}

py::object shade_table(const Described& described, int threads, bool keep_records,
                       const py::object& progress, const py::object& store) {
  const std::shared_ptr<const House> house = described.house;
  study::Options options;
  options.threads = checked_threads(threads);
  options.version = MISTWRIGHT_VERSION;
  options.store = store_of(store);
  std::map<std::size_t, std::shared_ptr<Results>> kept;
  study::KeepRecord keep;
  if (keep_records) {
    keep = [&kept](std::size_t row, record::Record record) {
      kept[row] = std::make_shared<Results>(std::move(record));
    };
  }
  const study::ShadeTable table = simulate(progress, [&](const study::Progress& tell) {
    return study::shade_table(*house, options, tell, keep);
  });
  const study::ShadeRow* best_row = study::best_row(table, options.thresholds);
  py::list rows, records;
  py::object best = py::none();
  for (const study::ShadeRow& row : table.rows) {
    rows.append(row_of(row));
    if (&row == best_row) best = rows[rows.size() - 1];
  }
  for (const auto& [row, results] : kept) records.append(results);
  return ours("mistwright._shade", "ShadeTable")(
      py::arg("house_name") = table.house_name, py::arg("rows") = py::tuple(rows),
      py::arg("best") = best,
      py::arg("hottest_leaf_limit_K") = options.thresholds.hottest_leaf_K.yes,
      py::arg("least_light_mol_per_m2") = study::least_light_mol_per_m2,
      py::arg("most_light_mol_per_m2") = study::most_light_mol_per_m2,
      py::arg("part_of_day_s") = table.part_of_day_s,
      py::arg("findings") = study::findings(table, options.thresholds),
      py::arg("words") = study::shade_words(table, options.thresholds),
      py::arg("records") = py::tuple(records));
}

}  // namespace

void add_shade_table(py::module_& module) {
  module.def("shade_table", &shade_table, py::arg("house"), py::kw_only(), py::arg("threads") = 1,
             py::arg("keep_records") = false, py::arg("progress") = py::none(),
             py::arg("store") = py::ellipsis(),
             R"(shade_table(house, *, threads=1, keep_records=False, progress=None, store=...)
--

The house under four cloths, each with its vents shut, half open and open and with its fans: what
`mistwright shade` prints, as a ShadeTable. Every row is a run of its own.

house: what to run; its own cloth and what opens its vents give way to those of the row. threads:
how many share the work; results do not depend on it. keep_records: keep each row's Record too, in
`records`. progress: called with the share done, 0 to 1, and what is being done, about five times
a second; an exception in it stops the work, as Ctrl-C does. Other Python threads go on meanwhile.
store: as for Engine.run().
Raises EngineError and AuditError as Engine.run() does.

>>> quick = {"span.start": "2025-06-03T11:00:00", "span.length": "1 h",
...          "numerics.parcels_per_class": 50, "numerics.flow_cell": "0.4 m"}
>>> table = shade_table(Scenario.load(demo).change(quick).house())
>>> len(table), table.rows[0].air, table.rows[-1].air
(16, 'vents shut', 'fan above 27 degC')
>>> table.rows[0].hottest_leaf_K > table.rows[-1].hottest_leaf_K
True
>>> table.best in table.rows and not table.best.shut
True
)");
}

}  // namespace mistwright::python
