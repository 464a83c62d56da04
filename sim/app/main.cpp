// The command line: which words exist and where they lead. What each command does stands in its own
// file; what it says about itself in help.cpp.
#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <csignal>
#include <cstdio>
#include <exception>
#include <functional>
#include <new>
#include <stdexcept>
#include <string>
#include <system_error>
#include <vector>

#include "models/contracts.h"
#include "sim/app/calc.h"
#include "sim/app/cans.h"
#include "sim/app/check.h"
#include "sim/app/console.h"
#include "sim/app/heads.h"
#include "sim/app/help.h"
#include "sim/app/manual.h"
#include "sim/app/move.h"
#include "sim/app/report.h"
#include "sim/app/run.h"
#include "sim/app/shade.h"
#include "sim/app/split.h"
#include "sim/study/catch_cups.h"

namespace mistwright::app {
namespace {

using Words = std::vector<std::string>;
using Action = std::function<int()>;

/// Everything that the command line can fill in.
struct Request {
  Manners manners;
  AirQuestion air;
  DropletQuestion droplet;
  FilmQuestion film;
  PipeQuestion pipe;
  SunQuestion sun;
  CheckRequest check;
  HeadsRequest heads;
  ReportRequest report;
  RunRequest run;
  ShadeRequest shade;
  CansRequest cans;
  MoveRequest move;
  SplitRequest split;
  Action action;
};

CLI::App* add_verb(CLI::App& parent, std::string_view path) {
  CLI::App* sub = parent.add_subcommand(std::string(path.substr(path.rfind(' ') + 1)));
  sub->fallthrough();
  return sub;
}

CLI::App* add_verb(CLI::App& parent, std::string_view path, Request& request, Action action) {
  CLI::App* sub = add_verb(parent, path);
  sub->callback([&request, action = std::move(action)] { request.action = action; });
  return sub;
}

void value(CLI::App* sub, const char* flag, Text& target, const char* meaning) {
  sub->add_option(flag, target, meaning)->type_name("VALUE");
}

void needed(CLI::App* sub, const char* flag, Text& target, const char* meaning) {
  sub->add_option(flag, target, meaning)->type_name("VALUE")->required();
}

void add_air(CLI::App& calc_app, Request& r) {
  CLI::App* sub = add_verb(calc_app, "calc air", r, [&r] { return calc(r.manners, r.air); });
  needed(sub, "--temperature", r.air.temperature, "dry-bulb temperature");
  needed(sub, "--humidity", r.air.humidity, "relative humidity");
  value(sub, "--pressure", r.air.pressure, "barometric pressure (101325 Pa)");
}

void add_droplet(CLI::App& calc_app, Request& r) {
  CLI::App* sub =
      add_verb(calc_app, "calc droplet", r, [&r] { return calc(r.manners, r.droplet); });
  needed(sub, "--diameter", r.droplet.diameter, "diameter at the start");
  needed(sub, "--temperature", r.droplet.temperature, "air temperature");
  needed(sub, "--humidity", r.droplet.humidity, "relative humidity");
  value(sub, "--height", r.droplet.height,
        "height of the fall; without it the drop falls to its end");
  value(sub, "--wind", r.droplet.wind, "level wind that carries it (0 m/s)");
  value(sub, "--pressure", r.droplet.pressure, "barometric pressure (101325 Pa)");
}

void add_film(CLI::App& calc_app, Request& r) {
  CLI::App* sub = add_verb(calc_app, "calc film", r, [&r] { return calc(r.manners, r.film); });
  needed(sub, "--depth", r.film.depth, "water on the leaf as a mean depth");
  needed(sub, "--temperature", r.film.temperature, "air temperature");
  needed(sub, "--humidity", r.film.humidity, "relative humidity");
  needed(sub, "--air-speed", r.film.air_speed, "air speed at the leaf");
  needed(sub, "--net-radiation", r.film.net_radiation, "radiation that the leaf keeps");
  needed(sub, "--leaf-length", r.film.leaf_length, "leaf length along the wind");
  value(sub, "--break-depth", r.film.break_depth, "depth below which dry patches appear (10 um)");
}

void add_pipe(CLI::App& calc_app, Request& r) {
  CLI::App* sub = add_verb(calc_app, "calc pipe", r, [&r] { return calc(r.manners, r.pipe); });
  needed(sub, "--length", r.pipe.length, "length");
  needed(sub, "--diameter", r.pipe.diameter, "bore");
  needed(sub, "--flow", r.pipe.flow, "flow");
  value(sub, "--roughness", r.pipe.roughness,
        "height of the wall's roughness (1.5 um: smooth plastic)");
  value(sub, "--temperature", r.pipe.temperature, "water temperature (15 degC)");
}

void add_sun(CLI::App& calc_app, Request& r) {
  CLI::App* sub = add_verb(calc_app, "calc sun", r, [&r] { return calc(r.manners, r.sun); });
  needed(sub, "--latitude", r.sun.latitude, "north positive");
  needed(sub, "--longitude", r.sun.longitude, "east positive");
  needed(sub, "--time", r.sun.time, "date and time with its zone: 2026-05-28T13:00-04:00");
  value(sub, "--altitude", r.sun.altitude, "height above the sea (0 m)");
}

void add_scenario(CLI::App* sub, ScenarioRequest& input) {
  sub->add_option("SCENARIO", input.scenario, "the scenario file")->type_name("FILE")->required();
  sub->add_option("--set", input.settings,
                  "change one key, as --set house.shade_cloth=\"30 %\"; may be repeated")
      ->type_name("KEY=VALUE")
      ->expected(1)
      ->take_all();
  sub->add_flag("--allow-starved", input.allow_starved,
                "zones that the supply cannot feed together are taken as they are");
}

void add_check(CLI::App& app, Request& r) {
  CLI::App* sub = add_verb(app, "check", r, [&r] { return check(r.manners, r.check); });
  add_scenario(sub, r.check.input);
  sub->add_flag("--assumed", r.check.assumed,
                "list the values that the scenario leaves to the program");
}

void add_threads(CLI::App* sub, int& threads) {
  sub->add_option("--threads", threads, "threads to use (all); the results are the same")
      ->type_name("NUMBER")
      ->check(CLI::Range(1, 256));
}

void add_store(CLI::App* sub, StoreRequest& store) {
  CLI::Option* folder =
      sub->add_option("--store", store.folder,
                      "where airflow is kept between runs (MISTWRIGHT_STORE, or the user's cache)")
          ->type_name("FOLDER");
  sub->add_flag("--no-store", store.none, "compute all airflow anew and keep none")
      ->excludes(folder);
}

void add_run(CLI::App& app, Request& r) {
  CLI::App* sub = add_verb(app, "run", r, [&r] { return run(r.manners, r.run); });
  add_scenario(sub, r.run.input);
  sub->add_option("-o,--output", r.run.output, "the results to write (HDF5)")->type_name("FILE");
  sub->add_flag("--overwrite", r.run.overwrite, "replace results that exist");
  add_threads(sub, r.run.threads);
  add_store(sub, r.run.store);
  sub->add_flag("--alone", r.run.alone,
                "the house only, none of the changes that the verdict tries");
}

void add_shade(CLI::App& app, Request& r) {
  CLI::App* sub = add_verb(app, "shade", r, [&r] { return shade(r.manners, r.shade); });
  add_scenario(sub, r.shade.input);
  add_threads(sub, r.shade.threads);
  add_store(sub, r.shade.store);
}

void add_cans(CLI::App& app, Request& r) {
  CLI::App* sub = add_verb(app, "cans", r, [&r] { return cans(r.manners, r.cans); });
  add_scenario(sub, r.cans.input);
  sub->add_option("--bench", r.cans.bench, "this bench alone (all)")->type_name("NAME");
  sub->add_option("--cups", r.cans.cups, "cups on a bench, about (24)")
      ->type_name("NUMBER")
      ->check(CLI::Range(study::fewest_cups, study::most_cups));
  value(sub, "--cup-diameter", r.cans.cup_diameter, "across a cup's mouth, inside (8 cm)");
  sub->add_option("--bursts", r.cans.bursts, "bursts of each zone (as many as fill the cups)")
      ->type_name("NUMBER")
      ->check(CLI::Range(1, study::most_asked_bursts));
  CLI::Option* readings =
      sub->add_option("--readings", r.cans.readings,
                      "what the cups held: `cup,reading [mL]`, then a line each; needs --bursts")
          ->type_name("FILE");
  sub->add_flag("--fans-on", r.cans.fans_on, "the readings were taken with the fans running")
      ->needs(readings);
  add_threads(sub, r.cans.threads);
  add_store(sub, r.cans.store);
}

void add_move(CLI::App& app, Request& r) {
  CLI::App* sub = add_verb(app, "move", r, [&r] { return move(r.manners, r.move); });
  add_scenario(sub, r.move.input);
  sub->add_option("--map", r.move.map, "the picture to write (SVG): where a head brings most")
      ->type_name("FILE");
  sub->add_flag("--overwrite", r.move.overwrite, "replace a picture that exists");
  add_threads(sub, r.move.threads);
  add_store(sub, r.move.store);
}

void add_split(CLI::App& app, Request& r) {
  CLI::App* sub = add_verb(app, "split", r, [&r] { return split(r.manners, r.split); });
  add_scenario(sub, r.split.input);
  value(sub, "--pause", r.split.pause, "from one zone's stop to the next one's start (2 s)");
  value(sub, "--flow-spread", r.split.flow_spread,
        "by how much the flows of a zone's heads may differ (10 %)");
  sub->add_flag("--whole-rows", r.split.whole_rows, "cut no row, though it may take more zones");
  sub->add_option("--pipe", r.split.pipe, "polyethylene in metric sizes, or pvc in US sizes")
      ->type_name("KIND")
      ->check(CLI::IsMember({"polyethylene", "pvc"}));
}

void add_report(CLI::App& app, Request& r) {
  CLI::App* sub = add_verb(app, "report", r, [&r] { return report(r.manners, r.report); });
  sub->add_option("RESULT", r.report.results, "the results of a run")
      ->type_name("FILE")
      ->required();
  sub->add_option("-o,--output", r.report.page, "the page to write (RESULT with .html)")
      ->type_name("FILE");
  sub->add_flag("--overwrite", r.report.overwrite, "replace a page that exists");
}

void add_heads(CLI::App& app, Request& r) {
  CLI::App* sub = add_verb(app, "heads", r, [&r] { return heads(r.manners, r.heads); });
  sub->add_option("SCENARIO", r.heads.scenario, "a scenario whose heads to list")
      ->type_name("FILE");
}

void add_calc(CLI::App& app, Request& r) {
  CLI::App* sub = add_verb(app, "calc");
  sub->require_subcommand(1);
  add_air(*sub, r);
  add_droplet(*sub, r);
  add_film(*sub, r);
  add_pipe(*sub, r);
  add_sun(*sub, r);
}

std::string help_for(CLI::App& app, const std::string& path) {
  if (path.empty()) return overview();
  CLI::App* sub = &app;
  for (std::size_t at = 0; at != std::string::npos && at < path.size();) {
    const std::size_t space = std::min(path.find(' ', at), path.size());
    sub = sub->get_subcommand(path.substr(at, space - at));
    at = space + 1;
  }
  const CLI::Formatter formatter;
  const std::string options =
      formatter.make_positionals(sub) + formatter.make_groups(sub, CLI::AppFormatMode::Sub);
  return examples_and_purpose(verb(path)) + options;
}

/// The options of the commands as the parser has them.
void add_words(const CLI::App& app, const std::string& path, std::vector<CommandWords>& out) {
  CommandWords command{path, {}};
  for (const CLI::Option* o : app.get_options()) {
    OptionWords words{{}, o->get_type_name(), o->get_description(), o->get_positional()};
    if (o->get_items_expected_max() == 0) words.value.clear();
    for (const std::string& name : o->get_snames()) words.names.push_back("-" + name);
    for (const std::string& name : o->get_lnames()) words.names.push_back("--" + name);
    if (words.word) words.names = {o->get_name()};
    command.options.push_back(std::move(words));
  }
  out.push_back(std::move(command));
  for (const CLI::App* sub : app.get_subcommands({}))
    add_words(*sub, path.empty() ? sub->get_name() : path + " " + sub->get_name(), out);
}

/// `mistwright words man`, `bash`, `zsh` or `fish`: for the build, so no command of the help.
int say_words(const CLI::App& app, const std::string& form) {
  std::vector<CommandWords> commands;
  add_words(app, "", commands);
  const auto text = words_as(form, std::move(commands), MISTWRIGHT_VERSION);
  if (text) fmt::print("{}", *text);
  return text ? done : usage_error;
}

/// A word that nothing took.
scenario::Problem stray_word(const std::string& word, const CLI::App* sub,
                             const std::string& more) {
  if (!word.starts_with("-")) {
    return mistake("E0002", fmt::format("`{}` is one word too many", word), more);
  }
  Words known;
  for (; sub != nullptr; sub = sub->get_parent()) {
    for (const CLI::Option* option : sub->get_options()) {
      for (const std::string& name : option->get_lnames()) known.push_back("--" + name);
    }
  }
  const auto near = nearest(word, known);
  return mistake("E0002", fmt::format("unknown option `{}`", word),
                 near ? fmt::format("the nearest is `{}`", *near) : more);
}

/// All that is wrong with the command line, in our words.
std::vector<scenario::Problem> explained(const CLI::ParseError& error, CLI::App& app,
                                         const std::string& path) {
  const std::string more =
      path.empty() ? "see `mistwright help`" : fmt::format("see `mistwright {} --help`", path);
  const CLI::App* sub = &app;
  while (!sub->get_subcommands().empty()) sub = sub->get_subcommands().front();
  std::vector<scenario::Problem> problems;
  for (const std::string& word : app.remaining(true)) {
    // What follows a stray option is most likely its value.
    if (problems.empty() || word.starts_with("-")) problems.push_back(stray_word(word, sub, more));
  }
  if (dynamic_cast<const CLI::RequiredError*>(&error) != nullptr) {
    if (path == "calc") {
      problems.push_back(mistake("E0003", "`calc` needs to know what to calculate",
                                 fmt::format("one of: {}", fmt::join(names_under("calc"), ", "))));
    }
    for (const CLI::Option* option : sub->get_options()) {
      if (!option->get_required() || option->count() > 0) continue;
      problems.push_back(
          mistake("E0003", fmt::format("`{}` is missing", option->get_name()), more));
    }
  }
  if (problems.empty()) {
    problems.push_back(
        mistake("E0004", fmt::format("the command line cannot be read: {}", error.what()), more));
  }
  return problems;
}

bool contains(const Words& words, std::string_view wanted) {
  return std::find(words.begin(), words.end(), wanted) != words.end();
}

int answer(const Words& arguments) {
  Request request;
  // Known before the words are understood, so that a complaint about them takes the right form.
  request.manners.json = contains(arguments, "--json");
  CLI::App app;
  app.set_help_flag("");
  app.add_flag("--json", request.manners.json, "one JSON object instead of words");
  app.add_flag("-q,--quiet", request.manners.quiet, "no progress and no remarks");
  app.require_subcommand(1);
  add_check(app, request);
  add_run(app, request);
  add_shade(app, request);
  add_cans(app, request);
  add_move(app, request);
  add_split(app, request);
  add_report(app, request);
  add_heads(app, request);
  add_calc(app, request);

  const Words words = leading_words(arguments);
  if (arguments.empty()) {
    fmt::print("{}", greeting());
    return done;
  }
  if (contains(arguments, "--version")) {
    fmt::print("mistwright {}\n", MISTWRIGHT_VERSION);
    return done;
  }
  if (arguments.size() == 2 && arguments.front() == "words") return say_words(app, arguments[1]);
  const bool asked = contains(arguments, "-h") || contains(arguments, "--help");
  if (asked || arguments.front() == "help" || arguments.back() == "help") {
    Words about = arguments;
    about.erase(std::remove_if(about.begin(), about.end(),
                               [](const std::string& word) {
                                 return word == "help" || word.starts_with("-");
                               }),
                about.end());
    if (const auto unknown = unknown_command(about)) {
      return refuse(request.manners, usage_error, {*unknown});
    }
    fmt::print("{}", help_for(app, named_path(about)));
    return done;
  }
  if (const auto unknown = unknown_command(words)) {
    return refuse(request.manners, usage_error, {*unknown});
  }
  try {
    app.parse(Words(arguments.rbegin(), arguments.rend()));
  } catch (const CLI::ParseError& error) {
    return refuse(request.manners, usage_error, explained(error, app, named_path(words)));
  }
  return request.action();
}

}  // namespace
}  // namespace mistwright::app

int main(int argc, char** argv) {
  using namespace mistwright::app;
  // A file that grows over a limit is an error to tell, not a signal to die of.
  std::signal(SIGXFSZ, SIG_IGN);
  try {
    const int status = answer(std::vector<std::string>(argv + 1, argv + argc));
    if (std::fflush(stdout) == 0) return status;
  } catch (const std::system_error&) {
    // Standard output is full or closed: told below.
  } catch (const std::bad_alloc&) {
    return refuse(
        {}, limit_reached,
        {mistake("E0005", "out of memory", "a smaller house or a coarser grid needs less")},
        nothing_written);
  } catch (const std::exception& error) {
    return refuse({}, own_fault,
                  {mistake("E0070", fmt::format("a fault of this program: {}", error.what()),
                           "please report it with the command and the scenario")},
                  nothing_written);
  }
  fmt::print(stderr, "error[E0402]: standard output cannot be written to\n");
  return file_error;
}
