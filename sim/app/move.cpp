#include "sim/app/move.h"

#include <fmt/format.h>

#include "sim/app/work.h"
#include "sim/record/whole_file.h"
#include "sim/study/placement_words.h"

namespace mistwright::app {
namespace {

void put(JsonObject& object, const study::MoveResult& result) {
  object.number("mean_dry_s", result.mean_dry_s);
  object.number("worst_dry_s", result.worst.dry_s);
  object.text("worst_place", result.worst.words);
  object.number("passing", result.passing_fraction);
  object.number("water_kg", result.water_kg);
  object.number("lowest_pressure_pa", result.lowest_pressure_Pa);
  object.flag("starved", result.starved);
}

std::string json(const study::Influence& influence) {
  JsonObject object;
  object.text("air", influence.air);
  object.number("height_m", influence.height_m);
  object.number("misted_s", influence.misted_s);
  object.number("other_misted_s", influence.other_misted_s);
  object.number("misplaced", influence.misplaced_fraction);
  const auto list = [&](const char* key, const std::vector<double>& values) {
    std::vector<std::string> texts;
    texts.reserve(values.size());
    for (const double value : values) texts.push_back(fmt::format("{:.5g}", value));
    object.raw(key, json_array(texts));
  };
  list("x_m", influence.x_m);
  list("y_m", influence.y_m);
  list("let_go", influence.let_go_fraction);
  list("thrown", influence.thrown_fraction);
  return object.str();
}

std::string json(const study::MoveTable& table, const std::optional<std::string>& map) {
  std::vector<std::string> rows, left_out;
  for (const study::MoveRow& row : table.rows) {
    JsonObject one;
    one.text("kind", study::word(row.kind));
    one.text("change", row.words);
    one.text("effect", study::word(table.effect(row)));
    one.number("mean_gain_s", row.mean_gain_s);
    one.number("worst_gain_s", row.worst_gain_s);
    put(one, row.result);
    rows.push_back(one.str());
  }
  for (const std::string& clause : table.left_out) left_out.push_back(json_text(clause));
  JsonObject as_is;
  put(as_is, table.as_is);
  JsonObject object;
  object.text("house", table.house_name);
  object.raw("as_is", as_is.str());
  object.flag("nothing_sprays", table.nothing_sprays());
  object.number("mean_noise_s", table.mean_noise_s);
  object.number("worst_noise_s", table.worst_noise_s);
  object.raw("rows", json_array(rows));
  object.raw("left_out", json_array(left_out));
  object.raw("influence", json(table.influence));
  if (map) object.text("map", *map);
  return object.str();
}

}  // namespace

int move(const Manners& manners, const MoveRequest& request) {
  const Checked checked = read_checked(manners, request.input);
  if (!checked.house) return checked.status;
  return guarded(manners, [&] {
    if (request.map) record::expect_writable(*request.map, request.overwrite, checked.files);
    study::Options options = options_for(request.threads);
    options.store = store_for(manners, request.store);
    study::MoveTable table;
    watched(manners, [&](const study::Progress& progress) {
      table = study::move_table(*checked.house, options, progress);
    });
    if (request.map)
      record::write_whole_file(*request.map, study::move_picture(table), request.overwrite);
    fmt::print("{}\n", manners.json ? json(table, request.map) : study::move_words(table));
  });
}

}  // namespace mistwright::app
