#include "sim/study/shade_table.h"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "models/sky/radiation.h"
#include "models/units.h"
#include "sim/report/words.h"
#include "sim/study/runner.h"

namespace mistwright::study {

namespace {

using Values = std::vector<double>;

/// The house without fans, its vents standing open by a share of what they open now.
House without_fans(const House& house, double open_ratio) {
  House changed = house;
  changed.fans.clear();
  for (Opening& opening : changed.openings) {
    opening.with_fan.reset();
    opening.opened_by.reset();
    opening.open_fraction *= open_ratio;
  }
  if (open_ratio == 0.0) changed.openings.clear();
  return changed;
}

/// The house with its first exhaust fans only; louvres of the others are gone with them.
House with_fans(const House& house, std::size_t exhaust_fans) {
  House changed = house;
  changed.fans.clear();
  std::vector<std::optional<std::uint32_t>> place(house.fans.size());
  std::size_t exhaust = 0;
  for (std::size_t i = 0; i < house.fans.size(); ++i) {
    const bool kept = house.fans[i].kind != FanKind::Exhaust || exhaust++ < exhaust_fans;
    if (!kept) continue;
    place[i] = static_cast<std::uint32_t>(changed.fans.size());
    changed.fans.push_back(house.fans[i]);
  }
  changed.openings.clear();
  for (Opening opening : house.openings) {
    if (opening.with_fan) {
      opening.with_fan = place[*opening.with_fan];
      if (!opening.with_fan) continue;
    }
    changed.openings.push_back(opening);
  }
  return changed;
}

/// Several fans are named by how many run, a single one by when it does.
std::string fan_words(const House& stage, std::size_t exhaust_fans, std::size_t of_all) {
  if (of_all > 1) return fmt::format("{} fan{}", exhaust_fans, exhaust_fans == 1 ? "" : "s");
  const auto fan = std::find_if(stage.fans.begin(), stage.fans.end(),
                                [](const Fan& f) { return f.kind == FanKind::Exhaust; });
  return fan->switched_by
             ? fmt::format("fan above {:.0f} degC", celsius(fan->switched_by->on_above_K))
             : "fan always on";
}

double greatest(const Values& values) {
  return *std::max_element(values.begin(), values.end());
}

/// Hottest air over time and over the air cells in which benches stand.
void look_at_air(const record::Record& record, const House& house, ShadeRow& row) {
  const record::Group& air = record.group("air");
  const Values& x_m = air.variable("air_x").values;
  const Values& y_m = air.variable("air_y").values;
  const Values& temperature_K = air.variable("air_temperature").values;
  const Values hours = report::local_hours(record, air.variable("time"));
  const double half_x_m = 0.5 * house.structure.length_m / static_cast<double>(x_m.size());
  const double half_y_m = 0.5 * house.structure.width_m / static_cast<double>(y_m.size());
  const auto holds_bench = [&](std::size_t j, std::size_t i) {
    return std::any_of(house.benches.begin(), house.benches.end(), [&](const Bench& b) {
      return x_m[i] + half_x_m > b.x_m && x_m[i] - half_x_m < b.x_m + b.length_m &&
             y_m[j] + half_y_m > b.y_m && y_m[j] - half_y_m < b.y_m + b.width_m;
    });
  };
  std::size_t at = 0;
  for (const double hour : hours) {
    for (std::size_t j = 0; j < y_m.size(); ++j) {
      for (std::size_t i = 0; i < x_m.size(); ++i, ++at) {
        if (temperature_K[at] <= row.hottest_air_K || !holds_bench(j, i)) continue;
        row.hottest_air_K = temperature_K[at];
        row.hottest_hour_h = hour;
      }
    }
  }
}

/// Mean over the run of a series, by the trapezium rule.
double mean_over_time(const Values& time_us, const Values& values) {
  double sum = 0.0;
  for (std::size_t i = 1; i < values.size(); ++i)
    sum += 0.5 * (values[i] + values[i - 1]) * (time_us[i] - time_us[i - 1]);
  const double length_us = time_us.back() - time_us.front();
  return length_us > 0.0 ? sum / length_us : values.front();
}

/// The row with what its house came to.
ShadeRow measured(ShadeRow row, const record::Record& record, const House& house,
                  const report::Summary& summary) {
  const record::Group& series = record.group("series");
  const Values& time_us = series.variable("time").values;
  look_at_air(record, house, row);
  row.hottest_leaf_K = summary.hottest_leaf_K;
  row.wet_bulb_K = greatest(series.variable("wet_bulb_temperature").values);
  row.driest_air_Pa = summary.driest_air_Pa;
  // A run shorter than a day counts what fell in it.
  const double days_s = (time_us.back() - time_us.front()) * 1e-6 / summary.days_number;
  row.light_mol_per_m2 = sky::photons_mol_per_J * days_s *
                         mean_over_time(time_us, series.variable("light_at_leaves").values);
  row.mean_dry_s = summary.mean_dry_s;
  row.worst_dry_s = summary.worst.dry_s;
  row.water_kg = summary.water_kg;
  row.air_changes_per_h = mean_over_time(time_us, series.variable("air_changes").values);
  return row;
}

std::string row_words(const ShadeRow& row) {
  return fmt::format("{:.0f} % cloth, {}", 100.0 * row.shade_fraction, row.air);
}

/// "32.4 (90)": degrees Celsius and Fahrenheit.
std::string both_degrees(double temperature_K) {
  return fmt::format("{:.1f} ({:.0f})", celsius(temperature_K),
                     32.0 + 1.8 * celsius(temperature_K));
}

}  // namespace

std::vector<AirChoice> air_choices(const House& house) {
  std::vector<AirChoice> choices{{"vents shut", without_fans(house, 0.0), true}};
  if (!house.openings.empty()) {
    choices.push_back({"vents half open", without_fans(house, 0.5), false});
    choices.push_back({"vents open", without_fans(house, 1.0), false});
  }
  const auto exhaust = static_cast<std::size_t>(
      std::count_if(house.fans.begin(), house.fans.end(),
                    [](const Fan& fan) { return fan.kind == FanKind::Exhaust; }));
  for (std::size_t stage = 1; stage <= exhaust; ++stage) {
    House changed = with_fans(house, stage);
    std::string words = fan_words(changed, stage, exhaust);
    choices.push_back({std::move(words), std::move(changed), false});
  }
  return choices;
}

House under_cloth(const House& house, double shade_fraction) {
  House changed = house;
  changed.structure.shade = {1.0 - shade_fraction, {}};
  return changed;
}

ShadeTable shade_table(const House& house, const Options& options, const Progress& progress,
                       const KeepRecord& keep) {
  ShadeTable table;
  table.house_name = house.name;
  const std::vector<AirChoice> choices = air_choices(house);
  Runner runner(options, progress);
  const std::size_t cloths = std::size(table_cloths_fraction);
  table.rows.resize(choices.size() * cloths);
  const double step = 1.0 / static_cast<double>(table.rows.size());
  double at = 0.0;
  for (std::size_t a = 0; a < choices.size(); ++a) {
    // Cloth leaves the airflow as it is: one building a choice of air.
    std::shared_ptr<Building> building;
    for (std::size_t s = 0; s < cloths; ++s, at += step) {
      const House changed = under_cloth(choices[a].house, table_cloths_fraction[s]);
      const ShadeRow named{.shade_fraction = table_cloths_fraction[s],
                           .air = choices[a].words,
                           .shut = choices[a].shut};
      runner.part_of(at, at + step, row_words(named));
      record::Record record = runner.record(
          changed, building, keep ? record::Detail::WithDrops : record::Detail::Numbers);
      const std::size_t row = s * choices.size() + a;
      const report::Summary summary =
          report::summarise(record, options.thresholds.leaf_counts_from_s);
      table.part_of_day_s = summary.part_of_day_s;
      table.rows[row] = measured(named, record, changed, summary);
      if (keep) keep(row, std::move(record));
    }
  }
  return table;
}

const ShadeRow* best_row(const ShadeTable& table, const report::Thresholds& thresholds) {
  const ShadeRow* best = nullptr;
  for (const ShadeRow& row : table.rows) {
    if (row.shut || row.light_mol_per_m2 < least_light_mol_per_m2 ||
        row.hottest_leaf_K > thresholds.hottest_leaf_K.yes)
      continue;
    if (best == nullptr || row.mean_dry_s < best->mean_dry_s) best = &row;
  }
  return best;
}

namespace {

std::string light_words(double light_mol_per_m2, double part_of_day_s) {
  if (part_of_day_s > 0.0)
    return fmt::format(
        "{:.0f} mol of light in this run (cuttings use {:.0f} to {:.0f} a day before they root)",
        light_mol_per_m2, least_light_mol_per_m2, most_light_mol_per_m2);
  const std::string wanted = fmt::format("the {:.0f} to {:.0f} that cuttings use before they root",
                                         least_light_mol_per_m2, most_light_mol_per_m2);
  return fmt::format("{:.0f} mol of light a day, {} {}", light_mol_per_m2,
                     light_mol_per_m2 > most_light_mol_per_m2 ? "more than" : "within", wanted);
}

}  // namespace

std::string findings(const ShadeTable& table, const report::Thresholds& thresholds) {
  std::string says;
  const char* const each = report::each_day(table.part_of_day_s);
  if (const ShadeRow* best = best_row(table, thresholds)) {
    says =
        fmt::format("{}. Leaves are dry {} {} on average, the hottest reach {}, and they get {}.",
                    row_words(*best), report::duration_words(best->mean_dry_s), each,
                    report::temperature_words(best->hottest_leaf_K),
                    light_words(best->light_mol_per_m2, table.part_of_day_s));
  } else {
    says = fmt::format(
        "none of these: in no ventilated row do leaves stay below {} with {:.0f} mol "
        "of light {} or more.",
        report::temperature_words(thresholds.hottest_leaf_K.yes), least_light_mol_per_m2, each);
  }
  if (table.part_of_day_s > 0.0) says += " Part of a day is no answer for a whole one.";
  const auto cooler = [](const ShadeRow& a, const ShadeRow& b) {
    return a.hottest_leaf_K < b.hottest_leaf_K;
  };
  const auto [coolest, hottest] = std::minmax_element(table.rows.begin(), table.rows.end(), cooler);
  return says + fmt::format(" Coolest leaves: {}, at {}. Hottest: {}, at {}.", row_words(*coolest),
                            report::temperature_words(coolest->hottest_leaf_K), row_words(*hottest),
                            report::temperature_words(hottest->hottest_leaf_K));
}

namespace {

constexpr auto line_form = "{:<5} {:<19} {:>11} {:>11} {:>11} {:>6} {:>6}  {:<10} {:<10} {:>5}\n";

std::string line(const ShadeRow& row) {
  return fmt::format(line_form, fmt::format("{:.0f} %", 100.0 * row.shade_fraction), row.air,
                     both_degrees(row.hottest_air_K), both_degrees(row.hottest_leaf_K),
                     both_degrees(row.wet_bulb_K), fmt::format("{:.2f}", row.driest_air_Pa * 1e-3),
                     fmt::format("{:.1f}", row.light_mol_per_m2),
                     report::duration_words(row.mean_dry_s),
                     report::duration_words(row.worst_dry_s), fmt::format("{:.0f}", row.water_kg));
}

}  // namespace

std::string shade_words(const ShadeTable& table, const report::Thresholds& thresholds) {
  constexpr std::size_t indent = 10;
  std::string out = report::wrapped("Best", findings(table, thresholds), indent) + '\n';
  out += fmt::format(line_form, "cloth", "air", "hottest air", "leaf", "wet bulb", "driest",
                     "light", "dry, mean", "worst", "water");
  const bool whole = table.part_of_day_s <= 0.0;
  const char* const each = whole ? "a day" : "this run";
  out += fmt::format(line_form, "", "", "degC (degF)", "degC (degF)", "degC (degF)", "kPa",
                     "mol/m2", each, each, whole ? "L/day" : "L");
  const ShadeRow* before = nullptr;
  for (const ShadeRow& row : table.rows) {
    if (before != nullptr && row.shade_fraction != before->shade_fraction) out += '\n';
    before = &row;
    out += line(row);
  }
  // Young adults failed to keep cool at wet bulbs of 30 to 31 degC (Vecellio et al. 2022, J. Appl.
  // Physiol. 132:340, from memory).
  return out + '\n' +
         report::wrapped(
             "Cautions",
             "a shut house is listed to compare, never as advice: it heats within minutes, and "
             "damp "
             "heat at a wet bulb of 30 degC (86 degF) or more endangers people at work in it.",
             indent);
}

}  // namespace mistwright::study
