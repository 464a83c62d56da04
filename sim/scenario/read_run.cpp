#include <fmt/core.h>

#include <chrono>
#include <cmath>

#include "models/flow/grid.h"
#include "sim/scenario/readers.h"

namespace mistwright::scenario {

std::int64_t utc_of(const WrittenTime& moment, std::int64_t utc_offset_s) {
  using namespace std::chrono;
  const sys_days day = year{moment.year} / month{static_cast<unsigned>(moment.month)} /
                       std::chrono::day{static_cast<unsigned>(moment.day)};
  return day.time_since_epoch().count() * std::int64_t{86400} + std::int64_t{moment.hour} * 3600 +
         std::int64_t{moment.minute} * 60 + moment.second - utc_offset_s;
}

std::string stamp(std::int64_t utc_s, std::int64_t utc_offset_s) {
  using namespace std::chrono;
  const sys_seconds local(std::chrono::seconds(utc_s + utc_offset_s));
  const sys_days date = floor<days>(local);
  const year_month_day ymd(date);
  const auto minutes_of_day = duration_cast<minutes>(local - date).count();
  return fmt::format("{:04}-{:02}-{:02} {:02}:{:02}", static_cast<int>(ymd.year()),
                     static_cast<unsigned>(ymd.month()), static_cast<unsigned>(ymd.day()),
                     minutes_of_day / 60, minutes_of_day % 60);
}

void read_span(Reading& reading, const Value& root) {
  Table table = table_of(reading, root, "span");
  CivilClock& civil = reading.house.civil;
  const auto start = table.moment("start");
  const auto length = table.quantity("length");
  table.finish();
  if (length.good) reading.house.span = SimDuration{std::llround(length.value * 1e6)};
  reading.places["span.length"] = length.at;
  reading.span_good = start.good && length.good;
  if (!start.good) return;
  if (start.value.year < 1900 || start.value.year > 2200) {
    reading.span_good = false;
    reading.error("E0613", start.at, fmt::format("the year {} is out of reach", start.value.year),
                  "years from 1900 to 2200 can be simulated");
    return;
  }
  const std::int64_t standard_s = utc_of(start.value, civil.utc_offset_s);
  const std::int64_t summer_s = standard_s - 3600;
  civil.start_utc_s = standard_s;
  if (!civil.daylight_saving) return;
  const bool standard_fits = civil.offset_s(standard_s) == civil.utc_offset_s;
  const bool summer_fits = civil.offset_s(summer_s) != civil.utc_offset_s;
  if (!standard_fits && !summer_fits) {
    reading.span_good = false;
    reading.error("E0614", start.at,
                  fmt::format("{} does not exist: clocks go forward then",
                              stamp(standard_s, civil.utc_offset_s)),
                  "start an hour earlier or later");
  } else if (standard_fits && summer_fits) {
    reading.span_good = false;
    reading.error(
        "E0614", start.at,
        fmt::format("{} comes twice: clocks go back then", stamp(standard_s, civil.utc_offset_s)),
        "start an hour earlier or later");
  } else if (summer_fits) {
    civil.start_utc_s = summer_s;
  }
}

namespace {

/// The airflow grid must be finer than the air cells and the house's height, and every air cell is
/// coupled with every other in the balances.
void expect_air_cells_fit(Reading& reading, const Got<double>& flow_cell,
                          const Span& air_cells_at) {
  constexpr int most_air_cells = 160;
  constexpr long least_high = 4;
  const Structure& s = reading.house.structure;
  const Numerics& n = reading.house.numerics;
  const auto along = static_cast<long>(flow::even_divisions(s.length_m, flow_cell.value));
  const auto across = static_cast<long>(flow::even_divisions(s.width_m, flow_cell.value));
  const auto up = static_cast<long>(flow::divisions(s.ridge_height_m, flow_cell.value));
  if (along < n.air_cells_x || across < n.air_cells_y || up < least_high) {
    reading.error(
        "E0616", flow_cell.at,
        fmt::format("the airflow grid is too coarse: {} by {} by {} cells, where {} by {} "
                    "by {} are needed",
                    along, across, up, n.air_cells_x, n.air_cells_y, least_high),
        "take a smaller `flow_cell`, finer than the air cells");
  }
  if (n.air_cells_x * n.air_cells_y > most_air_cells) {
    reading.error(
        "E0617", air_cells_at,
        fmt::format("{} air cells, {} by {}; at most {} are computed",
                    n.air_cells_x * n.air_cells_y, n.air_cells_x, n.air_cells_y, most_air_cells),
        "take fewer: the time grows with the square of their number and more");
  }
}

/// Of the ways to compute the air only the equations of motion know a sheet.
struct BlindAirflow {
  const char *words, *instead;
  const Span* chosen_at;  ///< null where it is the default
};

void refuse_skirts(Reading& reading, const BlindAirflow& airflow) {
  const auto skirt = reading.places.find("bench.skirt");
  if (skirt == reading.places.end()) return;
  Problem& p =
      reading.error("E0618", skirt->second,
                    fmt::format("the airflow by {} passes through a bench's skirt", airflow.words),
                    fmt::format("leave out `skirt`, or {} [numerics]", airflow.instead));
  if (airflow.chosen_at != nullptr) p.second = Second{*airflow.chosen_at, "chosen here"};
}

}  // namespace

void read_recording_and_numerics(Reading& reading, const Value& root) {
  Table record = table_of(reading, root, "recording");
  reading.house.recording = {.series_interval_s = record.quantity("series_interval").value,
                             .map_interval_s = record.quantity("map_interval").value};
  record.finish();
  Table table = table_of(reading, root, "numerics");
  Numerics& n = reading.house.numerics;
  const auto number = [&](const char* key) { return static_cast<int>(table.whole(key).value); };
  n.seed = static_cast<std::uint64_t>(table.whole("seed").value);
  n.threads = number("threads");
  n.size_classes = number("size_classes");
  n.parcels_per_class = number("parcels_per_class");
  n.deposit_noise_ratio = table.quantity("deposit_noise").value;
  n.air_step_s = table.quantity("air_step").value;
  const auto air_cells_x = table.whole("air_cells_x");
  n.air_cells_x = static_cast<int>(air_cells_x.value);
  n.air_cells_y = number("air_cells_y");
  const auto cell = table.quantity("flow_cell");
  n.flow_cell_m = cell.value;
  n.bench_cell_m = table.quantity("bench_cell").value;
  const auto airflow = table.choice("airflow");
  n.airflow = airflow.value == 1 ? flow::AirflowModel::Momentum : flow::AirflowModel::Jets;
  const auto uniform = table.flag("uniform_flow");
  n.uniform_flow = uniform.value;
  table.finish();
  if (n.uniform_flow)
    refuse_skirts(reading, {"a plug", "`uniform_flow` of", &uniform.at});
  else if (airflow.good && n.airflow == flow::AirflowModel::Jets)
    refuse_skirts(reading, {"jets", "write airflow = \"momentum\" in",
                            airflow.given ? &airflow.at : nullptr});
  const Structure& s = reading.house.structure;
  if (!reading.house_good || !cell.good) return;
  const double cells =
      s.length_m * s.width_m * s.ridge_height_m / (cell.value * cell.value * cell.value);
  if (cells > 20e6) {
    reading.error(
        "E0615", cell.at,
        fmt::format("the airflow grid would have {:.0f} cells; at most 20000000 are computed",
                    cells),
        "take a larger `flow_cell` of [numerics]");
  }
  expect_air_cells_fit(reading, cell, air_cells_x.at);
}

}  // namespace mistwright::scenario
