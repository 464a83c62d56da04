#include "sim/app/help.h"

#include <fmt/format.h>

#include <stdexcept>

namespace mistwright::app {
namespace {

std::string list_of(std::string_view parent) {
  std::string out;
  for (const std::string& name : names_under(parent)) {
    const std::string path = parent.empty() ? name : fmt::format("{} {}", parent, name);
    out += fmt::format("  {:<9}{}\n", name, verb(path).purpose);
  }
  return out;
}

const std::vector<Verb> verb_table = {
    {"check",
     "read a scenario: the house it describes, and what is wrong",
     {"mistwright check scenarios/demo.toml", "mistwright check scenarios/demo.toml --assumed"},
     "Nothing is run and nothing is written. --assumed lists every value that the scenario "
     "leaves\n"
     "to the program, with its range and where it comes from."},
    {"run",
     "simulate a scenario, print the verdict, write the results",
     {"mistwright run scenarios/demo.toml -o demo.h5",
      "mistwright run scenarios/demo.toml --set house.shade_cloth=\"30 %\""},
     "Without -o nothing is written. --set changes one key as if the scenario said so. The\n"
     "results are the same to the last bit for any number of threads."},
    {"shade",
     "the house under four cloths, with vents shut to open and fans",
     {"mistwright shade scenarios/demo.toml", "mistwright shade scenarios/demo.toml --json"},
     "A table before building. Every row is a run of its own: hottest air and leaves, how dry\n"
     "the air gets, light at the leaves, how long they are dry, water sprayed."},
    {"cans",
     "where to set catch cups, what they should hold; judge what they held",
     {"mistwright cans scenarios/demo.toml",
      "mistwright cans scenarios/demo.toml --bench east --cups 12 --cup-diameter \"3 in\""},
     "With --readings FILE and the --bursts that were run: how even it was against what is\n"
     "expected, which cups differ, and what that hints at."},
    {"move",
     "what moving a head, a fan, a skirt or one more head would bring",
     {"mistwright move scenarios/demo.toml", "mistwright move scenarios/demo.toml --json"},
     "Each change is a run of its own, told as dry time gained a day, against the noise of the\n"
     "drawn drops. --map FILE.svg draws where a head brings most to the leaves dry longest."},
    {"split",
     "the fewest zones that the supply can carry, with pipes and order",
     {"mistwright split scenarios/demo.toml", "mistwright split scenarios/demo.toml --pipe pvc"},
     "Lines are laid anew behind the place where the valves stand; heads and supply stay. Every\n"
     "zone keeps its heads' working pressures and alike flows. Up to twelve heads every way to\n"
     "group them is tried."},
    {"report",
     "make one page of a run's results, to open in any browser",
     {"mistwright report demo.h5", "mistwright report demo.h5 -o demo.html --overwrite"},
     "The page needs no network. Without -o it stands beside the results."},
    {"heads",
     "list head types: flow, pressure, drop sizes, throw",
     {"mistwright heads", "mistwright heads scenarios/demo.toml"},
     "Without a scenario: the invented examples that come with the program."},
    {"calc",
     "calculate one thing with the simulator's own functions",
     {"mistwright calc air --temperature \"25 degC\" --humidity \"60 %\"",
      "mistwright calc sun --latitude \"43 deg\" --longitude \"-72 deg\" "
      "--time 2026-05-28T13:00-04:00"},
     "Values carry units, metric or US."},
    {"calc air",
     "moist air: dew point, wet bulb, deficit, density",
     {"mistwright calc air --temperature \"25 degC\" --humidity \"60 %\"",
      "mistwright calc air --temperature \"85 degF\" --humidity \"40 %\" --pressure \"990 hPa\" "
      "--json"},
     ""},
    {"calc droplet",
     "one drop falling in still or moving air: speed, life, drift",
     {"mistwright calc droplet --diameter \"100 um\" --temperature \"25 degC\" --humidity \"60 "
      "%\"",
      "mistwright calc droplet --diameter \"50 um\" --temperature \"30 degC\" --humidity \"40 "
      "%\" "
      "--height \"1.2 m\" --wind \"0.3 m/s\""},
     ""},
    {"calc film",
     "a film of water on a leaf: how fast it goes, when it breaks and dries",
     {"mistwright calc film --depth \"0.05 mm\" --temperature \"35 degC\" --humidity \"25 %\" "
      "--air-speed \"0.5 m/s\" --net-radiation \"300 W/m2\" --leaf-length \"5 cm\"",
      "mistwright calc film --depth \"0.05 mm\" --temperature \"68 degF\" --humidity \"85 %\" "
      "--air-speed \"0.1 m/s\" --net-radiation \"40 W/m2\" --leaf-length \"2 in\""},
     ""},
    {"calc pipe",
     "a pipe: speed of the water, friction, pressure lost",
     {"mistwright calc pipe --length \"25 m\" --diameter \"16 mm\" --flow \"6 L/min\"",
      "mistwright calc pipe --length \"100 ft\" --diameter \"0.62 in\" --flow \"3 gal/min\" "
      "--roughness \"1.5 um\""},
     "--diameter is the bore, not the nominal size."},
    {"calc sun",
     "where the sun stands and what a clear sky gives",
     {"mistwright calc sun --latitude \"43 deg\" --longitude \"-72 deg\" "
      "--time 2026-05-28T13:00-04:00",
      "mistwright calc sun --latitude \"43.1 deg\" --longitude \"-72.4 deg\" "
      "--time 2026-12-21T17:00Z --altitude \"180 m\" --json"},
     "North and east are positive. The time needs its zone: Z or an offset such as -04:00."},
};

}  // namespace

const std::vector<Verb>& verbs() {
  return verb_table;
}

const Verb& verb(std::string_view path) {
  for (const Verb& candidate : verbs()) {
    if (candidate.path == path) return candidate;
  }
  throw std::out_of_range(fmt::format("no command {}", path));
}

std::vector<std::string> names_under(std::string_view parent) {
  std::vector<std::string> names;
  const std::string head = parent.empty() ? "" : fmt::format("{} ", parent);
  for (const Verb& candidate : verbs()) {
    if (!candidate.path.starts_with(head)) continue;
    const std::string_view rest = candidate.path.substr(head.size());
    if (!rest.empty() && rest.find(' ') == std::string_view::npos) names.emplace_back(rest);
  }
  return names;
}

std::string greeting() {
  return fmt::format(
      "mistwright {} simulates cuttings under intermittent mist, from the tap to the film on each "
      "leaf.\n"
      "Describe your house in a scenario file: copy scenarios/demo.toml and change it.\n"
      "check says what is wrong with it, run simulates it and says whether your leaves stay wet.\n"
      "Every value has a unit, metric or US: \"25 degC\", \"40 psi\", \"3 s\".\n"
      "More: mistwright help, or mistwright COMMAND --help.\n"
      "\n"
      "  mistwright check scenarios/demo.toml\n"
      "  mistwright run scenarios/demo.toml -o demo.h5\n"
      "  mistwright calc air --temperature \"25 degC\" --humidity \"60 %\"\n",
      MISTWRIGHT_VERSION);
}

std::string overview() {
  return "Examples:\n"
         "  mistwright check scenarios/demo.toml\n"
         "  mistwright run scenarios/demo.toml -o demo.h5\n"
         "\n"
         "Commands (mistwright COMMAND --help says more):\n" +
         list_of("") +
         "\n"
         "Everywhere:\n"
         "  --json       one JSON object on standard output instead of words\n"
         "  -q, --quiet  no progress and no remarks\n"
         "  -h, --help   help;  --version  the version\n"
         "  NO_COLOR     set in the environment: no colour\n"
         "\n"
         "Exit status: 0 done, 2 command line wrong, 3 scenario or value wrong,\n"
         "4 file trouble, 5 stopped by a limit, 70 fault of this program, 130 interrupted\n";
}

std::string examples_and_purpose(const Verb& verb) {
  std::string out = fmt::format("Examples:\n  {}\n  {}\n\n{}: {}\n", verb.examples[0],
                                verb.examples[1], verb.path, verb.purpose);
  if (!verb.notes.empty()) out += fmt::format("{}\n", verb.notes);
  const std::string under = list_of(verb.path);
  if (!under.empty()) out += fmt::format("\nOne of:\n{}", under);
  return out;
}

}  // namespace mistwright::app
