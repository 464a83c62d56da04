#include "sim/app/cans.h"

#include <fmt/format.h>

#include <algorithm>
#include <stdexcept>

#include "sim/app/work.h"
#include "sim/house/water_part.h"
#include "sim/scenario/cup_readings.h"
#include "sim/study/cup_words.h"

namespace mistwright::app {
namespace {

using scenario::Problem;

/// What the options ask for; problems with them are noted.
study::CupsChoice choice_of(const CansRequest& request, const House& house, Values& values,
                            std::vector<Problem>& problems) {
  study::CupsChoice choice;
  choice.cups = request.cups;
  choice.bursts = request.bursts;
  choice.diameter_m = values.given_or(
      request.cup_diameter, {"--cup-diameter", scenario::Kind::SmallLength, "2 cm", "50 cm"},
      choice.diameter_m);
  problems.insert(problems.end(), values.problems().begin(), values.problems().end());
  if (!request.bench) return choice;
  std::vector<std::string> names;
  for (const Bench& bench : house.benches) names.push_back(bench.name);
  const auto found = std::find(names.begin(), names.end(), *request.bench);
  if (found != names.end()) {
    choice.bench = static_cast<std::size_t>(found - names.begin());
    return choice;
  }
  const auto near = nearest(*request.bench, names);
  problems.push_back(mistake("E0807",
                             fmt::format("there is no bench `{}` in this house", *request.bench),
                             near ? fmt::format("the nearest is `{}`", *near)
                                  : fmt::format("its benches: {}", fmt::join(names, ", "))));
  return choice;
}

void put(JsonObject& object, const droplet::Evenness& even) {
  object.number("cu", even.christiansen_ratio);
  object.number("du", even.low_quarter_ratio);
  object.number("variation", even.variation_ratio);
  object.number("driest_tenth", even.driest_tenth_ratio);
}

std::string json(const droplet::Evenness& even) {
  JsonObject object;
  put(object, even);
  return object.str();
}

void put(JsonObject& object, const study::CupPlan& plan, const study::CupCatch& cup) {
  const double to_mL = 1e6 * plan.mouth_m2();
  object.number("ml", to_mL * cup.depth_m);
  object.number("ml_low", to_mL * cup.low_m);
  object.number("ml_high", to_mL * cup.high_m);
  object.number("mm", 1000.0 * cup.depth_m);
}

std::string json(const House& house, const study::CupPlan& plan, const study::CupTable& table) {
  std::vector<std::string> cups, benches;
  for (std::size_t c = 0; c < plan.cups.size(); ++c) {
    JsonObject one;
    one.text("cup", plan.cups[c].name);
    put(one, plan, table.cups[c]);
    cups.push_back(one.str());
  }
  for (std::size_t g = 0; g < plan.grids.size(); ++g) {
    JsonObject one;
    one.text("bench", house.benches[plan.grids[g].bench].name);
    one.raw("cups", json(table.of_grids[g]));
    one.raw("whole", json(table.of_benches[g]));
    one.number("whole_mm_a_burst", 1000.0 * table.of_benches[g].mean_number);
    benches.push_back(one.str());
  }
  JsonObject object;
  object.text("condition", table.words);
  object.flag("fans_on", table.fans_on);
  object.raw("cups", json_array(cups));
  object.raw("even", json_array(benches));
  return object.str();
}

std::string json(const study::CupPlan& plan, const study::Judgement& judgement) {
  std::vector<std::string> rows, hints, missing;
  for (const study::Judgement::Row& row : judgement.rows) {
    JsonObject one;
    one.text("cup", plan.cups[row.cup].name);
    one.number("read_ml", 1e6 * plan.mouth_m2() * row.depth_m);
    put(one, plan, row.expected);
    one.whole("side", row.side_number);
    rows.push_back(one.str());
  }
  for (const std::string& hint : judgement.hints) hints.push_back(json_text(hint));
  for (const std::size_t cup : judgement.missing) missing.push_back(json_text(plan.cups[cup].name));
  JsonObject object;
  object.number("total", judgement.total_ratio);
  object.whole("too_little", static_cast<long long>(judgement.low_count));
  object.whole("too_much", static_cast<long long>(judgement.high_count));
  if (judgement.tells_evenness()) {
    object.raw("measured", json(judgement.measured));
    object.raw("expected", json(judgement.expected));
  } else {
    object.none("measured");
    object.none("expected");
  }
  object.raw("hints", json_array(hints));
  object.raw("missing", json_array(missing));
  object.raw("cups", json_array(rows));
  return object.str();
}

std::string json(const House& house, const study::CupPlan& plan,
                 const study::Judgement* judgement) {
  std::vector<std::string> cups, tables;
  for (const study::Cup& cup : plan.cups) {
    JsonObject one;
    one.text("cup", cup.name);
    one.text("bench", house.benches[cup.bench].name);
    one.number("along_m", cup.along_m);
    one.number("across_m", cup.across_m);
    cups.push_back(one.str());
  }
  for (const study::CupTable& table : plan.tables) tables.push_back(json(house, plan, table));
  JsonObject object;
  object.text("house", plan.house_name);
  object.number("cup_diameter_m", plan.diameter_m);
  object.whole("bursts", plan.bursts);
  object.flag("worth_reading", plan.worth_reading);
  object.number("noise", plan.noise_ratio);
  object.raw("places", json_array(cups));
  object.raw("tables", json_array(tables));
  if (judgement != nullptr) object.raw("judged", json(plan, *judgement));
  return object.str();
}

/// What stands in the way before anything is computed.
std::vector<Problem> faults(const CansRequest& request, const House& house) {
  std::vector<Problem> problems;
  if (request.readings && !request.bursts)
    problems.push_back(mistake("E0808", "readings mean nothing without the bursts that were run",
                               "say how many, as `--bursts 30`"));
  if (request.fans_on && house.fans.empty())
    problems.push_back(
        mistake("E0809", "`--fans-on`, but this house has no fan", "leave the option out"));
  const auto valves = static_cast<std::uint32_t>(house.network.valves.size());
  bool sprays = false;
  for (std::uint32_t v = 0; v < valves; ++v) sprays = sprays || longest_burst_s(house, v) > 0.0;
  if (!sprays)
    problems.push_back(mistake("E0812", "no programme opens a zone: there is nothing to catch",
                               "give the clock a [[programme]] for the zone's valve"));
  return problems;
}

}  // namespace

int cans(const Manners& manners, const CansRequest& request) {
  const Checked checked = read_checked(manners, request.input);
  if (!checked.house) return checked.status;
  const House& house = *checked.house;
  Values values;
  std::vector<Problem> problems = faults(request, house);
  const study::CupsChoice choice = choice_of(request, house, values, problems);
  if (!problems.empty()) return refuse(manners, input_error, problems);
  study::CupPlan plan;
  try {
    plan = study::place_cups(house, choice);
  } catch (const std::invalid_argument& error) {
    return refuse(manners, input_error,
                  {mistake("E0810", error.what(), "fewer cups (--cups), or narrower ones")});
  }
  std::vector<study::CupAmount> amounts;
  if (request.readings) {
    std::vector<std::string> names;
    for (const study::Cup& cup : plan.cups) names.push_back(cup.name);
    const auto read = scenario::read_cups(*request.readings, names, plan.mouth_m2());
    if (!read.problems.empty())
      return refuse(manners, static_cast<Status>(scenario::exit_status(read.problems)),
                    read.problems);
    for (const auto& one : read.readings) amounts.push_back({one.cup, one.depth_m});
  }
  return guarded(manners, [&] {
    study::Options options = options_for(request.threads);
    options.store = store_for(manners, request.store);
    watched(manners, [&](const study::Progress& progress) {
      plan = study::catch_cups(house, choice, options, progress);
    });
    const study::CupTable& table = plan.tables[request.fans_on ? 1 : 0];
    if (!request.readings) {
      fmt::print("{}\n",
                 manners.json ? json(house, plan, nullptr) : study::cup_plan_words(house, plan));
      return;
    }
    const study::Judgement judgement = study::judge_cups(house, plan, table, amounts);
    fmt::print("{}\n", manners.json ? json(house, plan, &judgement)
                                    : study::judgement_words(house, plan, table, judgement));
  });
}

}  // namespace mistwright::app
