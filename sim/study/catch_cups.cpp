#include "sim/study/catch_cups.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "models/air/psychrometrics.h"
#include "models/contracts.h"
#include "models/units.h"
#include "sim/house/assemble.h"

namespace mistwright::study {

namespace {

constexpr double rho = water_density_kg_per_m3;

/// "A" to "Z", then "AA".
std::string row_letters(std::size_t row) {
  std::string letters(1, static_cast<char>('A' + row % 26));
  return row < 26 ? letters : row_letters(row / 26 - 1) + letters;
}

/// Rows and columns whose product is near the wish and whose rectangles are near squares.
CupGrid grid_on(const Bench& bench, int cups) {
  CupGrid best;
  double least = 1e300;
  for (int rows = 1; rows <= cups; ++rows) {
    const int columns =
        std::max(1, static_cast<int>(std::lround(static_cast<double>(cups) / rows)));
    const double along_m = bench.length_m / columns;
    const double across_m = bench.width_m / rows;
    const double off = std::abs(static_cast<double>(rows * columns - cups)) / cups;
    const double cost = std::abs(std::log(along_m / across_m)) + 2.0 * off;
    if (cost >= least) continue;
    least = cost;
    best.rows = static_cast<std::size_t>(rows);
    best.columns = static_cast<std::size_t>(columns);
    best.along_step_m = along_m;
    best.across_step_m = across_m;
  }
  return best;
}

/// One house whose drops are drawn anew: what is asked of it, and what it keeps.
struct Bursts {
  Bursts(const House& house, const Options& options)
      : building(house, options.store),
        works(building.house),
        classes(droplet::size_classes(building.house.numerics.size_classes)),
        threads(options.threads) {}

  /// What one burst of every zone brings down on each bench cell [kg/m2].
  std::vector<double> landed_kg_per_m2(const DeviceState& devices, double humidity_fraction) {
    const Plan& plan = building.plan;
    Shared shared{building.house, plan, building.airflow, threads};
    shared.devices = devices;
    shared.air.assign(plan.fixed.cells * air::states_a_cell, celsius(cups_air_K));
    const double pressure_Pa = plan.fixed.pressure_Pa;
    const double humidity = air::humidity_ratio(
        humidity_fraction * air::saturation_pressure_Pa(cups_air_K), pressure_Pa);
    for (std::size_t c = 0; c < plan.fixed.cells; ++c)
      shared.air[air::state_index(c, air::CellState::Humidity)] = humidity;
    std::vector<double> depth(plan.benches.cells.size(), 0.0);
    for (std::uint32_t valve = 0; valve < building.house.network.valves.size(); ++valve) {
      if (longest_burst_s(building.house, valve) <= 0.0) continue;
      const std::vector<Sprayed> sprayed = typical_burst(building.airflow, works, valve, classes);
      if (sprayed.empty()) continue;
      const std::vector<double> of_cells =
          mistwright::landed_kg_per_m2(plan, land(shared, classes, sprayed));
      for (std::size_t b = 0; b < depth.size(); ++b) depth[b] += of_cells[b];
    }
    return depth;
  }

  Building building;
  Waterworks works;
  droplet::SizeClasses classes;
  int threads;
};

/// All fans off, or all on, and the vents as they then stand.
DeviceState devices_with(const House& house, bool fans_on) {
  DeviceState devices;
  for (std::size_t i = 0; i < house.fans.size(); ++i) devices.fan_on.push_back(fans_on ? 1 : 0);
  for (const Opening& opening : house.openings) {
    const bool follows = opening.with_fan.has_value() || opening.opened_by.has_value();
    devices.opening_open.push_back(!follows || fans_on ? 1 : 0);
  }
  return devices;
}

/// Mean over a cup's mouth of what cells get: points spread evenly over the circle.
double over_mouth(const droplet::BenchGrid& grid, const House& house, const Cup& cup,
                  double diameter_m, const std::vector<double>& of_cells) {
  constexpr int points = 40;
  const Bench& bench = house.benches[cup.bench];
  double sum = 0.0;
  for (int i = 0; i < points; ++i) {
    const double radius_m = 0.5 * diameter_m * std::sqrt((i + 0.5) / points);
    const double angle_rad = 2.399963229728653 * i;  // golden angle
    sum +=
        of_cells[grid.cell_on(cup.bench, bench.x_m + cup.along_m + radius_m * std::cos(angle_rad),
                              bench.y_m + cup.across_m + radius_m * std::sin(angle_rad))];
  }
  return sum / points;
}

/// Amounts in every cup for one burst of each zone [kg/m2], and what the two sets of draws and the
/// range of the air's humidity make of them.
struct Looks {
  std::vector<double> first, second, drier, damper;
};

std::vector<double> in_cups(const CupPlan& plan, const Bursts& bursts,
                            const std::vector<double>& of_cells) {
  std::vector<double> amounts;
  amounts.reserve(plan.cups.size());
  for (const Cup& cup : plan.cups)
    amounts.push_back(over_mouth(bursts.building.plan.benches, bursts.building.house, cup,
                                 plan.diameter_m, of_cells));
  return amounts;
}

/// Drops that a cup's amount stands for are counted, so its variance goes as the amount: the factor
/// between them, from two sets of draws.
double variance_per_amount_number(const Looks& looks) {
  double squares = 0.0;
  double amounts = 0.0;
  for (std::size_t c = 0; c < looks.first.size(); ++c) {
    const double off = looks.first[c] - looks.second[c];
    squares += 0.5 * off * off;
    amounts += 0.5 * (looks.first[c] + looks.second[c]);
  }
  return amounts > 0.0 ? squares / amounts : 0.0;
}

std::vector<CupCatch> with_ranges(const Looks& looks, int bursts, double reading_m) {
  const double noise = variance_per_amount_number(looks);
  std::vector<CupCatch> cups;
  for (std::size_t c = 0; c < looks.first.size(); ++c) {
    const double mean = 0.5 * (looks.first[c] + looks.second[c]);
    // Humidity moves the first set's amounts; the mean moves with them. Two standard deviations.
    const double off = mean - looks.first[c];
    const double spread =
        2.0 *
        std::sqrt(0.5 * noise * mean + head_spread_fraction * head_spread_fraction * mean * mean);
    const double low = std::min({mean, looks.drier[c] + off, looks.damper[c] + off}) - spread;
    const double high = std::max({mean, looks.drier[c] + off, looks.damper[c] + off}) + spread;
    const double scale = bursts / rho;
    cups.push_back({mean * scale, std::max(0.0, low * scale - 0.5 * reading_m),
                    high * scale + 0.5 * reading_m});
  }
  return cups;
}

std::string condition_words(const House& house, bool fans_on) {
  if (house.fans.empty()) return "the house as it stands";
  const bool follow =
      std::any_of(house.openings.begin(), house.openings.end(), [](const Opening& opening) {
        return opening.with_fan.has_value() || opening.opened_by.has_value();
      });
  const std::string fans = house.fans.size() == 1 ? "fan" : "fans";
  if (!follow) return fmt::format("{} {}", fans, fans_on ? "on" : "off");
  return fans_on ? fmt::format("{} on, all vents open", fans)
                 : fmt::format("{} off, vents that open with heat or a fan shut", fans);
}

/// As many bursts as fill the low quarter of cups, where they catch least.
void choose_bursts(CupPlan& plan, const std::vector<Looks>& looks, std::optional<int> wished) {
  double least_kg_per_m2 = 1e300;
  for (const Looks& look : looks) {
    const double mean = droplet::mean_number({look.first});
    least_kg_per_m2 = std::min(least_kg_per_m2, mean * droplet::low_quarter_ratio(look.first));
  }
  const double wanted_kg_per_m2 =
      lines_worth_reading_number * cup_reading_m3 * rho / plan.mouth_m2();
  const double needed = least_kg_per_m2 > 0.0 ? std::ceil(wanted_kg_per_m2 / least_kg_per_m2) : 1e9;
  const double in_fives = 5.0 * std::ceil(needed / 5.0);
  plan.bursts = wished.value_or(static_cast<int>(
      std::clamp(in_fives, static_cast<double>(fewest_bursts), static_cast<double>(most_bursts))));
  plan.worth_reading = plan.bursts >= needed;
}

void add_evenness(CupPlan& plan, const Bursts& bursts, CupTable& table) {
  const droplet::BenchGrid& cells = bursts.building.plan.benches;
  for (const CupGrid& grid : plan.grids) {
    std::vector<double> amounts, area, depth;
    for (std::size_t c = 0; c < grid.rows * grid.columns; ++c)
      amounts.push_back(table.cups[grid.first + c].depth_m);
    for (std::size_t b = 0; b < cells.cells.size(); ++b) {
      if (cells.cells[b].bench != grid.bench) continue;
      depth.push_back(table.cell_depth_m[b]);
      area.push_back(cells.cells[b].area_m2);
    }
    table.of_grids.push_back(evenness_of_cups(amounts));
    table.of_benches.push_back(droplet::evenness({depth, area}));
  }
}

}  // namespace

double CupPlan::mouth_m2() const {
  return 0.25 * pi * diameter_m * diameter_m;
}

droplet::Evenness evenness_of_cups(const std::vector<double>& amounts) {
  droplet::Evenness even = droplet::evenness({amounts});
  even.low_quarter_ratio = droplet::low_quarter_ratio(amounts);
  return even;
}

CupPlan place_cups(const House& house, const CupsChoice& choice) {
  EXPECT(choice.cups >= 4 && choice.diameter_m > 0.0);
  CupPlan plan;
  plan.house_name = house.name;
  plan.diameter_m = choice.diameter_m;
  for (std::uint32_t v = 0; v < house.network.valves.size(); ++v)
    plan.zones.push_back({house.network.valves[v].name, longest_burst_s(house, v)});
  std::size_t letters = 0;
  for (std::size_t b = 0; b < house.benches.size(); ++b) {
    if (choice.bench && *choice.bench != b) continue;
    CupGrid grid = grid_on(house.benches[b], choice.cups);
    grid.bench = b;
    grid.first = plan.cups.size();
    if (std::min(grid.along_step_m, grid.across_step_m) < choice.diameter_m)
      throw std::invalid_argument(
          fmt::format("{} cups do not fit on bench `{}`: they would stand {:.1f} cm apart",
                      grid.rows * grid.columns, house.benches[b].name,
                      100.0 * std::min(grid.along_step_m, grid.across_step_m)));
    for (std::size_t row = 0; row < grid.rows; ++row)
      for (std::size_t column = 0; column < grid.columns; ++column)
        plan.cups.push_back({fmt::format("{}{}", row_letters(letters + row), column + 1), b, row,
                             column, (static_cast<double>(column) + 0.5) * grid.along_step_m,
                             (static_cast<double>(row) + 0.5) * grid.across_step_m});
    letters += grid.rows;
    plan.grids.push_back(grid);
  }
  return plan;
}

CupPlan catch_cups(const House& house, const CupsChoice& choice, const Options& options,
                   const Progress& progress) {
  CupPlan plan = place_cups(house, choice);
  const auto tell = [&](double share_fraction, const char* doing) {
    if (progress && !progress(share_fraction, doing)) throw Stopped();
  };
  tell(0.0, "airflow and drops");
  Bursts bursts(house, options);
  House again = house;
  ++again.numerics.seed;
  Bursts others(again, options);
  const std::size_t conditions = house.fans.empty() ? 1 : 2;
  std::vector<Looks> looks(conditions);
  for (std::size_t k = 0; k < conditions; ++k) {
    CupTable table;
    table.fans_on = k == 1;
    table.words = condition_words(house, table.fans_on);
    const DeviceState devices = devices_with(house, table.fans_on);
    const auto look = [&](Bursts& from, double humidity_fraction, double share_fraction) {
      tell((static_cast<double>(k) + share_fraction) / static_cast<double>(conditions),
           table.fans_on ? "fans on" : "fans off");
      return from.landed_kg_per_m2(devices, humidity_fraction);
    };
    const std::vector<double> first = look(bursts, cups_humidity_fraction, 0.0);
    const std::vector<double> second = look(others, cups_humidity_fraction, 0.4);
    looks[k] = {in_cups(plan, bursts, first), in_cups(plan, bursts, second),
                in_cups(plan, bursts, look(bursts, cups_humidity_low_fraction, 0.7)),
                in_cups(plan, bursts, look(bursts, cups_humidity_high_fraction, 0.9))};
    for (std::size_t b = 0; b < first.size(); ++b)
      table.cell_depth_m.push_back(0.5 * (first[b] + second[b]) / rho);
    plan.tables.push_back(std::move(table));
  }
  choose_bursts(plan, looks, choice.bursts);
  const double reading_m = cup_reading_m3 / plan.mouth_m2();
  for (std::size_t k = 0; k < conditions; ++k) {
    plan.tables[k].cups = with_ranges(looks[k], plan.bursts, reading_m);
    add_evenness(plan, bursts, plan.tables[k]);
    const double mean = droplet::mean_number({looks[k].first});
    if (mean > 0.0)
      plan.noise_ratio =
          std::max(plan.noise_ratio, std::sqrt(0.5 * variance_per_amount_number(looks[k]) / mean));
  }
  return plan;
}

}  // namespace mistwright::study
