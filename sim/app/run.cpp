#include "sim/app/run.h"

#include <fmt/format.h>

#include "models/units.h"
#include "sim/app/work.h"
#include "sim/record/hdf5_file.h"
#include "sim/record/whole_file.h"
#include "sim/study/answer.h"

namespace mistwright::app {
namespace {

void print_json(const study::Answer& answer, const RunRequest& request) {
  const report::Summary& s = answer.input.main;
  JsonObject object;
  object.text("verdict", answer.verdict);
  object.number("worst_dry_s", s.worst.dry_s);
  object.text("worst_place", s.worst.words);
  object.number("best_dry_s", s.best.dry_s);
  object.number("mean_dry_s", s.mean_dry_s);
  object.number("dry_leaf_share", s.dry_leaf_share_fraction);
  object.number("water_kg", s.water_kg);
  object.number("soggy_s", s.soggy_s);
  object.number("hottest_leaf_c", celsius(s.hottest_leaf_K));
  object.number("worst_audit_relative", s.worst_audit_relative_ratio);
  if (request.output) {
    object.text("results", *request.output);
  } else {
    object.none("results");
  }
  fmt::print("{}\n", object.str());
}

}  // namespace

int run(const Manners& manners, const RunRequest& request) {
  const Checked checked = read_checked(manners, request.input);
  if (!checked.house) return checked.status;
  return guarded(manners, [&] {
    if (request.output) record::expect_writable(*request.output, request.overwrite, checked.files);
    study::Options options = options_for(request.threads);
    options.neighbours = !request.alone;
    options.store = store_for(manners, request.store);
    study::Answer answer;
    watched(manners, [&](const study::Progress& progress) {
      answer = study::answer(*checked.house, options, progress);
    });
    if (request.output) record::write_hdf5(answer.record, *request.output, request.overwrite);
    if (manners.json) {
      print_json(answer, request);
    } else {
      fmt::print("{}\n", answer.verdict);
    }
  });
}

}  // namespace mistwright::app
