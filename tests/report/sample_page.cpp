// Writes the page and the results of the invented run: sample_page OUT.html OUT.h5 [hostile]. For
// the browser tests and for looking at. `hostile` gives everything that has a name one that is
// markup, and turns the direction of writing.
#include <fmt/core.h>

#include <string>

#include "sim/record/hdf5_file.h"
#include "sim/record/whole_file.h"
#include "sim/report/page.h"
#include "sim/report/verdict.h"
#include "tests/report/sample_record.h"

using namespace mistwright;

namespace {

void make_hostile(record::Record& record) {
  const std::string evil =
      "\"'></script></title><img src=x onerror=\"window.broken=1\"><script>window.broken=1</script>"
      "\xe2\x80\xae name";
  for (record::Group& group : record.groups) {
    for (const char* key : {"house_name", "note", "scenario_path", "version", "regime"})
      if (group.attributes.contains(key)) group.attributes[key] = evil;
    for (record::Variable& variable : group.variables)
      if (variable.name == "bench" || variable.name == "head" || variable.name == "fan" ||
          variable.name == "opening")
        for (std::string& word : variable.flag_meanings) word = evil;
  }
}

}  // namespace

int main(int count, char** words) {
  if (count != 3 && count != 4) return 2;
  record::Record record = test::sample_record();
  if (count == 4) make_hostile(record);
  const auto changed = [](double factor) {
    return report::summarise(test::sample_record({.dry_factor = factor}));
  };
  report::VerdictInput input;
  input.main = report::summarise(record);
  input.neighbours = {{"heads of 90 L/h (24 gal/h), same clock", changed(0.1), false},
                      {"10 s every 10 min", changed(0.7), true},
                      {"6 s every 6 min", changed(0.4), true}};
  input.clock =
      report::ClockAdvice{1.0, 84, true, report::ClockAdvice::WholeMinutes{60.0, 2400.0, 1680.0}};
  input.sure = report::SureRange{3e-5, 1e-4, {14400.0, 23400.0}, {18000.0, 18900.0}};
  input.assumed_count = 3;
  for (record::Group& group : record.groups)
    if (group.name == "provenance") {
      group.attributes["verdict"] = report::verdict(input);
      group.attributes["neighbours"] = report::neighbours_text(input);
    }
  try {
    record::write_hdf5(record, words[2], true);
    const record::Record back = record::read_hdf5(words[2]);
    record::write_whole_file(
        words[1], report::page(back, back.group("provenance").attributes.at("verdict")), true);
  } catch (const record::FileError& error) {
    fmt::print(stderr, "{}\n", error.what());
    return 4;
  }
  return 0;
}
