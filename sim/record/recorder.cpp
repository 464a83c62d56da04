#include "sim/record/recorder.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/record/columns.h"
#include "sim/record/house_group.h"
#include "sim/record/regime_air.h"
#include "sim/record/sha256.h"

namespace mistwright::record {

namespace {

Group series_group(HouseRun& run) {
  const Frames& frames = run.frames();
  Group group{
      .name = "series", .dimensions = {{"time", frames.series_time_us.size()}}, .variables = {}};
  Columns columns(group);
  add_time(columns, run, "time", frames.series_time_us);
  const auto& names = series_columns();
  for (std::size_t i = 0; i < names.size(); ++i) {
    Variable& variable =
        columns.add(names[i].name, names[i].long_name, names[i].units, {"time"}, frames.series[i]);
    variable.standard_name = names[i].standard_name;
    variable.cell_methods = "time: point";
  }
  return group;
}

Group air_group(HouseRun& run) {
  const Frames& frames = run.frames();
  const flow::AirCells& air = run.plan().air;
  Group group{
      .name = "air",
      .dimensions = {{"time", frames.series_time_us.size()}, {"air_y", air.ny}, {"air_x", air.nx}},
      .variables = {}};
  Columns columns(group);
  add_time(columns, run, "time", frames.series_time_us);
  columns.add("air_y", "centre of the air cell across the house", "m", {"air_y"},
              made(air.ny, [&](std::size_t j) { return air.y_m[j * air.nx]; }));
  columns.add("air_x", "centre of the air cell along the house", "m", {"air_x"},
              made(air.nx, [&](std::size_t i) { return air.x_m[i]; }));
  columns
      .add("air_temperature", "air temperature", "K", {"time", "air_y", "air_x"},
           frames.cell_temperature_K)
      .standard_name = "air_temperature";
  columns
      .add("humidity_ratio", "water vapour per mass of dry air", "1", {"time", "air_y", "air_x"},
           frames.cell_humidity)
      .standard_name = "humidity_mixing_ratio";
  columns.add("vapour_pressure_deficit", "vapour pressure deficit", "Pa",
              {"time", "air_y", "air_x"}, frames.cell_deficit_Pa);
  return group;
}

Group events_group(HouseRun& run) {
  const auto& notes = run.frames().notes;
  Group group{.name = "events", .dimensions = {{"event", notes.size()}}, .variables = {}};
  Columns columns(group);
  columns.whole("event", "number of the event", {"event"}, counting(notes.size()));
  Variable& time =
      columns.whole("event_time", "time", {"event"}, made(notes.size(), [&](std::size_t i) {
                      return static_cast<double>(notes[i].time.time_since_epoch().count());
                    }));
  time.units = "microseconds since " + utc_text(run.house().civil.start_utc_s);
  const auto kind = [](const Frames::Note& note) {
    if (note.part == water_part) return note.kind == WaterPart::Open ? 0.0 : 1.0;
    return note.part == devices_part ? 2.0 : 3.0;
  };
  columns.whole(
      "kind", "what happened", {"event"},
      made(notes.size(), [&](std::size_t i) { return kind(notes[i]); }),
      {"burst_told", "valve_shut", "fan_vent_or_shade_switched", "drying_turned_to_dew_or_back"});
  columns.add("value", "burst: seconds told; switching: fans that run after it", "1", {"event"},
              made(notes.size(), [&](std::size_t i) { return notes[i].first; }));
  const DeviceState start = DeviceState::from_key(
      run.shared().slots.front(), run.house().fans.size(), run.house().openings.size());
  const auto on = [](const std::vector<std::uint8_t>& states) {
    return fmt::format("{}", std::count(states.begin(), states.end(), 1));
  };
  group.attributes["fans_running_at_start"] = on(start.fan_on);
  group.attributes["openings_open_at_start"] = on(start.opening_open);
  columns.whole("openings_open", "openings that stand open after a switching, else 0", {"event"},
                made(notes.size(), [&](std::size_t i) {
                  return notes[i].part == devices_part ? notes[i].second : 0.0;
                }));
  columns.whole("valve", "valve of a burst, else 0", {"event"},
                made(notes.size(), [&](std::size_t i) {
                  return notes[i].part == water_part ? notes[i].second : 0.0;
                }));
  return group;
}

Group audit_group(HouseRun& run) {
  const auto& balances = run.frames().balances;
  Group group{.name = "audit", .dimensions = {{"line", balances.size()}}, .variables = {}};
  Columns columns(group);
  std::vector<std::string> names;
  names.reserve(balances.size());
  for (const auto& balance : balances) names.push_back(balance.name);
  columns.whole("line", "balance", {"line"}, counting(balances.size()), names);
  const auto of = [&](const std::function<double(const engine::Balance&)>& value) {
    return made(balances.size(), [&](std::size_t i) { return value(balances[i]); });
  };
  columns.whole(
      "quantity", "what is counted", {"line"}, of([](const engine::Balance& b) {
        return b.units == "J" ? 1.0 : b.name.find("vapour") != std::string::npos ? 2.0 : 0.0;
      }),
      {"water", "energy", "vapour"});
  // Kilograms for water and vapour, joules for heat, as `quantity` says: one column cannot name
  // both.
  columns.add("inflow", "came in, kg or J", "1", {"line"},
              of([](const auto& b) { return b.inflow; }));
  columns.add("outflow", "went out, kg or J", "1", {"line"},
              of([](const auto& b) { return b.outflow; }));
  columns.add("stored_change", "held more than at the start, kg or J", "1", {"line"},
              of([](const auto& b) { return b.stored_change; }));
  columns.add("residual", "what does not close, kg or J", "1", {"line"},
              of([](const auto& b) { return b.residual(); }));
  columns.add("relative", "residual over in, out and held", "1", {"line"},
              of([](const auto& b) { return b.relative_residual(); }));
  return group;
}

Group flow_group(HouseRun& run, const Regime& regime, std::size_t number, const RegimeAir& air) {
  const flow::RegimeField& field = regime.field;
  const flow::Grid& grid = field.grid;
  Group group{.name = fmt::format("flow_{}", number),
              .dimensions = {{"z", grid.nz}, {"y", grid.ny}, {"x", grid.nx}},
              .variables = {}};
  double volume = 0.0;
  for (const double v : run.plan().air.volume_m3) volume += v;
  group.attributes = {
      {"regime", regime.words},
      {"regime_key", fmt::format("{}", regime.key)},
      {"total_flow_m3_per_s", fmt::format("{}", regime.nominal_inflow_m3_per_s)},
      {"air_changes", fmt::format("{}", regime.nominal_inflow_m3_per_s * 3600.0 / volume)}};
  const auto& misted = run.water().ledger().misted_s;
  group.attributes["misted_s"] =
      fmt::format("{}", number < misted.size() ? misted[number].value() : 0.0);
  Columns columns(group);
  columns.add("z", "centre of the cell above the floor", "m", {"z"},
              made(grid.nz, [&](std::size_t k) { return grid.z_centre_m(k); }));
  columns.add("y", "centre of the cell across the house", "m", {"y"},
              made(grid.ny, [&](std::size_t j) { return grid.y_centre_m(j); }));
  columns.add("x", "centre of the cell along the house", "m", {"x"},
              made(grid.nx, [&](std::size_t i) { return grid.x_centre_m(i); }));
  const auto add = [&](const char* name, const char* meaning, double flow::AirSample::*part) {
    columns.add(name, meaning, "m s-1", {"z", "y", "x"}, made(grid.cells(), [&](std::size_t c) {
                  return grid.fluid[c] == 0 ? std::nan("") : field.in_cell(c).*part;
                }));
  };
  add("u", "air speed along the house", &flow::AirSample::u_m_per_s);
  add("v", "air speed across the house", &flow::AirSample::v_m_per_s);
  add("w", "air speed upwards", &flow::AirSample::w_m_per_s);
  add("sigma", "turbulent speed, each component", &flow::AirSample::sigma_m_per_s);
  add_regime_air(group, grid, air);
  return group;
}

Group provenance_group(HouseRun& run, const Provenance& provenance) {
  Group group{.name = "provenance", .dimensions = {}, .variables = {}};
  const House& house = run.house();
  group.attributes = {
      {"version", provenance.version},
      {"compiler", provenance.compiler},
      {"started", provenance.started},
      {"ended", provenance.ended},
      {"wall_seconds", fmt::format("{:.3f}", provenance.wall_seconds)},
      {"threads", fmt::format("{}", provenance.threads)},
      {"seed", fmt::format("{}", house.numerics.seed)},
      {"house_name", house.name},
      {"note", house.note},
      {"weather", house.weather.source},
      {"scenario_path", house.source.path},
      {"scenario_text", house.source.text},
      {"scenario_sha256", sha256(house.source.text)},
      {"events", fmt::format("{}", run.engine().events())},
      {"bursts", fmt::format("{}", run.water().bursts())},
      {"air_stretches", fmt::format("{}", run.shared().stretch_number)},
      {"local_offset_s", fmt::format("{}", house.civil.offset_s(house.civil.start_utc_s))},
      {"worst_audit_relative", fmt::format("{:.3e}", run.frames().worst_audit_fraction)},
      {"representatives", fmt::format("{}", run.shared().representatives.depth_m.size())},
      {"dense_spray_last_correction",
       fmt::format("{:.3e}", run.water().ledger().worst_dense_correction_fraction)},
      {"deposit_noise", fmt::format("{:.3e}", run.water().ledger().worst_deposit_noise_ratio)},
      {"assumed", assumed_text(house.assumed)}};
  std::string hashes;
  for (const std::uint64_t hash : provenance.hourly_state_hash)
    hashes += fmt::format("{:016x}\n", hash);
  group.attributes["hourly_state_hash"] = hashes;
  const double evaporated = run.crop().ledger().film_evaporated_kg.value();
  group.attributes["representative_error"] = fmt::format(
      "{:.3e}",
      evaporated > 0.0 ? run.crop().ledger().correction_gross_kg.value() / evaporated : 0.0);
  return group;
}

}  // namespace

Record record_run(HouseRun& run, const Provenance& provenance, Detail detail) {
  Record record;
  record.attributes = {
      {"title", run.house().name},
      {"source", "mistwright " + provenance.version},
      {"history", provenance.started + " mistwright run " + run.house().source.path},
      {"references", "equations and their sources: models/SOURCES.md of the source code"},
      {"comment", run.house().note}};
  record.groups.push_back(house_group(run.house()));
  record.groups.push_back(series_group(run));
  record.groups.push_back(air_group(run));
  record.groups.push_back(bench_group(run));
  record.groups.push_back(deposit_group(run));
  if (detail == Detail::WithDrops)
    if (auto drops = drops_group(run)) record.groups.push_back(*std::move(drops));
  record.groups.push_back(leaves_group(run));
  record.groups.push_back(heads_group(run));
  record.groups.push_back(network_group(run));
  record.groups.push_back(water_group(run));
  record.groups.push_back(events_group(run));
  record.groups.push_back(audit_group(run));
  std::size_t number = 0;
  for (const std::uint64_t key : run.shared().slots) {
    const DeviceState devices =
        DeviceState::from_key(key, run.house().fans.size(), run.house().openings.size());
    const Regime& regime = run.airflow().regime(devices);
    RegimeAir air;
    // Jets made to balance know no motion that might not come to rest.
    if (run.house().numerics.airflow == flow::AirflowModel::Momentum &&
        !run.house().numerics.uniform_flow)
      air.steady = regime.field.steady;
    air.grid_convergence_index_fraction = regime.field.grid_convergence_index_fraction;
    const std::vector<RegimeMean>& means = run.climate().regime_means();
    if (number < means.size()) {
      GridAir warm = grid_air(run.plan(), regime, means[number].mean());
      air.air_temperature_K = std::move(warm.temperature_K);
      air.humidity_ratio = std::move(warm.humidity_ratio);
    }
    record.groups.push_back(flow_group(run, regime, number++, air));
  }
  record.groups.push_back(provenance_group(run, provenance));
  return record;
}

}  // namespace mistwright::record
