#pragma once
// Shade and vents before anything is built: the same house under four cloths, each with its vents
// shut, half open, open, and with each stage of its fans. Every row is a run of its own.
#include <functional>
#include <string>
#include <vector>

#include "sim/house/house.h"
#include "sim/study/answer.h"

namespace mistwright::study {

/// One way to let air through the house.
struct AirChoice {
  std::string words;  ///< "vents shut"
  House house;
  bool shut = false;  ///< nothing but leaks lets air through
};

/// Vents shut, half open and standing open without fans (no vent: shut alone), then the fans as
/// described, one stage more each time: the first fan with its own louvres, the first two, ...
[[nodiscard]] std::vector<AirChoice> air_choices(const House& house);

/// The house with cloth of a nominal shade drawn all day.
/// @param shade_fraction  0 to 1
[[nodiscard]] House under_cloth(const House& house, double shade_fraction);

/// The cloths of the table.
inline constexpr double table_cloths_fraction[] = {0.0, 0.3, 0.5, 0.7};

/// What one house came to. Amounts of a run longer than a day are means per day.
struct ShadeRow {
  double shade_fraction = 0.0;
  std::string air;
  bool shut = false;
  double hottest_air_K = 0.0;  ///< of the air cells that hold a bench
  double hottest_hour_h = 0.0;
  double hottest_leaf_K = 0.0;
  double wet_bulb_K = 0.0;         ///< greatest of the day
  double driest_air_Pa = 0.0;      ///< greatest vapour pressure deficit, mean of the house
  double light_mol_per_m2 = 0.0;   ///< photons of 400 to 700 nm at the leaves, a day
  double mean_dry_s = 0.0;         ///< over the benches, a day
  double worst_dry_s = 0.0;        ///< of the worst place
  double water_kg = 0.0;           ///< sprayed, a day
  double air_changes_per_h = 0.0;  ///< mean
};

struct ShadeTable {
  std::string house_name;
  std::vector<ShadeRow> rows;  ///< by cloth, then by air
  double part_of_day_s = 0.0;  ///< the length of runs shorter than a day; else 0
};

/// Takes what the house of a row recorded, once that row is done; rows come in no order.
using KeepRecord = std::function<void(std::size_t row, record::Record record)>;

/// @param keep  none: records are dropped once measured
/// @throws Stopped, AuditError, engine::EngineError
[[nodiscard]] ShadeTable shade_table(const House& house, const Options& options,
                                     const Progress& progress = {}, const KeepRecord& keep = {});

/// Daily light for cuttings before they root: below the first they stall, above the second they
/// scorch or need ever more mist. Common practice.
inline constexpr double least_light_mol_per_m2 = 4.0, most_light_mol_per_m2 = 10.0;

/// The ventilated row with the least mean dry time among those with enough light and leaves below
/// the verdict's limit of heat; none if all fail.
[[nodiscard]] const ShadeRow* best_row(const ShadeTable& table,
                                       const report::Thresholds& thresholds);

/// What the table says in a few sentences: the best row, and where leaves are coolest and hottest.
[[nodiscard]] std::string findings(const ShadeTable& table, const report::Thresholds& thresholds);

/// The table in words: what it says first, then its rows.
[[nodiscard]] std::string shade_words(const ShadeTable& table,
                                      const report::Thresholds& thresholds);

}  // namespace mistwright::study
