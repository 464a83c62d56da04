#include "sim/app/shade.h"

#include <fmt/format.h>

#include "models/units.h"
#include "sim/app/work.h"
#include "sim/study/shade_table.h"

namespace mistwright::app {
namespace {

std::string json(const study::ShadeTable& table, const report::Thresholds& thresholds) {
  const study::ShadeRow* best = study::best_row(table, thresholds);
  std::vector<std::string> rows;
  for (const study::ShadeRow& row : table.rows) {
    JsonObject one;
    one.number("cloth", row.shade_fraction);
    one.text("air", row.air);
    one.number("hottest_air_c", celsius(row.hottest_air_K));
    one.number("hottest_hour", row.hottest_hour_h);
    one.number("hottest_leaf_c", celsius(row.hottest_leaf_K));
    one.number("wet_bulb_c", celsius(row.wet_bulb_K));
    one.number("driest_air_pa", row.driest_air_Pa);
    one.number("light_mol_m2", row.light_mol_per_m2);
    one.number("mean_dry_s", row.mean_dry_s);
    one.number("worst_dry_s", row.worst_dry_s);
    one.number("water_kg", row.water_kg);
    one.number("air_changes_h", row.air_changes_per_h);
    one.flag("best", &row == best);
    rows.push_back(one.str());
  }
  JsonObject object;
  object.text("house", table.house_name);
  object.raw("rows", json_array(rows));
  return object.str();
}

}  // namespace

int shade(const Manners& manners, const ShadeRequest& request) {
  const Checked checked = read_checked(manners, request.input);
  if (!checked.house) return checked.status;
  return guarded(manners, [&] {
    study::Options options = options_for(request.threads);
    options.store = store_for(manners, request.store);
    study::ShadeTable table;
    watched(manners, [&](const study::Progress& progress) {
      table = study::shade_table(*checked.house, options, progress);
    });
    fmt::print("{}\n", manners.json ? json(table, options.thresholds)
                                    : study::shade_words(table, options.thresholds));
  });
}

}  // namespace mistwright::app
