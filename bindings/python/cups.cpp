// Catch cups for Python: where they stand, what they should hold, and what to make of what was read
// in them, as `mistwright cans` says it.
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>
//
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "bindings/python/core.h"
#include "bindings/python/watch.h"
#include "sim/scenario/cup_readings.h"
#include "sim/study/cup_words.h"

namespace py = pybind11;

namespace mistwright::python {
namespace {

/// The plan of one house's cups, with the house that judges what is read in them.
struct Cups {
  std::shared_ptr<const House> house;
  study::CupPlan plan;

  [[nodiscard]] const study::CupTable& table(bool fans_on) const {
    if (fans_on && plan.tables.size() < 2) throw py::value_error("this house has no fan");
    return plan.tables[fans_on ? 1 : 0];
  }
};

py::object even_of(const droplet::Evenness& even) {
  return ours("mistwright._cups", "Evenness")(
      py::arg("mean_m") = even.mean_number, py::arg("christiansen_ratio") = even.christiansen_ratio,
      py::arg("low_quarter_ratio") = even.low_quarter_ratio,
      py::arg("variation_ratio") = even.variation_ratio,
      py::arg("driest_tenth_ratio") = even.driest_tenth_ratio);
}

py::object catch_of(const study::CupCatch& one) {
  return ours("mistwright._cups", "CupCatch")(py::arg("depth_m") = one.depth_m,
                                              py::arg("low_m") = one.low_m,
                                              py::arg("high_m") = one.high_m);
}

py::tuple places(const Cups& cups) {
  py::list out;
  for (const study::Cup& cup : cups.plan.cups)
    out.append(ours("mistwright._cups", "Cup")(
        py::arg("name") = cup.name, py::arg("bench") = cups.house->benches[cup.bench].name,
        py::arg("along_m") = cup.along_m, py::arg("across_m") = cup.across_m));
  return out;
}

py::dict expected(const Cups& cups, bool fans_on) {
  const study::CupTable& table = cups.table(fans_on);
  py::dict out;
  for (std::size_t c = 0; c < cups.plan.cups.size(); ++c)
    out[py::str(cups.plan.cups[c].name)] = catch_of(table.cups[c]);
  return out;
}

py::dict evenness(const Cups& cups, bool fans_on) {
  const study::CupTable& table = cups.table(fans_on);
  py::dict out;
  for (std::size_t g = 0; g < cups.plan.grids.size(); ++g)
    out[py::str(cups.house->benches[cups.plan.grids[g].bench].name)] = even_of(table.of_benches[g]);
  return out;
}

std::vector<study::CupAmount> amounts_of(const Cups& cups,
                                         const std::map<std::string, double>& readings_mL) {
  const auto& places = cups.plan.cups;
  std::vector<study::CupAmount> amounts;
  for (const auto& [name, volume_mL] : readings_mL) {
    const auto found = std::find_if(places.begin(), places.end(),
                                    [&, &called = name](auto& cup) { return cup.name == called; });
    if (found == places.end())
      throw py::value_error(fmt::format("there is no cup `{}`; the first is `{}`, the last `{}`",
                                        name, places.front().name, places.back().name));
    const double depth_m = 1e-6 * volume_mL / cups.plan.mouth_m2();
    if (!(depth_m >= 0.0 && depth_m <= scenario::deepest_cup_m))
      throw py::value_error(fmt::format("cup `{}` cannot hold {} mL", name, volume_mL));
    amounts.push_back({static_cast<std::size_t>(found - places.begin()), depth_m});
  }
  if (amounts.empty()) throw py::value_error("no cup was read");
  return amounts;
}

py::object judge(const Cups& cups, const std::map<std::string, double>& readings_mL, bool fans_on) {
  const study::CupTable& table = cups.table(fans_on);
  const study::Judgement judged =
      study::judge_cups(*cups.house, cups.plan, table, amounts_of(cups, readings_mL));
  py::list low, high, missing;
  for (const auto& row : judged.rows)
    if (row.side_number != 0)
      (row.side_number < 0 ? low : high).append(cups.plan.cups[row.cup].name);
  for (const std::size_t cup : judged.missing) missing.append(cups.plan.cups[cup].name);
  return ours("mistwright._cups", "CupJudgement")(
      py::arg("measured") = even_of(judged.measured),
      py::arg("expected") = even_of(judged.expected), py::arg("total_ratio") = judged.total_ratio,
      py::arg("too_little") = py::tuple(low), py::arg("too_much") = py::tuple(high),
      py::arg("missing") = py::tuple(missing), py::arg("hints") = py::tuple(py::cast(judged.hints)),
      py::arg("words") = study::judgement_words(*cups.house, cups.plan, table, judged));
}

study::CupsChoice choice_of(const House& house, int count, double diameter_m,
                            std::optional<int> bursts, const std::optional<std::string>& bench) {
  study::CupsChoice choice;
  if (count < study::fewest_cups || count > study::most_cups)
    throw py::value_error(
        fmt::format("cups is from {} to {} a bench", study::fewest_cups, study::most_cups));
  if (!(diameter_m >= study::narrowest_mouth_m && diameter_m <= study::widest_mouth_m))
    throw py::value_error(fmt::format("diameter_m is from {} to {}", study::narrowest_mouth_m,
                                      study::widest_mouth_m));
  if (bursts && (*bursts < 1 || *bursts > study::most_asked_bursts))
    throw py::value_error(fmt::format("bursts is from 1 to {}", study::most_asked_bursts));
  choice.cups = count;
  choice.diameter_m = diameter_m;
  choice.bursts = bursts;
  if (!bench) return choice;
  for (std::size_t b = 0; b < house.benches.size(); ++b)
    if (house.benches[b].name == *bench) choice.bench = b;
  if (!choice.bench)
    throw py::value_error(fmt::format("there is no bench `{}` in this house", *bench));
  return choice;
}

Cups catch_cups(const Described& described, int count, double diameter_m, std::optional<int> bursts,
                const std::optional<std::string>& bench, int threads, const py::object& progress,
                const py::object& store) {
  const study::CupsChoice choice = choice_of(*described.house, count, diameter_m, bursts, bench);
  try {
    (void)study::place_cups(*described.house, choice);
  } catch (const std::invalid_argument& error) {
    throw py::value_error(error.what());
  }
  study::Options options;
  options.threads = checked_threads(threads);
  options.version = MISTWRIGHT_VERSION;
  options.store = store_of(store);
  return {described.house, simulate(progress, [&](const study::Progress& tell) {
            return study::catch_cups(*described.house, choice, options, tell);
          })};
}

}  // namespace

void add_catch_cups(py::module_& module) {
  py::class_<Cups>(
      module, "CatchCups", plain_type(), py::is_final(),
      R"(Where cups stand on the benches and what each should hold; see catch_cups().)")
      .def_property_readonly("cups", &places, "A Cup each, by rows, in the order of the benches.")
      .def_property_readonly(
          "bursts", [](const Cups& cups) { return cups.plan.bursts; }, "Of each zone.")
      .def_property_readonly(
          "mouth_m2", [](const Cups& cups) { return cups.plan.mouth_m2(); },
          "Area of a cup's mouth [m2]: turns volumes into depths.")
      .def_property_readonly(
          "worth_reading", [](const Cups& cups) { return cups.plan.worth_reading; },
          "Whether the low quarter of the cups holds enough to be read well.")
      .def_property_readonly(
          "noise_ratio", [](const Cups& cups) { return cups.plan.noise_ratio; },
          "Noise of one cup of middling catch by the draws of drops [1].")
      .def_property_readonly(
          "words", [](const Cups& cups) { return study::cup_plan_words(*cups.house, cups.plan); },
          "All of it as the program prints it: how to do it, and how to keep clear of the spray.")
      .def("expected", &expected, py::kw_only(), py::arg("fans_on") = false,
           R"(expected(self, *, fans_on=False)
--

What each cup should hold after all bursts, by its name: a CupCatch.
Raises ValueError for fans in a house that has none.
)")
      .def("evenness", &evenness, py::kw_only(), py::arg("fans_on") = false,
           R"(evenness(self, *, fans_on=False)
--

How even the whole area of each bench gets its water in a burst, by the bench's name: an Evenness.
Raises ValueError for fans in a house that has none.
)")
      .def("judge", &judge, py::arg("readings_mL"), py::kw_only(), py::arg("fans_on") = false,
           R"(judge(self, readings_mL, *, fans_on=False)
--

What to make of the volumes read in cups, by their names: a CupJudgement.
Raises ValueError for a name that no cup has, an amount that no cup holds, or no reading.
)")
      .def("__len__", [](const Cups& cups) { return cups.plan.cups.size(); })
      .def("__str__",
           [](const Cups& cups) { return study::cup_plan_words(*cups.house, cups.plan); })
      .def("__repr__", [](const Cups& cups) {
        return fmt::format("<CatchCups: {} for {} bursts>", cups.plan.cups.size(),
                           cups.plan.bursts);
      });
  module.def(
      "catch_cups", &catch_cups, py::arg("house"), py::kw_only(), py::arg("cups") = 24,
      py::arg("diameter_m") = 0.08, py::arg("bursts") = py::none(), py::arg("bench") = py::none(),
      py::arg("threads") = 1, py::arg("progress") = py::none(), py::arg("store") = py::ellipsis(),
      R"(catch_cups(house, *, cups=24, diameter_m=0.08, bursts=None, bench=None, threads=1, progress=None, store=...)
--

Where to stand cups on the benches, how many bursts to run and what each should then hold: what
`mistwright cans` prints, as CatchCups, which judge readings too.

cups: on each bench, 4 to 400; as near as a grid allows. diameter_m [m]: of a cup's mouth, 0.02 to
0.5. bursts: of each zone; left out, as many as make the readings good. bench: the name of the only
one with cups. threads, progress, store: as for shade_table().
Raises ValueError when cups are too wide for that many on a bench, EngineError and AuditError.

>>> quick = {"numerics.airflow": "jets", "numerics.parcels_per_class": 50,
...          "numerics.bench_cell": "0.3 m", "numerics.size_classes": 12}
>>> cups = catch_cups(Scenario.load(demo).change(quick).house(), cups=6, bursts=30)
>>> cups.cups[0].name, len(cups)
('A1', 12)
>>> held = {name: 1e6 * cups.mouth_m2 * cup.depth_m for name, cup in cups.expected().items()}
>>> round(cups.judge(held).total_ratio, 6)
1.0
)");
}

}  // namespace mistwright::python
